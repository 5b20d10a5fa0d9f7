package remedy

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc/audit"
	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/risk"
)

// dosedPlan is a quiet plan that doses and changes water, each by a programme of its own.
func dosedPlan() plan.Plan {
	p := quiet()
	p.DosingPumps = []plan.DosingPump{{ID: "doser", FlowMLMin: 20, PowerW: 5,
		Doses:     &plan.Doses{ADay: 2, RunS: 30, FirstAt: "00:00"},
		Container: plan.Container{VolumeL: 0.06, AlkalinityMeqL: 2000, Form: plan.CarbonateForm}}}
	p.ChangePumps = []plan.ChangePump{
		{ID: "drain", Role: plan.Drain, FlowLH: 12, PowerW: 5, InletMM: new(-12.0),
			Doses: &plan.Doses{ADay: 1, RunS: 600, FirstAt: "03:00"}},
		{ID: "new", Role: plan.NewWater, FlowLH: 12, PowerW: 5,
			Doses:     &plan.Doses{ADay: 1, RunS: 600, FirstAt: "03:15"},
			Container: &plan.FreshSeaWater{VolumeL: 8}},
	}
	return p
}

// changedBy returns the plans with each candidate of a code whose sentence has a code.
func changedBy(t *testing.T, p plan.Plan, code, sentence string) (out []plan.Plan) {
	t.Helper()
	r, err := audit.Single(context.Background(), p)
	require.NoError(t, err)
	var tried []string
	for _, c := range Candidates(r, p) {
		tried = append(tried, c.Sentence.Code)
		if c.Code == code && c.Sentence.Code == sentence {
			edited := p.Clone()
			c.Edit(&edited)
			out = append(out, edited)
		}
	}
	require.NotEmpty(t, out, "%s; there are %v", sentence, tried)
	return out
}

// verdictOf audits a plan and returns how a fault ends in it.
func verdictOf(t *testing.T, p plan.Plan, fault string) audit.FaultReport {
	t.Helper()
	r, err := audit.Single(context.Background(), p)
	require.NoError(t, err)
	for _, f := range r.Faults {
		if f.Fault.ID == fault {
			return f
		}
	}
	require.Fail(t, "no such fault", fault)
	return audit.FaultReport{}
}

// Each new change answers a fault that it was made for: as it is the fault ends badly, with the change it ends well.
func TestNewChangesAnswerWhatTheyWereMadeFor(t *testing.T) {
	hot := func(p *plan.Plan) { // a control that hangs cooks, and so does a probe that reads low
		p.Heaters[0].PowerW, p.Heaters[0].ThermostatC = 300, nil
	}
	people := func(p *plan.Plan) {
		hot(p)
		p.Alarms[0].Path, p.Alarms[0].OwnBattery, p.Attendance.ResponseH = plan.CellularPath, true, new(24.0)
		p.Alarms[0].Sensor = "watch"
		probe := plan.NewSensor("watch", plan.TemperatureKind)
		p.Sensors = append(p.Sensors, probe)
	}
	cases := []struct {
		name, fault, code, sentence string
		of                          func() plan.Plan
		edit                        func(p *plan.Plan)
	}{
		{"a probe that reads low is outvoted by a second", "probe.frozen_low", "second_sensor",
			"remedy_second_sensor_all", quiet, hot},
		{"and by two more", "probe.frozen_low", "three_sensors", "remedy_three_sensors", quiet, hot},
		{"a probe that reads high leaves it cold, but for a second", "probe.frozen_high", "second_sensor",
			"remedy_second_sensor_any", quiet, func(*plan.Plan) {}},
		{"a control that hangs needs a second in series", "heat.hung_on", "control_in_series",
			"remedy_heating_in_series", quiet, hot},
		{"a chiller that never stops needs a guard", "chill.hung_on", "cool_guard", "remedy_cool_guard", quiet,
			func(p *plan.Plan) {
				p.Chillers = []plan.Chiller{{ID: "cooler", CoolingW: 800, PowerW: 300}}
				p.Heaters[0].Circuit = new("two")
				k := plan.NewControl("chill", plan.Cooling, "cooler")
				probe := plan.NewSensor("cold-probe", plan.TemperatureKind)
				p.Sensors = append(p.Sensors, probe)
				k.Sensor, k.SetpointC = new("cold-probe"), new(26.6)
				p.Controls = append(p.Controls, k)
			}},
		{"a float that sticks is bounded by the time of the day", "line.stuck_dry", "timer_in_series",
			"remedy_fill_timer", quiet, func(p *plan.Plan) { p.Reservoirs[0].VolumeL = 80 }},
		{"an outage that stills the water needs a generator", "mains.lost", "generator", "remedy_generator", quiet,
			func(p *plan.Plan) { still(p) }},
		{"or one battery for all", "mains.lost", "battery", "remedy_battery_for_all", quiet,
			func(p *plan.Plan) { still(p) }},
		{"help that comes too late is another's", "heat.hung_on", "second_person", "remedy_second_person", quiet,
			people},
		{"a bell in an empty house has neighbours", "heat.hung_on", "louder", "remedy_louder", quiet, hot},
		{"a container larger than its harm", "doser.programme_stuck_on", "smaller_container",
			"remedy_smaller_container", dosedPlan, func(p *plan.Plan) {
				p.DosingPumps[0].Container.VolumeL = 5
				p.Attendance.LongestAbsenceH = new(48.0)
			}},
		{"a guard on pH where no container is small enough", "doser.programme_stuck_on", "chemical_guard",
			"remedy_high_ph_guard", dosedPlan, func(p *plan.Plan) {
				p.DosingPumps[0].Container.VolumeL = 5
				p.DosingPumps[0].Container.Form, p.DosingPumps[0].FlowMLMin = plan.HydroxideForm, 5
			}},
		{"a clock before the pump's own", "doser.programme_stuck_on", "timer_in_series", "remedy_dose_timer",
			dosedPlan, func(p *plan.Plan) {
				p.DosingPumps[0].FlowMLMin, p.DosingPumps[0].Container.VolumeL = 2, 5
				p.DosingPumps[0].Container.AlkalinityMeqL = 1000
			}},
		{"a slower pump", "doser.programme_stuck_on", "slower_doser", "remedy_slower_doser", dosedPlan,
			func(p *plan.Plan) {
				p.DosingPumps[0].FlowMLMin, p.DosingPumps[0].Container.VolumeL = 0.8, 5
				p.DosingPumps[0].Doses.RunS, p.DosingPumps[0].Container.AlkalinityMeqL = 360, 300
			}},
		{"a drain that draws from the floor", "drain.programme_stuck_on", "drain_inlet", "remedy_drain_inlet",
			dosedPlan, func(p *plan.Plan) { p.ChangePumps[0].FlowLH, p.ChangePumps[0].InletMM = 60, nil }},
		{"drain and new water run together", "drain.programme_stuck_on", "one_contactor", "remedy_one_contactor",
			dosedPlan, func(p *plan.Plan) { p.ChangePumps[0].FlowLH, p.ChangePumps[0].InletMM = 60, nil }},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			p := c.of()
			if testing.Short() && len(p.DosingPumps) > 0 {
				t.Skip("what is dosed takes seconds")
			}
			c.edit(&p)
			before := verdictOf(t, p, c.fault)
			require.False(t, before.Verdict.Sound(), "%v", before.Verdict)
			sound := false
			for _, edited := range changedBy(t, p, c.code, c.sentence) {
				r, err := audit.Single(context.Background(), edited)
				require.NoError(t, err)
				there := false
				for _, f := range r.Faults {
					there = there || f.Fault.ID == c.fault && !f.Verdict.Sound()
				}
				sound = sound || !there
			}
			assert.True(t, sound)
		})
	}
}

