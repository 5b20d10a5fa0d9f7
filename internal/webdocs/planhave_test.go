package webdocs_test

import (
	"net/http"
	"net/url"
	"regexp"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Whatever is ticked at the start makes a plan that can be followed, whatever else is ticked beside it.
func TestTickedPartsMakeAPlan(t *testing.T) {
	h := host(t)
	var all []string
	boxes := regexp.MustCompile(`name="have" value="([^"]+)"`)
	for _, m := range boxes.FindAllStringSubmatch(get(h, "/plan/").Body.String(), -1) {
		all = append(all, m[1])
	}
	require.Greater(t, len(all), 8)
	sets := [][]string{all, {}}
	for i := range all {
		sets = append(sets, all[i:i+1], append(append([]string{}, all[:i]...), all[i+1:]...))
	}
	for _, size := range []string{"60 l", "4x2x2 ft"} {
		for _, have := range sets {
			status, at, body := sendForm(h,
				url.Values{"do": {"bare"}, "size": {size}, "room": {"21"}, "away": {"7 days"}, "have": have})
			require.Equal(t, http.StatusSeeOther, status, "%s", body)
			page := get(h, at.String()).Body.String()
			assert.NotContains(t, page, "cannot be followed yet", "%s: %v", size, have)
			if len(have) == 0 {
				assert.Equal(t, "heaters/+", at.Query().Get("part"))
			}
		}
	}
	status, at, _ := sendForm(h, url.Values{"do": {"bare"}, "size": {"200 l"}, "room": {"21"}, "away": {"7 days"},
		"have": {"heater", "control"}})
	require.Equal(t, http.StatusSeeOther, status)
	assert.Equal(t, "heaters/0", at.Query().Get("part"), "its size is asked first")
	p := planIn(t, at)
	assert.Equal(t, 200.0, p["heaters"].([]any)[0].(map[string]any)["power_w"], "1 W a litre, the first guess")
	assert.Equal(t, []any{"heater"}, p["controls"].([]any)[0].(map[string]any)["outputs"])
}
