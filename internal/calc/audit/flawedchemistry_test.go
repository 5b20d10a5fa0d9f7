package audit

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc/plan"
)

// Two flawed plans of what is dosed and changed, each with a prediction that was worked by hand before it was audited.
// Both are bare(): 225 L of water, 0.5 m² of surface, away for 72 h, no alarms. Where a prediction was wrong the
// comment says so.

func dosing(containerL float64) plan.Plan {
	p := bare()
	p.DosingPumps = []plan.DosingPump{{ID: "doser", FlowMLMin: 20, PowerW: 5,
		Doses:     &plan.Doses{ADay: 12, RunS: 5, FirstAt: "00:00"},
		Container: plan.Container{VolumeL: containerL, AlkalinityMeqL: 2000, Form: plan.CarbonateForm}}}
	return p
}

// 1. A doser with 5 L of carbonate at 2 eq/L that never stops: 40 meq a minute, 0.178 meq/L or 0.5 dKH a minute.
//
//	falling out  saturation begins near 4; as carbonate 0.5 meq/kg raises it by 3, so 7 after 3 minutes, harm 2 h
//
// later
//
//	alkalinity   16 dKH after 16 minutes, harm 2 h later; 27 dKH after 38 minutes, loss 12 h later
//	pH           9.5 needs 17.7 meq/L, 100 minutes: later than that
//	end          10 eq in 230 L are 43.5 meq/L: 8 + 122 = 130 dKH, less three days of uptake, 1.5 dKH
//
// Lost after 12.6 h by alkalinity, first harmed after 2.05 h by what falls out, peak 130 dKH; nothing tells. The
// largest container that does no harm is as much as 3 minutes: 60 mL; three days take 60 mL, too.
func TestFlawedByADoserThatNeverStops(t *testing.T) {
	r := single(t, dosing(5))
	f := fault(t, r, "doser.programme_stuck_on")
	assert.Equal(t, Lost, f.Verdict)
	assert.Equal(t, "alkalinity_high", f.FirstLoss)
	assert.InDelta(t, 12.6, *f.LossH, 0.2)
	assert.Equal(t, "falling_out", f.FirstHarm)
	assert.InDelta(t, 2.05, *f.HarmH, 0.05)
	assert.InDelta(t, 130, f.Extremes.Dissolved.AlkalinityMax*2.80385, 3)
	assert.Equal(t, []NoHelp{{Why: NoAlarmAtAll}}, f.NoHelp)
	t.Logf("harm %.3f h, loss %.3f h, peak %.1f dKH, largest %.0f mL, smallest %.0f mL", *f.HarmH, *f.LossH,
		f.Extremes.Dissolved.AlkalinityMax*2.80385, 1e3*r.Containers[0].LargestL, 1e3*r.Containers[0].SmallestL)
	require.Len(t, r.Containers, 1)
	assert.InDelta(t, 0.06, r.Containers[0].LargestL, 0.02)
	assert.InDelta(t, 0.06, r.Containers[0].SmallestL, 1e-9)
	assert.Contains(t, codes(r.Findings), "container_beyond_harm")
	// With a container that is its own limit the same fault harms nothing.
	small := fault(t, single(t, dosing(r.Containers[0].LargestL*0.95)), "doser.programme_stuck_on")
	assert.Equal(t, Held, small.Verdict)
}

// 2. A drain of 30 L/h that never stops, its inlet 20 mm down, and a top-off of 10 L/h out of 60 L. 10 L go down at
// 20 L/h in half an hour. From then on the drain takes what the top-off brings, and the level control calls without
// end: S = 35·exp(-F/215) after F litres. 30 PSU after ln(35/30)·215 = 33 L or 3.3 h, harm 2 h later: 5.3 h. The
// reservoir is the last limit: 60 L leave 35·exp(-60/217) = 26.5, above the 22 of a loss. Harmed, 5.3 h, diluted, 26.5
// PSU.
func TestFlawedByADrainThatNeverStops(t *testing.T) {
	p := bare()
	p.TopOffPumps[0].FlowLH, p.Reservoirs[0].VolumeL = 10, 60
	doses := plan.Doses{ADay: 2, RunS: 300, FirstAt: "03:00"}
	p.ChangePumps = []plan.ChangePump{
		{ID: "out", Role: plan.Drain, FlowLH: 30, Doses: &doses, InletMM: ptr(-20.0)},
		{ID: "in", Role: plan.NewWater, FlowLH: 30, Doses: &doses, Container: &plan.FreshSeaWater{VolumeL: 20}},
	}
	r := single(t, p)
	f := fault(t, r, "out.programme_stuck_on")
	assert.Equal(t, Harmed, f.Verdict)
	assert.Equal(t, "diluted", f.FirstHarm)
	assert.InDelta(t, 5.3, *f.HarmH, 0.3)
	assert.InDelta(t, 26.5, f.Extremes.SalinityMin, 0.4)
	t.Logf("harm %.2f h, least %.2f PSU", *f.HarmH, f.Extremes.SalinityMin)
	// Its twin never stops either: 20 L of new water fill what is free of the display and no more.
	in := fault(t, r, "in.programme_stuck_on")
	assert.Less(t, in.Extremes.SpilledL, 1.0)
	assert.Contains(t, codes(r.Findings), "hidden_faults")
}

