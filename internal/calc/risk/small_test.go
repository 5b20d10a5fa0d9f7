package risk

import (
	"context"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc/audit"
	"saltwright/internal/calc/plan"
)

// part is one fault of a model that is small enough to be worked by hand.
type part struct {
	id            string
	rate          float64 // 1/year
	hidden, mains bool
	interval      float64 // years
	lasts         float64 // years
}

// small is a model of some parts, looked at every look hours and never left alone for longer.
func small(look float64, parts ...part) model {
	m := model{absence: look, look: look}
	for _, x := range parts {
		m.faults = append(m.faults, audit.FaultReport{Fault: audit.Fault{ID: x.id, Element: x.id}})
		m.rate, m.own = append(m.rate, x.rate), append(m.own, 1)
		m.hidden, m.mains = append(m.hidden, x.hidden), append(m.mains, x.mains)
		m.interval, m.lasts = append(m.interval, x.interval), append(m.lasts, x.lasts)
	}
	return m
}

func cut(atH float64, room audit.RoomName, faults ...string) audit.CutSet {
	return audit.CutSet{Loss: "loss", Faults: faults, Room: room, AtH: atH}
}

// frequency is what all sets of a model come to, per year.
func frequency(t *testing.T, m model) float64 {
	t.Helper()
	per100, err := m.per100(m.rate, m.interval)
	require.NoError(t, err)
	return per100 / 100
}

