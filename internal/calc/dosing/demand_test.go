package dosing

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc"
)

// norris is the data set Norris of the NIST Statistical Reference Datasets [NISTStRD], y before x. Data and certified
// values are from memory; the agreement to ten digits says that they were remembered well.
var norris = [][2]float64{
	{0.1, 0.2}, {338.8, 337.4}, {118.1, 118.2}, {888.0, 884.6}, {9.2, 10.1}, {228.1, 226.5}, {668.5, 666.3},
	{998.5, 996.3}, {449.1, 448.6}, {778.9, 777.0}, {559.2, 558.2}, {0.3, 0.4}, {0.1, 0.6}, {778.1, 775.5},
	{668.8, 666.9}, {339.3, 338.0}, {448.9, 447.5}, {10.8, 11.6}, {557.7, 556.0}, {228.3, 228.1}, {998.0, 995.8},
	{888.8, 887.6}, {119.6, 120.2}, {0.3, 0.3}, {0.6, 0.3}, {557.6, 556.8}, {339.3, 339.1}, {888.0, 887.2},
	{998.5, 999.0}, {778.9, 779.0}, {10.2, 11.1}, {117.6, 118.3}, {228.9, 229.2}, {668.4, 669.1}, {449.2, 448.9},
	{0.2, 0.5},
}

func TestNorris(t *testing.T) {
	readings := make([]Reading, len(norris))
	which := make([]int, len(norris))
	for i, p := range norris {
		readings[i], which[i] = Reading{p[1], p[0]}, i
	}
	l, err := lineThrough(readings, which)
	require.NoError(t, err)
	assert.InEpsilon(t, 1.00211681802045, l.slope, 1e-12)
	assert.InEpsilon(t, -0.262323073774029, l.start, 1e-10)
	t.Logf("slope %.1g, start %.1g", math.Abs(l.slope/1.00211681802045-1), math.Abs(l.start/-0.262323073774029-1))
	tr := l.trend(nil, 0)
	assert.InEpsilon(t, 0.884796396144373, tr.Scatter, 1e-10)
	assert.InEpsilon(t, 0.429796848199937e-3, tr.HalfADay/quantile(0.975, 34), 1e-10)
}

// The 97.5 % points of Student's t. Source: tables of [DraperSmith1998]; from memory.
func TestStudent(t *testing.T) {
	for freedom, want := range map[float64]float64{1: 12.706, 5: 2.571, 10: 2.228, 30: 2.042} {
		assert.InDelta(t, want, quantile(0.975, freedom), 5e-4)
	}
}

func TestOutlierIsNamedAndLeftOut(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	var readings []Reading
	for day := range 12 {
		readings = append(readings, Reading{float64(day), 8 - 0.4*float64(day) + 0.05*r.NormFloat64()})
	}
	clean, err := TrendOf(readings, 0)
	require.NoError(t, err)
	assert.Empty(t, clean.Outliers)
	assert.InDelta(t, -0.4, clean.ADay, clean.HalfADay)
	readings[4].Value += 1.5
	odd, err := TrendOf(readings, 0)
	require.NoError(t, err)
	assert.Equal(t, []int{4}, odd.Outliers)
	assert.InDelta(t, -0.4, odd.ADay, 2*clean.HalfADay)
}

// The interval holds the true slope about as often as it says, by drawing.
func TestIntervalHolds(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	const rounds = 2000
	held := 0
	for range rounds {
		readings := make([]Reading, 8)
		for i := range readings {
			readings[i] = Reading{float64(i), -0.7*float64(i) + 0.2*r.NormFloat64()}
		}
		tr, err := TrendOf(readings, 0)
		require.NoError(t, err)
		if math.Abs(tr.ADay+0.7) <= tr.HalfADay {
			held++
		}
	}
	assert.InDelta(t, confidence, float64(held)/rounds, 0.02) // leaving out the odd one costs a little
}

