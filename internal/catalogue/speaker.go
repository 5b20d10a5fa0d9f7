package catalogue

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"github.com/nicksnyder/go-i18n/v2/i18n"
	"golang.org/x/text/message"
	"golang.org/x/text/number"
)

// Units is what system the numbers in texts are written in; numbers of results are metric always.
type Units string

const (
	Metric Units = "metric"
	US     Units = "us"
)

// Speaker speaks one language to readers of one system of units. It is safe for concurrent use.
type Speaker struct {
	units     Units
	localizer *i18n.Localizer
	printer   *message.Printer
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
