package light

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc"
	"saltwright/internal/calc/reference"
	"saltwright/internal/calc/text"
)

func schedule(t testing.TB, points ...Point) Schedule {
	t.Helper()
	s, err := NewSchedule(points)
	require.NoError(t, err)
	return s
}

func parse(t testing.TB, text string) []Point {
	t.Helper()
	var out []Point
	for _, part := range strings.Split(text, ";") {
		at, level, ok := strings.Cut(strings.TrimSpace(part), "=")
		require.True(t, ok, part)
		hms := strings.Split(at, ":")
		require.Len(t, hms, 3)
		hour := 0.0
		for i, x := range hms {
			v, err := strconv.ParseFloat(x, 64)
			require.NoError(t, err)
			hour += v / math.Pow(60, float64(i))
		}
		v, err := strconv.ParseFloat(level, 64)
		require.NoError(t, err)
		out = append(out, Point{hour, v})
	}
	return out
}

// Source: testdata/reference/light_dli.csv (exact trapezoids, checked by midpoint sums).
func TestLightIntegralTable(t *testing.T) {
	var w reference.Worst
	for _, r := range reference.Load(t, "light_dli.csv") {
		where := "case " + r["case"]
		s := schedule(t, parse(t, r["points_local_time_ppfd_umol_per_m2_s"])...)
		w.Relative(t, r.F(t, "dli_mol_per_m2_day"), s.DLI(), 1e-6, where+" DLI")
		w.Absolute(t, r.F(t, "hours_ppfd_above_zero_h"), s.LitHours(), 1e-6, where+" lit hours")
		w.Absolute(t, r.F(t, "peak_ppfd_umol_per_m2_s"), s.Peak(), 1e-9, where+" peak")
	}
	t.Logf("worst disagreement %.1e at %s", w.Difference, w.Where)
}

// Source: testdata/reference/day_length.csv (pyephem; Meeus in the NOAA form).
func TestDayLengthTable(t *testing.T) {
	var ephem, meeus reference.Worst
	for _, r := range reference.Load(t, "day_length.csv") {
		var y, m, d int
		_, err := fmt.Sscanf(r["date"], "%d-%d-%d", &y, &m, &d)
		require.NoError(t, err)
		where := r["date"] + " at " + r["latitude_deg"]
		got, err := DayLength(r.F(t, "latitude_deg"), y, m, d)
		require.NoError(t, err)
		// Hours: 0.1 minute, what the docstring claims; the table's own two methods differ by 0.07.
		ephem.Absolute(t, r.F(t, "day_length_h"), got, 0.1/60, where)
		// The same series and the same events: a hundredth of a second, fifty times the rounding of the table.
		meeus.Absolute(t, r.F(t, "day_length_second_method_h"), got, 0.01/3600, where)
	}
	t.Logf("worst disagreement with pyephem %.3f min at %s, with the Meeus column %.1e s at %s",
		60*ephem.Difference, ephem.Where, 3600*meeus.Difference, meeus.Where)
}

func TestDayLengthEdges(t *testing.T) {
	polar, err := DayLength(80, 2025, 6, 21)
	require.NoError(t, err)
	assert.Equal(t, 24.0, polar)
	polar, err = DayLength(80, 2025, 12, 21)
	require.NoError(t, err)
	assert.Zero(t, polar)
	for latitude := -90.0; latitude <= 90; latitude += 2.5 { // through both polar circles, all year
		for month := 1; month <= 12; month++ {
			for _, day := range []int{1, 11, 21} {
				h, err := DayLength(latitude, 2025, month, day)
				require.NoError(t, err)
				require.True(t, h >= 0 && h <= 24, "%g at %g, %d-%d", h, latitude, month, day)
			}
		}
	}
	_, err = DayLength(91, 2025, 6, 21)
	assert.Error(t, err)
	_, err = DayLength(0, 1900, 6, 21)
	assert.Error(t, err)
	_, err = DayLength(0, 2025, 2, 30)
	var c *calc.ConflictError
	assert.ErrorAs(t, err, &c)
}

