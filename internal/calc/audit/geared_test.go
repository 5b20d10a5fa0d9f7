package audit

import (
	"math/rand/v2"

	"saltwright/internal/calc/plan"
)

// geared draws heights of heaters, pumps that clog, skimmers and an eye on the lamp.
func geared(r *rand.Rand, p *plan.Plan) {
	yes := func() bool { return r.IntN(2) == 0 }
	pick := func(list ...float64) *float64 { return ptr(list[r.IntN(len(list))]) }
	for i := range p.Heaters {
		p.Heaters[i].HeightMM = pick(-5, -20, -60, -150)
		p.Heaters[i].WhenDry = ptr([]plan.WhenDry{plan.CutsOut, plan.Burns, plan.Shatters}[r.IntN(3)])
		if yes() {
			p.Heaters[i].Place = ptr(plan.InDisplay)
		}
	}
	for i := range p.Pumps {
		if yes() {
			p.Pumps[i].CloggedShare = pick(0.1, 0.6)
		}
	}
	for i := range p.Sensors {
		if p.Sensors[i].Kind == plan.FlowKind && yes() {
			p.Sensors[i].LowFlowShare = ptr(0.5)
		}
	}
	for _, id := range []string{"skimmer", "skimmer-2"}[:r.IntN(3)] {
		x := newSkimmer(id, *pick(0.3, 3), *pick(0.2, 4))
		x.FullCup = []plan.FullCup{plan.CupStops, plan.CupReturns, plan.CupSpills}[r.IntN(3)]
		x.WetTimes, x.AerationShare = *pick(3, 20), *pick(0, 0.4)
		if yes() {
			x.WetAboveMM = pick(5, 40)
		}
		if yes() {
			x.Place = ptr(plan.InDisplay)
		}
		p.Skimmers = append(p.Skimmers, x)
	}
	p.Sensors = append(p.Sensors, plan.Sensor{ID: "eye", Kind: plan.LightKind})
	p.Alarms = append(p.Alarms,
		plan.Alarm{ID: "night", Sensor: "eye", When: plan.Lit, FromAt: ptr(plan.ClockTime("22:30")),
			ToAt: ptr(plan.ClockTime("05:00")), DelayMin: 10, Path: plan.CellularPath, OwnBattery: true},
		plan.Alarm{ID: "noon", Sensor: "eye", When: plan.Dark, DelayMin: 1200, Path: plan.CellularPath,
			OwnBattery: true, OnSensorLoss: yes()})
}
