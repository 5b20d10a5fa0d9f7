package transport

import (
	"encoding/json"
	"net/http"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Each calculation of the chemistry has all that a calculation has: a picture, cautions where they apply, three
// languages, a place in a batch, a form, and a twin by GET where its request is flat.
func TestChemistryHasAllThatACalculationHas(t *testing.T) {
	s := newTestServer(t)
	for _, c := range []struct {
		id, name, extra string
		cautions        []string
		flat            bool
	}{
		{"postCarbonateSystem", "carbonate-system", "", nil, true},
		{"postDose", "dose", `"substance":"sodium_hydroxide","stock_g_l":50`,
			[]string{"caustic_powders", "two_stock_solutions"}, true},
		{"postConsumption", "consumption", "", []string{"caustic_powders", "two_stock_solutions"}, false},
		{"postLimeWater", "lime-water", "", []string{"caustic_powders"}, true},
		{"postWaterChange", "water-change", "", []string{"fresh_mix", "heavy_water"}, true},
	} {
		body, err := os.ReadFile(filepath.Join(root(t), "testdata/api", c.id, "example.request.json"))
		require.NoError(t, err)
		if c.extra != "" {
			body = append([]byte("{"+c.extra+","), body[1:]...)
		}
		headlines := map[string]bool{}
		for _, language := range []string{"en", "de", "es"} {
			r := post(t, s, "/v1/"+c.name+"?include=charts&language="+language, string(body))
			require.Equal(t, http.StatusOK, r.status, "%s %s", c.name, r.body)
			var said struct {
				Headline string                  `json:"headline"`
				Cautions []struct{ Code string } `json:"cautions"`
				Charts   []json.RawMessage       `json:"charts"`
			}
			require.NoError(t, json.Unmarshal(r.body, &said))
			headlines[said.Headline] = true
			assert.NotEmpty(t, said.Charts, c.name)
			var codes []string
			for _, x := range said.Cautions {
				codes = append(codes, x.Code)
			}
			assert.ElementsMatch(t, c.cautions, codes, c.name)
		}
		assert.Len(t, headlines, 3, c.name)
		r := post(t, s, "/v1/batch", `{"calculations":[{"operation":"`+c.name+`","request":`+string(body)+`}]}`)
		require.Equal(t, http.StatusOK, r.status, c.name)
		assert.Contains(t, string(r.body), `"status":200`, c.name)
		twin := get(t, s, "/v1/"+c.name)
		assert.Equal(t, c.flat, twin.status != http.StatusMethodNotAllowed, c.name)
		assert.Equal(t, http.StatusOK, get(t, s, "/docs/calculators/"+c.name+"/").status, c.name)
	}
}