// still leaves the water without movement in an outage.
func still(p *plan.Plan) {
	p.Pumps = []plan.Pump{plan.NewPump("stream", plan.CirculationRole, 2000, 8)}
	p.Oxygen.DemandMgLH = new(0.6)
	p.Power.LongestOutageH, p.Display.DrainBackMM = 24, 20
}

// A test made more often moves no verdict, and the losses that it leaves are those of plan-risk with it in the plan.
func TestTestsSaveWhatTheRiskSays(t *testing.T) {
	p := quiet()
	guard := plan.NewSensor("guard-probe", plan.TemperatureKind)
	p.Sensors = append(p.Sensors, guard)
	p.Heaters[0].PowerW, p.Heaters[0].ThermostatC = 600, nil
	p.Oxygen.DemandMgLH = new(0.15)
	k := plan.NewControl("guard", plan.Supervisor, "heater")
	above := plan.Above
	k.Sensor, k.When, k.ThresholdC = new("guard-probe"), &above, new(28.0)
	p.Controls = append(p.Controls, k)
	p.ProofTests = []plan.ProofTest{{Element: "guard-probe", EveryDays: 30}}
	r := find(t, p)
	require.NotEmpty(t, r.Tests)
	seen := map[float64]bool{}
	for i, o := range r.Tests {
		edited := r.Tested(o)
		again, err := risk.Assess(context.Background(), risk.Input{Plan: edited, AbsencePerYr: UsualAbsences,
			UntestedYears: untestedYears, ErrorFactor: 3, Seed: 1})
		require.NoError(t, err)
		assert.InEpsilon(t, again.Per100, o.ThenPer100, 1e-9, o.Element)
		assert.Positive(t, o.Saves())
		if i > 0 {
			assert.GreaterOrEqual(t, r.Tests[i-1].Saves(), o.Saves()*(1-1e-9))
		}
		after, err := audit.Single(context.Background(), edited)
		require.NoError(t, err)
		require.Len(t, after.Faults, len(r.Report.Faults))
		for k, f := range after.Faults {
			assert.Equal(t, r.Report.Faults[k].Verdict, f.Verdict)
		}
		seen[o.EveryDays] = true
		t.Logf("%s every %g days in place of %g: %.4g in place of %.4g", o.Element, o.EveryDays, o.WasDays,
			o.ThenPer100, o.NowPer100)
	}
	assert.True(t, seen[30], "what is never tried, every month")
}
