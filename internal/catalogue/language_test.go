package catalogue

import (
	"maps"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc/text"
)

// fileOf is the text of a language's own file; empty where it has none.
func fileOf(t *testing.T, l Language) []byte {
	t.Helper()
	data, err := files.ReadFile(string(l) + ".yaml")
	if !slices.Contains(Whole, l) && err != nil {
		return nil
	}
	require.NoError(t, err)
	return data
}

// differences names what a language lacks of the English, has too much of, or says with other parameters.
func differences(source, said map[string]map[string]string) []string {
	var out []string
	for _, code := range slices.Sorted(maps.Keys(source)) {
		forms, ok := said[code]
		if !ok {
			out = append(out, code+" is missing")
			continue
		}
		if !slices.Equal(slices.Sorted(maps.Keys(forms)), slices.Sorted(maps.Keys(source[code]))) {
			out = append(out, code+" has other forms for one and several than the English")
			continue
		}
		if a, b := parametersOf(source[code]), parametersOf(forms); !slices.Equal(a, b) {
			out = append(out, code+" is told "+strings.Join(b, " ")+", and the English "+strings.Join(a, " "))
		}
	}
	for _, code := range slices.Sorted(maps.Keys(said)) {
		if source[code] == nil {
			out = append(out, code+" is in no English text")
		}
	}
	return out
}

// parametersOf are the parameters of all forms of a text. A count may stay unsaid in any of them.
func parametersOf(forms map[string]string) []string {
	used := map[string]bool{}
	for _, form := range forms {
		for _, m := range placeholder.FindAllStringSubmatch(form, -1) {
			used[strings.TrimSuffix(m[1], dative)] = m[1] != "count"
		}
	}
	maps.DeleteFunc(used, func(_ string, counts bool) bool { return !counts })
	return slices.Sorted(maps.Keys(used))
}

// mostStretch is how much longer than the English a text may get; labels have 20 characters more in any case.
const mostStretch = 1.6

// A language that is declared whole says every text, with the parameters of the English and no other, and no longer
// than a screen bears.
func TestLanguagesAreWhole(t *testing.T) {
	source := parsed(t, fileOf(t, English))
	for _, l := range Whole {
		said := parsed(t, fileOf(t, l))
		for _, d := range differences(source, said) {
			assert.Fail(t, string(l)+": "+d)
		}
		for code, forms := range said {
			for form, s := range forms {
				least := len([]rune(source[code][form]))
				most := max(mostStretch*float64(least), float64(least)+20)
				assert.LessOrEqual(t, float64(len([]rune(s))), most, "%s: %s is longer than %g times the English: %s",
					l, code, mostStretch, s)
			}
		}
	}
}

// The other case of a duration is known of durations only.
func TestDativesAreOfDurations(t *testing.T) {
	for _, l := range Languages {
		for code, m := range messages[l] {
			of := map[string]string{}
			for _, p := range Codes[code] {
				of[p.Name] = p.Of
			}
			for _, used := range placeholder.FindAllStringSubmatch(m.One+m.Other, -1) {
				if name, ok := strings.CutSuffix(used[1], dative); ok {
					assert.True(t, l == German && strings.HasPrefix(of[name], "duration"), "%s: %s of %s is a %q", l,
						used[1],
						code, of[name])
				}
			}
		}
	}
}

func TestDifferences(t *testing.T) {
	english := map[string]map[string]string{
		"a": {"other": "{{.x}} of {{.y}}"}, "b": {"one": "one", "other": "{{.count}}"}, "c": {"other": "c"},
	}
	assert.Equal(t, []string{"a is told x z, and the English x y",
		"b has other forms for one and several than the English", "c is missing", "d is in no English text"},
		differences(english, map[string]map[string]string{
			"a": {"other": "{{.x}} {{.z}}"}, "b": {"other": "{{.count}}"}, "d": {"other": "d"},
		}))
	assert.Empty(t, differences(english, english))
}

// What a language lacks is said in English, and no text stops the program.
func TestMissingTextsAreEnglish(t *testing.T) {
	for _, l := range Languages {
		s := Reader{l, Metric}.Speaker()
		for code := range messages[English] {
			one, other := ReadsAs(l, code)
			assert.NotEmpty(t, other, "%s: %s", l, code)
			if own := messages[l][code]; own == nil {
				_, source := ReadsAs(English, code)
				assert.Equal(t, source, other)
			}
			if one != "" {
				assert.NotPanics(t, func() { s.counted(code, 1000000, 0) }, "%s: %s", l, code)
			}
		}
	}
}

// Source: Unicode CLDR, number symbols and grouping of de and es, as golang.org/x/text has them.
func TestNumbersAreWrittenAsTheLanguageDoes(t *testing.T) {
	for l, want := range map[Language][]string{
		English: {"25.5 °C", "1,250 L", "−0.5 K", "1.0264"},
		German:  {"25,5 °C", "1.250 L", "−0,5 K", "1,0264"},
		Spanish: {"25,5 °C", "1.250 L", "−0,5 K", "1,0264"},
	} {
		s := Reader{l, Metric}.Speaker()
		assert.Equal(t, want, []string{s.Number(25.5, "temperature", ""), s.Number(1250, "volume", ""),
			s.Number(-0.5, "temperature_difference", ""), s.Number(1.0264, "specific_gravity", "")}, l)
	}
	assert.Equal(t, Reader{Units: Metric}.Speaker(), Reader{"fr", ""}.Speaker(),
		"an unknown reader is told English and metric units")
	assert.Equal(t, "77,0 °F", Reader{German, US}.Speaker().Number(25, "temperature", ""))
}

// Source: RFC 9110, section 12.5.4; which languages are near each other: Unicode CLDR, languageMatching.
func TestPreferred(t *testing.T) {
	for field, want := range map[string]Language{
		"": English, "*": English, "en-GB": English, "fr": English, "de": German, "de-AT, en;q=0.5": German,
		"fr, es;q=0.8, de;q=0.9": German, "es-MX": Spanish, "es-419,en;q=0.3": Spanish, "gsw": German,
		"en;q=0.2, de;q=0.4": German, "nonsense;q": English, "de;q=0": English,
		strings.Repeat("de,", 400) + "de": English, "\x00": English,
	} {
		assert.Equal(t, want, Preferred(field), "%q", field)
	}
}

func TestTextsOfALanguageKeepTheirParameters(t *testing.T) {
	for _, l := range Languages {
		said := Reader{l, Metric}.Speaker().Say(text.Of("heater_buy", text.Params{"count": 2, "power": 150.0}))
		assert.Contains(t, said, "150 W", l)
	}
}
