package audit

import (
	"context"
	"fmt"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/sim"
	"saltwright/internal/calc/text"
)

// Whom alarms call, when, and by which ways: the bell travels by modem and router, the horn by the router alone; kim is
// reached by both ways, noor by the router. Somebody who is gone is called by nothing.
func TestWhoIsCalled(t *testing.T) {
	const h = secondsPerHour
	rm := room{raisedS: []float64{sim.Never, sim.Never},
		system: &sim.System{Ways: []sim.Way{{ID: "modem"}, {ID: "router"}},
			Alarms: []sim.Alarm{{ID: "bell", Ways: []int{0, 1}}, {ID: "horn", Ways: []int{1}}}},
		crew: crew{people: []plan.Person{{ID: "kim"}, {ID: "noor"}}, reached: [][]bool{{true, true}, {false, true}}}}
	gone := []sim.Injection{{Fault: sim.PersonGone, Index: 0}, {Fault: sim.SensorLost, Index: 1}}
	for _, c := range []struct {
		name       string
		raised     [][]float64
		injections []sim.Injection
		want       []plan.Call
	}{
		{"nothing", [][]float64{{sim.Never, sim.Never}, {sim.Never}}, nil, nil},
		{"at once, and the other later", [][]float64{{0, 2 * h}, {5 * h}}, nil,
			[]plan.Call{{Person: 0, Alarm: "bell", AtH: 0, Ways: "modem router"},
				{Person: 1, Alarm: "bell", AtH: 2, Ways: "router"}}},
		{"the second alarm sooner", [][]float64{{sim.Never, 4 * h}, {3 * h}}, nil,
			[]plan.Call{{Person: 0, Alarm: "horn", AtH: 3, Ways: "router"},
				{Person: 1, Alarm: "horn", AtH: 3, Ways: "router"}}},
		{"by the modem only", [][]float64{{h, sim.Never}, {sim.Never}}, nil,
			[]plan.Call{{Person: 0, Alarm: "bell", AtH: 1, Ways: "modem"}}},
		{"kim is gone", [][]float64{{0, 2 * h}, {5 * h}}, gone,
			[]plan.Call{{Person: 1, Alarm: "bell", AtH: 2, Ways: "router"}}},
	} {
		assert.Equal(t, c.want, rm.calls(c.raised, c.injections), c.name)
	}
	assert.True(t, rm.reaches(0, []float64{h, sim.Never}, nil))
	assert.False(t, rm.reaches(0, []float64{h, sim.Never}, gone), "noor has no modem")
	assert.True(t, rm.reaches(0, []float64{h, h}, gone))
	assert.False(t, rm.reaches(1, []float64{sim.Never}, nil))
	rm.crew = crew{people: rm.crew.people[:1], reached: rm.crew.reached[:1]}
	assert.Equal(t, []plan.Call{{Person: 0, Alarm: "bell", AtH: 0}}, rm.calls([][]float64{{0, h}, {sim.Never}}, nil),
		"whoever is alone misses nothing together with others")
}

// An answer takes a weakness away where it is gone, and no other has come but a note.
func TestWhatTakesAWeaknessAway(t *testing.T) {
	a, b := Finding{Code: "a", Severity: Weak}, Finding{Code: "b", Severity: Weak, Elements: []string{"x"}}
	note := Finding{Code: "c", Severity: Note}
	assert.True(t, takenAway(a, []Finding{a}, nil))
	assert.True(t, takenAway(a, []Finding{a, b}, []Finding{b}), "what was there may stay")
	assert.True(t, takenAway(a, []Finding{a}, []Finding{note}))
	assert.False(t, takenAway(a, []Finding{a}, []Finding{a}))
	assert.False(t, takenAway(a, []Finding{a}, []Finding{b}), "another has come")
	assert.False(t, takenAway(a, []Finding{a, b}, []Finding{{Code: "b", Severity: Weak, Elements: []string{"y"}}}))
}

