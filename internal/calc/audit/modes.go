package audit

import (
	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/sim"
	"saltwright/internal/calc/text"
)

// mode is one way in which elements of one sort fail: the only place that says so.
type mode struct {
	sort     string // of elements, finer than the kind that answers name
	kind     string
	name     string
	fault    sim.Fault
	sentence string  // code of the catalogue
	injected string  // the parameter of the sentence that is what is injected; empty: none
	perYear  float64 // per part: orders of magnitude, for whoever knows better to replace
	basis    string  // of it, a key of the bibliography; the rows are those of failure_rates.csv
	noticed  bool    // a look at the tank shows it at once
	try      *test
}

// test is how to try an element by hand, as codes of the catalogue.
type test struct {
	do, expect string
	doWith     text.Params // nil: the element
	expectWith text.Params
}

// What a trial takes and asks for; common practice, no source.
const (
	agreesWithinK      = 0.5
	switchesOffWithinK = 1.0
	takenOutOfChamberL = 1.0
)

// Tests that several modes share.
var (
	callHeat       = &test{do: "try_call", expect: "see_call"}
	letRun         = &test{"try_run_alone", "see_run_alone", nil, text.Params{"within": switchesOffWithinK}}
	stopPump       = &test{do: "try_stop_pump", expect: "see_stop_pump"}
	takeWater      = &test{"try_take_water", "see_take_water", text.Params{"volume": takenOutOfChamberL}, nil}
	freeBreak      = &test{do: "try_free_break", expect: "see_free_break"}
	watchOnce      = &test{do: "try_watch_once", expect: "see_watch_once"}
	compareProbe   = &test{"try_compare_probe", "see_compare_probe", nil, text.Params{"within": agreesWithinK}}
	moveFloat      = &test{do: "try_move_float", expect: "see_move_float"}
	stopReturn     = &test{do: "try_stop_return", expect: "see_reports_both"}
	wetCloth       = &test{do: "try_wet_cloth", expect: "see_wet_cloth"}
	switchWatched  = &test{do: "try_switch_watched", expect: "see_reports_both"}
	passThreshold  = &test{do: "try_pass_threshold", expect: "see_pass_threshold"}
	passSetpoint   = &test{do: "try_pass_setpoint", expect: "see_pass_setpoint"}
	followOutput   = &test{do: "try_follow_output", expect: "see_follow_output"}
	openCircuit    = &test{do: "try_open_circuit", expect: "see_open_circuit"}
	openMains      = &test{"try_open_mains", "see_open_mains", text.Params{}, nil}
	dropNetwork    = &test{"try_drop_network", "see_drop_network", text.Params{}, nil}
	raiseAlarm     = &test{do: "try_raise_alarm", expect: "see_raise_alarm"}
	pressButton    = &test{do: "try_press_button", expect: "see_press_button"}
	feelStrip      = &test{do: "try_feel_strip", expect: "see_feel_strip"}
	pullBackup     = &test{do: "try_pull_backup", expect: "see_pull_backup"}
	spareClock     = &test{"try_spare_electronics", "see_spare_electronics", text.Params{}, nil}
	clearOverflow  = &test{do: "try_clear_overflow", expect: "see_clear_overflow"}
	freeLine       = &test{do: "try_free_line", expect: "see_free_line"}
	watchRoom      = &test{do: "try_watch_room", expect: "see_watch_room"}
	lookForSalt    = &test{do: "try_look_for_salt", expect: "see_look_for_salt"}
	stopMains      = &test{"try_blink", "see_blink", text.Params{}, nil}
	letAllStart    = &test{do: "try_let_all_start", expect: "see_let_all_start"}
	wetPlug        = &test{do: "try_wet_device", expect: "see_wet_device"}
	followContacts = &test{do: "try_follow_contacts", expect: "see_follow_contacts"}
	unplugBox      = &test{do: "try_unplug_box", expect: "see_unplug_box"}
	warmProbe      = &test{do: "try_warm_probe", expect: "see_warm_probe"}
	readClock      = &test{do: "try_read_clock", expect: "see_read_clock"}
	lookAtHeater   = &test{do: "try_look_at_heater", expect: "see_look_at_heater"}
	timeFlow       = &test{do: "try_time_flow", expect: "see_time_flow"}
	coverSensor    = &test{do: "try_cover_sensor", expect: "see_cover_sensor"}
	emptyCup       = &test{do: "try_empty_cup", expect: "see_empty_cup"}
	liftStop       = &test{do: "try_lift_stop", expect: "see_lift_stop"}
	doseIntoCup    = &test{do: "try_dose_into_cup", expect: "see_dose_into_cup"}
	readLabel      = &test{do: "try_read_label", expect: "see_read_label"}
	lookIntoLine   = &test{do: "try_look_into_line", expect: "see_look_into_line"}
	changeIntoCan  = &test{do: "try_change_into_can", expect: "see_change_into_can"}
	closeValve     = &test{do: "try_close_valve", expect: "see_close_valve"}
	readGauge      = &test{do: "try_read_gauge", expect: "see_read_gauge"}
	dipProbe       = &test{do: "try_dip_probe", expect: "see_dip_probe"}
	compareMeter   = &test{do: "try_compare_meter", expect: "see_compare_meter"}
	unplugRouter   = &test{do: "try_unplug_router", expect: "see_other_way"}
	callByWay      = &test{do: "try_call_by_way", expect: "see_call_by_way"}
	callPerson     = &test{do: "try_call_person", expect: "see_call_person"}
	runOn          = &test{do: "try_run_on", expect: "see_raise_alarm"}
)

