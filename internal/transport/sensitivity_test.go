package transport

import (
	"encoding/json"
	"fmt"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"saltwright/internal/answer"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Every spread lies within its member's bounds and about what it spreads.
func TestSpreadsOfTheContractAreUsable(t *testing.T) {
	s := newTestServer(t)
	studied := 0
	for _, o := range s.contract.Operations {
		if len(o.Targets) == 0 {
			continue
		}
		studied++
		for _, x := range o.Spreads {
			at := o.ID + " " + x.Name
			switch {
			case x.Fixed != nil:
				assert.True(t, x.Minimum <= *x.Fixed && *x.Fixed <= x.Maximum, at)
			case x.AboutAssumed:
				assert.True(t, x.Minus > 0 && x.Plus > 0, at)
			case x.Of != "":
				assert.True(t, 0 < x.Low && x.Low < 1 && 1 < x.High, at)
			default:
				about := x.Default
				if x.Expected != nil {
					about = x.Expected
				}
				require.NotNil(t, about, at)
				assert.True(t, x.Minimum <= x.Low && x.Low <= *about && *about <= x.High && x.High <= x.Maximum &&
					x.Low < x.High, at)
			}
		}
	}
	assert.GreaterOrEqual(t, studied, 18, "every sizing answer, with its GET twin")
}

// study is a sensitivity as it is read.
type study struct {
	answer.Sensitivity
	Advice string `json:"advice"`
}

func studyOf(t *testing.T, body []byte) study {
	t.Helper()
	var e struct {
		Sensitivity *study `json:"sensitivity"`
	}
	require.NoError(t, json.Unmarshal(body, &e))
	require.NotNil(t, e.Sensitivity)
	return *e.Sensitivity
}

// Every sizing example can be judged; the answer fits the contract (the server of the tests checks it).
func TestEverySizingAnswerCanBeJudged(t *testing.T) {
	s := newTestServer(t)
	judged := 0
	for _, o := range s.contract.Operations {
		id := o.ID
		if o.Body == nil || len(o.Targets) == 0 {
			continue
		}
		request, err := os.ReadFile(filepath.Join(root(t), "testdata/api", id, "example.request.json"))
		require.NoError(t, err)
		first := post(t, s, o.Path+"?samples=60&seed=3", string(request))
		require.Equal(t, http.StatusOK, first.status, "%s %s", id, first.body)
		again := post(t, s, o.Path+"?samples=60&seed=3", string(request))
		assert.Equal(t, string(first.body), string(again.body), "the same seed gives the same bytes")
		got := studyOf(t, first.body)
		judged++
		assert.Equal(t, 60, got.Drawn+got.Refused, id)
		assert.Equal(t, 0, got.Refused, id)
		assert.Len(t, got.Results, len(o.Targets), id)
		moved := 0
		for _, r := range got.Results {
			for _, i := range r.Inputs {
				moved++
				assert.NotContains(t, string(request), `"`+strings.TrimPrefix(i.Pointer, "#/")+`"`,
					"%s varies %s, which was stated", id, i.Pointer)
				assert.LessOrEqual(t, i.Low, i.High)
			}
			if r.P5 != nil {
				assert.True(t, *r.P5 <= *r.P50 && *r.P50 <= *r.P95, "%s %s", id, r.Pointer)
			}
		}
		assert.Positive(t, moved, "%s: something assumed moves something", id)
		plain := post(t, s, o.Path, string(request))
		assert.NotContains(t, string(plain.body), `"sensitivity"`, "only when it is asked for")
	}
	assert.GreaterOrEqual(t, judged, 9)
}

// What is stated is taken as stated: a keeper who states all that was assumed is left without doubt of that kind.
func TestStatedInputsAreNotVaried(t *testing.T) {
	s := newTestServer(t)
	const tank = "/v1/heater-sizing?samples=50&length_mm=900&width_mm=500&water_depth_mm=500&room_c=21"
	loose := studyOf(t, get(t, s, tank).body)
	stated := tank + "&coldest_c=17&warmest_c=27&rh_percent=50&air_speed_m_s=0.1&rock_share=0.1&wall_mm=10&" +
		"pumps_heat_share=1&lights_heat_share=0.3&lights_hours_per_day=10&dry_loss_factor=1&evaporation_factor=1"
	all := studyOf(t, get(t, s, stated).body)
	assert.Greater(t, loose.Varied, 8)
	assert.Zero(t, all.Varied)
	assert.Equal(t, "Nothing that was assumed moves these results.", all.Advice)
	for _, r := range all.Results {
		assert.Nil(t, r.P50)
	}
	assert.Contains(t, loose.Advice, "first")
}

func TestSampleCountHasBounds(t *testing.T) {
	s := newTestServer(t)
	for _, q := range []string{"samples=-1", "samples=1001", "samples=many", "seed=-1", "samples=10&samples=20"} {
		r := get(t, s, fmt.Sprintf("/v1/salt-mix?volume_l=10&%s", q))
		assert.Contains(t, []int{http.StatusBadRequest, http.StatusUnprocessableEntity}, r.status, q)
	}
	r := get(t, s, "/v1/salinity-conversion?scale=practical_psu&value=35&samples=5")
	assert.Equal(t, http.StatusUnprocessableEntity, r.status,
		"an operation without sensitivity does not take samples")
}
