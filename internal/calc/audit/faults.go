package audit

import (
	"fmt"
	"math"

	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/sim"
)

// Fault is one way in which one element of the plan fails.
type Fault struct {
	ID       string // element.mode, or element.mode.output
	Element  string // id in the plan, or "mains" or "network"
	Kind     string // heater, chiller, fan, pump, top_off_pump, reservoir, light, sensor, control, circuit, mains, network, alarm
	Mode     string
	Sentence string // what happens, without a final stop

	injections []sim.Injection
	noticed    bool // a look at the tank shows it at once
}

// injectionsIn returns what to inject in a room: a probe out of the water reads that room.
func (f Fault) injectionsIn(s *sim.System) []sim.Injection {
	if f.knowsRoom() {
		return []sim.Injection{{Fault: sim.SensorFixed, Index: f.injections[0].Index, Value: s.RoomTempC}}
	}
	return f.injections
}

// knowsRoom tells whether what to inject differs by room.
func (f Fault) knowsRoom() bool { return f.Kind == "sensor" && f.Mode == "out_of_water" }

// frozenBeyondK is how far beyond its switching point a frozen reading stands, K.
const frozenBeyondK = 0.05

// faultsOf derives every single fault from the plan's own elements. The indices
// are the same in every room, since the system of each is compiled from one plan.
func faultsOf(p plan.Plan, s *sim.System) []Fault {
	b := &faultList{p: p, s: s}
	b.devices()
	b.reservoirs()
	b.sensors()
	b.controls()
	b.supply()
	return b.list
}

type faultList struct {
	p    plan.Plan
	s    *sim.System
	list []Fault
}

func (b *faultList) add(kind, element, mode, sentence string, noticed bool, in ...sim.Injection) {
	b.list = append(b.list, Fault{
		ID: element + "." + mode, Element: element, Kind: kind, Mode: mode, Sentence: sentence, injections: in, noticed: noticed,
	})
}

func (b *faultList) devices() {
	for i, d := range b.s.Devices {
		one := func(f sim.Fault) sim.Injection { return sim.Injection{Fault: f, Index: i} }
		switch d.Kind {
		case sim.Heater:
			b.add("heater", d.ID, "element_open", d.ID+" no longer heats", false, one(sim.DeviceDead))
			b.add("heater", d.ID, "element_shorted", d.ID+" shorts and trips the circuit it hangs on", true,
				sim.Injection{Fault: sim.CircuitLost, Index: d.Circuit})
			b.thermostat("heater", i, "heats on as long as its relay lets it")
		case sim.Chiller:
			b.add("chiller", d.ID, "stopped", d.ID+" no longer cools", false, one(sim.DeviceDead))
			b.thermostat("chiller", i, "cools on as long as its relay lets it")
		case sim.Fan:
			b.add("fan", d.ID, "stopped", d.ID+" stands still", true, one(sim.DeviceDead))
		case sim.ReturnPump:
			b.add("pump", d.ID, "stopped", d.ID+" stands still, so display and sump part ways", true, one(sim.DeviceDead))
		case sim.CirculationPump:
			b.add("pump", d.ID, "stopped", d.ID+" stands still", true, one(sim.DeviceDead))
		case sim.TopOffPump:
			b.add("top_off_pump", d.ID, "stopped", d.ID+" is clogged or dead", false, one(sim.DeviceDead))
		case sim.Light:
			b.add("light", d.ID, "dark", d.ID+" stays dark", true, one(sim.DeviceDead))
			if d.Programme >= 0 {
				b.add("light", d.ID, "programme_stuck_on", d.ID+"'s own programme stops at full light", true, one(sim.ProgrammeOn))
				b.add("light", d.ID, "programme_stuck_off", d.ID+"'s own programme stops in the dark", true, one(sim.ProgrammeOff))
			}
		}
	}
}

func (b *faultList) thermostat(kind string, i int, welded string) {
	d := b.s.Devices[i]
	if d.Thermostat < 0 {
		return
	}
	b.add(kind, d.ID, "thermostat_welded", fmt.Sprintf("%s's own thermostat welds shut, so it %s", d.ID, welded), false,
		sim.Injection{Fault: sim.ThermostatClosed, Index: i})
	b.add(kind, d.ID, "thermostat_open", d.ID+"'s own thermostat no longer closes", false,
		sim.Injection{Fault: sim.ThermostatOpen, Index: i})
}

func (b *faultList) reservoirs() {
	for i, r := range b.s.Reservoirs {
		b.add("reservoir", r.ID, "left_empty", r.ID+" was not refilled before leaving", false, sim.Injection{Fault: sim.ReservoirEmpty, Index: i})
		if r.SiphonLS > 0 {
			b.add("reservoir", r.ID, "siphoning", r.ID+" siphons through the standing pump until it is empty", false,
				sim.Injection{Fault: sim.Siphoning, Index: i})
		}
	}
}

