package risk

import (
	"context"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc/audit"
	"saltwright/internal/calc/plan"
)

// drawn from guarded(): the faults of these ids, with rates of our own.
func chosen(t *testing.T, rates map[string]float64) (model, plan.Plan) {
	t.Helper()
	c, err := audit.Pairs(context.Background(), guarded())
	require.NoError(t, err)
	m := model{absence: 24, look: 24}
	for _, f := range c.Report.Faults {
		if rate, is := rates[f.Fault.ID]; is {
			m.faults, m.rate, m.own = append(m.faults, f), append(m.rate, rate), append(m.own, 1)
			m.hidden, m.mains = append(m.hidden, f.Hidden), append(m.mains, false)
			m.interval, m.lasts = append(m.interval, 1), append(m.lasts, f.Fault.LastsH/hoursPerYear)
		}
	}
	require.Len(t, m.faults, len(rates))
	return m, c.Report.Plan
}

const (
	heaterOpen = "left.element_open"
	lampDark   = "light.dark"
	bothHigh   = "common.probe.reads_high" // takes probe and second
)

// What each element takes part in, and whether another would be first with its rates ten times larger.
func TestElementsByHand(t *testing.T) {
	for _, c := range []struct {
		name   string
		rates  map[string]float64 // each loses the tank at once
		order  []string
		share  []float64
		first  []string // if ten times
		robust bool
	}{
		{"far apart", map[string]float64{heaterOpen: 1, lampDark: 0.05}, []string{"left", "light"},
			[]float64{1 / 1.05, 0.05 / 1.05}, nil, true},
		{"within ten times", map[string]float64{heaterOpen: 1, lampDark: 0.2}, []string{"left", "light"},
			[]float64{1 / 1.2, 0.2 / 1.2}, []string{"light"}, false},
		{"the other way about", map[string]float64{heaterOpen: 0.2, lampDark: 1}, []string{"light", "left"},
			[]float64{1 / 1.2, 0.2 / 1.2}, []string{"left"}, false},
		{"equal, by name", map[string]float64{heaterOpen: 1, lampDark: 1}, []string{"left", "light"},
			[]float64{0.5, 0.5}, []string{"light"}, false},
		// A common cause follows the geometric mean of both: ten times one of them is 3.2 times the cause, 0.63, and
		// less than 1; a tenth of the heater's rate puts them first all the same.
		{"a common cause", map[string]float64{heaterOpen: 1, bothHigh: 0.2}, []string{"left", "probe", "second"},
			[]float64{1 / 1.2, 0.2 / 1.2, 0.2 / 1.2}, nil, false},
	} {
		m, _ := chosen(t, c.rates)
		var sets []audit.CutSet
		for id := range c.rates {
			sets = append(sets, cut(0, audit.Usual, id))
		}
		slices.SortFunc(sets, func(a, b audit.CutSet) int { return len(a.Faults[0]) - len(b.Faults[0]) })
		m = m.of(sets)
		each, err := m.frequencies(m.rate, m.interval)
		require.NoError(t, err)
		top, err := m.top(each)
		require.NoError(t, err)
		list, robust, err := m.byElement(top)
		require.NoError(t, err)
		require.Len(t, list, len(c.order), c.name)
		total := 0.0
		for _, rate := range c.rates {
			total += rate
		}
		for i, e := range list {
			assert.Equal(t, c.order[i], e.ID, c.name)
			assert.InDelta(t, c.share[i], e.Share, 1e-9, c.name)
			assert.InDelta(t, c.share[i]*total, e.PerYear, 1e-9, c.name)
			assert.Equal(t, slices.Contains(c.first, e.ID), e.FirstIfTenTimes, "%s: %s", c.name, e.ID)
		}
		assert.Equal(t, c.robust, robust, c.name)
	}
}

