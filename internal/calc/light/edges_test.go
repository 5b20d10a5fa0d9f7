package light

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc"
)

func naturalDay(t *testing.T, latitude float64, month, day int, depth float64) Daylight {
	t.Helper()
	d, err := NaturalDay(Day{
		LatitudeDeg: latitude, Year: 2025, Month: month, Day: day, DepthM: depth,
		Underwater: Underwater{Type: Oceanic2, AttenuationPerM: new(0.1)},
	})
	require.NoError(t, err)
	return d
}

// The March equinox of 2025 was on the 20th at 09:01 UT (almanac, from memory); the declination then rises by 23.7' a
// day, so that it is 0.049° at noon.
func TestNoonOfTheEquinox(t *testing.T) {
	d := naturalDay(t, 20, 3, 20, 0)
	assert.InDelta(t, 0.049, d.DeclinationDeg, 0.003)
	assert.InDelta(t, 70.049, d.NoonElevation, 0.003)
	assert.InDelta(t, 70.05, naturalDay(t, -20, 9, 22, 0).NoonElevation, 0.2, "half a year later in the south")
}

// Full sun of 1000 W/m2 is 0.45·4.57·1000 = 2056.5 µmol/(m2 s) [Akitsu2022], [ThimijanHeins1983].
func TestPhotonsAndTheirRange(t *testing.T) {
	assert.InDelta(t, 2056.5, PhotonsOfSunlight(1000), 1e-9)
	d := naturalDay(t, 20, 3, 20, 0)
	assert.InEpsilon(t, 0.409/0.45, d.DLILow/d.DLI, 1e-12)
	assert.InEpsilon(t, 0.477/0.45, d.DLIHigh/d.DLI, 1e-12)
	assert.Equal(t, d.DLI, d.DepthDLI, "at no depth the surface's own")
	deep := naturalDay(t, 20, 3, 20, 10)
	assert.InEpsilon(t, 0.94*math.Exp(-1)*deep.NoonPPFD, deep.DepthNoonPPFD, 1e-12)
	z, ok, err := d.DepthOf(Underwater{Type: Oceanic2, AttenuationPerM: new(0.1)}, 0.94*d.DLI)
	require.NoError(t, err)
	assert.True(t, ok, "just under the surface")
	assert.InDelta(t, 0, z, 1e-6)
}

// Seasons: FAO-56 table 2.6 has three times as much light outside the air at 40° N in June as in December.
func TestSummerIsBrighterThanWinter(t *testing.T) {
	june, december := naturalDay(t, 40, 6, 21, 0), naturalDay(t, 40, 12, 21, 0)
	assert.Greater(t, june.EnergyMJ, 2.5*december.EnergyMJ)
	assert.InEpsilon(t, june.EnergyMJ, naturalDay(t, -40, 12, 21, 0).EnergyMJ, 0.01)
}

// In August the sun's noon comes later from day to day; the midnight sun is 24 hours all the same.
func TestMidnightSunWhileNoonMoves(t *testing.T) {
	h, err := DayLength(80, 2025, 8, 10)
	require.NoError(t, err)
	assert.Equal(t, 24.0, h)
}

func TestCornersOnAStraightLineAreNone(t *testing.T) {
	s := schedule(t, Point{0, 0}, Point{6, 60}, Point{9, 90}, Point{12, 120})
	assert.Equal(t, []Point{{0, 0}, {12, 120}}, s.Points(), "rise and fall by 10 an hour")
	assert.Empty(t, Schedule{}.Points())
	steep := schedule(t, Point{9, 0}, Point{9.0001, 33.3}, Point{9.0003, 99.9}, Point{20, 0}) // 333000 an hour
	assert.Equal(t, []Point{{9, 0}, {9.0003, 99.9}, {20, 0}}, steep.Points())
	step := schedule(t, Point{0, 0}, Point{0, 50}, Point{12, 50}, Point{12, 0})
	assert.Equal(t, []Point{{0, 0}, {0, 50}, {12, 50}, {12, 0}}, step.Points())
	earlier, err := s.Shifted(-1e-6) // less than a millisecond before midnight is midnight
	require.NoError(t, err)
	assert.Equal(t, s.Points(), earlier.Points())
}

// Worked by hand: 4·1.15² = 5.29 takes two weeks at 15 %, with 4.6 between; 1.01^52 = 1.6777 takes a year.
func TestAcclimationByHand(t *testing.T) {
	in := AcclimationInput{StartDLI: 4, GoalDLI: 5.29, FullDLI: 10, StepsPerWeek: 1, MostRisePercentWeek: 15}
	r, err := Acclimate(in)
	require.NoError(t, err)
	assert.Equal(t, 2, r.Weeks)
	assert.InDelta(t, 15, r.RisePerWeek, 1e-9)
	assert.True(t, r.WithinRise)
	require.Len(t, r.Steps, 3)
	assert.InDelta(t, 4.6, r.Steps[1].DLI, 1e-9)
	for _, c := range []struct {
		name    string
		refused bool
		change  func(*AcclimationInput)
	}{
		{"a year", false, func(in *AcclimationInput) { in.GoalDLI, in.MostRisePercentWeek = 4*1.677, 1 }},
		{"more than a year", true, func(in *AcclimationInput) { in.GoalDLI, in.MostRisePercentWeek = 4*1.679, 1 }},
		{"no way to go", true, func(in *AcclimationInput) { in.GoalDLI = 4 }},
		{"the strongest programme", false, func(in *AcclimationInput) { in.FullDLI = 1000 }},
		{"stronger", true, func(in *AcclimationInput) { in.FullDLI = 1000.1 }},
		{"the weakest", false, func(in *AcclimationInput) {
			in.StartDLI, in.GoalDLI, in.FullDLI = 0.01, 0.01+1e-12, 0.01
		}},
	} {
		in := in
		c.change(&in)
		_, err := Acclimate(in)
		assert.Equal(t, c.refused, err != nil, "%s: %v", c.name, err)
	}
}

