package audit

import (
	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/sim"
)

// mode is one way in which elements of one sort fail: the only place that says so.
type mode struct {
	sort     string // of elements, finer than the kind that answers name
	kind     string
	name     string
	fault    sim.Fault
	sentence string  // %[1]s is the element, further verbs as the sort has them
	perYear  float64 // per part. Common practice, no source: orders of magnitude, for whoever knows better to replace
	noticed  bool    // a look at the tank shows it at once
	try      *test
}

// test is how to try an element by hand; {element} stands for its id.
type test struct{ do, expect string }

// Tests that several modes share.
var (
	callHeat = &test{"Call for {element} for ten minutes.",
		"It draws power and the water beside it changes temperature."}
	letRun = &test{"With somebody beside it and a thermometer in the water, let {element} run without its control, " +
		"from cool water, until it switches off by itself.",
		"It switches off within a kelvin of its mark. Stop it by hand if it goes on."}
	stopPump = &test{"Stop {element} and start it again.",
		"The sump holds what runs down; it starts by itself."}
	takeWater = &test{"Take a litre out of the return chamber.",
		"Top-off brings it back and stops; the reservoir is full before you leave."}
	freeBreak = &test{"Clean the siphon break of {element}, then let its pump run and stop.",
		"Nothing runs on once the pump stands."}
	watchOnce = &test{"Watch {element} switch on and off once.",
		"It follows its programme."}
	compareProbe = &test{"Hold {element} and a thermometer you trust in the same water.",
		"They agree within half a kelvin."}
	moveFloat = &test{"Lift and lower {element} by hand, or cover and bare it.",
		"What it switches follows both ways; then clean it."}
	stopReturn = &test{"Stop the return for a minute and start it again.",
		"{element} reports both."}
	wetCloth = &test{"Touch {element} with a wet cloth.",
		"Its alarm comes, and goes once it is dry."}
	switchWatched = &test{"Switch the circuit that {element} watches off and on.",
		"It reports both."}
	passThreshold = &test{"Bring the sensor of {element} past its threshold (a cup of warm or cold water, a lifted " +
		"float).",
		"It cuts what it guards, and lets it go again as planned."}
	passSetpoint = &test{"Raise and lower the set-point or the sensor of {element} past its switching points.",
		"It switches on and off."}
	followOutput = &test{"Let {element} call and stop calling.",
		"Its output follows both ways; look at what it drives, not at its display."}
	openCircuit = &test{"Open {element} and close it again; press the test button of its ground-fault device.",
		"What should go dark goes dark, alarms come, and everything starts again by itself."}
	openMains = &test{"Open the main switch for five minutes.",
		"What has a battery goes on, alarms come, the sump holds what runs down, and everything starts again."}
	dropNetwork = &test{"Take the home network down for as long as an alarm needs.",
		"You notice that it is gone, or the alarm takes its other path."}
	raiseAlarm = &test{"Raise {element} on purpose, from its sensor on.",
		"The person who would come gets it, on the device they carry."}
)

const (
	outOfWater     = "out_of_water"
	secondsPerHour = quantity.SecondsPerHour
)