const (
	outOfWater     = "out_of_water"
	secondsPerHour = quantity.SecondsPerHour
)

// What rates rest on.
const (
	judged       = "CommonPractice" // set from the industrial rows around it
	handbook     = "FESHM4240"
	outages      = "EIA2023"
	homeNetworks = "Grover2013"
)

// modes are all ways of failing, those of one sort in the order in which they are reported.
var modes = []mode{
	{"heater", "heater", "element_open", sim.DeviceDead, "fault_heater_dead", "", 0.05, judged, false, callHeat},
	{"heater", "heater", "element_shorted", sim.CircuitLost,
		"fault_heater_shorted", "", 0.01, judged, true, callHeat},
	{"heater", "heater", "thermostat_welded", sim.ThermostatClosed,
		"fault_heater_thermostat_welded", "", 0.02, judged, false, letRun},
	{"heater", "heater", "thermostat_open", sim.ThermostatOpen,
		"fault_thermostat_open", "", 0.02, judged, false, letRun},
	{"heater", "heater", "cut_out_dead", sim.CutOutDead,
		"fault_cut_out_dead", "", 0.02, judged, false, lookAtHeater},
	{"chiller", "chiller", "stopped", sim.DeviceDead, "fault_chiller_dead", "", 0.1, judged, false, callHeat},
	{"chiller", "chiller", "thermostat_welded", sim.ThermostatClosed,
		"fault_chiller_thermostat_welded", "", 0.02, judged, false, letRun},
	{"chiller", "chiller", "thermostat_open", sim.ThermostatOpen,
		"fault_thermostat_open", "", 0.02, judged, false, letRun},
	{"fan", "fan", "stopped", sim.DeviceDead, "fault_stands_still", "", 0.0788, handbook, true, watchOnce},
	{"return pump", "pump", "stopped", sim.DeviceDead, "fault_return_stands_still", "", 0.15, judged, true, stopPump},
	{"circulation pump", "pump", "stopped", sim.DeviceDead, "fault_stands_still", "", 0.15, judged, true, stopPump},
	// Rotors and intakes clog within months where nobody cleans them.
	{"return pump", "pump", "clogged", sim.Clogged, "fault_pump_clogged", "share", 0.5, judged, false, timeFlow},
	{"circulation pump", "pump", "clogged", sim.Clogged, "fault_pump_clogged", "share", 0.5, judged, false, timeFlow},
	{"top-off pump", "top_off_pump", "stopped", sim.DeviceDead,
		"fault_top_off_dead", "", 0.15, judged, false, takeWater},
	{"light", "light", "dark", sim.DeviceDead, "fault_light_dark", "", 0.1, judged, true, watchOnce},
	{"light", "light", "programme_stuck_on", sim.ProgrammeOn,
		"fault_programme_stuck_on", "", 0.02, judged, true, watchOnce},
	{"light", "light", "programme_stuck_off", sim.ProgrammeOff,
		"fault_programme_stuck_off", "", 0.02, judged, true, watchOnce},

	{"reservoir", "reservoir", "left_empty", sim.ReservoirEmpty,
		"fault_reservoir_empty", "", 0.3, judged, false, takeWater},
	{"reservoir", "reservoir", "break_blocked", sim.BreakBlocked,
		"fault_break_blocked", "", 0.1, judged, false, freeBreak},

	{"temperature sensor", "sensor", "reads_high", sim.SensorOffset,
		"fault_reads_high", "difference", 0.025, judged, false, compareProbe},
	{"temperature sensor", "sensor", "reads_low", sim.SensorOffset,
		"fault_reads_low", "difference", 0.025, judged, false, compareProbe},
	{"temperature sensor", "sensor", outOfWater, sim.SensorFixed,
		"fault_out_of_water", "", 0.05, judged, false, compareProbe},
	{"temperature sensor", "sensor", "no_signal", sim.SensorLost,
		"fault_no_signal", "", 0.03, judged, false, compareProbe},
	{"temperature sensor", "sensor", "frozen_low", sim.SensorFixed,
		"fault_frozen", "reading", 0.01, judged, false, compareProbe},
	{"temperature sensor", "sensor", "frozen_high", sim.SensorFixed,
		"fault_frozen", "reading", 0.01, judged, false, compareProbe},
	{"level sensor", "sensor", "stuck_wet", sim.SensorTrue, "fault_stuck_wet", "", 0.05, judged, false, moveFloat},
	{"level sensor", "sensor", "stuck_dry", sim.SensorFalse, "fault_stuck_dry", "", 0.05, judged, false, moveFloat},
	{"flow sensor", "sensor", "stuck_flowing", sim.SensorTrue,
		"fault_stuck_flowing", "", 0.05, judged, false, stopReturn},
	{"flow sensor", "sensor", "stuck_still", sim.SensorFalse,
		"fault_stuck_still", "", 0.05, judged, false, stopReturn},
	{"leak sensor", "sensor", "stuck_wet", sim.SensorTrue, "fault_leak_stuck_wet", "", 0.05, judged, false, wetCloth},
	{"leak sensor", "sensor", "stuck_dry", sim.SensorFalse,
		"fault_leak_stuck_dry", "", 0.05, judged, false, wetCloth},
	{"power sensor", "sensor", "stuck_live", sim.SensorTrue,
		"fault_stuck_live", "", 0.02, judged, false, switchWatched},
	{"power sensor", "sensor", "stuck_dead", sim.SensorFalse,
		"fault_stuck_dead", "", 0.02, judged, false, switchWatched},

	{"light sensor", "sensor", "stuck_lit", sim.SensorTrue,
		"fault_stuck_lit", "", 0.05, judged, false, coverSensor},
	{"light sensor", "sensor", "stuck_dark", sim.SensorFalse,
		"fault_stuck_dark", "", 0.05, judged, false, coverSensor},

	{"supervisor", "control", "blind", sim.ControlOn,
		"fault_supervisor_blind", "", 0.022, judged, false, passThreshold},
	{"supervisor", "control", "cuts_falsely", sim.ControlOff,
		"fault_supervisor_false", "", 0.022, judged, false, passSetpoint},
	{"control", "control", "hung_on", sim.ControlOn, "fault_control_on", "", 0.022, judged, false, passSetpoint},
	{"control", "control", "hung_off", sim.ControlOff, "fault_control_off", "", 0.022, judged, false, passSetpoint},
	{"output", "control", "output_welded", sim.RelayClosed,
		"fault_output_welded", "", 0.02, judged, false, followOutput},
	{"output", "control", "output_open", sim.RelayOpen,
		"fault_output_open", "", 0.00876, handbook, false, followOutput},

	{"circuit", "circuit", "tripped", sim.CircuitLost, "fault_circuit_tripped", "", 0.2, judged, true, openCircuit},
	{"mains", "mains", "lost", sim.MainsLost, "fault_mains_lost", "", 1.3545, outages, true, openMains},
	{"network", "network", "lost", sim.WayDead, "fault_network_lost", "", 21.9, homeNetworks, false, dropNetwork},
	// What alarms travel by, and who answers. A number or an account that nobody pays lapses, people change theirs.
	{"router", "router", "dead", sim.WayDead, "fault_router_dead", "", 0.1, judged, true, unplugRouter},
	{"router", "router", "line_lost", sim.WayDead, "fault_line_lost", "", 21.9, homeNetworks, false, dropNetwork},
	{"modem", "modem", "dead", sim.WayDead, "fault_modem_dead", "", 0.1, judged, false, callByWay},
	{"modem", "modem", "lapsed", sim.WayDead, "fault_modem_lapsed", "", 0.1, judged, false, callByWay},
	{"siren", "siren", "dead", sim.WayDead, "fault_siren_dead", "", 0.1, judged, false, callByWay},
	{"person", "person", "unreachable", sim.PersonGone, "fault_person_gone", "", 0.2, judged, false, callPerson},
	{"alarm", "alarm", "silent", sim.AlarmDead, "fault_alarm_silent", "", 0.1, judged, false, raiseAlarm},

	// Rates of the supply tree: trips without a cause and dead devices as in surveys of residual-current devices,
	// batteries as small sealed ones that nobody tests, each within a factor of three to ten.
	{"wet heater", "heater", "element_shorted", sim.CircuitLost,
		"fault_leaks_current", "", 0.01, judged, true, wetPlug},
	{"wet chiller", "chiller", "leaks_current", sim.CircuitLost,
		"fault_leaks_current", "", 0.005, judged, true, wetPlug},
	{"wet pump", "pump", "leaks_current", sim.CircuitLost, "fault_leaks_current", "", 0.01, judged, true, wetPlug},
	{"wet top-off pump", "top_off_pump", "leaks_current", sim.CircuitLost,
		"fault_leaks_current", "", 0.005, judged, true, wetPlug},
	// As often as mains are interrupted at all, by the years 2014 to 2023 of a large country.
	{"pump that stays off", "pump", "stays_off", sim.DeviceDead,
		"fault_stays_off", "", 1.3545, outages, false, stopMains},
	{"top-off pump that stays off", "top_off_pump", "stays_off", sim.DeviceDead,
		"fault_stays_off", "", 1.3545, outages, false, stopMains},
	{"circuit that trips at return", "circuit", "trips_at_return", sim.CircuitLost,
		"fault_trips_at_return", "", 1.3545, outages, true, letAllStart},
	{"residual-current device", "residual_current_device", "trips_without_cause", sim.CircuitLost,
		"fault_device_trips", "", 0.2, judged, true, pressButton},
	{"residual-current device", "residual_current_device", "does_not_trip", sim.ProtectionDead,
		"fault_device_dead", "", 0.007, judged, false, pressButton},
	{"strip", "strip", "failed", sim.CircuitLost, "fault_strip_failed", "", 0.02, judged, true, feelStrip},
	{"electronics", "circuit", "surge", sim.SurgeTaken, "fault_surge", "", 0.02, judged, true, spareClock},
	{"battery", "backup", "flat", sim.SourceDead, "fault_battery_flat", "", 0.15, judged, false, pullBackup},
	{"generator", "backup", "does_not_start", sim.SourceDead,
		"fault_generator_dead", "", 0.1, judged, false, pullBackup},

	// Plumbing. A hole is blocked and a valve leaks when they are asked for: so often that years hardly count.
	{"overflow", "overflow", "blocked", sim.WeirBlocked,
		"fault_overflow_blocked", "", 0.05, judged, false, clearOverflow},
	{"siphon hole", "return_line", "hole_blocked", sim.LineDrains,
		"fault_hole_blocked", "", 0.2, judged, false, freeLine},
	{"check valve", "return_line", "valve_sticks", sim.LineDrains,
		"fault_valve_sticks", "", 0.4, judged, false, freeLine},

	// A hose or fitting comes off or leaks; a seam of a vessel is a guess beside it.
	{"seam leak", "leak", "opens", sim.LeakOpens, "fault_leak_opens", "", 0.005, judged, false, lookForSalt},
	{"bulkhead leak", "leak", "opens", sim.LeakOpens, "fault_leak_opens", "", 0.01, judged, false, lookForSalt},
	{"hose leak", "leak", "opens", sim.LeakOpens, "fault_leak_opens", "", 0.02, judged, false, lookForSalt},

	{"room heating", "room_device", "stopped", sim.DeviceDead,
		"fault_room_heating_dead", "", 0.1, judged, true, watchRoom},
	{"room heating", "room_device", "stuck_on", sim.RoomStuck,
		"fault_room_stuck", "", 0.02, judged, true, watchRoom},
	{"room cooling", "room_device", "stopped", sim.DeviceDead,
		"fault_room_cooling_dead", "", 0.1, judged, true, watchRoom},
	{"room cooling", "room_device", "stuck_on", sim.RoomStuck,
		"fault_room_stuck", "", 0.02, judged, true, watchRoom},

	// A skimmer foams too wet after food, a dose or a bag of carbon; its air valve salts up.
	{"skimmer", "skimmer", "stopped", sim.DeviceDead, "fault_stands_still", "", 0.15, judged, true, emptyCup},
	{"skimmer", "skimmer", "foams_wet", sim.SkimsWet, "fault_foams_wet", "times", 1, judged, false, emptyCup},
	{"skimmer", "skimmer", "air_blocked", sim.AirBlocked, "fault_air_blocked", "", 0.5, judged, false, emptyCup},
	{"cup stop", "skimmer", "stop_fails", sim.StopDead, "fault_cup_stop_dead", "", 0.1, judged, false, liftStop},
	{"wet skimmer", "skimmer", "leaks_current", sim.CircuitLost,
		"fault_leaks_current", "", 0.01, judged, true, wetPlug},

	{"contactor", "contactor", "welded", sim.ContactorWelded,
		"fault_contactor_welded", "", 0.02, judged, false, followContacts},
	{"contactor", "contactor", "open", sim.ContactorOpen,
		"fault_contactor_open", "", 0.02, judged, false, followContacts},
	{"box", "box", "dead", sim.ControlOff, "fault_box_dead", "", 0.1, judged, true, unplugBox},
	{"box", "box", "frozen_idle", sim.ControlOff, "fault_box_frozen_idle", "", 0.05, judged, false, warmProbe},
	{"box", "box", "frozen_calling", sim.ControlOn, "fault_box_frozen_idle", "", 0.05, judged, false, warmProbe},
	{"box", "box", "restarted", sim.ControlOff, "fault_box_restarted", "", 1, judged, false, unplugBox},
	{"box", "box", "clock_wrong", sim.ClockWrong, "fault_clock_wrong", "time", 0.1, judged, false, readClock},
	{"box", "box", "clock_at_midnight", sim.ClockWrong, "fault_clock_midnight", "", 0.2, judged, false, readClock},
	// What is dosed, changed and let in. People fill containers: a wrong one once in twenty years of two.
	{"dosing pump", "dosing_pump", "stopped", sim.DeviceDead,
		"fault_dosing_dead", "", 0.15, judged, false, doseIntoCup},
	{"dosing pump", "dosing_pump", "programme_stuck_on", sim.ProgrammeOn,
		"fault_dosing_stuck_on", "", 0.02, judged, false, doseIntoCup},
	{"dosing pump", "dosing_pump", "delivers_double", sim.FlowWrong,
		"fault_dosing_double", "", 0.05, judged, false, doseIntoCup},
	{"dosing pump", "dosing_pump", "delivers_half", sim.FlowWrong,
		"fault_dosing_half", "", 0.2, judged, false, doseIntoCup},
	{"dosing pump", "dosing_pump", "air_in_line", sim.DeviceDead,
		"fault_dosing_air", "", 0.3, judged, false, lookIntoLine},
	{"dosing pump", "dosing_pump", "container_empty", sim.ReservoirEmpty,
		"fault_container_empty", "", 0.3, judged, false, lookIntoLine},
	{"dosing pump", "dosing_pump", "wrong_container", sim.ContentsWrong,
		"fault_container_wrong", "", 0.05, judged, false, readLabel},
	{"new water", "change_pump", "stopped", sim.DeviceDead,
		"fault_new_water_dead", "", 0.15, judged, false, changeIntoCan},
	{"new water", "change_pump", "programme_stuck_on", sim.ProgrammeOn,
		"fault_new_water_stuck_on", "", 0.02, judged, false, changeIntoCan},
	{"new water", "change_pump", "worn", sim.FlowWrong,
		"fault_change_worn", "share", 1, judged, false, changeIntoCan},
	{"new water", "change_pump", "container_empty", sim.ReservoirEmpty,
		"fault_container_empty", "", 0.3, judged, false, lookIntoLine},
	{"drain", "change_pump", "stopped", sim.DeviceDead, "fault_drain_dead", "", 0.15, judged, false, changeIntoCan},
	{"drain", "change_pump", "programme_stuck_on", sim.ProgrammeOn,
		"fault_drain_stuck_on", "", 0.02, judged, false, changeIntoCan},
	{"drain", "change_pump", "worn", sim.FlowWrong, "fault_change_worn", "share", 1, judged, false, changeIntoCan},
	{"gas valve", "carbon_dioxide", "valve_stuck_open", sim.ValveStuck,
		"fault_valve_open", "", 0.05, judged, false, closeValve},
	{"gas valve", "carbon_dioxide", "valve_stuck_shut", sim.DeviceDead,
		"fault_valve_shut", "", 0.05, judged, false, closeValve},
	{"gas valve", "carbon_dioxide", "programme_stuck_on", sim.ProgrammeOn,
		"fault_valve_open", "", 0.02, judged, false, closeValve},
	{"gas valve", "carbon_dioxide", "delivers_double", sim.FlowWrong,
		"fault_gas_double", "", 0.05, judged, false, readGauge},
	{"gas valve", "carbon_dioxide", "bottle_empty", sim.ReservoirEmpty,
		"fault_bottle_empty", "", 1, judged, false, readGauge},
	{"pH sensor", "sensor", "reads_high", sim.SensorOffset,
		"fault_ph_reads_high", "difference", 0.3, judged, false, dipProbe},
	{"pH sensor", "sensor", "reads_low", sim.SensorOffset,
		"fault_ph_reads_low", "difference", 0.3, judged, false, dipProbe},
	{"pH sensor", "sensor", "no_signal", sim.SensorLost, "fault_no_signal", "", 0.03, judged, false, dipProbe},
	{"pH sensor", "sensor", "frozen_low", sim.SensorFixed,
		"fault_ph_frozen", "reading", 0.02, judged, false, dipProbe},
	{"pH sensor", "sensor", "frozen_high", sim.SensorFixed,
		"fault_ph_frozen", "reading", 0.02, judged, false, dipProbe},
	{"conductivity sensor", "sensor", "reads_high", sim.SensorOffset,
		"fault_salinity_reads_high", "difference", 0.1, judged, false, compareMeter},
	{"conductivity sensor", "sensor", "reads_low", sim.SensorOffset,
		"fault_salinity_reads_low", "difference", 0.2, judged, false, compareMeter},
	{"conductivity sensor", "sensor", "no_signal", sim.SensorLost,
		"fault_no_signal", "", 0.03, judged, false, compareMeter},
	{"conductivity sensor", "sensor", "frozen", sim.SensorFixed,
		"fault_salinity_frozen", "reading", 0.02, judged, false, compareMeter},
	{"alarm on running", "alarm", "silent", sim.AlarmDead, "fault_alarm_silent", "", 0.1, judged, false, runOn},
}
