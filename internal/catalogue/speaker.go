package catalogue

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"github.com/nicksnyder/go-i18n/v2/i18n"
	"golang.org/x/text/message"
	"golang.org/x/text/number"

	"saltwright/internal/unit"
)

// Units is what system the numbers in texts are written in; numbers of results are metric always.
type Units string

const (
	Metric Units = "metric"
	US     Units = "us"
)

// Reader is whom a text is written for.
type Reader struct {
	Language Language
	Units    Units
}

// Speaker speaks to readers of one language and one system of units. It is safe for concurrent use.
type Speaker struct {
	Reader
	inDative  bool // of durations
	localizer *i18n.Localizer
	printer   *message.Printer
}

var speakers = map[Reader]*Speaker{}

// Speaker returns who speaks to a reader: in English where the language is not known, in metric units where the system
// of units is not.
func (r Reader) Speaker() *Speaker {
	if !r.Language.known() {
		r.Language = English
	}
	if r.Units != US {
		r.Units = Metric
	}
	return speakers[r]
}

// toward is the side that a limit is rounded to.
type toward int

const (
	nearest toward = iota
	up
	down
)

// digits writes a number without a unit; trimmed: without zeros at the end.
func (s *Speaker) digits(x float64, decimals int, trimmed bool, side toward) string {
	scale := math.Pow10(decimals)
	const slack = 1e-9 // of the last digit: 125.0000000001 is no reason to write 126
	switch side {
	case up:
		x = math.Ceil(x*scale-slack) / scale
	case down:
		x = math.Floor(x*scale+slack) / scale
	default:
		x = math.Round(x*scale) / scale
	}
	if x == 0 {
		x = 0 // no minus before it
	}
	least := decimals
	if trimmed {
		least = 0
	}
	written := s.printer.Sprint(number.Decimal(x, number.MinFractionDigits(least),
		number.MaxFractionDigits(decimals)))
	return strings.ReplaceAll(written, "-", "−")
}

// unitWords are the codes of the units that are words, by the name in the contract; signs need no translation.
var unitWords = map[string]string{
	"dKH/d": "unit_dkh_a_day", "mg/(L d)": "unit_mg_l_a_day", "currency": "unit_money",
}

// Unit is how the reader writes a unit of the contract; empty for a pure number.
func (s *Speaker) Unit(name string) string {
	if code, ok := unitWords[name]; ok {
		return s.text(code)
	}
	_, written := unit.Of(name).For(s.Units == US, 0)
	return written
}

func (s *Speaker) localize(code string, data map[string]string, count any) string {
	said, err := s.localizer.Localize(&i18n.LocalizeConfig{MessageID: code, TemplateData: data, PluralCount: count})
	must(err)
	return said
}

// text says a code without parameters.
func (s *Speaker) text(code string) string { return s.localize(code, nil, nil) }

// counted says a code with a number, which decides between one and several.
func (s *Speaker) counted(code string, x float64, decimals int) string {
	plain := strconv.FormatFloat(x, 'f', decimals, 64)
	if decimals > 0 {
		plain = strings.TrimRight(strings.TrimRight(plain, "0"), ".")
	}
	return s.localize(code, map[string]string{"count": s.digits(x, decimals, true, nearest)}, plain)
}

// must stops the program over files that are part of it.
func must(err error) {
	if err != nil {
		panic(fmt.Errorf("catalogue: %w", err))
	}
}
