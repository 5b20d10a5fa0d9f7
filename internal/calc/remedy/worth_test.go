package remedy

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc/plan"
)

// By hand: livestock worth 2000. A probe and a control for 30 + 50 that avoid 2 losses in 100 years save 40 a year and
// pay back in two years; a setting costs nothing and comes first, however little it avoids; an alarm by the mobile
// network whose price nobody said comes last, and says which.
func TestChangesByWhatTheySaveForTheirCost(t *testing.T) {
	p := equipped(sent())
	p.Worth = &plan.Worth{Livestock: new(2000.0), Costs: []plan.Cost{
		{Part: plan.SensorPart, Cost: 30}, {Part: plan.ControlPart, Cost: 50}, {Part: plan.AlarmPart, Cost: 20},
		{Part: plan.HeaterPart, Cost: 90},
	}}
	r := Result{sent: p, Base: Score{Per100: 5, Unsound: map[string]bool{"x": true}}, changes: []Change{
		{Code: "guard", Edit: func(p *plan.Plan) {
			id := addSensor(p, plan.NewSensor("probe", plan.TemperatureKind))
			addSupervisor(p, "cut", id, plan.Above, []string{"heat"})
		}},
		{Code: "setting", Edit: func(p *plan.Plan) { p.Controls[1].SetpointC = new(24.8) }},
		{Code: "call", Edit: func(p *plan.Plan) {
			p.Alarms = append(p.Alarms, plan.NewAlarm("call", "probe", plan.Above, plan.CellularPath))
		}},
		{Code: "smaller heater", Edit: func(p *plan.Plan) { p.Heaters[0].PowerW = 200 }},
		{Code: "useless", Edit: func(p *plan.Plan) { p.Heaters[0].PowerW = 250 }},
	}}
	for k, per100 := range []float64{3, 4.9, 1, 3.5, 5} {
		r.Next = append(r.Next, setOf([]int{k}, Score{Per100: per100, Unsound: map[string]bool{"x": true}}))
	}
	list := r.Worths()
	var codes []string
	for _, w := range list {
		codes = append(codes, r.Changes(w.Set)[0].Code)
	}
	assert.Equal(t, []string{"setting", "guard", "smaller heater", "call"}, codes)
	assert.InDelta(t, 0, *list[0].Cost, 0)
	assert.InDelta(t, 2, list[0].SavesPerYear, 1e-9)
	assert.InDelta(t, 80, *list[1].Cost, 0)
	assert.InDelta(t, 40, list[1].SavesPerYear, 1e-9)
	assert.InDelta(t, 2, *list[1].PaysBackY(), 1e-9)
	assert.InDelta(t, 3, *list[2].PaysBackY(), 1e-9)
	assert.Nil(t, list[3].Cost)
	assert.Nil(t, list[3].PaysBackY())
	assert.Equal(t, []plan.Part{plan.MobilePathPart}, list[3].Unpriced)

	r.sent.Worth = nil
	assert.Empty(t, r.Worths())
}

// What counts as a new part: a battery behind a circuit, a siphon break, a larger reservoir in place of the old one.
func TestPartsThatAChangeNeeds(t *testing.T) {
	p := equipped(sent())
	money := &plan.Worth{Costs: []plan.Cost{{Part: plan.BatteryPart, Cost: 100}, {Part: plan.SiphonBreakPart, Cost: 2},
		{Part: plan.ReservoirPart, Cost: 25}}}
	after := p.Clone()
	after.Power.Circuits[0].BackupH = 6
	after.Reservoirs[0].SiphonBreak, after.Reservoirs[0].VolumeL = true, 20
	after.ProofTests = append(after.ProofTests, plan.ProofTest{Element: "heater", EveryDays: 30})
	cost, unpriced := costOf(money, p, after)
	require.NotNil(t, cost)
	assert.Empty(t, unpriced)
	assert.InDelta(t, 127, *cost, 0)
	money.Costs = append(money.Costs, plan.Cost{Part: plan.CircuitPart, Cost: 10})
	after.Power.Circuits = append(after.Power.Circuits, plan.Circuit{ID: "three"})
	cost, _ = costOf(money, p, after)
	assert.InDelta(t, 137, *cost, 0, "a circuit by itself is no battery")
	same, _ := costOf(money, p, p)
	assert.InDelta(t, 0, *same, 0)
}

// By hand: 1000 of livestock; 3 a year for 30, 10 for 50, 30 for 90. Each pays back sooner than the one before it.
func TestWhatPaysBackSoonestComesFirst(t *testing.T) {
	p := equipped(sent())
	p.Worth = &plan.Worth{Livestock: new(1000.0), Costs: []plan.Cost{{Part: plan.SensorPart, Cost: 30},
		{Part: plan.ControlPart, Cost: 50}, {Part: plan.LightPart, Cost: 90}}}
	r := Result{sent: p, Base: Score{Per100: 5}, changes: []Change{
		{Code: "sensor", Edit: func(p *plan.Plan) { addSensor(p, plan.NewSensor("x", plan.TemperatureKind)) }},
		{Code: "control", Edit: func(p *plan.Plan) { addTimer(p, "x", "10:00", "11:00", "lamp") }},
		{Code: "lamp", Edit: func(p *plan.Plan) { p.Lights = append(p.Lights, plan.NewLight("x", 1)) }},
	}}
	for _, order := range [][]int{{0, 1, 2}, {2, 1, 0}, {1, 2, 0}, {0, 2, 1}} {
		r.Next = nil
		for _, k := range order {
			r.Next = append(r.Next, Set{Changes: []int{k}, Per100: []float64{4.7, 4, 2}[k]})
		}
		var codes []string
		for _, w := range r.Worths() {
			codes = append(codes, r.Changes(w.Set)[0].Code)
		}
		assert.Equal(t, []string{"lamp", "control", "sensor"}, codes, "%v", order)
	}
}