// modes are all ways of failing, those of one sort in the order in which they are reported.
var modes = []mode{
	{"heater", "heater", "element_open", sim.DeviceDead, "%[1]s no longer heats", 0.05, false, callHeat},
	{"heater", "heater", "element_shorted", sim.CircuitLost,
		"%[1]s shorts and trips the circuit it hangs on", 0.01, true, callHeat},
	{"heater", "heater", "thermostat_welded", sim.ThermostatClosed,
		"%[1]s's own thermostat welds shut, so it heats on as long as its relay lets it", 0.02, false, letRun},
	{"heater", "heater", "thermostat_open", sim.ThermostatOpen,
		"%[1]s's own thermostat no longer closes", 0.01, false, letRun},
	{"chiller", "chiller", "stopped", sim.DeviceDead, "%[1]s no longer cools", 0.1, false, callHeat},
	{"chiller", "chiller", "thermostat_welded", sim.ThermostatClosed,
		"%[1]s's own thermostat welds shut, so it cools on as long as its relay lets it", 0.02, false, letRun},
	{"chiller", "chiller", "thermostat_open", sim.ThermostatOpen,
		"%[1]s's own thermostat no longer closes", 0.02, false, letRun},
	{"fan", "fan", "stopped", sim.DeviceDead, "%[1]s stands still", 0.1, true, watchOnce},
	{"return pump", "pump", "stopped", sim.DeviceDead,
		"%[1]s stands still, so display and sump part ways", 0.1, true, stopPump},
	{"circulation pump", "pump", "stopped", sim.DeviceDead, "%[1]s stands still", 0.1, true, stopPump},
	{"top-off pump", "top_off_pump", "stopped", sim.DeviceDead, "%[1]s is clogged or dead", 0.15, false, takeWater},
	{"light", "light", "dark", sim.DeviceDead, "%[1]s stays dark", 0.1, true, watchOnce},
	{"light", "light", "programme_stuck_on", sim.ProgrammeOn,
		"%[1]s's own programme stops at full light", 0.02, true, watchOnce},
	{"light", "light", "programme_stuck_off", sim.ProgrammeOff,
		"%[1]s's own programme stops in the dark", 0.02, true, watchOnce},

	{"reservoir", "reservoir", "left_empty", sim.ReservoirEmpty,
		"%[1]s was not refilled before leaving", 0.3, false, takeWater},
	{"reservoir", "reservoir", "break_blocked", sim.BreakBlocked,
		"the siphon break of %[1]s is blocked, so that it runs on when its pump stops", 0.1, false, freeBreak},

	{"temperature sensor", "sensor", "reads_high", sim.SensorOffset,
		"%[1]s reads %.1[2]f K too high", 0.03, false, compareProbe},
	{"temperature sensor", "sensor", "reads_low", sim.SensorOffset,
		"%[1]s reads %.1[2]f K too low", 0.03, false, compareProbe},
	{"temperature sensor", "sensor", outOfWater, sim.SensorFixed,
		"%[1]s has slipped out of the water and reads the room", 0.05, false, compareProbe},
	{"temperature sensor", "sensor", "no_signal", sim.SensorLost, "%[1]s gives no signal", 0.03, false, compareProbe},
	{"temperature sensor", "sensor", "frozen_low", sim.SensorFixed,
		"%[1]s stays at %.1[2]f °C", 0.01, false, compareProbe},
	{"temperature sensor", "sensor", "frozen_high", sim.SensorFixed,
		"%[1]s stays at %.1[2]f °C", 0.01, false, compareProbe},
	{"level sensor", "sensor", "stuck_wet", sim.SensorTrue,
		"%[1]s reports wet whatever the level", 0.1, false, moveFloat},
	{"level sensor", "sensor", "stuck_dry", sim.SensorFalse,
		"%[1]s reports dry whatever the level", 0.1, false, moveFloat},
	{"flow sensor", "sensor", "stuck_flowing", sim.SensorTrue,
		"%[1]s reports flow whatever the pump does", 0.05, false, stopReturn},
	{"flow sensor", "sensor", "stuck_still", sim.SensorFalse,
		"%[1]s reports no flow whatever the pump does", 0.05, false, stopReturn},
	{"leak sensor", "sensor", "stuck_wet", sim.SensorTrue,
		"%[1]s reports water on a dry floor", 0.1, false, wetCloth},
	{"leak sensor", "sensor", "stuck_dry", sim.SensorFalse,
		"%[1]s reports a dry floor whatever lies there", 0.1, false, wetCloth},
	{"power sensor", "sensor", "stuck_live", sim.SensorTrue,
		"%[1]s reports power whatever the circuit does", 0.02, false, switchWatched},
	{"power sensor", "sensor", "stuck_dead", sim.SensorFalse,
		"%[1]s reports no power whatever the circuit does", 0.02, false, switchWatched},

	{"supervisor", "control", "blind", sim.ControlOn, "%[1]s never cuts", 0.02, false, passThreshold},
	{"supervisor", "control", "cuts_falsely", sim.ControlOff, "%[1]s cuts without a cause", 0.02, false, passSetpoint},
	{"control", "control", "hung_on", sim.ControlOn, "%[1]s hangs with its outputs on", 0.01, false, passSetpoint},
	{"control", "control", "hung_off", sim.ControlOff, "%[1]s hangs with its outputs off", 0.02, false, passSetpoint},
	{"output", "control", "output_welded", sim.RelayClosed,
		"the output of %[1]s to %[2]s welds shut", 0.02, false, followOutput},
	{"output", "control", "output_open", sim.RelayOpen,
		"the output of %[1]s to %[2]s no longer closes", 0.01, false, followOutput},

	{"circuit", "circuit", "tripped", sim.CircuitLost,
		"%[1]s trips and everything on it is dead", 0.2, true, openCircuit},
	{"mains", "mains", "lost", sim.MainsLost, "%[1]s power is out for %.0[2]f h", 0.5, true, openMains},
	{"network", "network", "lost", sim.NetworkLost, "the home %[1]s is down", 4, false, dropNetwork},
	{"alarm", "alarm", "silent", sim.AlarmDead, "%[1]s is never raised", 0.1, false, raiseAlarm},
}
