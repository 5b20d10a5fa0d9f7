package reading

import (
	"errors"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestField(t *testing.T) {
	mm, degC, litres := Wanted{Unit: "mm"}, Wanted{Unit: "degC"}, Wanted{Unit: "L"}
	for _, c := range []struct {
		text string
		in   Wanted
		want float64
	}{
		{"900", mm, 900}, {"36 in", mm, 914.4}, {`18"`, mm, 457.2}, {`4'6"`, mm, 1371.6}, {"90 cm", mm, 900},
		{"1,2 m", mm, 1200}, {"47 1/4 in", mm, 1200.15}, {"36", Wanted{Unit: "mm", US: true}, 914.4},
		{"900 mm", Wanted{Unit: "mm", US: true}, 900}, {"about 36 in.", mm, 914.4},
		{"90", Wanted{Unit: "mm", Bare: "cm"}, 900}, {"36 in", Wanted{Unit: "mm", Bare: "cm"}, 914.4},
		{"25", Wanted{Unit: "degC", Bare: "cm"}, 25},
		{"1 200 mm", mm, 1200}, {"1 200,5", mm, 1200.5}, {"12 500 W", Wanted{Unit: "W"}, 12500},
		{"3 ft", Wanted{Unit: "m"}, 0.9144},
		{"1e3", mm, 1000}, {"-5", degC, -5}, {"68F", degC, 20}, {"68", Wanted{Unit: "degC", US: true}, 20},
		{"21,5", degC, 21.5}, {"−3 °C", degC, -3}, {"5F", Wanted{Unit: "K"}, 25.0 / 9},
		{"2 °C", Wanted{Unit: "K"}, 2}, {"2 K", Wanted{Unit: "K"}, 2},
		{"9", Wanted{Unit: "K", US: true}, 5}, {"20 gal", litres, 75.70823568}, {"500 ml", litres, 0.5},
		{"0,125", litres, 0.125}, {"2 m3", litres, 2000}, {"1 gal a day", Wanted{Unit: "L/d"}, 3.785411784},
		{"1 L/h", Wanted{Unit: "L/d"}, 24}, {"24 L/d", Wanted{Unit: "L/h"}, 1}, {"2 weeks", Wanted{Unit: "d"}, 14},
		{"90 min", Wanted{Unit: "h"}, 1.5}, {"10 hours a day", Wanted{Unit: "h/d"}, 10},
		{"1 h", Wanted{Unit: "min"}, 60},
		{"50 %", Wanted{Unit: "%"}, 50}, {"50%", Wanted{Unit: "1", Inclusive: true}, 0.5},
		{"0.5", Wanted{Unit: "1"}, 0.5},
		{"35 ppt", Wanted{Unit: "1", Salinity: true}, 35}, {"1.02 ppt", Wanted{Unit: "1", Salinity: true}, 1.02},
		{"1.5 kW", Wanted{Unit: "W"}, 1500}, {"3 mg/(L h)", Wanted{Unit: "mg/(L h)"}, 3},
		{"ten days", Wanted{Unit: "d"}, 10},
		{"1.025", Wanted{Unit: "that of the scale"}, 1.025}, {"2 lb", Wanted{Unit: "g"}, 907.18474},
	} {
		got, err := Field(c.text, c.in)
		require.NoError(t, err, c.text)
		assert.InEpsilon(t, c.want, got, 1e-11, "%s in %v: to twelve figures", c.text, c.in)
	}
}

func TestFieldRefuses(t *testing.T) {
	for _, c := range []struct {
		text, unit, says string
	}{
		{"abc", "mm", "not a number"}, {"1,200", "mm", "two ways"},
		{"36 F", "mm", "is a temperature: write it in mm"},
		{"20 gal", "degC", "is a volume: write it in °C"}, {"48x24 in", "mm", "one number"},
		{"31-35", "1", "one number"},
		{"2x150W", "W", "one number"}, {"", "mm", "one number"}, {"1.2.3", "mm", "no number"},
		{"5 W", "1", "without W"},
		{"1e999", "mm", "larger than"}, {"20 gal tank", "L", "not a number"}, {"$20", "L", "not a number"},
	} {
		_, err := Field(c.text, Wanted{Unit: c.unit})
		var unclear *Unclear
		require.ErrorAs(t, err, &unclear, c.text)
		assert.Contains(t, unclear.Why, c.says, c.text)
	}
	_, err := Field("1.026", Wanted{Unit: "1", Salinity: true})
	require.Error(t, err)
	assert.Contains(t, err.Error(), "specific gravity")
}

func FuzzField(f *testing.F) {
	for _, text := range []string{"36 in", "1e308", "1e999 in", "1,200", "half full", "½", "3 mg/(L h)", "", "\xff"} {
		for _, unit := range []string{"mm", "degC", "K", "1", "mg/(L h)", ""} {
			f.Add(text, unit, true)
		}
	}
	f.Fuzz(func(t *testing.T, text, unit string, us bool) {
		v, err := Field(text, Wanted{Unit: unit, US: us})
		var unclear *Unclear
		if err != nil {
			require.True(t, errors.As(err, &unclear))
			require.NotEmpty(t, unclear.Why)
			return
		}
		require.False(t, math.IsNaN(v) || math.IsInf(v, 0))
	})
}