// A check tries an answer for ten weaknesses, and says of the others that an audit does.
func TestTenAnswersAreTried(t *testing.T) {
	p := guarded()
	var list []Finding
	for i := range 12 {
		list = append(list, Finding{Code: "x", Elements: []string{fmt.Sprint(i)},
			Answer: &Change{Code: "y", Sentence: text.Of("y", nil), Edit: func(*plan.Plan) {}}})
	}
	full, _, err := plan.Complete(p)
	require.NoError(t, err)
	for i, f := range answered(p, append(weaknessesOf(full, nil), list...), nil)[len(weaknessesOf(full, nil)):] {
		want := "change_checked"
		if i+triedBefore(weaknessesOf(full, nil)) >= mostChecked {
			want = "change_audit_next"
		}
		assert.Equal(t, want, f.Change.Code, "%d", i)
	}
}

func triedBefore(list []Finding) (n int) {
	for _, f := range list {
		if f.Answer != nil {
			n++
		}
	}
	return n
}

// A container of another size is sized again before its answer is told: twelve times 5 s of 20 mL/min are 60 mL in
// three days, and of a quarter of the strength some four times as much does no harm.
func TestAContainerIsSizedAgain(t *testing.T) {
	p := dosing(5)
	p.DosingPumps[0].Container.AlkalinityMeqL = 500
	for volumeL, code := range map[float64]string{5: "container_beyond_harm", 0.02: "container_too_small"} {
		p.DosingPumps[0].Container.VolumeL = volumeL
		f, answered := found(t, p, code)
		require.NotNil(t, f.Answer, code)
		assert.True(t, answered, code)
	}
}

// What draws most above its running power comes back later: 250 W twelve times are 2750 W more, 700 W four times 2100.
func TestTheHardestStartWaits(t *testing.T) {
	p := hardStarts()
	p.Power.Starts[0].InrushTimes, p.Power.Starts[1].InrushTimes, p.Power.Starts[2].InrushTimes = 4, 12, 12
	f, answered := found(t, p, "trips_at_return")
	assert.True(t, answered)
	assert.Equal(t, text.Params{"element": "left"}, f.Answer.Sentence.Params)
}

// Trials that answer for as many faults stay in their order, and one that comes again joins the first.
func TestTrialsKeepTheirOrder(t *testing.T) {
	of := func(id, do string) FaultReport {
		return FaultReport{Fault: Fault{ID: id, Element: id, try: &test{do: do, expect: "e", doWith: text.Params{}}}}
	}
	h := HandOver{Report: Report{Faults: []FaultReport{of("a", "x"), of("b", "y"), of("c", "x"), of("d", "z")}}}
	var got [][]string
	for _, x := range h.gather(func(FaultReport) bool { return true }) {
		got = append(got, x.Faults)
	}
	assert.Equal(t, [][]string{{"a", "c"}, {"b"}, {"d"}}, got)
}

// Tried every month are what waits unseen, alarms that rescue, and what gives notice; nothing else.
func TestWhatIsTriedMonthly(t *testing.T) {
	of := func(id string, hidden bool, try *test) FaultReport {
		return FaultReport{Fault: Fault{ID: id, Element: id, try: try}, Hidden: hidden}
	}
	h := HandOver{Thresholds: []Threshold{{Alarm: "bell", Beats: []string{"x"}}, {Alarm: "idle"}},
		Report: Report{Faults: []FaultReport{of("seen", false, callHeat), of("hidden", true, letRun),
			of("bell", false, raiseAlarm), of("idle", false, raiseAlarm), of("strip", false, feelStrip)}}}
	h.monthly()
	var got []string
	for _, x := range h.Monthly {
		got = append(got, x.Element)
	}
	assert.Equal(t, []string{"hidden", "bell", "strip"}, got)
}

// A contact that lasts less than five years wants a band as much wider as ten years take: 4 years by 0.2 K are 10 years
// by 0.5 K.
func TestAWornContactWantsAWiderBand(t *testing.T) {
	p := guarded()
	p.Controls[0].HysteresisK = 0.2
	w, _ := writing(t, p)
	w.worn(Report{Contacts: []Contact{{Element: "cut", LifeY: 5}, {Element: "warm", Output: "heater", LifeY: 4},
		{Element: "idle", LifeY: math.Inf(1)}}})
	require.Len(t, w.list, 1)
	assert.Equal(t, "relay_wears_out", w.list[0].Message.Code)
	w.list[0].Answer.Edit(&p)
	assert.InDelta(t, 0.5, p.Controls[0].HysteresisK, 1e-9)
}

