package light

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc"
	"saltwright/internal/calc/reference"
)

// Reda, I. and Andreas, A. 2004, Solar position algorithm for solar radiation applications, NREL/TP-560-34302,
// worked example of appendix A.5: 17 October 2003, 12:30:30 at UTC - 7 h, 39.742476 N, 105.1786 W. Topocentric
// zenith 50.11162° with refraction, azimuth 194.34024°; declination -9.31434°, equation of time 14.641503 min
// (zenith and azimuth seen in public test suites that quote the report, the others from memory). Refraction at
// 820 mbar and 11 °C is 0.01633° there (from memory, confirmed by its equation 42); parallax is 8.794" cos h.
func TestSunMeetsTheWorkedExample(t *testing.T) {
	at := time.Date(2003, 10, 17, 19, 30, 30, 0, time.UTC)
	declination, equation := sun(centuries(float64(at.Unix())))
	const deg = 180 / math.Pi
	// The zenith and azimuth seen say where the sun stood: to the declination and the hour angle by the triangle.
	phi, azimuth := 39.742476/deg, 194.34024/deg
	height := (90 - 50.11162 - refraction42(90-50.11162) + 8.794/3600*math.Cos(39.87/deg)) / deg
	seen := math.Asin(math.Sin(phi)*math.Sin(height) + math.Cos(phi)*math.Cos(height)*math.Cos(azimuth))
	hourAngle := math.Asin(-math.Sin(azimuth) * math.Cos(height) / math.Cos(seen))
	assert.InDelta(t, seen*deg, declination*deg, 0.003)
	assert.InDelta(t, hourAngle*deg, 15*(19.5+30.0/3600-12)+equation*deg-105.1786, 0.005)
	assert.InDelta(t, -9.31434, declination*deg, 0.002)
	assert.InDelta(t, 14.641503, equation*12/math.Pi*60, 0.01)
}

// refraction42 is the report's equation 42 at 820 mbar and 11 °C; the apparent elevation serves for the true one.
func refraction42(height float64) float64 {
	return 820.0 / 1010 * 283 / (273 + 11) * 1.02 / (60 * math.Tan((height+10.3/(height+5.11))*math.Pi/180))
}

// pvlib-python's own test of its Haurwitz function (BSD-3-Clause; the eight numbers were seen, no code was taken).
func TestClearSkyMeetsPvlib(t *testing.T) {
	for _, c := range []struct{ elevation, want float64 }{
		{-20, 0}, {-0.05, 0}, {-0.001, 0}, {5, 48.6298687941956}, {10, 135.741748091813},
		{30, 487.894132885425}, {50, 778.766689344363}, {90, 1035.09203253450},
	} {
		assert.InDelta(t, c.want, ClearSkyIrradiance(c.elevation), 1e-9, "%v°", c.elevation)
	}
}

// Extraterrestrial light bounds a clear day: FAO Irrigation and Drainage Paper 56 (Allen et al. 1998), table 2.6 and
// equation 37: clear-sky radiation is (0.75 + 2e-5 z) of it; at the equator it is 36.2 MJ/(m2 d) in January and
// 37.9 in March (from memory).
func TestClearDayAgreesWithFAO56(t *testing.T) {
	for _, c := range []struct {
		month int
		ra    float64
	}{{1, 36.2}, {3, 37.9}} {
		d, err := NaturalDay(Day{LatitudeDeg: 0, Year: 2025, Month: c.month, Day: 15, Underwater: clear})
		require.NoError(t, err)
		assert.InEpsilon(t, 0.75*c.ra, d.EnergyMJ, 0.06, "two clear-sky models differ by some per cent")
		t.Logf("month %d: %.2f, FAO-56 %.2f MJ/(m2 d)", c.month, d.EnergyMJ, 0.75*c.ra)
	}
}

var clear = Underwater{Type: Oceanic2}

func measured(perM float64) Underwater { return Underwater{Type: Oceanic2, AttenuationPerM: &perM} }