func TestLossesAreOrdered(t *testing.T) {
	m := model{}
	for _, loss := range []string{"cold", "wet", "dry", "cold", "airless"} {
		m.sets = append(m.sets, set{CutSet: audit.CutSet{Loss: loss}})
	}
	for range 20 { // they are gathered in an order of chance
		assert.Equal(t, []Loss{{"cold", 75}, {"dry", 50}, {"wet", 50}, {"airless", 25}},
			m.losses([]float64{0.5, 0.5, 0.5, 0.25, 0.25}))
	}
}

// Sets are added up over the rooms and told by the room in which the loss comes first.
func TestSetsOverTheRooms(t *testing.T) {
	m := small(24, part{id: "a", rate: 1}, part{id: "b", rate: 1})
	m = m.of([]audit.CutSet{cut(5, audit.Coldest, "a"), cut(3, audit.Usual, "a"), cut(4, audit.Warmest, "a"),
		cut(1, audit.Usual, "b")})
	list := m.overRooms([]float64{0.25, 0.5, 0.25, 3}, 4)
	require.Len(t, list, 2)
	assert.Equal(t, Set{cut(1, audit.Usual, "b"), 3, 0.75}, list[0])
	assert.Equal(t, Set{cut(3, audit.Usual, "a"), 1, 0.25}, list[1])
	for _, s := range m.overRooms(make([]float64, 4), 0) {
		assert.Zero(t, s.Share, "of nothing")
	}
}

// The lamp goes dark twice a year, and the tank is lost if the heater's thermostat is welded, or the cold alarm silent.
// Either fails 0.1 times a year and is found by a loss as well: q is Tested(0.1, T, 2), so some 0.05 T for short T.
func TestWorthOfTests(t *testing.T) {
	rates := map[string]float64{lampDark: 2, "left.thermostat_welded": 0.1, "cold.silent": 0.1, "network.lost": 0.1}
	m, p := chosen(t, rates)
	m = m.of([]audit.CutSet{cut(0, audit.Usual, lampDark, "left.thermostat_welded"),
		cut(0, audit.Usual, lampDark, "cold.silent"), cut(0, audit.Usual, lampDark, "network.lost")})
	assert.Equal(t, []string{"cold", "left"}, m.waiting(), "the network comes back by itself, the lamp shows")
	p.ProofTests = []plan.ProofTest{{Element: "cold", EveryDays: 90}, {Element: "cold", EveryDays: 120},
		{Element: "light", EveryDays: 10}}
	const untested = 2.0 // years
	m.interval = m.intervals(func(element string) float64 { return testedEvery(p, element, untested) })
	for i, f := range m.faults {
		want := map[string]float64{lampDark: 10 / 365.25, "cold.silent": 90 / 365.25}[f.Fault.ID]
		if want == 0 {
			want = untested
		}
		assert.InDelta(t, want, m.interval[i], 1e-12, f.Fault.ID)
	}
	now := 100 * frequency(t, m)
	list, err := m.tests(p, untested, now)
	require.NoError(t, err)
	require.Len(t, list, 2)
	by := map[string]Test{}
	for _, x := range list {
		by[x.Element] = x
	}
	at := func(id string, years float64) float64 { // losses with this one's interval changed
		m := m
		m.interval = slices.Clone(m.interval)
		for i, f := range m.faults {
			if f.Fault.ID == id {
				m.interval[i] = years
			}
		}
		return 100 * frequency(t, m)
	}
	for _, x := range []struct {
		element, fault string
		every, never   float64
	}{{"cold", "cold.silent", 90, untested}, {"left", "left.thermostat_welded", 0, untested}} {
		got := by[x.element]
		assert.InDelta(t, x.every, got.EveryDays, 1e-9, x.element)
		assert.InDelta(t, now, got.NowPer100, 0, x.element)
		assert.InDelta(t, at(x.fault, 30/365.25), got.MonthlyPer100, 1e-9, x.element)
		assert.InDelta(t, at(x.fault, x.never), got.NeverPer100, 1e-9, x.element)
		assert.InDelta(t, now-got.MonthlyPer100, got.WorthPer100, 1e-9, x.element)
	}
}