// The worst room is told; whether a fault that is held there waits unseen is told of the usual one.
func TestWhichRoomIsTold(t *testing.T) {
	of := func(room RoomName, v Verdict, nearestK float64, hidden bool) FaultReport {
		f := FaultReport{Room: room, Verdict: v, NearestK: nearestK, NearestPSU: 9, Hidden: hidden}
		if !hidden {
			f.RevealedBy = []text.Text{text.Of(string(room), nil)}
		}
		return f
	}
	held := worstOf([]FaultReport{of(Coldest, Held, 1, false), of(Usual, Held, 5, true), of(Warmest, Held, 3, false)})
	assert.Equal(t, Coldest, held.Room)
	assert.True(t, held.Hidden)
	assert.Empty(t, held.RevealedBy)
	held = worstOf([]FaultReport{of(Coldest, Held, 3, true), of(Usual, Held, 5, false), of(Warmest, Held, 1, true)})
	assert.Equal(t, Warmest, held.Room)
	assert.Equal(t, []text.Text{text.Of("usual", nil)}, held.RevealedBy)
	lost := worstOf([]FaultReport{of(Coldest, Lost, 3, false), of(Usual, Held, 1, true), of(Warmest, Held, 1, true)})
	assert.Equal(t, Coldest, lost.Room)
	assert.False(t, lost.Hidden)
}

// The plan says more of a circuit by its breaker, its residual-current device or a strip on it, and of no other.
func TestWhatIsSaidOfACircuit(t *testing.T) {
	p := plan.Plan{Power: plan.Power{Circuits: []plan.Circuit{{ID: "plain"}, {ID: "breaker", BreakerA: ptr(16.0)},
		{ID: "behind", ResidualCurrentDevice: ptr("guard")}, {ID: "strips"}},
		Strips: []plan.Strip{{ID: "board", Supply: "strips"}}}}
	b := faultList{p: p, s: &sim.System{Circuits: []sim.Circuit{{ID: "plain"}, {ID: "breaker"}, {ID: "behind"},
		{ID: "strips"}, {ID: "board"}}}}
	var got []bool
	for i := range b.s.Circuits {
		got = append(got, b.described(i))
	}
	assert.Equal(t, []bool{false, true, true, true, false}, got)
}

// A run is drawn for six tenths longer than to its end, for six hours at least, and no longer than the absence; in 240
// steps. Whoever goes away is drawn nothing.
func TestHowLongARunIsDrawn(t *testing.T) {
	a, err := Follow(context.Background(), bare())
	require.NoError(t, err)
	list, err := a.Timelines(context.Background(), 4)
	require.NoError(t, err)
	require.NotEmpty(t, list)
	for _, x := range list {
		assert.InDelta(t, math.Min(72, math.Max(1.6**x.Fault.EndsH(), 6)), x.HoursH, 1e-9, x.Fault.Fault.ID)
		assert.InDelta(t, 241, len(x.Samples), 2, x.Fault.Fault.ID)
		assert.InDelta(t, x.HoursH*secondsPerHour, x.Samples[len(x.Samples)-1].AtS, 1e-6*x.HoursH*secondsPerHour)
		assert.Equal(t, a.Report.Plan.Limits, x.Limits)
	}
	gone, leave := context.WithCancel(context.Background())
	leave()
	_, err = a.Timelines(gone, 4)
	assert.ErrorIs(t, err, context.Canceled)
	_, err = Follow(gone, bare())
	assert.ErrorIs(t, err, context.Canceled)
}