func TestNaturalDay(t *testing.T) {
	d, err := NaturalDay(Day{LatitudeDeg: -18, Year: 2025, Month: 12, Day: 21, DepthM: 10, Underwater: measured(0.1)})
	require.NoError(t, err)
	assert.InDelta(t, d.DayLengthH, d.SunsetHour-d.SunriseHour, 1e-12)
	assert.InDelta(t, 0.94*math.Exp(-1)*d.DLI, d.DepthDLI, 1e-9)
	for _, u := range []Underwater{measured(0.1), clear, {Type: Coastal5}} {
		d, err := NaturalDay(Day{LatitudeDeg: -18, Year: 2025, Month: 12, Day: 21, DepthM: 10, Underwater: u})
		require.NoError(t, err)
		z, ok, err := d.DepthOf(u, d.DepthDLI)
		require.NoError(t, err)
		require.True(t, ok)
		assert.InDelta(t, 10, z, 1e-5)
	}
	for _, dli := range []float64{100, 0} {
		_, ok, err := d.DepthOf(clear, dli)
		require.NoError(t, err)
		assert.False(t, ok)
	}
	assert.Greater(t, d.DLIHigh, d.DLI)
	night, err := NaturalDay(Day{LatitudeDeg: 85, Year: 2025, Month: 12, Day: 21, Underwater: clear})
	require.NoError(t, err)
	assert.Zero(t, night.DLI)
	_, err = NaturalDay(Day{LatitudeDeg: 10, Year: 2025, Month: 2, Day: 30, Underwater: clear})
	var conflict *calc.ConflictError
	assert.ErrorAs(t, err, &conflict)
	_, err = NaturalDay(Day{LatitudeDeg: 10, Year: 2025, Month: 2, Day: 3, Underwater: measured(0)})
	var out *calc.RangeError
	assert.ErrorAs(t, err, &out)
	_, err = NaturalDay(Day{LatitudeDeg: 10, Year: 2025, Month: 2, Day: 3, Underwater: Underwater{Type: "tea"}})
	assert.ErrorAs(t, err, &conflict)
	_, _, err = d.DepthOf(Underwater{}, 10)
	assert.ErrorAs(t, err, &conflict)
}

// Jerlov's own table of transmitted irradiance is for all colours; what is held here is that clearer water takes less,
// that red goes first, and that a bay which was measured lies between the least clear ocean and a coast: at Kaneohe
// 0.71 was left from 0.91 to 2.44 m, 0.49 and 0.57 from 0.30 to 1.83 m, 0.59 from 0.61 to 1.83 m, and 0.16 from
// 1.83 to 7.62 m. Source: [Wall2020].
func TestTransmission(t *testing.T) {
	at := func(u Underwater, z float64) float64 {
		share, err := Transmission(u, z)
		require.NoError(t, err)
		return share
	}
	types := []WaterType{Oceanic1, Oceanic1A, Oceanic1B, Oceanic2, Oceanic3, Coastal1, Coastal3, Coastal5}
	require.Len(t, diffuseAttenuation, len(types))
	for _, z := range []float64{0.5, 2, 10, 40} {
		for i := range types[1:] {
			next := Underwater{Type: types[i+1]}
			assert.Less(t, at(next, z), at(Underwater{Type: types[i]}, z), "%s %g", types[i+1], z)
		}
	}
	for _, water := range types {
		u := Underwater{Type: water}
		assert.InDelta(t, 1, at(u, 0), 1e-12)
		first := math.Log(at(u, 0.01)/at(u, 2)) / 1.99
		later := math.Log(at(u, 2)/at(u, 10)) / 8
		assert.Greater(t, first, 1.2*later, "%s: faster in the first two metres", water)
	}
	for _, m := range []struct{ left, from, to float64 }{
		{0.71, 0.91, 2.44}, {0.49, 0.30, 1.83}, {0.57, 0.30, 1.83}, {0.59, 0.61, 1.83}, {0.16, 1.83, 7.62},
	} {
		clearer := at(Underwater{Type: Oceanic3}, m.to) / at(Underwater{Type: Oceanic3}, m.from)
		murkier := at(Underwater{Type: Coastal5}, m.to) / at(Underwater{Type: Coastal5}, m.from)
		assert.Less(t, murkier, m.left)
		assert.Greater(t, clearer, m.left)
	}
}

func TestShiftedKeepsTheDay(t *testing.T) {
	s, err := NewSchedule([]Point{{9, 0}, {10, 80}, {18, 80}, {18, 40}, {20, 0}})
	require.NoError(t, err)
	for _, h := range []float64{0, 1.25, 6, 12, -7.5, 23, 24, -24} {
		moved, err := s.Shifted(60 * h)
		require.NoError(t, err)
		assert.InDelta(t, s.Mean(), moved.Mean(), 1e-9, "%v", h)
		assert.InDelta(t, s.DarkHours(0), moved.DarkHours(0), 1e-6)
		for _, at := range []float64{9.5, 14, 17.9, 18.1, 19, 23} {
			assert.InDelta(t, s.At(at), moved.At(at+h), 1e-6, "%v at %v", h, at)
		}
		assert.Len(t, moved.Steps(), 1)
		back, err := moved.Shifted(-60 * h)
		require.NoError(t, err)
		assert.InDelta(t, s.At(9.25), back.At(9.25), 1e-6)
	}
	flat, err := NewSchedule([]Point{{3, 20}})
	require.NoError(t, err)
	same, err := flat.Shifted(300)
	require.NoError(t, err)
	assert.InDelta(t, 20, same.Mean(), 1e-12)
	_, err = s.Shifted(1500)
	assert.Error(t, err)
}

