package webdocs_test

import (
	"net/http"
	"net/url"
	"regexp"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"saltwright/internal/catalogue"
	"saltwright/internal/contract"
	"saltwright/internal/phrase"
	"strings"
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

// Every form of the bench, for every part that a plan may have: no label, hint or choice is left in English, and no
// member or choice is named as the contract names it.
func TestEveryFormOfAPartHasWords(t *testing.T) {
	c, err := contract.Load()
	require.NoError(t, err)
	s := &Site{contract: c}
	english := phrase.In(catalogue.English)
	document := plan{"sump": plan{}}
	for _, l := range []catalogue.Language{catalogue.German, catalogue.Spanish} {
		v := phrase.In(l)
		for _, group := range s.partGroups(v, document, "") {
			places := []string{group.Add}
			for _, one := range group.Parts {
				places = append(places, one.At)
			}
			for _, at := range places {
				own, theirs := s.partFormOf(v, document, at, false), s.partFormOf(english, document, at, false)
				if own == nil {
					assert.Empty(t, at)
					continue
				}
				said := map[string]bool{}
				for _, f := range append(theirs.First, theirs.More...) {
					said[f.Label], said[f.Hint] = true, true
				}
				for _, f := range append(own.First, own.More...) {
					where := string(l) + " " + at + " " + f.Name
					assert.NotContains(t, f.Label+f.Hint+f.Ghost, "_", where)
					for _, text := range []string{f.Label, f.Hint} {
						assert.False(t, strings.Count(text, " ") > 1 && said[text], "%s: %s", where, text)
					}
					assert.Equal(t, f.member.Schema.Description == "", v.Described(f.member.Schema.Description) == "",
						"%s has no words for %q", where, f.member.Schema.Description)
					for _, o := range f.Options {
						assert.NotContains(t, o.Text, "_", where)
					}
				}
			}
		}
	}
}

// A refusal names the part and the label of the form, not the member of the contract.
func TestRefusalsSpeakOfTheForm(t *testing.T) {
	c, err := contract.Load()
	require.NoError(t, err)
	s := &Site{contract: c}
	document := plan{"alarms": []any{plan{"id": "long-run"}}}
	for l, want := range map[catalogue.Language][2]string{
		catalogue.English: {"Alarm long-run, Runs", "“runs long” needs “runs”."},
		catalogue.German:  {"Alarm long-run, Laufzeit", "„läuft zu lange“ needs „Laufzeit“."},
		catalogue.Spanish: {"Alarma long-run, Marcha", "«funciona demasiado» needs «marcha»."},
	} {
		got := s.planFault(phrase.In(l), document, "#/alarms/0/runs_min", "runs_long needs runs_min")
		assert.Equal(t, want, [2]string{got.Name, got.Detail})
		assert.Equal(t, "alarms/0", got.Target)
	}
}
