package sim

// Beyond returns what an effect forces that another does not, and whether it forces all that the other does. A run with
// it is then a run with the other and these injections, one for each thing forced.
//
// Accuracy: exact. Errors: none. Source: [Derived].
func (e Effect) Beyond(other Effect) (more []Injection, all bool) {
	b := beyond{all: true}
	f, o := &e.f, &other.f
	b.flags(f.deviceDead, o.deviceDead, DeviceDead)
	b.signs(f.thermostat, o.thermostat, ThermostatClosed, ThermostatOpen)
	b.signs(f.programme, o.programme, ProgrammeOn, ProgrammeOff)
	b.signs(f.relay, o.relay, RelayClosed, RelayOpen)
	b.signs(f.control, o.control, ControlOn, ControlOff)
	b.flags(f.siphon, o.siphon, Siphoning)
	b.flags(f.circuitLost, o.circuitLost, CircuitLost)
	b.flags(f.reservoirEmpty, o.reservoirEmpty, ReservoirEmpty)
	b.flags([]bool{f.mainsLost}, []bool{o.mainsLost}, MainsLost)
	for i, x := range f.sensor {
		switch {
		case x == o.sensor[i]:
		case o.sensor[i] != (sensorFault{}):
			b.all = false
		default:
			b.sensor(i, x)
		}
	}
	return b.more, b.all
}

type beyond struct {
	more []Injection
	all  bool
}

func (b *beyond) flags(list, other []bool, fault Fault) {
	for i, v := range list {
		if v && !other[i] {
			b.more = append(b.more, Injection{Fault: fault, Index: i})
		}
		b.all = b.all && (v || !other[i])
	}
}

func (b *beyond) signs(list, other []int8, on, off Fault) {
	for i, v := range list {
		switch {
		case v == other[i]:
		case other[i] != 0:
			b.all = false
		case v > 0:
			b.more = append(b.more, Injection{Fault: on, Index: i})
		default:
			b.more = append(b.more, Injection{Fault: off, Index: i})
		}
	}
}

// sensor adds the injection of a sensor's fault; two faults of one sensor are none.
func (b *beyond) sensor(i int, x sensorFault) {
	in := Injection{Fault: SensorLost, Index: i}
	switch {
	case x.forced > 0:
		in.Fault = SensorTrue
	case x.forced < 0:
		in.Fault = SensorFalse
	case x.fixed:
		in.Fault, in.Value = SensorFixed, x.value
	case x.offset != 0:
		in.Fault, in.Value = SensorOffset, x.offset
	}
	b.more = append(b.more, in)
	var alone faultState
	alone.sensor = make([]sensorFault, i+1)
	alone.inject(in)
	b.all = b.all && alone.sensor[i] == x
}