func TestHandDerivedDays(t *testing.T) {
	// 8 to 20 with an hour's ramps at 100 %: 10 full hours and two half ones.
	s := schedule(t, Point{8, 0}, Point{9, 100}, Point{19, 100}, Point{20, 0})
	assert.InDelta(t, 11.0/24*100, s.Mean(), 1e-12)
	assert.InDelta(t, 12, s.LitHours(), 1e-12)
	assert.InDelta(t, 12, s.LongestDark(0), 1e-12, "across midnight")
	assert.Equal(t, 50.0, s.At(8.5))
	assert.Equal(t, 0.0, s.At(23))
	assert.Equal(t, 100.0, s.At(-12), "noon the day before")
	assert.Equal(t, []Ramp{{8, 1, 0, 100}, {19, 1, 100, 0}}, s.Ramps(0))
	assert.Empty(t, s.Steps())

	// A step on, a ramp of two pieces off, across midnight.
	s = schedule(t, Point{1, 0}, Point{16, 0}, Point{16, 80}, Point{23, 80}, Point{23.5, 40})
	assert.Equal(t, []Step{{16, 0, 80}}, s.Steps())
	assert.Equal(t, 80.0, s.At(16), "after the step")
	assert.InDelta(t, 40.0*2/3, s.At(0), 1e-12, "40 falls to 0 in an hour and a half")
	require.Len(t, s.Ramps(0), 1)
	assert.InDelta(t, 2, s.Ramps(0)[0].Hours, 1e-12)
	assert.InDelta(t, 15, s.DarkHours(0), 1e-12)

	// A single point is a flat day.
	flat := schedule(t, Point{5, 30})
	assert.Equal(t, 30.0, flat.Mean())
	assert.Zero(t, flat.DarkHours(0))
	assert.Equal(t, 24.0, flat.DarkHours(30))
	assert.Empty(t, flat.Ramps(0))

	for _, s := range []Schedule{s, flat} {
		at := 0.0
		for _, p := range s.Segments() {
			assert.Equal(t, at, p.StartHour)
			at = p.EndHour
		}
		assert.Equal(t, 24.0, at)
	}
}

// A moon's glow that counts as dark: the ramps are there all the same, and are cut where they pass it.
func TestToleranceOfMoonlight(t *testing.T) {
	s := schedule(t, Point{9, 1}, Point{10, 101}, Point{19, 101}, Point{20, 1})
	assert.Empty(t, s.Ramps(0), "never dark")
	assert.Equal(t, []Ramp{{9, 1, 1, 101}, {19, 1, 101, 1}}, s.Ramps(1))
	assert.InDelta(t, 13, s.DarkHours(1), 1e-12, "20:00 to 09:00")
	// 51 of 101 is half of the ramps' way from 1 to 101: half an hour of each.
	assert.InDelta(t, 14, s.DarkHours(51), 1e-12)
	assert.InDelta(t, 14, s.LongestDark(51), 1e-12)
	assert.InDelta(t, 10, s.LongestLit(51), 1e-12)

	// 0 to 2 in six hours passes 1 after three; dark from 18:00 to 03:00.
	slow := schedule(t, Point{0, 0}, Point{6, 2}, Point{12, 100}, Point{18, 0})
	assert.InDelta(t, 9+6.0/100, slow.DarkHours(1), 1e-12, "and the last hundredth of the fall")
	assert.InDelta(t, 6, slow.DarkHours(0), 1e-12)
}

func TestLongestLit(t *testing.T) {
	// Lit 22:00 to 03:00 across midnight and 08:00 to 12:00.
	s := schedule(t, Point{2, 10}, Point{3, 0}, Point{8, 0}, Point{9, 10}, Point{12, 0}, Point{22, 0}, Point{23, 10})
	assert.InDelta(t, 5, s.LongestLit(0), 1e-12)
	assert.InDelta(t, 10, s.LongestDark(0), 1e-12)
	assert.InDelta(t, 9, s.LitHours(), 1e-12)
	touch := schedule(t, Point{6, 0}, Point{9, 10}, Point{12, 0}, Point{15, 10}, Point{18, 0})
	assert.InDelta(t, 12, touch.LongestLit(0), 1e-12, "a touch of zero lasts no time")
	assert.Equal(t, 24.0, schedule(t, Point{0, 5}).LongestLit(0))
	assert.Zero(t, schedule(t, Point{0, 0}).LongestLit(0))
}

