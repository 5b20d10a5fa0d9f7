package plan

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc"
)

func withChemistry() Plan {
	p := first()
	doses := func() *Doses { return &Doses{ADay: 2, RunS: 60, FirstAt: "03:00"} }
	p.DosingPumps = []DosingPump{{ID: "doser", FlowMLMin: 10, Doses: doses(),
		Container: Container{VolumeL: 1, AlkalinityMeqL: 1000, Form: CarbonateForm}}}
	p.ChangePumps = []ChangePump{{ID: "out", Role: Drain, FlowLH: 30, Doses: doses()},
		{ID: "in", Role: NewWater, FlowLH: 30, Doses: doses(), Container: &FreshSeaWater{VolumeL: 50}}}
	p.CarbonDioxide = []CarbonDioxide{{ID: "gas", FlowGH: 1, BottleG: 500, Into: IntoReactor, DissolvesShare: 0.8,
		Doses: doses()}}
	return p
}

// What is dosed, changed and let in is refused where it cannot be, by its own code.
func TestChemistryThatCannotBe(t *testing.T) {
	_, _, err := Complete(withChemistry())
	require.NoError(t, err)
	for _, c := range []struct {
		code   string
		change func(*Plan)
	}{
		{"plan_container_brings_nothing", func(p *Plan) { p.DosingPumps[0].Container.AlkalinityMeqL = 0 }},
		{"plan_container_of_both", func(p *Plan) { p.DosingPumps[0].Container.CalciumMgL = 1000 }},
		{"plan_new_water_needs_container", func(p *Plan) { p.ChangePumps[1].Container = nil }},
		{"plan_drain_has_no_container", func(p *Plan) { p.ChangePumps[0].Container = &FreshSeaWater{VolumeL: 1} }},
		{"plan_inlet_of_drain", func(p *Plan) { p.ChangePumps[1].InletMM = new(-10.0) }},
		{"plan_reactor_needs_demand", func(p *Plan) {
			p.CarbonDioxide[0].Doses = nil
			p.Sensors = append(p.Sensors, Sensor{ID: "acid", Kind: PHKind})
			p.Controls = append(p.Controls, Control{ID: "bubbles", Kind: Acidity, Sensor: new("acid"),
				SetpointPH: new(8.0), Outputs: []string{"gas"}, OnSensorLoss: OffWithoutSensor})
		}},
		{"plan_nothing_runs_it", func(p *Plan) { p.DosingPumps[0].Doses = nil }},
		{"plan_doses_fill_the_day", func(p *Plan) { p.DosingPumps[0].Doses.RunS = 43200 }},
		{"plan_inlet_above_water", func(p *Plan) { p.ChangePumps[0].InletMM = new(0.0) }},
		{"plan_inlet_below_floor", func(p *Plan) { p.ChangePumps[0].InletMM = new(-2000.0) }},
		{"plan_water_beyond_harm", func(p *Plan) {
			p.Chemistry = &Chemistry{AlkalinityDKH: 8, CalciumMgL: 420, PH: 9}
		}},
		{"plan_chemical_limits_not_rising", func(p *Plan) { p.Limits.HarmHighDKH = new(5.0) }},
	} {
		t.Run(c.code, func(t *testing.T) {
			p := withChemistry()
			c.change(&p)
			_, _, err := Complete(p)
			var conflict *calc.ConflictError
			require.ErrorAs(t, err, &conflict)
			assert.Equal(t, c.code, conflict.Reason.Code)
			assert.NotEmpty(t, conflict.Params)
		})
	}
}
