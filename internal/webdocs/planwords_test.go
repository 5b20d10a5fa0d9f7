package webdocs

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/catalogue"
	"saltwright/internal/contract"
	"saltwright/internal/phrase"
)

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
