package sim

// Fault is one way in which one element fails.
type Fault uint8

// The faults. Index in an Injection is the element they befall.
const (
	DeviceDead       Fault = iota // device: draws and does nothing
	ThermostatClosed              // device: its own thermostat never opens
	ThermostatOpen                // device: its own thermostat never closes
	ProgrammeOn                   // device: its own programme stays at 100 %
	ProgrammeOff                  // device: its own programme stays at 0
	RelayClosed                   // relay: welded
	RelayOpen                     // relay: never closes
	SensorOffset                  // sensor: reads Value too high
	SensorFixed                   // sensor: reads Value whatever the water does
	SensorTrue                    // level, flow, leak or power sensor: always reports yes (wet, flowing, wet, live)
	SensorFalse                   // the same: always reports no
	SensorLost                    // sensor: no signal, which its readers notice
	ControlOn                     // control: hangs with its outputs closed
	ControlOff                    // control: hangs with its outputs open
	BreakBlocked                  // reservoir: its siphon break does not let air in
	ReservoirEmpty                // reservoir: forgotten, empty from the start
	CircuitLost                   // circuit: dead
	MainsLost                     // everything without backup is dead for OutageS
	WayDead                       // way: no alarm travels by it
	AlarmDead                     // alarm: never raised
	SourceDead                    // source: carries nothing
	SurgeTaken                    // circuit: controls, lights, alarms and their ways on it are dead for good
	WeirBlocked                   // overflow: nothing runs down it
	LineDrains                    // return line: its hole or valve lets the display run back down to its nozzle
	RoomStuck                     // room device: never stops
	LeakOpens                     // leak
	ProtectionDead                // residual-current device: would not trip; no water feels it
	ContactorWelded               // control: all its relays are welded
	ContactorOpen                 // control: none of its relays closes any more
	PersonGone                    // a person whom no alarm reaches any more; no water feels it
	ClockWrong                    // control: the clock of a timer is Value seconds ahead
	CutOutDead                    // device: a heater that runs dry does not cut out
	Clogged                       // device: a pump moves less
	SkimsWet                      // device: a skimmer foams too wet
	AirBlocked                    // device: a skimmer draws no air
	StopDead                      // device: a skimmer's full cup does not stop it
	FlowWrong                     // device: it moves Value times what it should
	ValveStuck                    // device: it stays open whatever switches it
	ContentsWrong                 // reservoir: filled with what belongs in reservoir number Value
)

// Injection is one fault put into a run.
type Injection struct {
	Fault Fault
	Index int
	Value float64 // for SensorOffset and SensorFixed
}

// faultState is what the injections amount to, per element.
type faultState struct {
	deviceDead     []bool // or its own thermostat never closes
	thermostatShut []bool
	programme      []int8    // +1 on, -1 off
	flow           []float64 // of each device, times what it should move; 0: as it should
	valveStuck     []bool
	filled         []int     // of each reservoir, 1 + the number of what it is filled like; 0: as it should
	ahead          []float64 // of each programme, how far its clock is, s
	relay          []int8    // +1 welded, -1 open
	sensor         []sensorFault
	control        []int8 // +1 hung closed, -1 hung open
	siphon         []bool
	circuitLost    []bool
	alarmDead      []bool
	mainsLost      bool
	wayDead        []bool
	reservoirEmpty []bool
	sourceDead     []bool
	weirBlocked    []bool
	lineDrains     []bool
	roomStuck      []bool
	leaks          []bool
	// of devices
	cutOutDead, clogged, skimsWet, airBlocked, stopDead []bool
}

type sensorFault struct {
	offset float64
	fixed  bool
	value  float64
	forced int8 // +1 always yes, -1 always no
	lost   bool
}

func newFaultState(s *System, injections []Injection) faultState {
	flags := make([]bool, 9*len(s.Devices)+2*len(s.Reservoirs)+len(s.Circuits)+len(s.Alarms)+len(s.Sources)+
		len(s.Ways)+s.Overflows+len(s.ReturnLines)+len(s.Leaks))
	signs := make([]int8, len(s.Devices)+len(s.Relays)+len(s.Controls))
	f := faultState{
		deviceDead:     takeOff(&flags, len(s.Devices)),
		thermostatShut: takeOff(&flags, len(s.Devices)),
		programme:      takeOff(&signs, len(s.Devices)),
		ahead:          make([]float64, len(s.Programmes)),
		relay:          takeOff(&signs, len(s.Relays)),
		sensor:         make([]sensorFault, len(s.Sensors)),
		control:        takeOff(&signs, len(s.Controls)),
		siphon:         takeOff(&flags, len(s.Reservoirs)),
		circuitLost:    takeOff(&flags, len(s.Circuits)),
		alarmDead:      takeOff(&flags, len(s.Alarms)),
		wayDead:        takeOff(&flags, len(s.Ways)),
		reservoirEmpty: takeOff(&flags, len(s.Reservoirs)),
		sourceDead:     takeOff(&flags, len(s.Sources)),
		weirBlocked:    takeOff(&flags, s.Overflows),
		lineDrains:     takeOff(&flags, len(s.ReturnLines)),
		roomStuck:      takeOff(&flags, len(s.Devices)),
		leaks:          takeOff(&flags, len(s.Leaks)),
		cutOutDead:     takeOff(&flags, len(s.Devices)),
		clogged:        takeOff(&flags, len(s.Devices)),
		skimsWet:       takeOff(&flags, len(s.Devices)),
		airBlocked:     takeOff(&flags, len(s.Devices)),
		stopDead:       takeOff(&flags, len(s.Devices)),
		valveStuck:     takeOff(&flags, len(s.Devices)),
		flow:           make([]float64, len(s.Devices)),
		filled:         make([]int, len(s.Reservoirs)),
	}
	for _, in := range injections {
		if in.Fault == SurgeTaken {
			f.surge(s, in.Index)
		}
		f.inject(s, in)
	}
	return f
}

