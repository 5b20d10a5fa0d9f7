package reliability

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/reference"
)

// ISO 13849-1 annex C, the worked example (from memory): a valve with B10d = 60 million cycles that works every 5 s, 16
// hours a day, 220 days a year: 2.53e6 cycles a year, T10d 23.7 years, MTTFd 237 years.
func TestWearOfTheStandardsExample(t *testing.T) {
	const days, hours, cycle, b10 = 220.0, 16.0, 5.0, 60e6
	cycles := days * hours * 3600 / cycle
	assert.InDelta(t, 2.53e6, cycles, 0.005e6)
	perYear, life := Worn(cycles, b10)
	assert.InDelta(t, 23.7, life, 0.05)
	assert.InDelta(t, 237, 1/perYear, 0.5)

	perYear, life = Worn(0, b10)
	assert.Zero(t, perYear)
	assert.True(t, math.IsInf(life, 1), "it never switches")
}

// The rows of failure_rates.csv that follow from that rule for a relay at its rated load.
func TestWearOfTheRelaysInTheTable(t *testing.T) {
	var worst reference.Worst
	starts := map[string]float64{
		"relay at rated load, 5 starts a day": 5, "relay at rated load, 20 starts a day": 20,
		"relay at rated load, 100 starts a day": 100,
	}
	rows := 0
	for _, row := range reference.Load(t, "failure_rates.csv") {
		if day, ok := starts[row["item"]]; ok {
			perYear, _ := Worn(day*quantity.DaysPerYear, 4e5)
			worst.Relative(t, row.F(t, "typical"), perYear, 0.005, row["item"])
			rows++
		}
	}
	assert.Equal(t, len(starts), rows)
	t.Logf("worst %.2g at %s", worst.Difference, worst.Where)
}
