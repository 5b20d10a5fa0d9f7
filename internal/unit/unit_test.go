package unit

import (
	"regexp"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/contract"
)

// Source: NIST SP 811, appendix B.8, from memory: the factors of the foot, inch, gallon and pound.
func TestUnitsOfTheUS(t *testing.T) {
	for _, c := range []struct {
		name   string
		metric float64
		us     float64
		unit   string
	}{
		{"degC", 25, 77, "°F"}, {"degC", -40, -40, "°F"}, {"K", 1, 1.8, "°F"}, {"W/K", 1.8, 1, "W/°F"},
		{"L", 3.785411784, 1, "gal"}, {"mm", 25.4, 1, "in"}, {"m", 0.3048, 1, "ft"}, {"kg", 0.45359237, 1, "lb"},
		{"m2", 0.09290304, 1, "ft²"}, {"kg/m3", 1025, 1025, "kg/m³"}, {"W", 300, 300, "W"},
	} {
		got, unit := Of(c.name).For(true, c.metric)
		assert.InDelta(t, c.us, got, 1e-12, "%s: rounding of binary fractions", c.name)
		assert.Equal(t, c.unit, unit)
		got, _ = Of(c.name).For(false, c.metric)
		assert.InDelta(t, c.metric, got, 0, "a metric reader is told the contract's number")
	}
}

func TestBesideANumber(t *testing.T) {
	assert.Equal(t, "35", Beside("35", Of("1").Metric))
	assert.Equal(t, "45°", Beside("45", Of("deg").Metric))
	assert.Equal(t, "25.5 °C", Beside("25.5", Of("degC").Metric))
	assert.Equal(t, "8 mg/L", Beside("8", Of("mg/L").Metric))
}

// raw are the spellings of the contract that no reader should meet.
var raw = regexp.MustCompile(`deg|umol|[mg][23]|that of|currency|^1$`)

// A unit that the contract gains is written for people, or needs a line in the table.
func TestEveryUnitOfTheContractCanBeRead(t *testing.T) {
	c, err := contract.Load()
	require.NoError(t, err)
	found := map[string]bool{}
	seen := map[*contract.Schema]bool{}
	var visit func(s *contract.Schema)
	visit = func(s *contract.Schema) {
		if s == nil || seen[s] {
			return
		}
		seen[s] = true
		found[s.Unit] = true
		assert.NotRegexp(t, raw, Of(s.Unit).Metric, "the table has no line for %q", s.Unit)
		visit(s.Items)
		for _, m := range s.Members {
			visit(m.Schema)
		}
	}
	for _, s := range c.Schemas {
		visit(s)
	}
	require.Greater(t, len(found), 30)
	for _, u := range Table {
		assert.True(t, found[u.Name], "%s is in the table and not in the contract", u.Name)
	}
}
