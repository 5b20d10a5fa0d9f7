package webdocs

import (
	"encoding/json"
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"saltwright/clients/reading"
	"saltwright/internal/catalogue"
	"saltwright/internal/contract"
	"saltwright/internal/phrase"
	"saltwright/internal/unit"
)

// unitText writes the contract's unit for a reader; a pure number has none.
func unitText(name string) string { return unit.Of(name).Metric }

// withUnit is a value and its unit.
func withUnit(value, name string) string {
	if value == "" {
		return ""
	}
	return unit.Beside(value, unitText(name))
}

// plainName is a member's name without its unit, in words.
func plainName(member, unit string) string { return phrase.Plain(member, unit) }

// nameIn is a member's name without its unit, in words of a language.
func nameIn(v *phrase.Voice, member, unit string) string {
	return v.Member(member, plainName(member, unit))
}

// capital makes the first letter a capital one, but for that of pH.
func capital(s string) string {
	r, n := utf8.DecodeRuneInString(s)
	if n == 0 || strings.HasPrefix(s, "pH") {
		return s
	}
	return string(unicode.ToUpper(r)) + s[n:]
}

// sentence is a description as a sentence of its own.
func sentence(s string) string {
	s = capital(strings.TrimSpace(s))
	if s == "" || strings.ContainsAny(s[len(s)-1:], ".!?:") {
		return s
	}
	return s + "."
}

// longestLabel is how long a description may be and still label a field.
const longestLabel = 46

// label takes a member's description apart into a label and the rest.
func label(v *phrase.Voice, m *contract.Member, unit string) (name, hint string) {
	described := v.Contract(m.Schema.Description)
	head, tail, _ := strings.Cut(described, ";")
	source, _, _ := strings.Cut(m.Schema.Description, ";")
	names := strings.Contains(strings.TrimSpace(source), " ") && !strings.HasPrefix(source, "of ")
	clock := strings.HasSuffix(m.Name, "_at") // two of them, described alike
	if names && !clock && utf8.RuneCountInString(head) <= longestLabel {
		return capital(head), sentence(tail)
	}
	return capital(nameIn(v, m.Name[strings.LastIndex(m.Name, "/")+1:], unit)), sentence(described)
}

// unitFor writes the contract's unit for a metric reader or one in the US.
func unitFor(name string, us bool) string {
	_, written := unit.Of(name).For(us, 0)
	return written
}

// rangeFor says which values a schema takes. Limits in US units that have more than three figures are rounded to two,
// inward, so that what is written is taken.
func rangeFor(v *phrase.Voice, s *contract.Schema, us bool) string {
	limit := func(f *float64, inward func(float64) float64) string {
		x := *f
		if u := unit.Of(s.Unit); us && u.US != "" {
			x, _ = u.For(true, x)
			x = reading.FourFigures(x, inward)
			if three := figures(x, 3, math.Round); three != x {
				x = figures(x, 2, inward)
			}
		}
		return decimal(v, minus(strconv.FormatFloat(x, 'f', -1, 64)))
	}
	with := func(text string) string { // a line never begins with a unit
		beside := unit.Beside(text, unitFor(s.Unit, us))
		return text + strings.ReplaceAll(strings.TrimPrefix(beside, text), " ", "\u00a0")
	}
	switch {
	case len(s.Enum) > 0:
		return v.Say("range_one_of", "list", strings.Join(s.Enum, ", "))
	case s.Minimum != nil && s.Maximum != nil:
		return with(v.Say("range_between", "low", limit(s.Minimum, math.Ceil), "high", limit(s.Maximum, math.Floor)))
	case s.Minimum != nil:
		return v.Say("range_at_least", "low", with(limit(s.Minimum, math.Ceil)))
	case s.Maximum != nil:
		return v.Say("range_at_most", "high", with(limit(s.Maximum, math.Floor)))
	case s.Type == "array" && s.MaxItems != nil:
		if s.MinItems != nil {
			return v.Say("range_items", "low", *s.MinItems, "high", *s.MaxItems)
		}
		return v.Say("range_most_items", "high", *s.MaxItems)
	case s.Type == "boolean":
		return v.Say("range_true_false")
	case s.MaxLength != nil:
		return v.Say("range_characters", "high", *s.MaxLength)
	}
	return ""
}