// Tests are told by what lies between never and monthly, the most first, and of what is equal by name: a cause that
// silences both alarms is found by trying either.
func TestTestsAreOrdered(t *testing.T) {
	const welded, silent, both = "left.thermostat_welded", "cold.silent", "common.hot.silent"
	for _, c := range []struct {
		rates map[string]float64
		want  []string
	}{
		{map[string]float64{lampDark: 2, silent: 0.2, welded: 0.1}, []string{"cold", "left"}},
		{map[string]float64{lampDark: 2, silent: 0.1, welded: 0.2}, []string{"left", "cold"}},
		{map[string]float64{lampDark: 2, both: 0.1}, []string{"cold", "hot"}},
	} {
		m, p := chosen(t, c.rates)
		var sets []audit.CutSet
		for _, id := range []string{welded, silent, both} {
			if c.rates[id] > 0 {
				sets = append(sets, cut(0, audit.Usual, lampDark, id))
			}
		}
		m = m.of(sets)
		m.interval = m.intervals(func(string) float64 { return 2 })
		list, err := m.tests(p, 2, 100*frequency(t, m))
		require.NoError(t, err)
		var order []string
		for _, x := range list {
			order = append(order, x.Element)
		}
		assert.Equal(t, c.want, order)
	}
}

// Protections are tried every month, or every week where they are tried every month already, if that saves enough.
func TestTestsOftener(t *testing.T) {
	in := input(guarded())
	in.UntestedYears = 20
	usual, err := TestsOftener(context.Background(), in)
	require.NoError(t, err)
	require.NotEmpty(t, usual)
	for i, o := range usual {
		assert.InDelta(t, 30, o.EveryDays, 0)
		assert.Zero(t, o.WasDays)
		assert.InDelta(t, o.NowPer100-o.ThenPer100, o.Saves(), 0)
		assert.Greater(t, o.Saves(), 0.01*o.NowPer100)
		if i > 0 {
			assert.GreaterOrEqual(t, o.ThenPer100, usual[i-1].ThenPer100, "what saves most first")
		}
	}
	// The cold alarm falls silent five times a year: how often it is tried then says much.
	in.Rates = []Stated{{Fault: "cold.silent", PerYear: 5}}
	in.UntestedYears = 1
	for _, c := range []struct{ was, now float64 }{{300, 30}, {30, 7}, {7, 0}} {
		in.Plan.ProofTests = []plan.ProofTest{{Element: "cold", EveryDays: c.was}}
		list, err := TestsOftener(context.Background(), in)
		require.NoError(t, err)
		place := slices.IndexFunc(list, func(o Oftener) bool { return o.Element == "cold" })
		assert.Equal(t, c.now > 0, place >= 0, "every %g days", c.was)
		if c.now == 0 {
			continue
		}
		found, with := list[place], in
		with.Plan.ProofTests = []plan.ProofTest{{Element: "cold", EveryDays: c.now}}
		assert.InDelta(t, c.now, found.EveryDays, 0)
		assert.InDelta(t, c.was, found.WasDays, 1e-9)
		assert.InEpsilon(t, assess(t, with).Per100, found.ThenPer100, 1e-12, "as if it had been planned")
	}
	in.Plan.Display.VolumeL = new(-1.0)
	_, err = TestsOftener(context.Background(), in)
	assert.Error(t, err)
}

// One response for each time that is listed, and for the planned one.
func TestResponsesAreAllTold(t *testing.T) {
	p := guarded()
	p.Attendance.ResponseH = new(3.0)
	var hours []float64
	for _, x := range assess(t, input(p)).Responses {
		hours = append(hours, x.Hours)
	}
	assert.Equal(t, []float64{1, 2, 3, 4, 8, 12, 24, 48}, hours)
	p.Attendance.ResponseH = new(4.0)
	r := assess(t, input(p))
	assert.Len(t, r.Responses, 7)
	assert.Nil(t, r.MonteCarlo, "no years were asked for")
}