func (f *faultState) inject(s *System, in Injection) {
	i := in.Index
	switch in.Fault {
	case DeviceDead, ThermostatOpen:
		f.deviceDead[i] = true
	case ThermostatClosed:
		f.thermostatShut[i] = true
	case ProgrammeOn:
		f.programme[i] = 1
	case ProgrammeOff:
		f.programme[i] = -1
	case RelayClosed:
		f.relay[i] = 1
	case RelayOpen:
		f.relay[i] = -1
	case SensorOffset:
		f.sensor[i].offset = in.Value
	case SensorFixed:
		f.sensor[i].fixed, f.sensor[i].value = true, in.Value
	case SensorTrue:
		f.sensor[i].forced = 1
	case SensorFalse:
		f.sensor[i].forced = -1
	case SensorLost:
		f.sensor[i].lost = true
	case ControlOn:
		f.control[i] = 1
	case ControlOff:
		f.control[i] = -1
	case BreakBlocked:
		f.siphon[i] = true
	case ReservoirEmpty:
		f.reservoirEmpty[i] = true
	case CircuitLost:
		f.circuitLost[i] = true
	case MainsLost:
		f.mainsLost = true
	case WayDead:
		f.wayDead[i] = true
	case AlarmDead:
		f.alarmDead[i] = true
	case SourceDead:
		f.sourceDead[i] = true
	case WeirBlocked:
		f.weirBlocked[i] = true
	case LineDrains:
		f.lineDrains[i] = true
	case LeakOpens:
		f.leaks[i] = true
	case CutOutDead:
		f.cutOutDead[i] = true
	case Clogged:
		f.clogged[i] = true
	case SkimsWet:
		f.skimsWet[i] = true
	case AirBlocked:
		f.airBlocked[i] = true
	case StopDead:
		f.stopDead[i] = true
	case RoomStuck:
		f.roomStuck[i] = true
	case ClockWrong:
		f.ahead[s.Controls[i].Programme] = in.Value
	case FlowWrong:
		f.flow[i] = in.Value
	case ValveStuck:
		f.valveStuck[i] = true
	case ContentsWrong:
		f.filled[i] = 1 + int(in.Value)
	case ContactorWelded:
		f.relays(s, i, 1)
	case ContactorOpen:
		f.relays(s, i, -1)
	}
}

// relays forces all relays of a control.
func (f *faultState) relays(s *System, control int, state int8) {
	for _, j := range s.wired().fromControl[control] {
		f.relay[j] = state
	}
}

// surge takes the electronics on a circuit.
func (f *faultState) surge(s *System, circuit int) {
	for i := range s.Controls {
		if s.hangsOn(s.Controls[i].Circuit, circuit) {
			f.control[i] = -1
		}
	}
	for i := range s.Devices {
		if (s.Devices[i].Kind == Light || s.Devices[i].clocked()) && s.hangsOn(s.Devices[i].Circuit, circuit) {
			f.deviceDead[i] = true
		}
	}
	for i := range s.Alarms {
		if a := &s.Alarms[i]; a.Circuit >= 0 && s.hangsOn(a.Circuit, circuit) {
			f.alarmDead[i] = true
		}
	}
	for i := int(Cellular) + 1; i < len(s.Ways); i++ {
		if w := &s.Ways[i]; w.Circuit >= 0 && s.hangsOn(w.Circuit, circuit) {
			f.wayDead[i] = true
		}
	}
}

// faultOf returns what is wrong with a sensor; nothing for -1, a reading without one.
func (f *faultState) faultOf(sensor int) sensorFault {
	if sensor < 0 {
		return sensorFault{}
	}
	return f.sensor[sensor]
}

// forces returns what a condition says whatever there is to see, if its sensor's fault settles that.
func (f *faultState) forces(c *Condition, onLoss bool) (yes, known bool) {
	if c.Sensor < 0 {
		return false, false
	}
	switch x := &f.sensor[c.Sensor]; {
	case x.lost:
		return onLoss, true
	case x.forced != 0:
		return (x.forced > 0) != c.Negate, true
	}
	return false, false
}

// takeOff takes the first n off a list.
func takeOff[T any](list *[]T, n int) []T {
	first := (*list)[:n:n]
	*list = (*list)[n:]
	return first
}