// Arrangements of one or two parts whose losses a year follow from a formula on paper; the arithmetic and the drawn
// years both have to come to it. A year has 8766 h.
func TestSmallArrangements(t *testing.T) {
	demand, slow := part{id: "demand", rate: 20}, part{id: "demand", rate: 2}
	mains := part{id: "mains", rate: 50, mains: true}
	// Interruptions are 77.3 % of 1.923 h on the average and 22.7 % of 12.4 h.
	longer2, longer8 := 0.4664, 0.1312
	beyond2 := 2.922 // h
	for _, c := range []struct {
		name  string
		m     model
		sets  []audit.CutSet
		edit  func(m *model)
		want  float64 // a year
		exact float64 // how near the arithmetic has to come, relative
		years float64
		drawn float64 // how near the drawn years have to come beyond four standard deviations, relative
	}{
		// 20 a year, and of 24 h between looks those count that have 6 h left: 18/24.
		{"one fault, harm after 6 h", small(24, demand), []audit.CutSet{cut(6, audit.Usual, "demand")}, nil,
			15, 1e-9, 1200, 0},
		// Of those, an alarm is answered in time for three in four.
		{"one fault with an alarm", small(24, demand), []audit.CutSet{cut(6, audit.Usual, "demand")},
			func(m *model) { m.sets[0].unanswered = 0.25 }, 3.75, 1e-9, 1200, 0},
		// Away for 100 h in a quarter of the year, where 94 of 100 count, else every 24 h.
		{"one fault, a quarter of the year away", small(24, demand), nil, func(m *model) {
			m.absence, m.share = 100, 0.25
			*m = m.of([]audit.CutSet{cut(6, audit.Usual, "demand")})
		}, 20 * (0.25*0.94 + 0.75*0.75), 1e-9, 1200, 0},
		// The coldest room lasts for a fifth of the year.
		{"one fault that loses the coldest room", small(24, demand), nil, func(m *model) {
			m.chances = plan.Chances{ColdestShare: 0.2, WarmestShare: 0.3}
			*m = m.of([]audit.CutSet{cut(6, audit.Coldest, "demand")})
		}, 3, 1e-9, 1200, 0},
		{"an interruption longer than 8 h", small(1e6, mains), []audit.CutSet{cut(8, audit.Usual, "mains")}, nil,
			50 * longer8, 2e-3, 1200, 0},
		// The fault comes when the mains are away for 2 h more, and nobody looks in that time: 22/24; or the mains go,
		// for longer than 2 h, while the fault has been there for (24 - 2)²/(2 · 24) h on the average.
		{"a fault while the mains are away", small(24, mains, demand), []audit.CutSet{cut(2, audit.Usual, "mains",
			"demand")},
			nil, 20 * 50 * (beyond2*22/24 + longer2*22*22/48) / 8766, 2e-3, 3000, 0.03},
		// Of those, an alarm is answered in time for three in four.
		{"a fault while the mains are away, with an alarm", small(24, mains, demand),
			[]audit.CutSet{cut(2, audit.Usual, "mains", "demand")}, func(m *model) { m.sets[0].unanswered = 0.25 },
			0.25 * 20 * 50 * (beyond2*22/24 + longer2*22*22/48) / 8766, 2e-3, 3000, 0.05},
		// Both are seen at the next look, 24 h apart: each finds the other there for 11 h on the average, of which (24
		// - 2)²/(2 · 24) = 10.1 h count.
		{"two faults that are seen", small(24, demand, part{id: "other", rate: 10}),
			[]audit.CutSet{cut(2, audit.Usual, "demand", "other")}, nil, 2 * 20 * 10 * 22 * 22 / 48.0 / 8766, 1e-9,
			6000, 0.03},
		// A guard fails 0.05 times a year and waits for its yearly test; a loss renews it. λ/(λ+μ) (1 - (1 -
		// exp(-x))/x) with λ + μ = 2.05 and x = 2.05: 0.024390 · (1 - 0.871265/2.05) = 0.014025, twice a year. A demand
		// is seen after half an hour on the average, in which the guard may fail as well.
		{"a demand on a guard that is tested", small(1, slow, part{id: "guard", rate: 0.05, hidden: true, interval: 1}),
			[]audit.CutSet{cut(0, audit.Usual, "demand", "guard")}, nil, 2*0.024390*(1-0.871265/2.05) + 2*0.05*0.5/8766,
			1e-4,
			20000, 0.03},
		{"the same, the guard named first", small(1, part{id: "guard", rate: 0.05, hidden: true, interval: 1}, slow),
			[]audit.CutSet{cut(0, audit.Usual, "guard", "demand")}, nil,
			2*0.024390*(1-0.871265/2.05) + 2*0.05*0.5/8766, 1e-4, 20000, 0.03},
		// A network fails ten times a year for a hundredth of a year; twenty demands reveal it: 10 · 0.01 / (1 + 30 ·
		// 0.01).
		{"a demand on what comes back by itself", small(1, demand, part{id: "network", rate: 10, hidden: true,
			lasts: 0.01}),
			[]audit.CutSet{cut(0, audit.Usual, "demand", "network")}, nil, 20*0.1/1.3 + 20*10*0.5/8766, 1e-9, 1200,
			0.03},
	} {
		m := c.m.of(c.sets)
		if c.edit != nil {
			c.edit(&m)
		}
		assert.InEpsilon(t, c.want, frequency(t, m), c.exact+1e-15, c.name)
		mc, err := m.drawYears(context.Background(), c.years, 7)
		require.NoError(t, err)
		n := c.want * c.years
		assert.InDelta(t, n, mc.Losses, 4*math.Sqrt(n)+c.drawn*n, c.name)
		assert.InDelta(t, 100*float64(mc.Losses)/c.years, mc.Per100, 1e-9, c.name)
	}
}

// The shares of interruptions that TestSmallArrangements takes, from the four means.
func TestInterruptionsByHand(t *testing.T) {
	for _, c := range []struct{ h, longer float64 }{
		// (1.047 exp(-2/1.923) + 0.3075 exp(-2/12.4))/1.3545, and the same with 8 h
		{2, 0.4664}, {8, 0.1312}, {0, 1},
	} {
		assert.InDelta(t, c.longer, longer(c.h), 1e-4, "%g h", c.h)
	}
	assert.InDelta(t, 2.922, beyondH(2), 1e-3) // each share times its own mean
	twice := 1 - math.Exp(-2)                  // of a length that is drawn, this gives twice the mean
	for _, c := range []struct{ kind, want float64 }{
		{0, 1.923}, {0.77, 1.923}, {0.78, 12.4}, {0.999, 12.4}, // 1.047 of 1.3545 are of the first kind
		{1.001, 1.923}, // what rounding leaves beyond both
	} {
		assert.InDelta(t, 2*c.want, drawOutageH(c.kind, twice), 1e-9, "%g", c.kind)
	}
}

