package risk

import (
	"context"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc/audit"
	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/reference"
)

// The lengths of interruptions against the rows of the table that follow from the same four means.
func TestLengthsOfOutages(t *testing.T) {
	rate := 0.0
	for _, o := range Interruptions {
		rate += o.PerYear
	}
	hours := map[string]float64{
		"interruption longer than 4 h": 4, "interruption longer than 8 h": 8, "interruption longer than 12 h": 12,
		"interruption longer than 24 h": 24, "interruption longer than 48 h": 48,
	}
	var worst reference.Worst
	rows := 0
	for _, row := range reference.Load(t, "failure_rates.csv") {
		if h, ok := hours[row["item"]]; ok {
			worst.Relative(t, row.F(t, "typical"), rate*longer(h), 0.01, row["item"])
			rows++
		}
	}
	assert.Equal(t, len(hours), rows)
	t.Logf("worst %.2g at %s", worst.Difference, worst.Where)

	source := rand.New(rand.NewPCG(3, 5))
	count, beyond := 0, 0.0
	const n = 200_000
	for range n {
		h := drawOutageH(source.Float64(), source.Float64())
		if h > 8 {
			count++
			beyond += h - 8
		}
	}
	assert.InEpsilon(t, longer(8), float64(count)/n, 0.02, "as drawn")
	assert.InEpsilon(t, beyondH(8), beyond/n, 0.03)
}

// The defaults are the two rows of the table: one alarm in ten is never answered, three in ten are not acted on within
// the first hour after the quickest answer.
func TestAnswersComeAsTheTableSays(t *testing.T) {
	p, _, err := plan.Complete(guarded())
	require.NoError(t, err)
	c, assumed := plan.ChancesOf(p)
	assert.Len(t, assumed, 4)
	called := []plan.Call{{Person: 0}}
	responseH := *c.People[0].ActsWithinH
	for _, row := range reference.Load(t, "failure_rates.csv") {
		switch row["item"] {
		case "operator answers an alarm in time":
			assert.InDelta(t, row.F(t, "typical"), 1-c.AnsweredWithin(1e6, called), 1e-12)
		case "phone alarm to one person, away or asleep":
			assert.InDelta(t, row.F(t, "typical"), 1-c.AnsweredWithin(responseH+1, called), 0.02)
		}
	}
	assert.Zero(t, c.AnsweredWithin(responseH-1e-9, called))
	c.People[0].AnswerDelayH = new(0.0)
	assert.InDelta(t, 0.9, c.AnsweredWithin(responseH, called), 0)
}

// demands is a model of one demand, which shows at once, on one or two like parts that are tried once a year: the
// arrangement of IEC 61508-6 annex B.
func demands(t *testing.T, ratePerYear, beta float64) (one, both float64) {
	t.Helper()
	fault := func(id string) audit.FaultReport { return audit.FaultReport{Fault: audit.Fault{ID: id, Element: id}} }
	faults := []audit.FaultReport{fault("demand"), fault("a"), fault("b"), fault("common")}
	faults[3].Fault.Members, faults[3].Fault.Beta = []string{"a", "b"}, beta
	rates := []float64{1e-6, ratePerYear, ratePerYear, beta * ratePerYear}
	m := model{faults: faults, rate: rates, own: []float64{1, 1 - beta, 1 - beta, 1}, mains: make([]bool, 4),
		hidden: []bool{false, true, true, true}, lasts: make([]float64, 4), interval: []float64{1, 1, 1, 1},
		absence: 0.1, look: 0.1, chances: plan.Chances{}}
	cut := func(faults ...string) audit.CutSet {
		return audit.CutSet{Faults: faults, Room: audit.Usual, AtH: 0}
	}
	for _, x := range []struct {
		of   *float64
		sets []audit.CutSet
	}{
		{&one, []audit.CutSet{cut("demand", "a"), cut("demand", "common")}},
		{&both, []audit.CutSet{cut("demand", "common")}},
	} {
		m := m.of(x.sets)
		per100, err := m.per100(m.rate, m.interval)
		require.NoError(t, err)
		*x.of = per100 / lossesPer100 / rates[0]
	}
	return one, both
}

// IEC 61508-6 annex B, table B.3 (proof test once a year, 8 h to restore, no diagnostics), from memory; the two-digit
// values are those that its own formula gives. With two parts the table adds both failing by themselves,
// 2 ((1-β)λ)² t_CE t_GE, three faults with the demand, which is more than this model counts: it is added here.
func TestBetaFactorsOfTheStandard(t *testing.T) {
	for _, c := range []struct{ perHour, beta, one, two float64 }{
		{0.5e-7, 0.02, 2.2e-4, 4.4e-6}, {0.5e-7, 0.1, 2.2e-4, 2.2e-5}, {0.5e-7, 0.2, 2.2e-4, 4.4e-5},
		{2.5e-6, 0.02, 1.1e-2, 3.7e-4}, {2.5e-6, 0.1, 1.1e-2, 1.2e-3}, {2.5e-6, 0.2, 1.1e-2, 2.3e-3},
	} {
		one, common := demands(t, c.perHour*8760, c.beta)
		assert.InEpsilon(t, c.one, one, 0.025, "one part, %g 1/h, %g", c.perHour, c.beta)
		own := (1 - c.beta) * c.perHour
		two := common + 2*own*own*(8760/2+8)*(8760/3+8)
		assert.InEpsilon(t, c.two, two, 0.025, "two parts, %g 1/h, %g", c.perHour, c.beta)
		t.Logf("%g 1/h, beta %.2f: one %.3g (table %.2g), two %.3g (table %.2g)", c.perHour, c.beta, one,
			c.one, two, c.two)
	}
}

