package audit

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/sim"
)

// What comes as far with nothing broken, no more than an hour later, is no fault's.
func TestWhatHappensAnyway(t *testing.T) {
	n := NominalReport{Crossings: []Crossing{{Loss: "diluted", ComfortH: ptr(1.0), HarmH: ptr(1.0), LossH: ptr(1.0)},
		{Loss: "chilled", ComfortH: ptr(5.0), HarmH: ptr(10.0)}}}
	for _, c := range []struct {
		name string
		c    Crossing
		want bool
	}{
		{"an hour sooner", Crossing{Loss: "chilled", ComfortH: ptr(4.0)}, true},
		{"more than that", Crossing{Loss: "chilled", ComfortH: ptr(3.9)}, false},
		{"later", Crossing{Loss: "chilled", ComfortH: ptr(50.0)}, true},
		{"harm an hour sooner", Crossing{Loss: "chilled", ComfortH: ptr(1.0), HarmH: ptr(9.0)}, true},
		{"harm two hours sooner", Crossing{Loss: "chilled", ComfortH: ptr(5.0), HarmH: ptr(8.0)}, false},
		{"loss besides", Crossing{Loss: "chilled", ComfortH: ptr(5.0), HarmH: ptr(10.0), LossH: ptr(20.0)}, false},
		{"another kind", Crossing{Loss: "overheated", ComfortH: ptr(5.0)}, false},
	} {
		assert.Equal(t, c.want, n.happensAnyway(c.c), c.name)
	}
}

// An alarm that is raised with nothing broken ten hours in, is raised by a fault where it is more than an hour sooner.
func TestWhatRaisesAnAlarm(t *testing.T) {
	rm := room{raisedS: []float64{sim.Never, 36000}}
	for _, c := range []struct {
		alarm int
		atS   float64
		want  bool
	}{{0, sim.Never, false}, {0, 0, true}, {0, 50000, true}, {1, 32399, true}, {1, 32400, false}, {1, 36000, false},
		{1, sim.Never, false}} {
		assert.Equal(t, c.want, rm.raisedByFault(c.alarm, c.atS), "%+v", c)
	}
}

// Of several absences the first hour of each step is kept, counted from the first day.
func TestStepsOfSeveralAbsences(t *testing.T) {
	assert.Nil(t, later(nil, 72))
	assert.InDelta(t, 75, *later(ptr(3.0), 72), 0)
	n := NominalReport{}
	n.merge(Crossing{Loss: "chilled", ComfortH: ptr(3.0)})
	n.merge(Crossing{Loss: "diluted", ComfortH: ptr(4.0), HarmH: ptr(5.0)})
	n.merge(Crossing{Loss: "chilled", ComfortH: ptr(75.0), HarmH: ptr(80.0), LossH: ptr(90.0)})
	n.merge(Crossing{Loss: "chilled", ComfortH: ptr(147.0), HarmH: ptr(150.0), LossH: ptr(155.0)})
	assert.Equal(t, []Crossing{{Loss: "chilled", ComfortH: ptr(3.0), HarmH: ptr(80.0), LossH: ptr(90.0)},
		{Loss: "diluted", ComfortH: ptr(4.0), HarmH: ptr(5.0)}}, n.Crossings)
}

// A run may take the events that are left, and one more by which that is seen, but no more than usual.
func TestEventsThatAreLeft(t *testing.T) {
	for _, c := range []struct{ events, usual, want int }{{40, 1000, 61}, {40, 50, 50}, {100, 1000, 1}, {150, 1000,
		1}} {
		r, rm := Report{Events: c.events, most: 100}, room{usual: c.usual, system: &sim.System{}}
		r.confine(&rm)
		assert.Equal(t, c.want, rm.system.MaxEvents, "%+v", c)
	}
}