func TestFastChanges(t *testing.T) {
	s := schedule(
		t, Point{9, 0}, Point{10, 50}, Point{12, 50}, Point{12.001, 100}, Point{19, 100}, Point{19, 40}, Point{20, 0},
	)
	got := s.FastChanges(6000) // 50 in a thousandth of an hour is 50000 an hour
	require.Len(t, got, 2)
	assert.Equal(t, 12.0, got[0].StartHour)
	assert.InDelta(t, 0.001, got[0].Hours, 1e-12)
	assert.Equal(t, Ramp{19, 0, 100, 40}, got[1])
	assert.Len(t, s.FastChanges(60000), 1, "the step is faster than any rate")
	assert.Len(t, s.FastChanges(45), 3, "and the hour from 0 to 50 at 50 an hour")
	assert.Empty(t, schedule(t, Point{0, 7}).FastChanges(0))

	// A jump in three bites, the middle one at midnight, is one jump.
	bites := schedule(
		t, Point{0, 60}, Point{0.0001, 100}, Point{12, 100}, Point{13, 0}, Point{23.9999, 0}, Point{23.9999, 30},
	)
	got = bites.FastChanges(6000)
	require.Len(t, got, 1)
	assert.Equal(t, 0.0, got[0].From)
	assert.Equal(t, 100.0, got[0].To)
	assert.InDelta(t, 0.0002, got[0].Hours, 1e-9)
}

// Ramps of two channels with corners at different times add up to one ramp, not to
// splinters with a step of one rounding between them.
func TestTogetherKeepsRampsWhole(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2)) // fixed seed
	for range 500 {
		a, b := 9+r.Float64()/2, 9.6+r.Float64()/2
		one := schedule(t, Point{9, 0}, Point{a, 30 * r.Float64()}, Point{10.5, 100}, Point{19, 100}, Point{20, 0})
		other := schedule(t, Point{9, 0}, Point{b, 30 * r.Float64()}, Point{11, 100}, Point{19, 100}, Point{20, 0})
		sum := together([]Channel{{Schedule: one}, {Schedule: other}}, func(Channel) float64 { return 1 })
		require.Empty(t, sum.Steps(), "corners at %v and %v", a, b)
		ramps := sum.Ramps(0)
		require.Len(t, ramps, 2, "corners at %v and %v", a, b)
		require.InDelta(t, 2, ramps[0].Hours, 1e-9, "9 to 11; the sum of a handful of hours")
		require.InDelta(t, one.Mean()+other.Mean(), sum.Mean(), 1e-9, "light is conserved")
	}
}

func TestShiftAndScaleInvariance(t *testing.T) {
	base := []Point{{8, 0}, {9.5, 70}, {12, 100}, {17, 90}, {19, 0}}
	want := schedule(t, base...)
	for shift := 0.5; shift < 24; shift += 0.5 {
		var moved []Point
		for _, p := range base {
			moved = append(moved, Point{math.Mod(p.Hour+shift, 24), p.Level})
		}
		first := 0
		for i := range moved {
			if moved[i].Hour < moved[first].Hour {
				first = i
			}
		}
		s := schedule(t, append(append([]Point{}, moved[first:]...), moved[:first]...)...)
		assert.InDelta(t, want.DLI(), s.DLI(), 1e-9, "shift %g", shift)
		assert.InDelta(t, want.DarkHours(0), s.DarkHours(0), 1e-9, "shift %g", shift)
		assert.InDelta(t, want.LongestDark(0), s.LongestDark(0), 1e-9, "shift %g", shift)
	}
	double, err := want.Scaled(2)
	require.NoError(t, err)
	assert.InDelta(t, 2*want.DLI(), double.DLI(), 1e-12)
	_, err = want.Scaled(1e6)
	assert.Error(t, err)
	_, err = want.Scaled(-1)
	assert.Error(t, err)
}

func ramped(t testing.TB, on, off, ramp float64) Schedule {
	if ramp == 0 {
		return schedule(t, Point{on, 0}, Point{on, 100}, Point{off, 100}, Point{off, 0})
	}
	return schedule(t, Point{on, 0}, Point{on + ramp, 100}, Point{off - ramp, 100}, Point{off, 0})
}