// One fault completes a pair at 5 h and a loss of its own at 10 h, in a room that is looked at every 20 h. The partner
// waits hidden for a tenth of a year, three times a year, and is answered in half of the cases.
//
//	left   15/20 at 5 h, 10/20 at 10 h
//	μ      8 · 0.75 · 0.5 = 3 a year, q = 3 · 0.1/(1 + (3 + 3) · 0.1) = 0.1875, and with the alarm 0.09375
//	lost   (0.75 - 0.5) 0.09375 + 0.5 (1 - (1 - 0.09375)(1 - 0.2)) = 0.0234375 + 0.1375 = 0.1609375, 8 times a year
//	parts  0.09375 · 0.75 = 0.0703125 and 0.2 · 0.5 = 0.1 of their sum
//	after  the partner fails while the demand waits to be seen: 8 · 3 · (20 - 5)²/(2 · 20) h · 0.5
func TestSharesOfSetsThatOneFaultCompletes(t *testing.T) {
	m := small(20, part{id: "demand", rate: 8}, part{id: "guard", rate: 3, hidden: true, lasts: 0.1})
	m = m.of([]audit.CutSet{cut(10, audit.Usual, "demand"), cut(5, audit.Usual, "demand", "guard")})
	require.Len(t, m.sets, 1, "the pair adds nothing to what no alarm beats")
	// With an alarm that is answered in time the pair stands by itself.
	m.chances.People = []plan.Person{{ID: "keeper", ActsWithinH: new(9.0), AnsweredShare: new(0.8),
		AnswerDelayH: new(0.0)}}
	single := cut(10, audit.Usual, "demand")
	single.Calls = []plan.Call{{Person: 0}}
	m = m.of([]audit.CutSet{single, cut(5, audit.Usual, "demand", "guard")})
	require.Len(t, m.sets, 2)
	assert.InDelta(t, 0.2, m.sets[0].unanswered, 1e-12)
	m.sets[1].unanswered = 0.5
	each, err := m.frequencies(m.rate, m.interval)
	require.NoError(t, err)
	lost := 8 * 0.1609375
	assert.InDelta(t, lost*0.1/0.1703125, each[0], 1e-9)
	assert.InDelta(t, lost*0.0703125/0.1703125+12*5.625/8766, each[1], 1e-9)
}

// A pair is left out where one of its faults alone loses the tank before anybody comes, in that room.
func TestSetsThatAreKept(t *testing.T) {
	m := small(24, part{id: "a", rate: 1}, part{id: "b", rate: 1}, part{id: "c", rate: 1})
	m.chances.People = []plan.Person{{ID: "keeper", ActsWithinH: new(3.0), AnsweredShare: new(1.0),
		AnswerDelayH: new(0.0)}}
	beaten := func(s audit.CutSet) audit.CutSet {
		s.Calls = []plan.Call{{Person: 0}}
		return s
	}
	kept := func(all ...audit.CutSet) (out []audit.CutSet) {
		for _, s := range m.distinct(all) {
			out = append(out, s.CutSet)
			assert.Len(t, s.faults, len(s.Faults))
		}
		return out
	}
	for _, c := range []struct {
		name      string
		all, want []audit.CutSet
	}{
		{"two pairs", []audit.CutSet{cut(1, audit.Usual, "b", "a"), cut(1, audit.Usual, "b", "c")},
			[]audit.CutSet{cut(1, audit.Usual, "b", "a"), cut(1, audit.Usual, "b", "c")}},
		{"the first is lost alone", []audit.CutSet{cut(2, audit.Usual, "b"), cut(1, audit.Usual, "b", "a")},
			[]audit.CutSet{cut(2, audit.Usual, "b")}},
		{"the second is lost alone", []audit.CutSet{cut(2, audit.Usual, "a"), cut(1, audit.Usual, "b", "a")},
			[]audit.CutSet{cut(2, audit.Usual, "a")}},
		{"lost alone in another room", []audit.CutSet{cut(2, audit.Coldest, "a"), cut(1, audit.Usual, "b", "a")},
			[]audit.CutSet{cut(2, audit.Coldest, "a"), cut(1, audit.Usual, "b", "a")}},
		// Somebody acts after three hours.
		{"an alarm beats the single", []audit.CutSet{beaten(cut(4, audit.Usual, "a")), cut(1, audit.Usual, "b", "a")},
			[]audit.CutSet{beaten(cut(4, audit.Usual, "a")), cut(1, audit.Usual, "b", "a")}},
		{"at the very moment", []audit.CutSet{beaten(cut(3, audit.Usual, "a")), cut(1, audit.Usual, "b", "a")},
			[]audit.CutSet{beaten(cut(3, audit.Usual, "a")), cut(1, audit.Usual, "b", "a")}},
		{"too late", []audit.CutSet{beaten(cut(2.9, audit.Usual, "a")), cut(1, audit.Usual, "b", "a")},
			[]audit.CutSet{beaten(cut(2.9, audit.Usual, "a"))}},
		{"a late pair rules out no other", []audit.CutSet{cut(1, audit.Usual, "b", "a"), cut(1, audit.Usual, "c", "b")},
			[]audit.CutSet{cut(1, audit.Usual, "b", "a"), cut(1, audit.Usual, "c", "b")}},
		{"twice, the later first", []audit.CutSet{cut(5, audit.Usual, "b", "a"), cut(4, audit.Usual, "b", "a")},
			[]audit.CutSet{cut(4, audit.Usual, "b", "a")}},
		{"twice, the earlier first", []audit.CutSet{cut(4, audit.Usual, "b", "a"), cut(5, audit.Usual, "b", "a")},
			[]audit.CutSet{cut(4, audit.Usual, "b", "a")}},
	} {
		assert.Equal(t, c.want, kept(c.all...), c.name)
	}
	m = m.of([]audit.CutSet{cut(7, audit.Usual, "a", "b"), cut(9, audit.Usual, "c"), cut(5, audit.Usual, "a", "c"),
		cut(6, audit.Coldest, "a", "b")})
	assert.Equal(t, [][]start{{{0, 1}}, {{0, 0}}, {{1, -1}}}, m.started[1], "c is lost alone")
	assert.Equal(t, [][]start{{{2, 1}}, {{2, 0}}, nil}, m.started[0])
	m = m.of([]audit.CutSet{cut(7, audit.Usual, "a", "b"), cut(5, audit.Usual, "a", "c")})
	assert.Equal(t, []start{{1, 2}, {0, 1}}, m.started[1][0], "the earliest harm first")
}

