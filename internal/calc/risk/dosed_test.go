package risk

import (
	"context"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc/audit"
	"saltwright/internal/calc/plan"
)

// dosed draws dosing pumps, a water change, lime water, carbon dioxide, and sensors of pH and conductivity with a guard
// and an alarm each for guarded().
func dosed(r *rand.Rand) plan.Plan {
	p := guarded()
	yes := func() bool { return r.IntN(2) == 0 }
	pick := func(list ...float64) float64 { return list[r.IntN(len(list))] }
	doses := &plan.Doses{ADay: 6, RunS: 10, FirstAt: "01:00"}
	p.DosingPumps = []plan.DosingPump{
		{ID: "alkalinity", FlowMLMin: pick(10, 30), PowerW: 5, Doses: doses, Container: plan.Container{
			VolumeL: pick(0.1, 2), AlkalinityMeqL: 1500,
			Form: []plan.Form{plan.CarbonateForm, plan.HydroxideForm}[r.IntN(2)]}},
		{ID: "calcium", FlowMLMin: 10, PowerW: 5, Doses: doses,
			Container: plan.Container{VolumeL: 1, CalciumMgL: 30000, Form: plan.CarbonateForm}},
	}
	p.ChangePumps = []plan.ChangePump{
		{ID: "out", Role: plan.Drain, FlowLH: 30, Doses: doses, InletMM: ptr(-20.0)},
		{ID: "in", Role: plan.NewWater, FlowLH: 30, Doses: doses,
			Container: &plan.FreshSeaWater{VolumeL: pick(10, 60)}},
	}
	if yes() {
		p.Reservoirs[0].LimeShare = ptr(1.0)
	}
	p.Sensors = append(p.Sensors, plan.Sensor{ID: "acid", Kind: plan.PHKind},
		plan.Sensor{ID: "salt", Kind: plan.ConductivityKind})
	p.CarbonDioxide = []plan.CarbonDioxide{{ID: "gas", FlowGH: pick(0.5, 3), BottleG: 500, PowerW: 2,
		Into: plan.IntoTank, DissolvesShare: 0.8, Doses: &plan.Doses{ADay: 2, RunS: 600, FirstAt: "12:00"}}}
	p.Controls = append(p.Controls,
		plan.Control{ID: "too-alkaline", Kind: plan.Supervisor, Sensor: ptr("acid"), When: ptr(plan.Above),
			ThresholdPH: ptr(8.5), Outputs: []string{"alkalinity"}, OnSensorLoss: "off", Latching: yes()},
		plan.Control{ID: "too-fresh", Kind: plan.Supervisor, Sensor: ptr("salt"), When: ptr(plan.Below),
			ThresholdPSU: ptr(33.0), Outputs: []string{"pump"}, OnSensorLoss: "off", Latching: yes()})
	p.Alarms = append(p.Alarms,
		plan.Alarm{ID: "tell-acid", Sensor: "acid", When: plan.Below, ThresholdPH: ptr(7.7), DelayMin: 10,
			Path: plan.CellularPath, OwnBattery: true},
		plan.Alarm{ID: "tell-salt", Sensor: "salt", When: plan.Below, ThresholdPSU: ptr(32.5), DelayMin: 10,
			Path: plan.CellularPath, OwnBattery: true})
	return p
}

// Drawn years and the model of single faults agree with the arithmetic on plans that dose, change and measure a water,
// and what is dissolved is among what is lost.
func TestRiskOfWhatIsDosed(t *testing.T) {
	draw := rand.New(rand.NewPCG(19, 10)) // fixed seed
	if testing.Short() {
		t.Skip("some twenty seconds")
	}
	dissolved := 0
	for n := range 2 {
		in := input(dosed(draw))
		in.TankYears = 100_000
		r := assess(t, in)
		require.NotNil(t, r.MonteCarlo)
		mc := *r.MonteCarlo
		require.Positive(t, mc.Losses)
		assert.Zero(t, r.Combined.LeftOut, "every pair of such a household is followed")
		// as in TestArithmeticAgreesWithDrawnYears
		assert.InEpsilon(t, r.Per100, mc.Per100, 3*mc.halfWidth()/mc.Per100+0.02, "plan %d", n)
		for _, s := range r.Sets {
			if s.Loss == "alkalinity_high" || s.Loss == "ph_low" || s.Loss == "ph_high" {
				dissolved++
			}
		}
		t.Logf("plan %d: arithmetic %.3f, drawn %.3f (%.3f to %.3f) in 100 tank-years, %d losses, %d sets", n, r.Per100,
			mc.Per100, mc.Low95, mc.High95, mc.Losses, len(r.Sets))
		if n > 0 {
			continue
		}
		in.Plan.Power.LongestOutageH = 120
		report, err := audit.Single(context.Background(), in.Plan)
		require.NoError(t, err)
		losses, harms := SinglesPer100(report, in.AbsencePerYr)
		assert.InEpsilon(t, singlesByModel(t, in), losses, 1e-9, "plan %d", n)
		assert.GreaterOrEqual(t, harms, losses, "plan %d", n)
	}
	assert.Positive(t, dissolved, "or the test says nothing of what is dosed")
}
