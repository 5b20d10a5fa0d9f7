package drawing

import (
	"encoding/json"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/catalogue"
	"saltwright/internal/phrase"
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
		m := Of(document, phrase.In(catalogue.English))
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
		page := string(m.Figure(Shown{Failed: m.first}))
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
	s := newSheet(Of(document, phrase.In(catalogue.English)), Wide)
	for _, tank := range s.tanks {
		if tank.zone == Display {
			assert.InEpsilon(t, 900.0/540.0, tank.width/tank.drawn, 0.02, "inner length to height, from the plan")
		}
	}
}

func TestWhatFailsTogether(t *testing.T) {
	document := plans(t)["example-household-shared-probe"]
	m := Of(document, phrase.In(catalogue.English))
	var mixed []string
	for _, c := range m.Causes() {
		if c.Mixed {
			mixed = append(mixed, c.ID)
		}
	}
	assert.Contains(t, mixed, "sump-probe", "a control, a cut-out and two alarms rest on it")
	assert.Contains(t, mixed, "circuit-b", "the home network and a heater hang on it")
	dead := m.Dead("circuit-b")
	assert.Contains(t, dead, "heater-left")
	assert.Contains(t, dead, "home network", "it hangs on circuit-b")
	assert.NotContains(t, dead, "low-water", "it has a battery of its own")
	assert.Contains(t, dead, "heater-right", "heat-control hangs on circuit-b, and its relay opens")
	assert.NotContains(t, dead, "stream-pump")
	assert.Contains(t, m.Dead("mains"), "heater-right")
}

// The same plan gives the same bytes, so that a report has one entity tag; what is marked has its corner and its line
// in the key, and no more than that is marked.
func TestDrawingsAreTheSameEachTimeAndMarkWhatIsAsked(t *testing.T) {
	for name, document := range plans(t) {
		m := Of(document, phrase.In(catalogue.English))
		first := m.Figure(Shown{})
		for range 5 {
			require.Equal(t, first, Of(document, phrase.In(catalogue.English)).Figure(Shown{}), name)
		}
		assert.NotContains(t, first, "drawing-corner", name)
		id := m.Supplies[0].ID
		marked := string(m.Figure(Shown{Marked: []string{id}, Means: "changed here", Title: "Two plans"}))
		if m.Part(id) != nil {
			assert.Equal(t, 3, strings.Count(marked, "drawing-corner"), "%s: narrow, wide and key", name)
		}
		assert.Contains(t, marked, "changed here", name)
		assert.Contains(t, marked, `aria-label="Two plans"`, name)
	}
}

// An alarm that is heard goes all the way to a person; one that nobody hears stops on its way.
func TestHowFarAnAlarmComes(t *testing.T) {
	m := Of(plans(t)["example-household-sound"], phrase.In(catalogue.English))
	assert.Subset(t, m.Heard("too-warm", true), []string{"too-warm", "you"})
	assert.NotContains(t, m.Heard("too-warm", false), "you")
	lit := Shown{Failed: "heater-left", Now: &Now{DisplayMM: 12, Display: "27 °C", Lit: m.Heard("too-warm", true)}}
	dark := Shown{Failed: "heater-left", Now: &Now{Display: "27 °C"}}
	assert.Contains(t, m.SVG(Wide, lit), "drawing-lit")
	assert.NotContains(t, m.SVG(Wide, dark), "drawing-lit")
}

// Water that rises is drawn higher by the vessel's own scale, and never above its rim.
func TestWaterIsDrawnWhereItStands(t *testing.T) {
	m := Of(plans(t)["example-household-sound"], phrase.In(catalogue.English))
	top := func(mm float64) float64 {
		s := newSheet(m, Wide)
		for _, tank := range s.tanks {
			if tank.zone == Display {
				var p pen
				tank.drawNow(&p, &Now{DisplayMM: mm})
				var y float64
				_, err := fmt.Sscanf(p.String()[strings.Index(p.String(), ` y="`):], ` y="%f"`, &y)
				require.NoError(t, err)
				return y
			}
		}
		return -1
	}
	s := newSheet(m, Wide)
	assert.InDelta(t, top(0)-20*s.scale(), top(20), 0.11, "20 mm up")
	assert.Equal(t, top(40), top(4000), "40 mm are free: the rest is on the floor")
	assert.Greater(t, top(-50), top(0))
}

// A supply tree is drawn from the mains down, and what fails takes all below it that has no battery.
func TestWhatHangsOnATree(t *testing.T) {
	document := plans(t)["example-household-sound"]
	power := document["power"].(map[string]any)
	power["residual_current_devices"] = []any{map[string]any{"id": "rcd"}}
	power["circuits"].([]any)[0].(map[string]any)["residual_current_device"] = "rcd"
	power["strips"] = []any{ // the second is named before what it is plugged into
		map[string]any{"id": "lower", "supply": "upper"}, map[string]any{"id": "upper", "supply": "circuit-a"}}
	power["backups"] = []any{map[string]any{"id": "cell", "kind": "battery", "supplies": []any{"lower"}, "hours": 4.0}}
	pumps := document["pumps"].([]any)
	pumps[0].(map[string]any)["supply"], pumps[1].(map[string]any)["supply"] = "upper", "lower"
	document["boxes"] = []any{map[string]any{"id": "brain", "circuit": "circuit-a",
		"holds": []any{"heat-control", "sump-probe"}}}
	m := Of(document, phrase.In(catalogue.English))
	first, second := pumps[0].(map[string]any)["id"].(string), pumps[1].(map[string]any)["id"].(string)
	dead := m.Dead("rcd")
	for _, id := range []string{"circuit-a", "upper", "brain", "heat-control", "sump-probe", first} {
		assert.Contains(t, dead, id)
	}
	assert.NotContains(t, dead, "lower", "the battery carries it")
	assert.NotContains(t, dead, second)
	assert.NotContains(t, dead, "circuit-b")
	s := newSheet(m, Narrow)
	steps := [][2]string{{"mains", "rcd"}, {"rcd", "circuit-a"}, {"circuit-a", "upper"}, {"upper", "lower"}}
	for _, pair := range steps {
		assert.Less(t, s.places[pair[0]].y, s.places[pair[1]].y, "%v", pair)
	}
	assert.Contains(t, m.Supplies[len(m.Supplies)-1].ID, "brain")
}
