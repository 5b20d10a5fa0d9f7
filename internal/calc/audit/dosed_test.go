package audit

import (
	"context"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/sim"
)

// dosed draws what doses, changes and measures a water: dosing pumps by their own clock or by a timer, pumps of a water
// change that differ, lime water, carbon dioxide into the tank or a reactor, sensors of pH and conductivity with what
// regulates, cuts and tells by them.
func dosed(r *rand.Rand, p *plan.Plan) {
	yes := func() bool { return r.IntN(2) == 0 }
	pick := func(list ...float64) float64 { return list[r.IntN(len(list))] }
	circuit := func() *string {
		if n := len(p.Power.Circuits); n > 0 {
			return ptr(p.Power.Circuits[r.IntN(n)].ID)
		}
		return nil
	}
	clock := func(aDay int, runS float64) *plan.Doses {
		return &plan.Doses{ADay: aDay, RunS: runS, FirstAt: []plan.ClockTime{"00:10", "09:40", "23:59"}[r.IntN(3)]}
	}
	timed := func(id string) {
		p.Controls = append(p.Controls, plan.Control{ID: "hours-of-" + id, Kind: plan.Timer, Outputs: []string{id},
			Schedule: &plan.Schedule{OnAt: ptr(plan.ClockTime("03:00")), OffAt: ptr(plan.ClockTime("03:15"))},
			Circuit:  circuit()})
	}
	if yes() {
		p.Reservoirs[0].LimeShare = ptr(pick(0.5, 1))
	}
	forms := []plan.Form{plan.CarbonateForm, plan.BicarbonateForm, plan.HydroxideForm}
	for _, id := range []string{"raises-alkalinity", "raises-calcium", "raises-both"}[:1+r.IntN(3)] {
		x := plan.DosingPump{ID: id, FlowMLMin: pick(5, 40), PowerW: 5, Circuit: circuit(),
			Container: plan.Container{VolumeL: pick(0.2, 2), AlkalinityMeqL: 1500, Form: forms[r.IntN(3)]}}
		switch id {
		case "raises-calcium":
			x.Container.AlkalinityMeqL, x.Container.CalciumMgL = 0, 30000
		case "raises-both": // as lime water does
			x.Container.AlkalinityMeqL, x.Container.CalciumMgL, x.Container.Form = 40.6, 814, plan.HydroxideForm
		}
		if x.Doses = clock([]int{2, 7, 48}[r.IntN(3)], pick(2, 9)); id == "raises-alkalinity" && yes() {
			x.Doses, x.FlowMLMin = nil, 1
			timed(id)
		}
		p.DosingPumps = append(p.DosingPumps, x)
	}
	if yes() {
		doses := clock(3, 240)
		out := plan.ChangePump{ID: "out", Role: plan.Drain, FlowLH: 30, Doses: doses, Circuit: circuit()}
		if yes() {
			out.InletMM = ptr(pick(-8, -30))
		}
		in := plan.ChangePump{ID: "in", Role: plan.NewWater, FlowLH: pick(27, 30), Doses: doses, Circuit: circuit(),
			Container: &plan.FreshSeaWater{VolumeL: pick(8, 60)}}
		if yes() {
			in.Container.SalinityPSU, in.Container.AlkalinityDKH = ptr(33.0), ptr(10.0)
		}
		p.ChangePumps = []plan.ChangePump{out, in}
		if yes() {
			p.ChangePumps = p.ChangePumps[r.IntN(2):][:1]
		}
	}
	p.Sensors = append(p.Sensors, plan.Sensor{ID: "acid", Kind: plan.PHKind},
		plan.Sensor{ID: "salt", Kind: plan.ConductivityKind})
	loss := func() plan.SensorLoss { return []plan.SensorLoss{"on", "off"}[r.IntN(2)] }
	if yes() {
		gas := plan.CarbonDioxide{ID: "gas", FlowGH: pick(0.3, 4), BottleG: pick(20, 500), PowerW: 2,
			Into: []plan.GasInto{plan.IntoTank, plan.IntoReactor}[r.IntN(2)], DissolvesShare: 0.8, Circuit: circuit()}
		if yes() {
			gas.Doses = clock(4, 600)
		} else {
			p.Chemistry = &plan.Chemistry{AlkalinityDKH: 8, CalciumMgL: 420, PH: 8.1, DemandDKHD: ptr(0.6)}
			p.Controls = append(p.Controls, plan.Control{ID: "bubbles", Kind: plan.Acidity, Sensor: ptr("acid"),
				SetpointPH: ptr(8.1), Outputs: []string{"gas"}, OnSensorLoss: loss(), Circuit: circuit()})
		}
		p.CarbonDioxide = []plan.CarbonDioxide{gas}
	}
	if yes() {
		p.Controls = append(p.Controls, plan.Control{ID: "too-alkaline", Kind: plan.Supervisor, Sensor: ptr("acid"),
			When: ptr(plan.Above), ThresholdPH: ptr(pick(8.3, 8.5)), Outputs: []string{p.DosingPumps[0].ID},
			OnSensorLoss: loss(), Latching: yes(), Circuit: circuit()})
	}
	if yes() {
		p.Controls = append(p.Controls, plan.Control{ID: "too-fresh", Kind: plan.Supervisor, Sensor: ptr("salt"),
			When: ptr(plan.Below), ThresholdPSU: ptr(pick(33, 34.5)), Outputs: []string{"pump"},
			OnSensorLoss: loss(), Latching: yes(), Circuit: circuit()})
	}
	tell := func(id string, when plan.When, pH, psu *float64) {
		p.Alarms = append(p.Alarms, plan.Alarm{ID: "tell-" + string(when) + "-" + id, Sensor: id, When: when,
			ThresholdPH: pH, ThresholdPSU: psu, DelayMin: pick(0, 20), Path: plan.CellularPath, OwnBattery: true,
			OnSensorLoss: yes()})
	}
	tell("acid", plan.Above, ptr(8.6), nil)
	tell("acid", plan.Below, ptr(7.8), nil)
	tell("salt", plan.Below, nil, ptr(32.0))
}