// By which sort of path an alarm goes furthest, and whom each of its ways reaches.
func TestHowFarAnAlarmGoes(t *testing.T) {
	p := plan.Plan{
		Routers: []plan.Router{{ID: "router", Circuit: ptr("a"), BatteryH: 1}}, Modems: []plan.Modem{{ID: "modem"}},
		Sirens:  []plan.Siren{{ID: "horn"}, {ID: "lamp"}},
		Persons: []plan.Person{{ID: "kim", ReachedBy: []string{"router", "horn"}, AnsweredShare: ptr(0.9)}},
	}
	w := writer{p: p}
	for _, c := range []struct {
		alarm plan.Alarm
		want  string
		kinds []string
	}{
		{plan.Alarm{Paths: []string{"horn", "modem"}}, "cellular", []string{"audible", "cellular"}},
		{plan.Alarm{Paths: []string{"horn", "lamp"}}, "audible", []string{"audible", "audible"}},
		{plan.Alarm{Paths: []string{"lamp", "router"}}, "network", []string{"audible", "network"}},
		{plan.Alarm{Path: plan.AudiblePath}, "audible", []string{"audible"}},
		{plan.Alarm{Path: plan.NetworkPath}, "network", []string{"network"}},
		{plan.Alarm{Path: plan.CellularPath}, "cellular", []string{"cellular"}},
	} {
		assert.Equal(t, c.want, w.pathOf(c.alarm), "%+v", c.alarm)
		var kinds []string
		for _, x := range w.pathsOf(c.alarm) {
			kinds = append(kinds, x.Kind)
			switch x.ID {
			case "router", "horn":
				assert.Equal(t, []string{"kim"}, x.Reaches, x.ID)
			default:
				assert.Empty(t, x.Reaches, x.ID)
			}
		}
		assert.Equal(t, c.kinds, kinds, "%+v", c.alarm)
	}
}

// What somebody has to set besides: how long a pump may fill, a difference of two probes, how long a heater may run,
// the pH at which gas is let in, how long a cup lasts, and what comes back later.
func TestSettingsOfParts(t *testing.T) {
	h := HandOver{Report: Report{Plan: plan.Plan{
		Controls: []plan.Control{{ID: "fill", RunLimitMin: ptr(15.0)}, {ID: "acid", SetpointPH: ptr(8.2)},
			{ID: "none"}},
		Alarms:   []plan.Alarm{{ID: "apart", DifferK: ptr(1.5)}, {ID: "long", RunsMin: ptr(180.0)}, {ID: "none"}},
		Heaters:  []plan.Heater{{ID: "dry", HeightMM: ptr(0.0)}, {ID: "wet", HeightMM: ptr(-30.0)}, {ID: "none"}},
		Skimmers: []plan.Skimmer{{ID: "skimmer", CupL: 2, SkimmateLDay: 0.5}},
		Power: plan.Power{Circuits: []plan.Circuit{{ID: "a", BackAfterMin: ptr(1.0)}, {ID: "none"}},
			Strips: []plan.Strip{{ID: "board", BackAfterMin: ptr(2.0)}},
			Starts: []plan.Start{{Element: "chiller", BackAfterMin: ptr(3.0)}}},
	}}}
	h.settings()
	got := map[string]float64{}
	for _, s := range h.Settings {
		got[s.Element+" "+s.What.Code] = s.Value
	}
	assert.Equal(t, map[string]float64{"fill setting_run_limit": 15, "acid setting_opens_above_ph": 8.2,
		"apart setting_difference": 1.5, "long setting_longest_run": 180, "wet setting_under_water": 30,
		"skimmer setting_cup_lasts": 96, "a setting_back_after": 1, "board setting_back_after": 2,
		"chiller setting_back_after": 3}, got)
}

// The tightest of the rescues by an alarm is what it has to spare.
func TestWhatAnAlarmBeats(t *testing.T) {
	rescue := func(id, alarm string, spareH float64) FaultReport {
		return FaultReport{Fault: Fault{ID: id}, Verdict: Rescued, MarginH: &spareH, Alarm: &AlarmReport{ID: alarm}}
	}
	lost := rescue("d", "bell", 0.1)
	lost.Verdict = Lost
	h := HandOver{Report: Report{Plan: plan.Plan{Alarms: []plan.Alarm{{ID: "bell"}, {ID: "horn"}, {ID: "idle"}}},
		Faults: []FaultReport{rescue("a", "bell", 3), rescue("b", "horn", 9), rescue("c", "bell", 2), lost,
			rescue("e", "bell", 4), {Fault: Fault{ID: "f"}, Verdict: Held}}}}
	h.thresholds()
	assert.Equal(t, []string{"a", "c", "e"}, h.Thresholds[0].Beats)
	assert.InDelta(t, 2, *h.Thresholds[0].TightestH, 0)
	assert.Equal(t, []string{"b"}, h.Thresholds[1].Beats)
	assert.Empty(t, h.Thresholds[2].Beats)
	assert.Nil(t, h.Thresholds[2].TightestH)
}