// A quarter of the year away for 100 h, else looked at every 20 h.
func TestTimesWithoutAnybody(t *testing.T) {
	m := model{absence: 100, look: 20, share: 0.25}
	assert.InDelta(t, 0.25*0.9+0.75*0.5, m.alone(10), 1e-12)
	assert.InDelta(t, 0.125, m.alone(50), 1e-12) // longer than between two looks
	assert.Zero(t, m.alone(100))
	// 0.25 · 90²/200 + 0.75 · 10²/40 = 10.125 + 1.875 h
	assert.InDelta(t, 12, m.before(10)*8766, 1e-9)
	assert.InDelta(t, 0.25*50*50/200, m.before(50)*8766, 1e-9)

	p := people{m: m, cycle: 400, begin: 130} // away from hour 130 to 230 of every 400
	for _, c := range []struct{ at, want float64 }{
		{130, 230}, {180, 230}, {229, 230}, {230, 250}, {231, 250}, {249, 250}, {250, 270},
		{529, 530}, {530, 630}, {0, 10}, {29, 30}, {930, 1030},
	} {
		assert.InDelta(t, c.want, p.nextLook(c.at), 1e-9, "hour %g", c.at)
	}
	p = people{m: model{absence: 120, look: 24}, cycle: 24e6} // never away
	for _, c := range []struct{ at, want float64 }{{0, 24}, {30, 48}, {100, 120}} {
		assert.InDelta(t, c.want, p.nextLook(c.at), 1e-9, "hour %g", c.at)
	}
	// People who are drawn come at regular hours, and their absences begin anywhere.
	source := rand.New(rand.NewPCG(1, 2))
	first := newPeople(model{absence: 120, look: 24}, source)
	look := first.nextLook(0)
	assert.InDelta(t, look+24, first.nextLook(look+12), 1e-5)
	sum := 0.0
	for range 400 {
		p := newPeople(m, source)
		assert.InDelta(t, 400, p.cycle, 1e-9)
		sum += p.begin
	}
	assert.InDelta(t, 200, sum/400, 4*400/math.Sqrt(12*400)) // four standard deviations of the mean of 400
}

