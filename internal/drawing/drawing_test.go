package drawing

import (
	"encoding/json"
	"encoding/xml"
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// plans are the documents of the audit's cases that are whole plans.
func plans(t *testing.T) map[string]map[string]any {
	t.Helper()
	files, err := filepath.Glob("../../testdata/api/postPlanAudit/*.request.json")
	require.NoError(t, err)
	out := map[string]map[string]any{}
	for _, file := range files {
		if strings.Contains(file, "-problem") {
			continue
		}
		raw, err := os.ReadFile(file)
		require.NoError(t, err)
		var document map[string]any
		require.NoError(t, json.Unmarshal(raw, &document))
		out[strings.TrimSuffix(filepath.Base(file), ".request.json")] = document
	}
	require.Greater(t, len(out), 5)
	return out
}

// Every part of every plan is drawn once, inside the picture, on no other part; the SVG is well formed and has no style
// or script that a strict content policy would refuse.
func TestEveryPartHasItsPlace(t *testing.T) {
	for name, document := range plans(t) {
		m := Of(document)
		for _, width := range []float64{Narrow, Wide} {
			s := newSheet(m, width)
			drawn := map[string]bool{}
			for id, b := range s.places {
				drawn[id] = true
				assert.GreaterOrEqual(t, b.x, 0.0, "%s: %s", name, id)
				assert.LessOrEqual(t, b.x+b.width, width, "%s: %s", name, id)
				assert.LessOrEqual(t, b.y+boxHeight, s.height, "%s: %s", name, id)
				for other, o := range s.places {
					if id < other &&
						b.x < o.x+o.width && o.x < b.x+b.width && b.y < o.y+boxHeight && o.y < b.y+boxHeight {
						t.Errorf("%s at %.0f: %s lies on %s", name, width, id, other)
					}
				}
			}
			for _, p := range m.Parts {
				assert.True(t, drawn[p.ID], "%s: %s is not drawn", name, p.ID)
			}
			for _, tank := range s.tanks {
				assert.LessOrEqual(t, tank.x+tank.width, s.right+0.5, "%s: %s", name, tank.name)
			}
		}
		page := string(m.Figure(Shown{Failed: m.Circuits[0].ID}))
		assert.NotContains(t, page, "style=")
		assert.NotContains(t, page, "<script")
		dec := xml.NewDecoder(strings.NewReader(page))
		for {
			if _, err := dec.Token(); errors.Is(err, io.EOF) {
				break
			} else if !assert.NoError(t, err, name) {
				break
			}
		}
	}
}

// A tank is drawn in its own proportions where its parts fit into it.
func TestTheTankKeepsItsProportions(t *testing.T) {
	document := plans(t)["example-household-sound"]
	s := newSheet(Of(document), Wide)
	for _, tank := range s.tanks {
		if tank.zone == Display {
			assert.InEpsilon(t, 900.0/540.0, tank.width/tank.drawn, 0.02, "inner length to height, from the plan")
		}
	}
}

func TestWhatFailsTogether(t *testing.T) {
	document := plans(t)["example-household-shared-probe"]
	m := Of(document)
	assert.Equal(t, []string{"sump-probe"}, m.Shared(), "a control, a cut-out and two alarms rest on it")
	dead := m.Dead("circuit-b")
	assert.Contains(t, dead, "heater-left")
	assert.Contains(t, dead, "home network", "it hangs on circuit-b")
	assert.NotContains(t, dead, "low-water", "it has a battery of its own")
	assert.NotContains(t, dead, "heater-right")
	assert.Contains(t, m.Dead("mains"), "heater-right")
}

// The same plan gives the same bytes, so that a report has one entity tag; what is marked has its corner and its line
// in the key, and no more than that is marked.
func TestDrawingsAreTheSameEachTimeAndMarkWhatIsAsked(t *testing.T) {
	for name, document := range plans(t) {
		m := Of(document)
		first := m.Figure(Shown{})
		for range 5 {
			require.Equal(t, first, Of(document).Figure(Shown{}), name)
		}
		assert.NotContains(t, first, "drawing-corner", name)
		id := m.Circuits[0].ID
		marked := string(m.Figure(Shown{Marked: []string{id}, Means: "changed here", Title: "Two plans"}))
		if m.Part(id) != nil {
			assert.Equal(t, 3, strings.Count(marked, "drawing-corner"), "%s: narrow, wide and key", name)
		}
		assert.Contains(t, marked, "changed here", name)
		assert.Contains(t, marked, `aria-label="Two plans"`, name)
	}
}