// What acts on one part in two ways cannot both be; on two parts, or in ways that do not meet, it can.
func TestWhatContradictsItself(t *testing.T) {
	of := func(what sim.Fault, i int) Fault { return Fault{injections: []sim.Injection{{Fault: what, Index: i}}} }
	for _, c := range []struct {
		a, b Fault
		want bool
	}{
		{of(sim.ThermostatOpen, 1), of(sim.ThermostatClosed, 1), true},
		{of(sim.ThermostatOpen, 1), of(sim.ThermostatClosed, 2), false},
		{of(sim.ProgrammeOff, 1), of(sim.ProgrammeOn, 1), true}, {of(sim.RelayOpen, 1), of(sim.RelayClosed, 1), true},
		{of(sim.SensorFixed, 1), of(sim.SensorTrue, 1), true}, {of(sim.SensorLost, 1), of(sim.SensorFalse, 1), true},
		{of(sim.ControlOff, 1), of(sim.ControlOn, 1), true}, {of(sim.ContactorOpen, 1), of(sim.ContactorWelded, 1),
			true},
		{of(sim.DeviceDead, 1), of(sim.ThermostatOpen, 1), false},
	} {
		st := study{faults: []Fault{c.a, c.b}}
		assert.Equal(t, c.want, st.contradict(0, 1), "%+v", c)
		assert.Equal(t, c.want, st.contradict(1, 0), "%+v", c)
	}
}

// As many events as there may be are not too many.
func TestEventsAreCounted(t *testing.T) {
	r := Report{most: 5}
	assert.NoError(t, r.count(2))
	assert.NoError(t, r.count(3))
	assert.Error(t, r.count(1))
	assert.Equal(t, 6, r.Events)
}

// Drawn are the lost, then the harmed, then the tightest rescues, the soonest of each device and kind; nothing that
// comes anyway, or has no end.
func TestWhatIsWorthDrawing(t *testing.T) {
	full, _, err := plan.Complete(guarded())
	assert.NoError(t, err)
	harmed := func(f FaultReport) FaultReport { f.Verdict = Harmed; return f }
	rescued := func(element string, spareH float64) FaultReport {
		f := ended(element, element, 9)
		f.Verdict, f.MarginH = Rescued, &spareH
		return f
	}
	anyway := ended("anyway", "light", 1)
	anyway.Crossings = []Crossing{{Loss: "overheated", WithoutFault: true}}
	st := study{p: full, report: Report{Faults: []FaultReport{
		rescued("pump", 5), harmed(ended("a", "chiller", 2)), ended("b", "heater", 7), ended("c", "heater", 4),
		ended("d", "canister", 6), anyway, ended("endless", "other", 0), rescued("hot", 3), {Verdict: Held},
	}}}
	assert.Equal(t, []int{3, 4, 1, 7, 0}, st.worthDrawing(9))
	assert.Equal(t, []int{3, 4, 1}, st.worthDrawing(3))
	assert.Empty(t, st.worthDrawing(0))
	st.report.Faults = []FaultReport{ended("a", "heater", 3), ended("b", "chiller", 7)}
	assert.Equal(t, []int{0, 1}, st.worthDrawing(9), "the first of all is the soonest")
}

// A mark that the tank leaves with nothing broken is one of the same kind on the same part.
func TestWhatIsMarkedAnyway(t *testing.T) {
	rm := room{marks: []sim.Mark{{Kind: sim.CupFilled, Index: 1, AtS: 5}, {Kind: sim.CutoutTripped, Index: 2}}}
	assert.True(t, rm.marked(sim.Mark{Kind: sim.CupFilled, Index: 1, AtS: 9}))
	assert.False(t, rm.marked(sim.Mark{Kind: sim.CupFilled, Index: 3}))
	assert.False(t, rm.marked(sim.Mark{Kind: sim.StoodDry, Index: 1}))
	assert.False(t, rm.marked(sim.Mark{Kind: sim.CupFilled, Index: 2}))
}