func TestAcclimation(t *testing.T) {
	in := AcclimationInput{
		StartDLI: 5, GoalDLI: 12, FullDLI: 15, StepsPerWeek: 2, MostRisePercentWeek: UsualRisePercentWeek,
	}
	r, err := Acclimate(in)
	require.NoError(t, err)
	assert.Equal(t, 7, r.Weeks, "ln(12/5)/ln(1.15) = 6.26")
	require.Len(t, r.Steps, 15)
	assert.InDelta(t, 5, r.Steps[0].DLI, 1e-12)
	assert.InDelta(t, 12, r.Steps[14].DLI, 1e-12)
	assert.InDelta(t, 80, r.Steps[14].ScalePercent, 1e-9)
	assert.Equal(t, 49, r.Steps[14].Day)
	assert.True(t, r.WithinRise)
	product := 1.0
	for _, s := range r.Steps[1:] {
		product *= 1 + s.RisePercent/100
	}
	assert.InDelta(t, 12.0/5, product, 1e-9, "the rises lead from start to goal")
	in.Weeks = 3
	r, err = Acclimate(in)
	require.NoError(t, err)
	assert.False(t, r.WithinRise)
	var conflict *calc.ConflictError
	for _, bad := range []AcclimationInput{
		{StartDLI: 12, GoalDLI: 5, FullDLI: 15, StepsPerWeek: 1, MostRisePercentWeek: 15},
		{StartDLI: 5, GoalDLI: 16, FullDLI: 15, StepsPerWeek: 1, MostRisePercentWeek: 15},
		{StartDLI: 0.01, GoalDLI: 15, FullDLI: 15, StepsPerWeek: 1, MostRisePercentWeek: 1},
	} {
		_, err := Acclimate(bad)
		assert.ErrorAs(t, err, &conflict)
	}
}

func TestPeakOfChannelsThatTakeTurns(t *testing.T) {
	morning, err := NewSchedule([]Point{{6, 0}, {8, 100}, {10, 0}})
	require.NoError(t, err)
	evening, err := NewSchedule([]Point{{16, 0}, {18, 50}, {20, 0}})
	require.NoError(t, err)
	strong, weak := 400.0, 300.0
	peak, known := PeakPPFD([]Channel{{Schedule: morning, PeakPPFD: &strong}, {Schedule: evening, PeakPPFD: &weak}})
	assert.True(t, known)
	assert.InDelta(t, 400, peak, 1e-9, "not 550: they are never on together")
	_, known = PeakPPFD([]Channel{{Schedule: morning}})
	assert.False(t, known)
}

// light_dli.csv: shifting keeps the table's integral, peak and lit hours; scaling to a goal reaches the goal.
func TestShiftingAndScalingKeepTheTablesIntegral(t *testing.T) {
	var w reference.Worst
	for _, r := range reference.Load(t, "light_dli.csv") {
		where := "case " + r["case"]
		s := schedule(t, parse(t, r["points_local_time_ppfd_umol_per_m2_s"])...)
		for _, h := range []float64{-11.25, 0.5, 7.75, 16} {
			moved, err := s.Shifted(60 * h)
			require.NoError(t, err)
			w.Relative(t, r.F(t, "dli_mol_per_m2_day"), moved.DLI(), 1e-6, where+" DLI")
			w.Absolute(t, r.F(t, "hours_ppfd_above_zero_h"), moved.LitHours(), 1e-6, where+" lit hours")
			w.Absolute(t, r.F(t, "peak_ppfd_umol_per_m2_s"), moved.Peak(), 1e-9, where+" peak")
		}
		scaled, err := s.Scaled(5 / s.DLI())
		require.NoError(t, err)
		w.Relative(
			t, 5*r.F(t, "peak_ppfd_umol_per_m2_s")/r.F(t, "dli_mol_per_m2_day"), scaled.Peak(), 1e-6, where+" scaled",
		)
	}
	t.Logf("shifted and scaled: worst %.1e at %s", w.Difference, w.Where)
}