// What each chance does to the losses of a plan, one at a time.
func TestChancesShow(t *testing.T) {
	base := assess(t, input(guarded()))
	with := func(edit func(p *plan.Plan)) float64 {
		p := guarded()
		edit(&p)
		return assess(t, input(p)).Per100
	}
	never := with(func(p *plan.Plan) { p.Attendance.AnsweredShare = ptr(0.0) })
	always := with(func(p *plan.Plan) { p.Attendance.AnsweredShare, p.Attendance.AnswerDelayH = ptr(1.0), ptr(0.0) })
	assert.Less(t, base.Per100, never)
	assert.Greater(t, base.Per100, always)
	assert.Greater(t, with(func(p *plan.Plan) { p.Attendance.AnswerDelayH = ptr(12.0) }), base.Per100)

	year := func(cold, warm float64) float64 {
		return with(func(p *plan.Plan) { p.Room.ColdestShare, p.Room.WarmestShare = ptr(cold), ptr(warm) })
	}
	cold, usual, warm := year(1, 0), year(0, 0), year(0, 1)
	assert.NotEqual(t, cold, warm)
	assert.InEpsilon(t, 0.2*cold+0.5*usual+0.3*warm, year(0.2, 0.3), 0.02, "rooms count by their share of the year")

	// Without common causes: each part fails by itself as often as before.
	in := input(guarded())
	r := assess(t, in)
	m, _ := newModel(in, r.Combined, r.Rates)
	for i, f := range m.faults {
		m.own[i] = 1
		if len(f.Fault.Members) > 0 {
			m.rate[i] = 0
		}
	}
	m = m.of(lossSets(r.Combined))
	without, err := m.per100(m.rate, m.interval)
	require.NoError(t, err)
	t.Logf("as it is %.3f; no alarm answered %.3f, each at once %.3f; coldest %.3f, usual %.3f, warmest %.3f; "+
		"without common causes %.3f", base.Per100, never, always, cold, usual, warm, without)

	p := guarded()
	p.Worth = &plan.Worth{Livestock: ptr(4000.0)}
	r = assess(t, input(p))
	require.NotNil(t, r.Money)
	assert.InEpsilon(t, r.Per100/100*4000, *r.Money, 1e-12)
	assert.Nil(t, base.Money)
}

// Every rate says what it rests on.
func TestRatesSayTheirBasis(t *testing.T) {
	in := input(guarded())
	in.Rates = []Stated{{Fault: "light.dark", PerYear: 0.5}}
	seen := map[Basis]bool{}
	for _, r := range assess(t, in).Rates {
		seen[r.Basis] = true
		assert.Equal(t, r.Basis == StatedBasis, r.Source == "", r.Fault)
		assert.Equal(t, r.Basis == Judged, r.Source == "CommonPractice", r.Fault)
	}
	for _, b := range []Basis{StatedBasis, Published, Judged, ContactLife, SharedCauses} {
		assert.True(t, seen[b], b)
	}
	// A common cause comes by its share of the geometric mean of what its members are stated to do.
	in.Rates = []Stated{{Fault: "probe.reads_high", PerYear: 0.9}, {Fault: "second.reads_high", PerYear: 0.4}}
	r := assess(t, in)
	for i, f := range r.Combined.Report.Faults {
		if f.Fault.ID == "common.probe.reads_high" {
			assert.InEpsilon(t, 0.1*0.6, r.Rates[i].PerYear, 1e-12)
		}
	}
}

// Single faults by the audit alone come to what the pairs' model gives for them, where no outage outlasts the plan's.
func TestSinglesAgreeWithTheModel(t *testing.T) {
	p := guarded()
	p.Power.LongestOutageH = 120
	report, err := audit.Single(context.Background(), p)
	require.NoError(t, err)
	losses, harms := SinglesPer100(report, 4)
	assert.InEpsilon(t, singlesByModel(t, input(p)), losses, 1e-9)
	assert.Greater(t, harms, losses)
}

// singlesByModel is what the pairs' model gives for single faults alone.
func singlesByModel(t *testing.T, in Input) float64 {
	t.Helper()
	in.TankYears = 0
	r := assess(t, in)
	m, _ := newModel(in, r.Combined, r.Rates)
	var alone []audit.CutSet
	for _, s := range lossSets(r.Combined) {
		if len(s.Faults) == 1 && s.Faults[0] != "" && m.faultOf(s.Faults[0]).Fault.Beta == 0 {
			alone = append(alone, s)
		}
	}
	for i := range m.own {
		m.own[i] = 1
	}
	m = m.of(alone)
	sum, err := m.per100(m.rate, m.interval)
	require.NoError(t, err)
	return sum
}

func (m model) faultOf(id string) audit.FaultReport {
	for _, f := range m.faults {
		if f.Fault.ID == id {
			return f
		}
	}
	return audit.FaultReport{}
}