// A run that was cut short before anything was harmed is never called safe: it counts as harm and as loss, at the hour
// at which it was cut.
func TestARunThatIsCutShortIsNotSafe(t *testing.T) {
	st, err := newStudy(context.Background(), bare())
	require.NoError(t, err)
	rm := &st.rooms[1]
	rm.system.MaxEvents = 5
	course, err := sim.Run(context.Background(), rm.system, &rm.start, nil, 72*secondsPerHour)
	require.NoError(t, err)
	require.True(t, course.Truncated)
	o := newOutcome(rm.system, course)
	require.Empty(t, o.crossings)
	list := rm.harmsOf(o, nil)
	require.Len(t, list, 2)
	for k, step := range []Step{HarmStep, LossStep} {
		assert.Equal(t, way{switchingWithoutEnd, step}, list[k].way)
		assert.InDelta(t, course.EndS/3600, list[k].atH, 1e-9)
		assert.True(t, list[k].late)
	}
	o.crossings = []Crossing{{Loss: "chilled", HarmH: ptr(1.0)}}
	list = rm.harmsOf(o, nil)
	require.Len(t, list, 1, "its own harm is told")
	assert.Equal(t, "chilled", list[0].loss)
}

// A cup of 2 L that foams 2 L a day is full after a day, which is told with the hour.
func TestWhatSteppedInIsToldWithItsHour(t *testing.T) {
	p := bare()
	p.Skimmers = []plan.Skimmer{newSkimmer("skimmer", 2, 0.2)}
	p.Skimmers[0].FullCup = plan.CupStops
	f := fault(t, single(t, p), "skimmer.foams_wet")
	i := slices.IndexFunc(f.StoppedBy, func(x text.Text) bool {
		return x.Params["what"].(text.Text).Code == "mark_cup_full"
	})
	require.GreaterOrEqual(t, i, 0)
	assert.InDelta(t, 24, f.StoppedBy[i].Params["time"], 0.1)
}

// What tells somebody at home that something is wrong: what steps in and is not a heater's own dial, water that leaves
// comfort, and a lamp that gives by more than a fiftieth less than usual.
func TestWhatReveals(t *testing.T) {
	rm := room{system: &sim.System{Devices: []sim.Device{{ID: "lamp", Kind: sim.Light}, {ID: "heater",
		Kind: sim.Heater}},
		Circuits: []sim.Circuit{{ID: "a"}}}, devices: []sim.DeviceUse{{EnergyJ: 100}, {EnergyJ: 100}},
		marks: []sim.Mark{{Kind: sim.CupFilled, Index: 1}}}
	usual := []sim.DeviceUse{{EnergyJ: 100}, {EnergyJ: 50}}
	for _, c := range []struct {
		name    string
		fault   Fault
		crossed []Crossing
		marks   []sim.Mark
		devices []sim.DeviceUse
		want    []string
	}{
		{"nothing", Fault{}, nil, nil, usual, nil},
		{"a look", Fault{noticed: true}, nil, nil, usual, []string{"revealed_by_look"}},
		{"a circuit", Fault{}, nil, []sim.Mark{{Kind: sim.CircuitDied}}, usual, []string{"mark_circuit_dead"}},
		{"its own dial", Fault{}, nil, []sim.Mark{{Kind: sim.ThermostatTookOver, Index: 1}}, usual, nil},
		{"a heater that stands dry", Fault{}, nil, []sim.Mark{{Kind: sim.StoodDry, Index: 1}}, usual, nil},
		{"what happens anyway", Fault{}, nil, []sim.Mark{{Kind: sim.CupFilled, Index: 1}}, usual, nil},
		{"comfort", Fault{}, []Crossing{{Loss: "chilled"}, {Loss: "diluted", WithoutFault: true}}, nil, usual,
			[]string{"revealed_by_comfort"}},
		{"a dim lamp", Fault{}, nil, nil, []sim.DeviceUse{{EnergyJ: 97}, {}}, []string{"revealed_by_light"}},
		{"a bright lamp", Fault{}, nil, nil, []sim.DeviceUse{{EnergyJ: 103}, {}}, []string{"revealed_by_light"}},
		{"one that nobody sees to be dim", Fault{}, nil, nil, []sim.DeviceUse{{EnergyJ: 98}, {}}, nil},
	} {
		r := FaultReport{Fault: c.fault, Crossings: c.crossed}
		r.reveal(&rm, nil, c.marks, c.devices)
		var got []string
		for _, x := range r.RevealedBy {
			got = append(got, x.Code)
		}
		assert.Equal(t, c.want, got, c.name)
		assert.Equal(t, len(c.want) == 0, r.Hidden, c.name)
	}
}