func score(t testing.TB, s Schedule, ppfd *float64) ScoreResult {
	t.Helper()
	r, err := Score(ScoreInput{
		Channels:  []Channel{{ID: "a", Schedule: s, PeakPPFD: ppfd, PowerW: 100, HeatShare: 0.3}},
		Livestock: "mixed_reef",
	})
	require.NoError(t, err)
	assert.GreaterOrEqual(t, r.Score, 0.0)
	assert.LessOrEqual(t, r.Score, 100.0+1e-9)
	return r
}

func part(t testing.TB, r ScoreResult, code string) Part {
	t.Helper()
	for _, p := range r.Parts {
		if p.Code == code {
			return p
		}
	}
	t.Fatalf("no part %s", code)
	return Part{}
}

func TestScoreOfGoodAndBadDays(t *testing.T) {
	ppfd := 250.0
	good := score(t, ramped(t, 9, 20, 1), &ppfd)
	assert.InDelta(t, 100, good.Score, 1e-9)
	for _, p := range good.Parts {
		assert.Empty(t, p.Raise, p.Code)
		assert.NotEmpty(t, p.Reason, p.Code)
	}
	assert.InDelta(t, 250*1e-6*3600*10, *good.DLI, 1e-9, "ten hours at full light")
	assert.InDelta(t, 1.0, good.EnergyKWhDay, 1e-12)
	assert.InDelta(t, 30, good.PeakHeatW, 1e-12)
	assert.InDelta(t, 30*10/24.0, good.MeanHeatW, 1e-12)

	always := score(t, schedule(t, Point{0, 100}), &ppfd)
	assert.Zero(t, part(t, always, "never_round_the_clock").Points)
	assert.Zero(t, part(t, always, "true_dark").Points)
	assert.Less(t, always.Score, 20.0)

	jumps := score(t, ramped(t, 9, 20, 0), &ppfd)
	assert.Zero(t, part(t, jumps, "ramps").Points)
	assert.Equal(t, text.Of("light_jumps", text.Params{"from": 0.0, "to": 100.0, "at": "09:00"}),
		part(t, jumps, "ramps").Reason)
	assert.Len(t, jumps.Steps, 2)

	quick := score(t, ramped(t, 9, 20, 0.25), nil)
	says(t, part(t, quick, "ramps").Raise, "light_slower_rise", "more", 0.75)
	assert.Nil(t, quick.DLI)
	assert.Len(t, quick.Parts, 4, "without a PPFD the integral is not judged")

	dusk := score(t, schedule(t, Point{9, 0}, Point{10, 100}, Point{19.75, 100}, Point{20, 0}), nil)
	says(t, part(t, dusk, "ramps").Raise, "light_earlier_fall", "more", 0.75)
	assert.Equal(t, "19:00", part(t, dusk, "ramps").Raise.Params["at"])
	// Doing what it says earns the part in full.
	assert.Equal(t, 20.0, part(t, score(t, ramped(t, 9, 20, 1), nil), "ramps").Points)
	midnight := score(t, schedule(t, Point{0, 100}, Point{0.25, 0}, Point{14, 0}, Point{15, 100}), nil)
	says(t, part(t, midnight, "ramps").Raise, "light_earlier_fall", "more", 0.75)
	assert.Equal(t, "23:15", part(t, midnight, "ramps").Raise.Params["at"])

	sudden := score(
		t, schedule(t, Point{9, 0}, Point{10, 50}, Point{12, 50}, Point{12.001, 100}, Point{19, 100}, Point{20, 0}),
		nil,
	)
	assert.Zero(t, part(t, sudden, "ramps").Points, "half the light in four seconds is a jump")
	assert.Equal(t, []Step{{12, 50, 100}}, sudden.Steps)

	long := score(t, ramped(t, 4, 22, 1), nil)
	says(t, part(t, long, "photoperiod").Raise, "light_shorter_day", "less", 6)
	says(t, part(t, long, "true_dark").Raise, "light_longer_night", "more", 2)
	short := score(t, ramped(t, 10, 16, 1), nil)
	says(t, part(t, short, "photoperiod").Raise, "light_longer_day", "more", 2)
	dim, bright := 20.0, 2000.0
	says(t, part(t, score(t, ramped(t, 9, 20, 1), &dim), "daily_light_integral").Raise, "light_stronger", "times",
		5/0.72)
	says(t, part(t, score(t, ramped(t, 9, 20, 1), &bright), "daily_light_integral").Raise, "light_weaker", "share",
		15/72.0)
	off := score(t, schedule(t, Point{0, 0}), &dim)
	assert.Equal(t, text.Of("light_brighter", nil), part(t, off, "daily_light_integral").Raise)
	assert.Zero(t, part(t, off, "ramps").Points)
}