// Every way in which what is dosed, changed and let in fails is tried, and those of one effect end alike: air in the
// line, a dead pump and an empty container take 0.5 dKH a day for three days.
func TestEveryChemicalPartFails(t *testing.T) {
	p := dosing(5)
	doses := &plan.Doses{ADay: 2, RunS: 60, FirstAt: "03:00"}
	p.DosingPumps = append(p.DosingPumps, plan.DosingPump{ID: "calcium", FlowMLMin: 20, Doses: doses,
		Container: plan.Container{VolumeL: 1, CalciumMgL: 30000, Form: plan.CarbonateForm}})
	p.ChangePumps = []plan.ChangePump{{ID: "out", Role: plan.Drain, FlowLH: 30, Doses: doses},
		{ID: "in", Role: plan.NewWater, FlowLH: 30, Doses: doses, Container: &plan.FreshSeaWater{VolumeL: 10}}}
	p.CarbonDioxide = []plan.CarbonDioxide{{ID: "gas", FlowGH: 1, BottleG: 500, Into: plan.IntoReactor,
		DissolvesShare: 0.8, Doses: doses}}
	p.Sensors = []plan.Sensor{{ID: "acid", Kind: plan.PHKind}, {ID: "salt", Kind: plan.ConductivityKind}}
	p.Reservoirs[0].LimeShare = ptr(1.0)
	r := single(t, p)
	modes := map[string][]string{}
	for _, f := range r.Faults {
		modes[f.Fault.Element] = append(modes[f.Fault.Element], f.Fault.Mode)
	}
	pump := []string{"stopped", "programme_stuck_on", "delivers_double", "delivers_half", "air_in_line",
		"container_empty", "wrong_container"}
	for element, want := range map[string][]string{
		"doser": pump, "calcium": pump, "out": {"stopped", "programme_stuck_on", "worn"},
		"in":   {"stopped", "programme_stuck_on", "worn", "container_empty"},
		"gas":  {"valve_stuck_open", "valve_stuck_shut", "programme_stuck_on", "delivers_double", "bottle_empty"},
		"acid": {"reads_high", "reads_low", "no_signal", "frozen_low", "frozen_high"},
		"salt": {"reads_high", "reads_low", "no_signal", "frozen"},
	} {
		assert.ElementsMatch(t, want, modes[element], element)
	}
	dead := fault(t, r, "doser.stopped")
	for _, id := range []string{"doser.air_in_line", "doser.container_empty"} {
		same := fault(t, r, id)
		assert.Equal(t, dead.Extremes, same.Extremes, id)
		assert.Equal(t, dead.Verdict, same.Verdict, id)
	}
	open, stuck := fault(t, r, "gas.valve_stuck_open"), fault(t, r, "gas.programme_stuck_on")
	assert.Equal(t, open.Extremes, stuck.Extremes, "the gas does not care who keeps the valve open")
	assert.NotEqual(t, Held, open.Verdict)
	// A float that hangs lets the whole reservoir of lime water in: 25 L of 40.6 meq/L, 3 % more in a room of 21 °C,
	// where more dissolves, into 225 L: beyond the pH of loss.
	lime := fault(t, r, "pump-level-switch.stuck_dry")
	assert.Equal(t, Lost, lime.Verdict)
	assert.Greater(t, lime.Extremes.Dissolved.PHMax, 9.5)
}

// A box that drives the doser by a timer, one minute a day: 20 mL, 40 meq in 225 L, as the twelve short doses of the
// first plan. Where its processor dies with its outputs closed, or freezes while the timer calls, the pump never stops,
// and what follows is the first plan's, hour by hour: harm by what falls out after 2.05 h, loss by alkalinity after 12.6
// h, 130 dKH at the end. Where it freezes with the timer off, nothing is dosed: 40 meq in 225 L are 0.50 dKH a day, so
// that 8 dKH are 6.5 after three days, above the comfort of a mixed reef.
func TestABoxThatDiesWithADoserOnIt(t *testing.T) {
	for _, c := range []struct {
		outputs plan.DeadOutputs
		fault   string
	}{{plan.DeadClosed, "brain.dead"}, {plan.DeadLast, "brain.frozen_calling.dose-timer"}} {
		p := dosing(5)
		p.DosingPumps[0].Doses = nil
		on, off := plan.ClockTime("12:00"), plan.ClockTime("12:01")
		timer := plan.NewControl("dose-timer", plan.Timer, "doser")
		timer.Schedule = &plan.Schedule{OnAt: &on, OffAt: &off}
		p.Controls = append(p.Controls, timer)
		p.Boxes = []plan.Box{{ID: "brain", Holds: []string{"dose-timer"}, DeadOutputs: c.outputs,
			AfterRestart: plan.ByControls}}
		r := single(t, p)
		f := fault(t, r, c.fault)
		assert.Equal(t, Lost, f.Verdict, c.fault)
		assert.Equal(t, "falling_out", f.FirstHarm)
		assert.InDelta(t, 2.05, *f.HarmH, 0.05)
		assert.InDelta(t, 12.6, *f.LossH, 0.2)
		assert.InDelta(t, 130, f.Extremes.Dissolved.AlkalinityMax*2.80385, 3)
		t.Logf("%s: harm %.3f h, loss %.3f h, peak %.1f dKH", c.fault, *f.HarmH, *f.LossH,
			f.Extremes.Dissolved.AlkalinityMax*2.80385)
		idle := fault(t, r, "brain.frozen_idle")
		assert.Equal(t, Held, idle.Verdict)
		assert.InDelta(t, 6.5, idle.Extremes.Dissolved.AlkalinityMin*2.80385, 0.1)
		// A container that is its own limit bounds the box, too.
		p.DosingPumps[0].Container.VolumeL = 0.95 * r.Containers[0].LargestL
		assert.Equal(t, Held, fault(t, single(t, p), c.fault).Verdict)
	}
}