// Four readings of a test that shows whole numbers lie on a line by chance; the fifth is one step off, and no outlier.
func TestStepsOfATest(t *testing.T) {
	tr, err := TrendOf([]Reading{{0, 432}, {1, 430}, {2, 427}, {3, 424}, {4, 421}}, 5)
	require.NoError(t, err)
	assert.Empty(t, tr.Outliers)
	assert.InDelta(t, 5, tr.Scatter, 1e-12)
	assert.InDelta(t, quantile(0.975, 3)*5/math.Sqrt(10), tr.HalfADay, 1e-9)
}

func TestPerfectLine(t *testing.T) {
	tr, err := TrendOf([]Reading{{0, 8}, {1, 7}, {2, 6}, {3, 5}, {4, 4}, {5, 3}}, 1e-9)
	require.NoError(t, err)
	assert.InDelta(t, -1, tr.ADay, 1e-12)
	assert.InDelta(t, 0, tr.HalfADay, 1e-8)
	assert.Equal(t, 0, tr.More(0.1))
	assert.InDelta(t, 8, tr.Start, 1e-12)
	later, err := TrendOf([]Reading{{2, 8}, {3, 7}, {4, 6}, {7, 3}}, 1e-9)
	require.NoError(t, err)
	assert.InDelta(t, 8, later.Start, 1e-12, "on the first day of the readings")
	assert.InDelta(t, 5, later.SpanDays, 0)
}

// The studentised residual is, by its meaning, how far a reading lies from the line through the others, over what a
// new reading there would scatter: s √(1 + 1/m + (t - t̄)²/Σ(t - t̄)²) of the m others. Source: [DraperSmith1998].
func TestStudentisedByLeavingOut(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	for range 20 {
		var readings []Reading
		var all []int
		for i := range 7 {
			readings, all = append(readings, Reading{10 * r.Float64(), r.NormFloat64()}), append(all, i)
		}
		whole, err := lineThrough(readings, all)
		require.NoError(t, err)
		for i := range all {
			others := slices.Delete(slices.Clone(all), i, i+1)
			l, err := lineThrough(readings, others)
			require.NoError(t, err)
			away := readings[i].Day - l.mean
			scatter := math.Sqrt(l.sumRR/4) * math.Sqrt(1+1.0/6+away*away/l.sumTT)
			off := math.Abs(readings[i].Value - l.start - l.slope*readings[i].Day)
			assert.InEpsilon(t, off/scatter, whole.studentised(i, 0), 1e-9)
		}
	}
	l, err := lineThrough([]Reading{{0, 1}, {0, 2}, {0, 3}, {0, 4}, {9, 70}}, []int{0, 1, 2, 3, 4})
	require.NoError(t, err)
	assert.Zero(t, l.studentised(4, 0.1), "the line hangs on it")
}

// At most a fifth of the readings is left out, the worst first, and of four none.
func TestAtMostAFifthIsLeftOut(t *testing.T) {
	for _, c := range []struct {
		readings, odd int
		want          []int
	}{{4, 1, nil}, {5, 1, []int{0}}, {9, 2, []int{4}}, {10, 3, []int{8, 4}}} {
		var readings []Reading
		for i := range c.readings {
			readings = append(readings, Reading{float64(i), 8 - 0.1*float64(i)})
		}
		for k := range c.odd {
			readings[4*k].Value += 5 * math.Pow(12, float64(k)) // one that hides none of the larger
		}
		tr, err := TrendOf(readings, 0.01)
		require.NoError(t, err)
		assert.Equal(t, c.want, tr.Outliers, "%d readings", c.readings)
		assert.Equal(t, c.readings-len(c.want), tr.Used)
	}
}

// Three readings make a trend and four hundred are the most.
func TestHowManyReadings(t *testing.T) {
	for n, fine := range map[int]bool{2: false, 3: true, 400: true, 401: false} {
		var readings []Reading
		for i := range n {
			readings = append(readings, Reading{float64(i), float64(i % 2)})
		}
		_, err := TrendOf(readings, 0)
		assert.Equal(t, fine, err == nil, "%d", n)
	}
}