func TestScoreProperties(t *testing.T) {
	last := math.Inf(1)
	for dark := 8.0; dark >= 0; dark -= 0.5 { // less night, never a better score
		on := 0.0
		s := score(t, ramped(t, on, 24-dark-1e-9, 1), nil).Score
		assert.LessOrEqual(t, s, last+1e-9, "dark %g", dark)
		last = s
	}
	for _, on := range []float64{2, 6, 9} {
		step, ramp := score(t, ramped(t, on, on+11, 0), nil), score(t, ramped(t, on, on+11, 1), nil)
		assert.GreaterOrEqual(t, ramp.Score, step.Score)
	}
}

func TestMoonlightAndSeveralChannels(t *testing.T) {
	blue, white := ramped(t, 8, 21, 1), ramped(t, 10, 19, 1)
	moon := schedule(t, Point{0, 1})
	in := ScoreInput{Livestock: "soft_corals", Channels: []Channel{
		{ID: "blue", Schedule: blue}, {ID: "white", Schedule: white}, {ID: "moon", Schedule: moon},
	}}
	r, err := Score(in)
	require.NoError(t, err)
	assert.Zero(t, r.DarkH, "a glow is light until it is said to count as dark")
	in.MoonlightPercent = 1
	r, err = Score(in)
	require.NoError(t, err)
	assert.InDelta(t, 11, r.DarkH, 1e-9)
	assert.InDelta(t, 11, r.LongestDarkH, 1e-9)
	assert.InDelta(t, 13, r.LongestLitH, 1e-9)
	assert.Len(t, r.Channels, 3)
	assert.Equal(t, 20.0, part(t, r, "ramps").Points, "a tolerated glow does not hide the ramps")
	assert.Equal(t, []string{"ppfd_unknown", "moonlight_counted_as_dark"}, codes(r.Notes))
	says(t, r.Notes[1], "moonlight_counted_as_dark", "moonlit", 11)
	says(t, r.Notes[1], "moonlight_counted_as_dark", "dark", 11)
}

// says checks the code and one number of a text.
func says(t *testing.T, got text.Text, code, param string, value float64) {
	t.Helper()
	assert.Equal(t, code, got.Code)
	assert.InDelta(t, value, got.Params[param], 1e-9, param)
}

func codes(notes []text.Text) []string {
	var out []string
	for _, n := range notes {
		out = append(out, n.Code)
	}
	return out
}

func TestNotes(t *testing.T) {
	usual, strong := 250.0, 1000.0
	assert.Empty(t, score(t, ramped(t, 9, 20, 1), &usual).Notes)
	assert.Equal(
		t, []string{"photoinhibition_possible"}, codes(score(t, ramped(t, 9, 20, 1), &strong).Notes),
		"36 mol/m² is above 32",
	)
	assert.Equal(t, []string{"ppfd_unknown"}, codes(score(t, ramped(t, 9, 20, 1), nil).Notes))
}

// Source: DiPerna et al. 2018, abstract: growth of Acropora millepora was slower at 6 than at
// 32 mol/(m² d), and 6 and 32 are called potentially limiting and potentially photoinhibiting.
func TestStonyBandLiesInsideTheStudiedLight(t *testing.T) {
	band := dliBand["stony_corals"]
	assert.Greater(t, band[0], 6.0)
	assert.Less(t, band[1], PhotoinhibitingDLI)
}

func TestStrongLampsAreNotRefused(t *testing.T) {
	// 15 kW of lamp is inside the range of power_w; all of it heat, all day.
	r, err := Score(ScoreInput{Livestock: "mixed_reef", Channels: []Channel{{
		Schedule: schedule(t, Point{0, 100}), PowerW: 15000, HeatShare: 1,
	}}})
	require.NoError(t, err)
	assert.InDelta(t, 15000, r.PeakHeatW, 1e-9)
	assert.InDelta(t, 360, r.EnergyKWhDay, 1e-9)
}

func TestClock(t *testing.T) {
	for hour, want := range map[float64]string{0: "00:00", 9.5: "09:30", -0.5: "23:30", 23.9999: "00:00"} {
		assert.Equal(t, want, Clock(hour))
	}
}

