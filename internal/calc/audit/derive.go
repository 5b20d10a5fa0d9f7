package audit

import (
	"math"

	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/sim"
	"saltwright/internal/calc/text"
)

// faultsOf derives every single fault from the plan's own elements. The indices
// are the same in every room, since the system of each is compiled from one plan.
func faultsOf(p plan.Plan, s *sim.System) []Fault {
	b := &faultList{p: p, s: s}
	for i := range s.Devices {
		b.device(i)
	}
	for i, r := range s.Reservoirs {
		if r.Container { // it fails with its pump
			continue
		}
		b.add("reservoir", r.ID, func(m mode) (sim.Injection, bool) {
			return sim.Injection{Fault: m.fault, Index: i}, m.fault != sim.BreakBlocked || r.Break && r.Siphons()
		}, element(r.ID))
	}
	for i := range s.Sensors {
		b.sensor(i)
	}
	for i, k := range s.Controls {
		sort := "control"
		switch k.Kind {
		case sim.Cutout:
			sort = "supervisor"
		case sim.Contactor:
			sort = "contactor"
		}
		b.add(sort, k.ID, at(i), element(k.ID))
	}
	for i, r := range s.Relays {
		if s.Controls[r.Control].Kind != sim.Contactor { // its contacts fail together
			b.output(i, r)
		}
	}
	b.circuits()
	b.add("mains", "mains", at(0), text.Params{"time": s.OutageS / secondsPerHour})
	b.reaching()
	for i, a := range s.Alarms {
		sort := "alarm"
		if a.Watch != nil {
			sort = "alarm on running"
		}
		b.add(sort, a.ID, at(i), element(a.ID))
	}
	b.plumbing()
	return b.list
}

func (b *faultList) device(i int) {
	sorts := map[sim.DeviceKind]string{
		sim.Heater: "heater", sim.Chiller: "chiller", sim.Fan: "fan", sim.ReturnPump: "return pump",
		sim.CirculationPump: "circulation pump", sim.TopOffPump: "top-off pump", sim.Light: "light",
		sim.RoomHeater: "room heating", sim.RoomCooler: "room cooling", sim.Skimmer: "skimmer", sim.Drain: "drain",
	}
	d := b.s.Devices[i]
	if d.Kind == sim.Doser || d.Kind == sim.Drain {
		b.doser(i, sorts)
		return
	}
	b.add(sorts[d.Kind], d.ID, func(m mode) (sim.Injection, bool) {
		switch m.fault {
		case sim.CircuitLost:
			return sim.Injection{Fault: m.fault, Index: d.Circuit}, b.protection(d.Circuit) < 0
		case sim.ThermostatClosed, sim.ThermostatOpen:
			return sim.Injection{Fault: m.fault, Index: i}, d.Thermostat >= 0
		case sim.Clogged:
			return sim.Injection{Fault: m.fault, Index: i, Value: d.Clogs.Left}, d.Clogs.Left > 0
		case sim.SkimsWet:
			return sim.Injection{Fault: m.fault, Index: i, Value: d.Skim.WetTimes}, true
		case sim.CutOutDead:
			return sim.Injection{Fault: m.fault, Index: i}, d.Dry.CutsOut
		case sim.RoomStuck:
			return sim.Injection{Fault: m.fault, Index: i}, d.Room.Sticks
		case sim.ProgrammeOn, sim.ProgrammeOff:
			return sim.Injection{Fault: m.fault, Index: i}, d.Programme >= 0
		}
		return sim.Injection{Fault: m.fault, Index: i}, true
	}, element(d.ID))
	if d.Kind == sim.Skimmer && d.Skim.Full == sim.Stops {
		b.add("cup stop", d.ID, at(i), element(d.ID))
	}
	b.wet(i, d)
}

// frozenBeyondK is how far beyond its switching point a frozen reading stands, K.
const frozenBeyondK = 0.05

func (b *faultList) sensor(i int) {
	sorts := map[sim.SensorKind]string{
		sim.TemperatureSensor: "temperature sensor", sim.LevelSensor: "level sensor", sim.FlowSensor: "flow sensor",
		sim.LeakSensor: "leak sensor", sim.PowerSensor: "power sensor", sim.LightSensor: "light sensor",
		sim.PHSensor: "pH sensor", sim.ConductivitySensor: "conductivity sensor",
	}
	low, high := b.readBand(i)
	values := map[string]float64{
		"reads_high": b.p.ProbeDriftK, "reads_low": -b.p.ProbeDriftK, "frozen_low": low, "frozen_high": high,
	}
	x := b.s.Sensors[i]
	switch x.Kind {
	case sim.PHSensor:
		values["reads_high"], values["reads_low"] = plan.PHDrift, -plan.PHDrift
	case sim.ConductivitySensor:
		values["reads_high"], values["reads_low"] = plan.ConductivityDriftPSU, -plan.ConductivityDriftPSU
		values["frozen"] = b.p.SalinityPSU
	}
	b.add(sorts[x.Kind], x.ID, func(m mode) (sim.Injection, bool) {
		readsAir := b.p.Sensors[i].Place != nil && *b.p.Sensors[i].Place == plan.InRoom
		return sim.Injection{Fault: m.fault, Index: i, Value: values[m.name]}, m.name != outOfWater || !readsAir
	}, element(x.ID))
}

// readBand returns readings just outside the band in which the controls that
// read the probe hold the water: frozen there, each keeps calling or never calls.
func (b *faultList) readBand(sensor int) (low, high float64) {
	low, high = math.Inf(1), math.Inf(-1)
	for _, k := range b.s.Controls {
		if k.Kind != sim.Regulator {
			continue
		}
		for _, c := range b.s.Leaves(k.Condition) {
			if c.Sensor == sensor {
				x := b.s.Comparators[c.Index]
				low, high = math.Min(low, x.Low), math.Max(high, x.High)
			}
		}
	}
	if low > high { // nothing regulates by it: it freezes in the middle of the comfort band
		low, high = b.s.TempStartC, b.s.TempStartC
		if b.s.Sensors[sensor].Kind == sim.PHSensor {
			low, high = b.p.Chemistry.PH, b.p.Chemistry.PH
		}
	}
	return low - frozenBeyondK, high + frozenBeyondK
}

func (b *faultList) output(i int, r sim.Relay) {
	target := ""
	if r.Device >= 0 {
		target = b.s.Devices[r.Device].ID
	} else {
		target = b.s.Controls[r.Target].ID
	}
	n := len(b.list)
	control := b.s.Controls[r.Control].ID
	b.add("output", control, at(i), text.Params{"element": control, "output": target})
	for k := n; k < len(b.list); k++ {
		f := &b.list[k]
		f.Output = target
		f.ID, f.Mode = f.ID+"."+target, f.Mode+"."+target
	}
}