func TestSchedulesOnTheirLimits(t *testing.T) {
	var points []Point
	for i := range 64 {
		points = append(points, Point{float64(i) / 4, 1})
	}
	_, err := NewSchedule(points)
	assert.NoError(t, err)
	_, err = NewSchedule([]Point{{5, 0}, {4, 0}})
	var conflict *calc.ConflictError
	require.ErrorAs(t, err, &conflict)
	assert.Equal(t, []string{"points[1].at", "points[0].at"}, conflict.Params)

	s := schedule(t, Point{9, 0}, Point{10, 100}, Point{20, 100}, Point{21, 0})
	off, err := s.Scaled(0)
	require.NoError(t, err)
	assert.Zero(t, off.Peak())
	_, err = s.Scaled(100)
	assert.NoError(t, err, "10000 is the most")
	glow := schedule(t, Point{9, 0}, Point{10, 1}, Point{20, 1}, Point{21, 0})
	assert.Empty(t, glow.Ramps(1), "a glow that counts as dark all the way")

	for n, fine := range map[int]bool{16: true, 17: false} {
		in := ScoreInput{Livestock: "mixed_reef"}
		for i := range n {
			in.Channels = append(in.Channels, Channel{ID: fmt.Sprint(i), Schedule: glow})
		}
		_, err := Score(in)
		assert.Equal(t, fine, err == nil, "%d channels: %v", n, err)
	}
}

// A jump is more than a tenth of the peak.
func TestSmallStepsAreNoJumps(t *testing.T) {
	for to, jumps := range map[float64]int{65: 0, 70: 0, 71: 1} {
		r := score(t, schedule(
			t, Point{9, 0}, Point{10, 60}, Point{12, 60}, Point{12, to}, Point{13, 100}, Point{19, 100}, Point{20, 0},
		), nil)
		assert.Len(t, r.Steps, jumps, "60 to %v", to)
	}
}

// Points by hand: 18 h of light are half way from 24 to 12; an integral of 21.6 is 0.56 of the way from 30 to 15.
func TestPointsByHand(t *testing.T) {
	assert.InDelta(t, 10, part(t, score(t, ramped(t, 4, 22, 1), nil), "photoperiod").Points, 1e-9)
	strong := 600.0
	assert.InDelta(t, 5.6, part(t, score(t, ramped(t, 9, 20, 1), &strong), "daily_light_integral").Points, 1e-9)
	good := score(t, ramped(t, 9, 20, 1), nil)
	assert.InDelta(t, 1, good.ShortestRampH, 1e-12)
	quick := score(t, ramped(t, 9, 20, 0.25), nil)
	assert.InDelta(t, 5, part(t, quick, "ramps").Points, 1e-9)
	assert.Equal(t, "The shortest rise or fall takes 15 min.", part(t, quick, "ramps").Reason)
	jump := score(t, ramped(t, 9, 20, 0), nil)
	assert.Zero(t, jump.ShortestRampH)
	assert.Equal(t, "Spread each jump over 30 to 60 min.", part(t, jump, "ramps").Raise)
	for _, c := range []struct {
		on, off float64
		code    string
	}{{4, 20, "true_dark"}, {10, 18, "photoperiod"}, {8, 20, "photoperiod"}} {
		got := part(t, score(t, ramped(t, c.on, c.off, 1), nil), c.code)
		assert.Empty(t, got.Raise, "%v to %v is enough", c.on, c.off)
	}
}

// Dark from 20:00 to 09:00; the moon shines from 22:00 to 04:00.
func TestMoonlightForPartOfTheNight(t *testing.T) {
	r, err := Score(ScoreInput{Livestock: "mixed_reef", MoonlightPercent: 1, Channels: []Channel{
		{ID: "day", Schedule: ramped(t, 9, 20, 1)},
		{ID: "moon", Schedule: schedule(t, Point{4, 1}, Point{4, 0}, Point{22, 0}, Point{22, 1})},
	}})
	require.NoError(t, err)
	require.Contains(t, codes(r.Notes), NoteMoonlightIsDark)
	assert.Contains(t, r.Notes[len(r.Notes)-1].Sentence, "6.0 of the 13.0")
}

// The ends of a band and of the studied light are still inside.
func TestTheEndsOfTheBands(t *testing.T) {
	for _, dli := range []float64{5, 15} {
		assert.Empty(t, ScoreResult{}.integral("mixed_reef", dli).Raise, "%v", dli)
	}
	studied := PhotoinhibitingDLI
	assert.Empty(t, notes(ScoreResult{DLI: &studied}, 0))
}