func TestRefusals(t *testing.T) {
	var out *calc.RangeError
	var conflict *calc.ConflictError
	for name, points := range map[string][]Point{
		"hour 24": {{24, 0}}, "hour below 0": {{-0.1, 0}}, "hour not a number": {{math.NaN(), 0}},
		"level below 0": {{1, -1}}, "level too high": {{1, 10001}},
	} {
		_, err := NewSchedule(points)
		assert.ErrorAs(t, err, &out, name)
	}
	for name, points := range map[string][]Point{
		"none": nil, "too many": make([]Point, 65), "out of order": {{5, 0}, {4, 0}},
		"three at once": {{5, 0}, {5, 1}, {5, 2}},
	} {
		_, err := NewSchedule(points)
		assert.ErrorAs(t, err, &conflict, name)
	}
	s := schedule(t, Point{0, 50})
	ppfd := 6000.0
	for name, in := range map[string]ScoreInput{
		"no channel":    {Livestock: "mixed_reef"},
		"no such group": {Livestock: "cats", Channels: []Channel{{Schedule: s}}},
		"no programme":  {Livestock: "mixed_reef", Channels: []Channel{{}}},
	} {
		_, err := Score(in)
		assert.ErrorAs(t, err, &conflict, name)
	}
	for name, c := range map[string]Channel{
		"above 100": {Schedule: schedule(t, Point{0, 101})}, "power": {Schedule: s, PowerW: -1},
		"share": {Schedule: s, HeatShare: 2}, "ppfd": {Schedule: s, PeakPPFD: &ppfd},
	} {
		_, err := Score(ScoreInput{Livestock: "mixed_reef", Channels: []Channel{c}})
		assert.ErrorAs(t, err, &out, name)
	}
	_, err := Score(ScoreInput{Livestock: "mixed_reef", MoonlightPercent: 11, Channels: []Channel{{Schedule: s}}})
	assert.ErrorAs(t, err, &out)
}

func ExampleSchedule_DLI() {
	// 500 µmol/(m² s) for ten hours: 500 · 36000 s = 18 mol/m².
	s, err := NewSchedule([]Point{{8, 0}, {8, 500}, {18, 500}, {18, 0}})
	fmt.Println(s.DLI(), err)
	// Output: 18 <nil>
}

func FuzzSchedule(f *testing.F) {
	f.Add(8.0, 0.0, 9.0, 100.0, 20.0, 0.0)
	f.Add(0.0, math.NaN(), 23.99, 1e9, 23.99, 5.0)
	f.Fuzz(func(t *testing.T, h1, l1, h2, l2, h3, l3 float64) {
		s, err := NewSchedule([]Point{{h1, l1}, {h2, l2}, {h3, l3}})
		if err != nil {
			var out *calc.RangeError
			var conflict *calc.ConflictError
			if !errors.As(err, &out) && !errors.As(err, &conflict) {
				t.Fatalf("untyped error %v", err)
			}
			return
		}
		for _, v := range []float64{
			s.Mean(), s.Peak(), s.DLI(), s.LitHours(), s.LongestDark(0), s.LongestLit(1), s.DarkHours(1), s.At(h1),
		} {
			if math.IsNaN(v) || math.IsInf(v, 0) || v < 0 {
				t.Fatalf("%v: %g", s, v)
			}
		}
		if s.LongestDark(1) > s.DarkHours(1)+1e-9 || s.LongestLit(1) > 24-s.DarkHours(1)+1e-9 {
			t.Fatalf("%v: a stretch is longer than all of them", s)
		}
		r, err := Score(ScoreInput{Livestock: "mixed_reef", Channels: []Channel{{Schedule: s}}})
		if err == nil && (math.IsNaN(r.Score) || r.Score < 0 || r.Score > 100+1e-9) {
			t.Fatalf("score %g", r.Score)
		}
	})
}

func TestTheZeroScheduleIsDark(t *testing.T) {
	var s Schedule
	assert.Zero(t, s.At(12))
	assert.Zero(t, s.DLI())
	assert.Zero(t, s.Peak())
	assert.Empty(t, s.Ramps(0))
	assert.Empty(t, s.Steps())
	assert.Empty(t, s.Segments())
}
