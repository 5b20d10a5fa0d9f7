package audit

import (
	"context"
	"errors"
	"math"
	"testing"

	"saltwright/internal/calc"
	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/sim"
)

// FuzzChemistry runs a tank that a large calcium reactor, lime water, two dosing pumps and a water change feed at once,
// within and at the ends of the contract's ranges, with two things wrong. It is refused with a reason, or every number
// is finite: contents, courses, peaks and containers.
func FuzzChemistry(f *testing.F) {
	f.Add(0.4, 0.3, 0.5, 0.3, 0.4, 0.2, 0.5, 0.6, uint8(0), uint8(3), uint8(7))
	f.Add(0.02, 1.0, 1.0, 1.0, 1.0, 1.0, 1.0, 1.0, uint8(1), uint8(1), uint8(2))  // a small tank, all of it at once
	f.Add(1.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, uint8(2), uint8(250), uint8(9)) // hardly anything
	f.Add(0.3, 0.9, 0.1, 0.9, 0.1, 0.9, 0.1, 0.9, uint8(5), uint8(17), uint8(40))
	f.Fuzz(func(t *testing.T, tank, pump, holds, gas, lime, change, water, demand float64, kinds, one, other uint8) {
		within := func(x, low, high float64) float64 { // of any number, by powers where a range spans them
			share := math.Abs(x - math.Trunc(x))
			if x == 1 {
				share = 1
			}
			if math.IsNaN(share) {
				share = 0.5
			}
			if low > 0 && high > 100*low {
				return low * math.Pow(high/low, share)
			}
			return low + share*(high-low)
		}
		p := bare()
		p.Display.VolumeL = ptr(within(tank, 10, 20000))
		p.SalinityPSU = within(water, 31, 39)
		p.Attendance.LongestAbsenceH = ptr(within(demand, 12, 300))
		p.Chemistry = &plan.Chemistry{AlkalinityDKH: within(water, 5.5, 14), CalciumMgL: within(holds, 100, 700),
			PH: within(pump, 7.5, 8.7)}
		if kinds&1 != 0 {
			p.Chemistry.DemandDKHD, p.Chemistry.DemandMgLD = ptr(within(demand, 0, 5)), ptr(within(demand, 0, 50))
		}
		p.Reservoirs[0].VolumeL, p.Reservoirs[0].LimeShare = within(lime, 0.5, 5000), ptr(within(lime, 0.05, 1))
		p.TopOffPumps[0].FlowLH = within(pump, 0.1, 500)
		form := []plan.Form{plan.CarbonateForm, plan.BicarbonateForm, plan.HydroxideForm}[kinds%3]
		doses := func(x float64) *plan.Doses {
			return &plan.Doses{ADay: int(within(x, 1, 60)), RunS: within(x, 0.01, 1000), FirstAt: "00:30"}
		}
		p.DosingPumps = []plan.DosingPump{
			{ID: "alkalinity", FlowMLMin: within(pump, 0.05, 5000), Doses: doses(pump), Container: plan.Container{
				VolumeL: within(holds, 0.01, 1000), AlkalinityMeqL: within(holds, 1, 10000), Form: form}},
			{ID: "calcium", FlowMLMin: within(gas, 0.05, 5000), Doses: doses(gas), Container: plan.Container{
				VolumeL: within(gas, 0.01, 1000), CalciumMgL: within(pump, 1, 300000), Form: form}},
		}
		p.CarbonDioxide = []plan.CarbonDioxide{{ID: "gas", FlowGH: within(gas, 0.001, 500),
			BottleG: within(tank, 1, 50000),
			Into:    []plan.GasInto{plan.IntoReactor, plan.IntoTank}[kinds/3%2], DissolvesShare: within(lime, 0, 1)}}
		p.Sensors = []plan.Sensor{{ID: "acid", Kind: plan.PHKind}, {ID: "salt", Kind: plan.ConductivityKind}}
		if kinds&2 == 0 {
			p.CarbonDioxide[0].Doses = doses(change)
		} else {
			p.Controls = []plan.Control{{ID: "bubbles", Kind: plan.Acidity, Sensor: ptr("acid"),
				SetpointPH: ptr(within(gas, 7.5, 8.7)), Outputs: []string{"gas"}, OnSensorLoss: "on"}}
		}
		p.ChangePumps = []plan.ChangePump{
			{ID: "out", Role: plan.Drain, FlowLH: within(change, 0.05, 5000), Doses: doses(change)},
			{ID: "in", Role: plan.NewWater, FlowLH: within(water, 0.05, 5000), Doses: doses(change),
				Container: &plan.FreshSeaWater{VolumeL: within(change, 0.1, 20000),
					SalinityPSU: ptr(within(change, 1, 60)), AlkalinityDKH: ptr(within(gas, 0.5, 30)),
					CalciumMgL: ptr(within(lime, 50, 1000))}},
		}
		refused := func(err error) bool {
			if err == nil {
				return false
			}
			var conflict *calc.ConflictError
			var outside *calc.RangeError
			if !errors.As(err, &conflict) && !errors.As(err, &outside) {
				t.Fatalf("neither a conflict nor a range: %v", err)
			}
			return true
		}
		done, _, err := plan.Complete(p)
		if refused(err) {
			return
		}
		containers, err := containersOf(done)
		if refused(err) {
			return
		}
		system, err := sim.Compile(done, done.Room.Usual)
		if refused(err) {
			return
		}
		faults := append(faultsOf(done, system), boxFaults(done, system)...)
		finite := func(where string, list ...float64) {
			for _, x := range list {
				if math.IsNaN(x) || math.IsInf(x, 0) {
					t.Fatalf("%s: %v", where, list)
				}
			}
		}
		for _, c := range containers {
			finite(c.Element, c.HoldsL, c.SmallestL, c.LargestL)
			if c.LargestL < 0 || c.SmallestL < 0 {
				t.Fatalf("%s: %+v", c.Element, c)
			}
		}
		a, b := int(one)%len(faults), int(other)%len(faults)
		injections := append(faults[a].injectionsIn(system), faults[b].injectionsIn(system)...)
		course, err := sim.Run(context.Background(), system, nil, injections,
			*done.Attendance.LongestAbsenceH*secondsPerHour)
		if err != nil {
			t.Fatal(err)
		}
		where := faults[a].ID + " with " + faults[b].ID
		finite(where, course.Balance.WorstRelative())
		if course.Balance.WorstRelative() > 1e-6 {
			t.Fatalf("%s: balance %g", where, course.Balance.WorstRelative())
		}
		x := extremes(system, course)
		d := *x.Dissolved
		finite(where, x.SalinityMin, x.SalinityMax, x.LevelMinMM, x.LevelMaxMM, x.SpilledL,
			d.AlkalinityMin, d.AlkalinityMax,
			d.PHMin, d.PHMax, d.AragoniteMin, d.AragoniteMax)
		for _, at := range course.Samples(3600) {
			finite(where, at.Salinity, at.AlkalinityDKH, at.PH, at.Aragonite, at.LevelMM)
			if at.Salinity < 0 || at.Aragonite < 0 || at.PH < 1 || at.PH > 13.5 { // as See has it
				t.Fatalf("%s: %+v", where, at)
			}
		}
	})
}