// Water of the vessel in which the level moves stands between its floor and its rim, and in a display over a sump as
// well: on random plans with all that may fail, in every room, at every peak and every half hour.
func TestWaterStandsBetweenFloorAndRim(t *testing.T) {
	draw := rand.New(rand.NewPCG(19, 220)) // fixed seed
	plans := 6
	if testing.Short() {
		plans = 3
	}
	courses, dry, full := 0, 0, 0
	for n := range plans {
		p := broad(draw)
		if geared(draw, &p); n%4 != 3 {
			dosed(draw, &p)
		}
		p.Attendance.LongestAbsenceH = ptr(360.0) // until chambers fall dry
		done, assumptions, err := plan.Complete(p)
		require.NoError(t, err)
		st, faults, err := begun(context.Background(), done, assumptions, MaxEvents)
		require.NoError(t, err)
		st.faults = faults
		floor, rim := -*st.p.Display.WaterDepthMM, st.p.Display.FreeboardMM
		area := *st.p.Display.LengthMM * *st.p.Display.WidthMM / 1e6
		displayFloor, displayRim := area*floor, area*rim
		if u := st.p.Sump; u != nil {
			floor, rim = -u.WaterLevelMM, u.HeightMM-u.WaterLevelMM
		}
		const rounding = 1e-6 // mm
		for i := range st.faults {
			for k := range st.rooms {
				rm, injections := &st.rooms[k], st.injections([]int{i}, k)
				course, err := sim.Run(context.Background(), rm.system, &rm.start, injections,
					st.report.HorizonH*secondsPerHour)
				require.NoError(t, err)
				x := extremes(rm.system, course)
				least, most := x.LevelMinMM, x.LevelMaxMM
				require.GreaterOrEqual(t, least, floor-rounding, "plan %d, %s", n, st.faults[i].ID)
				require.LessOrEqual(t, most, rim+rounding, "plan %d, %s", n, st.faults[i].ID)
				for _, at := range course.Samples(1800) {
					require.GreaterOrEqual(t, at.LevelMM, floor-rounding, "plan %d, %s", n, st.faults[i].ID)
					require.LessOrEqual(t, at.LevelMM, rim+rounding, "plan %d, %s", n, st.faults[i].ID)
					require.GreaterOrEqual(t, at.DisplayL, displayFloor-rounding, "plan %d, %s", n, st.faults[i].ID)
					require.LessOrEqual(t, at.DisplayL, displayRim+rounding, "plan %d, %s", n, st.faults[i].ID)
				}
				courses++
				if least < floor+1 {
					dry++
				}
				if most > rim-1 {
					full++
				}
			}
		}
	}
	t.Logf("%d courses, %d down to the floor, %d up to the rim", courses, dry, full)
	if !testing.Short() { // a few plans need not come to both ends
		assert.Positive(t, dry)
		assert.Positive(t, full)
	}
}