func TestRoomsOfTheYear(t *testing.T) {
	m := model{chances: plan.Chances{ColdestShare: 0.25, WarmestShare: 0.5}}
	assert.Equal(t, []float64{0.25, 0.25, 0.5}, m.weights())
	for _, c := range []struct {
		drawn float64
		want  int
	}{{0, 0}, {0.24, 0}, {0.25, 1}, {0.49, 1}, {0.5, 2}, {0.99, 2}, {1, 2}} {
		assert.Equal(t, c.want, m.roomAt(c.drawn), "%g", c.drawn)
	}
}

// poissonAtMost is the chance of at most n where so many are expected.
func poissonAtMost(n int, mean float64) float64 {
	term, sum := math.Exp(-mean), 0.0
	for k := range n + 1 {
		sum += term
		term *= mean / float64(k+1)
	}
	return sum
}

// The limits of a count against its own Poisson terms: at the lower one it or more, at the upper one it or fewer come
// with a chance of 2.5 %. Of no event the upper limit is -ln 0.025 = 3.689.
func TestLimitsOfACount(t *testing.T) {
	m := small(24, part{id: "demand", rate: 0.1})
	none, err := m.of(nil).drawYears(context.Background(), 50, 1)
	require.NoError(t, err)
	assert.Equal(t, MonteCarlo{TankYears: 50, High95: none.High95}, none)
	assert.InDelta(t, 3.689*2, none.High95, 1e-3)
	some, err := m.of([]audit.CutSet{cut(0, audit.Usual, "demand")}).drawYears(context.Background(), 50, 1)
	require.NoError(t, err)
	require.Positive(t, some.Losses)
	assert.InDelta(t, 0.025, 1-poissonAtMost(some.Losses-1, some.Low95/2), 1e-9)
	assert.InDelta(t, 0.025, poissonAtMost(some.Losses, some.High95/2), 1e-9)
}

// lateCancel is cancelled from its second asking on.
type lateCancel struct {
	context.Context
	asked *int
}

func (c lateCancel) Err() error {
	if *c.asked++; *c.asked > 1 {
		return context.Canceled
	}
	return nil
}

// Every 1024 events the drawing asks whether it is still wanted.
func TestDrawingAsksWhetherItIsWanted(t *testing.T) {
	m := small(24, part{id: "demand", rate: 50}).of([]audit.CutSet{cut(0, audit.Usual, "demand")})
	source := rand.New(rand.NewPCG(1, 2))
	assert.Greater(t, m.draw(context.Background(), 100*hoursPerYear, source), 4000)
	assert.Equal(t, 1024, m.draw(lateCancel{context.Background(), new(int)}, 100*hoursPerYear, source))
	stopped, cancel := context.WithCancel(context.Background())
	cancel()
	assert.Zero(t, m.draw(stopped, 100*hoursPerYear, source))
}

// With one fault the losses follow its rate, so that the percentiles are its own: the 21st of 400 from either end.
func TestSpreadOfOneRate(t *testing.T) {
	m := small(24, part{id: "demand", rate: 2}).of([]audit.CutSet{cut(6, audit.Usual, "demand")})
	p5, p95, err := m.spread(5, 3)
	require.NoError(t, err)
	source := rand.New(rand.NewPCG(3, 0x71))
	var drawn []float64
	for range 400 {
		drawn = append(drawn, 100*2*0.75*math.Pow(5, source.NormFloat64()/1.6448536269514722))
	}
	slices.Sort(drawn)
	assert.InEpsilon(t, drawn[20], p5, 1e-9)
	assert.InEpsilon(t, drawn[379], p95, 1e-9)
	assert.InEpsilon(t, 5, p95/150, 0.3) // the 95th percentile over the median, as far as 400 tell it
}

// What loses the tank unless somebody comes are the sets that lose it, and the rescues from loss, not those from harm.
func TestWhatLosesUnlessSomebodyComes(t *testing.T) {
	set := func(id string, step audit.Step) audit.CutSet { return audit.CutSet{Step: step, Faults: []string{id}} }
	got := lossSets(audit.Combined{CutSets: []audit.CutSet{set("a", audit.LossStep)}, Rescues: []audit.Rescue{
		{CutSet: set("b", audit.LossStep)}, {CutSet: set("c", audit.HarmStep)}}})
	assert.Equal(t, []audit.CutSet{set("a", audit.LossStep), set("b", audit.LossStep)}, got)
}