// figures rounds a number to n figures.
func figures(v float64, n int, round func(float64) float64) float64 {
	if v == 0 {
		return 0
	}
	scale := math.Pow(10, float64(n-1)-math.Floor(math.Log10(math.Abs(v))))
	short, err := strconv.ParseFloat(strconv.FormatFloat(round(v*scale)/scale, 'g', n+1, 64), 64)
	if err != nil {
		return v
	}
	return short
}

// minus writes a negative number with its proper sign, and large ones in groups.
func minus(s string) string {
	if v, err := strconv.ParseFloat(s, 64); err == nil && math.Abs(v) >= 10000 && v == math.Trunc(v) {
		digits := strconv.FormatFloat(math.Abs(v), 'f', 0, 64)
		var parts []string
		for len(digits) > 3 {
			parts = append([]string{digits[len(digits)-3:]}, parts...)
			digits = digits[:len(digits)-3]
		}
		sign := ""
		if v < 0 {
			sign = "−"
		}
		return sign + strings.Join(append([]string{digits}, parts...), " ")
	}
	if strings.HasPrefix(s, "-") {
		return "−" + s[1:]
	}
	return s
}

// defaultFor is what is taken where a member is left out, in the units of a metric reader or, to four figures, of one
// in the US.
func defaultFor(v *phrase.Voice, s *contract.Schema, us bool) string {
	if s.Default == nil {
		return ""
	}
	switch s.DefaultText {
	case "":
		return v.Say("default_empty")
	case "[]":
		return v.Say("default_none")
	case "{}":
		return v.Say("default_assumed")
	}
	text := s.DefaultText
	if x, err := strconv.ParseFloat(text, 64); err == nil && us && unit.Of(s.Unit).US != "" {
		x, _ = unit.Of(s.Unit).For(true, x)
		text = strconv.FormatFloat(reading.FourFigures(x, math.Round), 'f', -1, 64)
	}
	return unit.Beside(spokenDefault(v, s, minus(text)), unitFor(s.Unit, us))
}

// spokenDefault is what is taken where a member is left out, as a language writes it.
func spokenDefault(v *phrase.Voice, s *contract.Schema, text string) string {
	switch {
	case s.Type == "boolean" && text == "true":
		return v.Say("said_yes")
	case s.Type == "boolean" && text == "false":
		return v.Say("said_no")
	case s.Type == "string":
		return v.Contract(words(text))
	}
	if _, err := json.Number(text).Float64(); err == nil {
		return decimal(v, text)
	}
	return text
}

// number writes a number with at most four significant digits, whole ones in full.
func number(n json.Number) string {
	v, err := n.Float64()
	if err != nil {
		return n.String()
	}
	if v == math.Trunc(v) && math.Abs(v) < 1e15 {
		return minus(strconv.FormatFloat(v, 'f', 0, 64))
	}
	if a := math.Abs(v); a >= 1e9 || a < 1e-4 {
		return minus(strconv.FormatFloat(v, 'g', 4, 64))
	}
	short, err := strconv.ParseFloat(strconv.FormatFloat(v, 'g', 4, 64), 64)
	if err != nil {
		return n.String()
	}
	return minus(strconv.FormatFloat(short, 'f', -1, 64))
}

// words writes an identifier as words.
func words(s string) string { return strings.ReplaceAll(s, "_", " ") }

// wordOf is a word of one of the catalogue's closed lists, as a language says it; a word that is in none is said as it
// is.
func wordOf(v *phrase.Voice, list, word string) string {
	if !slices.Contains(catalogue.Words[list], word) {
		return words(word)
	}
	_, said := catalogue.ReadsAs(v.Language, list+"_"+word)
	return said
}