func (b *faultList) sensors() {
	for i, x := range b.s.Sensors {
		one := func(f sim.Fault, value float64) sim.Injection { return sim.Injection{Fault: f, Index: i, Value: value} }
		add := func(mode, sentence string, in sim.Injection) {
			b.add("sensor", x.ID, mode, x.ID+" "+sentence, false, in)
		}
		switch x.Kind {
		case sim.TemperatureSensor:
			drift := b.p.ProbeDriftK
			add("reads_high", fmt.Sprintf("reads %.1f K too high", drift), one(sim.SensorOffset, drift))
			add("reads_low", fmt.Sprintf("reads %.1f K too low", drift), one(sim.SensorOffset, -drift))
			add("out_of_water", "has slipped out of the water and reads the room", one(sim.SensorFixed, b.s.RoomTempC))
			add("no_signal", "gives no signal", one(sim.SensorLost, 0))
			low, high := b.readBand(i)
			add("frozen_low", fmt.Sprintf("stays at %.1f °C", low), one(sim.SensorFixed, low))
			add("frozen_high", fmt.Sprintf("stays at %.1f °C", high), one(sim.SensorFixed, high))
		case sim.LevelSensor:
			add("stuck_wet", "reports wet whatever the level", one(sim.SensorTrue, 0))
			add("stuck_dry", "reports dry whatever the level", one(sim.SensorFalse, 0))
		case sim.FlowSensor:
			add("stuck_flowing", "reports flow whatever the pump does", one(sim.SensorTrue, 0))
			add("stuck_still", "reports no flow whatever the pump does", one(sim.SensorFalse, 0))
		case sim.LeakSensor:
			add("stuck_wet", "reports water on a dry floor", one(sim.SensorTrue, 0))
			add("stuck_dry", "reports a dry floor whatever lies there", one(sim.SensorFalse, 0))
		case sim.PowerSensor:
			add("stuck_live", "reports power whatever the circuit does", one(sim.SensorTrue, 0))
			add("stuck_dead", "reports no power whatever the circuit does", one(sim.SensorFalse, 0))
		}
	}
}

// readBand returns readings just outside the band in which the controls that
// read the probe hold the water: frozen there, each keeps calling or never calls.
func (b *faultList) readBand(sensor int) (low, high float64) {
	low, high = math.Inf(1), math.Inf(-1)
	for _, k := range b.s.Controls {
		if k.Kind != sim.Regulator {
			continue
		}
		c := b.s.Conditions[k.Condition]
		if c.Sensor != sensor {
			continue
		}
		x := b.s.Comparators[c.Index]
		low, high = math.Min(low, x.Low), math.Max(high, x.High)
	}
	if low > high { // nothing regulates by it: it freezes in the middle of the comfort band
		low, high = b.s.TempStartC, b.s.TempStartC
	}
	return low - frozenBeyondK, high + frozenBeyondK
}

func (b *faultList) controls() {
	for i, k := range b.s.Controls {
		switch k.Kind {
		case sim.Cutout:
			b.add("control", k.ID, "blind", k.ID+" never cuts", false, sim.Injection{Fault: sim.ControlOn, Index: i})
			b.add("control", k.ID, "cuts_falsely", k.ID+" cuts without a cause", false, sim.Injection{Fault: sim.ControlOff, Index: i})
		default:
			b.add("control", k.ID, "hung_on", k.ID+" hangs with its outputs on", false, sim.Injection{Fault: sim.ControlOn, Index: i})
			b.add("control", k.ID, "hung_off", k.ID+" hangs with its outputs off", false, sim.Injection{Fault: sim.ControlOff, Index: i})
		}
	}
	for i, r := range b.s.Relays {
		control := b.s.Controls[r.Control].ID
		var target string
		if r.Device >= 0 {
			target = b.s.Devices[r.Device].ID
		} else {
			target = b.s.Controls[r.Target].ID
		}
		b.add("control", control, "output_welded."+target, fmt.Sprintf("the output of %s to %s welds shut", control, target), false,
			sim.Injection{Fault: sim.RelayClosed, Index: i})
		b.add("control", control, "output_open."+target, fmt.Sprintf("the output of %s to %s no longer closes", control, target), false,
			sim.Injection{Fault: sim.RelayOpen, Index: i})
	}
}

func (b *faultList) supply() {
	for i, c := range b.s.Circuits {
		b.add("circuit", c.ID, "tripped", c.ID+" trips and everything on it is dead", true, sim.Injection{Fault: sim.CircuitLost, Index: i})
	}
	b.add("mains", "mains", "lost", fmt.Sprintf("mains power is out for %.0f h", b.s.OutageS/3600), true, sim.Injection{Fault: sim.MainsLost})
	b.add("network", "network", "lost", "the home network is down", false, sim.Injection{Fault: sim.NetworkLost})
	for i, a := range b.s.Alarms {
		b.add("alarm", a.ID, "silent", a.ID+" is never raised", false, sim.Injection{Fault: sim.AlarmDead, Index: i})
	}
}
