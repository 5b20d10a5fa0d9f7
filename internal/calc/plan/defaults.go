package plan

// The functions of this file give every member the value that it has where a document leaves it out.
// The contract states the same values; a test where documents are read holds the two together.

// New returns a plan without vessels, room or devices.
//
//	lookEveryH  how often somebody looks while at home [h]
//
// Accuracy: none is known. Errors: none. Source: [CommonPractice].
func New(lookEveryH float64) Plan {
	return Plan{
		Livestock: MixedReef, SalinityPSU: 35, ProbeDriftK: 3,
		Oxygen:     Oxygen{StirredCMH: 20, StillCMH: 2.07},
		Power:      Power{LongestOutageH: 8},
		Attendance: Attendance{LookEveryH: lookEveryH, LeavesAt: "08:00"},
		Measured:   &Measured{DryLossFactor: 1, EvaporationFactor: 1},
	}
}

// NewHeater returns a heater without a thermostat.
//
// Accuracy: none is known. Errors: none. Source: [CommonPractice].
func NewHeater(id string, powerW float64) Heater {
	return Heater{ID: id, PowerW: powerW, ThermostatHysteresisK: 1}
}

// NewPump returns a pump whose whole power, in W, ends as heat in the water.
//
// Accuracy: none is known. Errors: none. Source: [CommonPractice].
func NewPump(id string, role PumpRole, flowLH, powerW float64) Pump {
	return Pump{ID: id, Role: role, FlowLH: flowLH, PowerW: powerW, HeatShare: 1}
}

// NewTopOffPump returns a pump that draws from a reservoir.
//
// Accuracy: none is known. Errors: none. Source: [CommonPractice].
func NewTopOffPump(id string, flowLH float64, reservoir string) TopOffPump {
	return TopOffPump{ID: id, FlowLH: flowLH, PowerW: 5, Reservoir: reservoir}
}

// NewReservoir returns a reservoir that stands lower than its pipe's outlet.
//
// Accuracy: none is known. Errors: none. Source: [CommonPractice].
func NewReservoir(id string, volumeL float64) Reservoir {
	return Reservoir{ID: id, VolumeL: volumeL, UsableShare: 0.95, WaterAboveOutletMM: -100}
}

// NewLight returns a lamp without a programme.
//
// Accuracy: none is known. Errors: none. Source: [CommonPractice].
func NewLight(id string, powerW float64) Light { return Light{ID: id, PowerW: powerW, HeatShare: 0.3} }

// NewSensor returns a sensor whose place is not said.
//
// Accuracy: none is known. Errors: none. Source: [CommonPractice].
func NewSensor(id string, kind SensorKind) Sensor { return Sensor{ID: id, Kind: kind, HysteresisMM: 5} }

// NewControl returns a control that switches off without its sensor.
//
// Accuracy: none is known. Errors: none. Source: [CommonPractice].
func NewControl(id string, kind ControlKind, outputs ...string) Control {
	return Control{
		ID: id, Kind: kind, Outputs: outputs, HysteresisK: 0.4, Latching: true, OnSensorLoss: OffWithoutSensor,
	}
}

// NewAlarm returns an alarm that hangs on a circuit.
//
// Accuracy: none is known. Errors: none. Source: [CommonPractice].
func NewAlarm(id, sensor string, when When, path AlarmPath) Alarm {
	return Alarm{ID: id, Sensor: sensor, When: when, DelayMin: 5, Path: path}
}