// Drawing as many more as it says brings the interval to the target, on average.
func TestMore(t *testing.T) {
	tr := Trend{HalfADay: 0.5, Scatter: 0.2, Used: 4, SpanDays: 3, Freedom: 2}
	more := tr.More(0.05)
	n := float64(4 + more)
	half := quantile(0.975, n-2) * 0.2 / math.Sqrt(n*(n*n-1)/12)
	assert.LessOrEqual(t, half, 0.05)
	n--
	assert.Greater(t, quantile(0.975, n-2)*0.2/math.Sqrt(n*(n*n-1)/12), 0.05)
	assert.Equal(t, -1, tr.More(1e-9))
	// Two days apart, the sum of squares by summing.
	tr = Trend{HalfADay: 0.5, Scatter: 0.2, Used: 4, SpanDays: 6, Freedom: 2}
	wide := func(n int) float64 {
		sum := 0.0
		for i := range n {
			off := 2 * (float64(i) - float64(n-1)/2)
			sum += off * off
		}
		return quantile(0.975, float64(n)-2) * 0.2 / math.Sqrt(sum)
	}
	for more := 1; ; more++ {
		if wide(4+more) <= 0.05 {
			assert.Equal(t, more, tr.More(0.05))
			break
		}
	}
}

// Hand: 30 mL a day by 12 doses over 12 h at 5 mL a minute is 2.5 mL or 30 s each hour; 1.5 L last 50 days.
func TestPump(t *testing.T) {
	p := Pump{FlowMLMin: 5, DosesADay: 12, HoursADay: 12, ContainerL: 1.5}
	run, err := p.Run(30)
	require.NoError(t, err)
	assert.InDelta(t, 30, run.RunSeconds, 1e-12)
	assert.InDelta(t, 60, run.ApartMinutes, 1e-12)
	assert.InDelta(t, 50, run.ContainerDays, 1e-12)
	var conflict *calc.ConflictError
	_, err = p.Run(4000)
	require.ErrorAs(t, err, &conflict)
	full, err := p.Run(3600) // twelve hours long
	require.NoError(t, err)
	assert.InDelta(t, 3600, full.RunSeconds, 1e-9)
	p.DosesADay = 1
	single, err := p.Run(30)
	require.NoError(t, err)
	assert.Zero(t, single.ApartMinutes)
	p.HoursADay = 25
	var out *calc.RangeError
	_, err = p.Run(30)
	require.ErrorAs(t, err, &out)
	assert.Equal(t, "hours_a_day", out.Param)
}

// Hand: bicarbonate of 84.0058 g/L holds 1 meq/mL, so that 100 mL raise 100 L by 1 meq/L and 1 L raises them by 10.
func TestContainer(t *testing.T) {
	in := tank()
	stock := 84.005769
	in.StockGL = &stock
	ml, err := in.MLFor(1)
	require.NoError(t, err)
	assert.InDelta(t, 100, ml, 1e-4)
	r, err := in.Emptied(0.2)
	require.NoError(t, err)
	assert.InDelta(t, 2, r.Rise, 1e-6)
	once := in
	once.Target, once.MostADay = in.Now+2, 2
	assert.InDelta(t, solved(t, once).Worst.OmegaAragonite, r.AllAtOnce.OmegaAragonite, 1e-5)
	huge, err := in.Emptied(900) // far beyond what any constants reach
	require.NoError(t, err)
	assert.False(t, huge.AllAtOnceKnown)
	assert.Greater(t, huge.LargestAtOnce, 0.0)
}

func TestTrendRefusals(t *testing.T) {
	var conflict *calc.ConflictError
	_, err := TrendOf([]Reading{{0, 1}, {1, 2}}, 0)
	require.ErrorAs(t, err, &conflict)
	_, err = TrendOf([]Reading{{1, 1}, {1, 2}, {1, 3}}, 0)
	require.ErrorAs(t, err, &conflict)
}
