package audit

import (
	"context"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/sim"
	"saltwright/internal/calc/text"
)

// clockwork is bare() with what doses, changes and lets in, each by a clock of its own.
func clockwork() plan.Plan {
	p := bare()
	doses := &plan.Doses{ADay: 12, RunS: 10, FirstAt: "00:30"}
	p.DosingPumps = []plan.DosingPump{{ID: "doser", FlowMLMin: 30, PowerW: 5, Doses: doses,
		Container: plan.Container{VolumeL: 2, AlkalinityMeqL: 1000, Form: plan.CarbonateForm}},
		{ID: "other", FlowMLMin: 30, PowerW: 5, Doses: doses,
			Container: plan.Container{VolumeL: 2, CalciumMgL: 30000, Form: plan.CarbonateForm}}}
	p.ChangePumps = []plan.ChangePump{
		{ID: "out", Role: plan.Drain, FlowLH: 30, Doses: &plan.Doses{ADay: 2, RunS: 120, FirstAt: "03:00"}},
		{ID: "in", Role: plan.NewWater, FlowLH: 30, Doses: &plan.Doses{ADay: 2, RunS: 120, FirstAt: "03:05"},
			Container: &plan.FreshSeaWater{VolumeL: 20}}}
	p.CarbonDioxide = []plan.CarbonDioxide{{ID: "gas", FlowGH: 3, BottleG: 500, PowerW: 2, Into: plan.IntoReactor,
		DissolvesShare: 0.8, Doses: &plan.Doses{ADay: 2, RunS: 600, FirstAt: "12:00"}}}
	p.Reservoirs[0].LimeShare, p.Reservoirs[0].UsableShare = ptr(1.0), 0.8
	return p
}

// What each container has to hold for an absence of three days: 12 · 10 s of 30 mL/min are 60 mL a day, 2 · 120 s of
// 30 L/h are 2 L, 2 · 600 s of 3 g/h are 1 g.
func TestContainersAreSized(t *testing.T) {
	p, _, err := plan.Complete(clockwork())
	require.NoError(t, err)
	list, err := containersOf(p)
	require.NoError(t, err)
	by := map[string]Container{}
	for _, c := range list {
		by[c.Element] = c
		assert.LessOrEqual(t, c.LargestL, 250.0, c.Element)
	}
	assert.Len(t, by, 5)
	assert.InDelta(t, 0.18, by["doser"].SmallestL, 1e-9)
	assert.InDelta(t, 6, by["in"].SmallestL, 1e-9)
	assert.InDelta(t, 3, by["gas"].SmallestL, 1e-9)
	assert.InDelta(t, 3*p.EvaporationLD(), by["canister"].SmallestL, 1e-9)
	assert.InDelta(t, 20, by["canister"].HoldsL, 1e-9) // 0.8 of 25 L
	assert.True(t, by["gas"].Gas)
	p, _, err = plan.Complete(bare())
	require.NoError(t, err)
	list, err = containersOf(p)
	require.NoError(t, err)
	assert.Empty(t, list)
}

// 5 % of margin, in steps of 10 mL, unless there is no room between what lasts and what harms.
func TestWhatIsFilled(t *testing.T) {
	for _, c := range []struct{ smallest, largest, most, least float64 }{
		{1, 2, 1.9, 1.05}, {1.95, 2, 1.95, 2}, {1.234, 2, 1.9, 1.3}, {2.5, 2, 2, 2.5},
	} {
		x := Container{SmallestL: c.smallest, LargestL: c.largest}
		assert.InDelta(t, c.most, x.mostFilledL(), 1e-9, "%+v", c)
		assert.InDelta(t, c.least, x.leastFilledL(), 1e-9, "%+v", c)
	}
	at := Container{HoldsL: 2, SmallestL: 2, LargestL: 2}
	assert.True(t, at.Lasts())
	assert.True(t, at.Harmless())
	assert.False(t, Container{HoldsL: 2, SmallestL: 2.01}.Lasts())
	assert.False(t, Container{HoldsL: 2, LargestL: 1.99}.Harmless())
	for _, litres := range []float64{0, -1, 0.9, 2.1} {
		assert.Nil(t, Container{SmallestL: 1, LargestL: 2}.filled("x", "y", litres), "%g L", litres)
	}
	assert.NotNil(t, Container{SmallestL: 1, LargestL: 2}.filled("x", "y", 1))
	assert.NotNil(t, Container{SmallestL: 1, LargestL: 2}.filled("x", "y", 2))
	for _, id := range []string{"doser", "in", "canister"} {
		p := clockwork()
		Container{Element: id, SmallestL: 0.5, LargestL: 2}.filled("x", "y", 1.2).Edit(&p)
		was := clockwork()
		want := map[string]float64{"doser": 2, "other": 2, "in": 20, "canister": 25}
		want[id] = 1.2
		if id == "canister" { // of which 0.8 are of use
			want[id] = 1.5
		}
		assert.Equal(t, want, map[string]float64{"doser": p.DosingPumps[0].Container.VolumeL,
			"other": p.DosingPumps[1].Container.VolumeL, "in": p.ChangePumps[1].Container.VolumeL,
			"canister": p.Reservoirs[0].VolumeL}, id)
		assert.InDelta(t, 20, was.ChangePumps[1].Container.VolumeL, 0)
	}
}

// What is said of a container that holds too much, too little, both at once, or more than any filling would allow.
func TestWhatIsSaidOfContainers(t *testing.T) {
	for _, c := range []struct {
		name      string
		container Container
		codes     []string
		answers   []string
	}{
		{"as it should be", Container{HoldsL: 1.5, SmallestL: 1, LargestL: 2}, nil, nil},
		{"exactly both", Container{HoldsL: 1, SmallestL: 1, LargestL: 1}, nil, nil},
		{"too much", Container{HoldsL: 3, SmallestL: 1, LargestL: 2}, []string{"container_beyond_harm"},
			[]string{"smaller_container"}},
		{"too little", Container{HoldsL: 0.5, SmallestL: 1, LargestL: 2}, []string{"container_too_small"},
			[]string{"larger_container"}},
		{"too little and too much", Container{HoldsL: 3, SmallestL: 4, LargestL: 2},
			[]string{"container_beyond_harm", "container_too_small"}, []string{"", ""}},
		{"a bottle", Container{HoldsL: 3, SmallestL: 1, LargestL: 2, Gas: true}, []string{"container_beyond_harm"},
			[]string{""}},
		{"no water that is safe", Container{HoldsL: 3, SmallestL: 1}, []string{"container_beyond_harm"}, []string{""}},
	} {
		w := &writer{}
		w.containers([]Container{c.container})
		var codes, answers []string
		for _, f := range w.list {
			codes = append(codes, f.Code)
			if f.Answer == nil {
				answers = append(answers, "")
			} else {
				answers = append(answers, f.Answer.Code)
			}
		}
		assert.Equal(t, c.codes, codes, c.name)
		assert.Equal(t, c.answers, answers, c.name)
	}
}

// Which of a pump's ways to fail move how much, and what a wrong container holds.
func TestHowDosersFail(t *testing.T) {
	r := single(t, clockwork())
	values := map[string]float64{}
	for _, f := range r.Faults {
		if in := f.Fault.injections; len(in) == 1 && in[0].Fault == sim.FlowWrong {
			values[f.Fault.ID] = in[0].Value
		}
	}
	assert.InDelta(t, 2, values["doser.delivers_double"], 0)
	assert.InDelta(t, 0.5, values["doser.delivers_half"], 0)
	assert.InDelta(t, 0.9, values["out.worn"], 1e-12)
	p, _, err := plan.Complete(clockwork())
	require.NoError(t, err)
	s, err := sim.Compile(p, p.Room.Usual)
	require.NoError(t, err)
	b := &faultList{s: s}
	for id, want := range map[string]string{"doser": "other", "other": "doser", "out": ""} {
		i := slices.IndexFunc(s.Devices, func(d sim.Device) bool { return d.ID == id })
		got := b.otherContainer(s.Devices[i])
		assert.Equal(t, want != "", got >= 0, id)
		if got >= 0 {
			assert.Equal(t, want, s.Reservoirs[got].ID)
		}
	}
}

// A guard on pH or salinity is beyond harm from the limit on, and is moved halfway between comfort and harm.
func TestChemicalGuards(t *testing.T) {
	l := plan.Limits{ComfortHighPSU: ptr(36.0), HarmHighPSU: ptr(38.0), ComfortLowPSU: ptr(33.0), HarmLowPSU: ptr(30.0),
		ComfortHighPH: ptr(8.4), HarmHighPH: ptr(8.8), ComfortLowPH: ptr(7.8), HarmLowPH: ptr(7.5)}
	for _, c := range []struct {
		when    plan.When
		pH, psu *float64
		beyond  bool
		to      float64
	}{
		{plan.Above, ptr(8.8), nil, true, 8.6}, {plan.Above, ptr(8.79), nil, false, 8.6},
		{plan.Below, ptr(7.5), nil, true, 7.65}, {plan.Below, ptr(7.51), nil, false, 7.65},
		{plan.Above, nil, ptr(38.0), true, 37}, {plan.Above, nil, ptr(37.9), false, 37},
		{plan.Below, nil, ptr(30.0), true, 31.5}, {plan.Below, nil, ptr(30.1), false, 31.5},
	} {
		w := &writer{p: plan.Plan{Limits: l}}
		k := plan.Control{ID: "guard", When: &c.when, ThresholdPH: c.pH, ThresholdPSU: c.psu}
		w.chemicalGuard(k)
		assert.Equal(t, c.beyond, len(w.list) == 1, "%+v", c)
		p := plan.Plan{Controls: []plan.Control{k, {ID: "other", ThresholdPH: ptr(1.0), ThresholdPSU: ptr(2.0)}}}
		w.chemicalGuardAt(k).Edit(&p)
		at := p.Controls[0].ThresholdPH
		if c.pH == nil {
			at = p.Controls[0].ThresholdPSU
		}
		assert.InDelta(t, c.to, *at, 1e-9, "%+v", c)
		assert.Equal(t, []float64{1, 2}, []float64{*p.Controls[1].ThresholdPH, *p.Controls[1].ThresholdPSU})
	}
	w := &writer{p: plan.Plan{Limits: l}}
	w.chemicalGuard(plan.Control{ID: "temperature"})
	assert.Empty(t, w.list)
}

// Losses before harms, fewer faults first, then by kind and by name.
func TestOrderOfSets(t *testing.T) {
	inOrder := []CutSet{
		{Step: LossStep, Loss: "b", Faults: []string{"x"}}, {Step: LossStep, Loss: "a", Faults: []string{"a", "b"}},
		{Step: LossStep, Loss: "a", Faults: []string{"a", "c"}},
		{Step: LossStep, Loss: "b", Faults: []string{"a", "b"}},
		{Step: HarmStep, Loss: "a", Faults: []string{"a"}},
	}
	for i := range inOrder {
		for k := range inOrder {
			assert.Equal(t, i < k, before(inOrder[i], inOrder[k]), "%d %d", i, k)
		}
	}
}

// The first harm and the first loss of each room.
func TestEndingsAreTheFirst(t *testing.T) {
	of := func(step Step, atH float64) harm { return harm{way: way{"overheated", step}, atH: atH} }
	st := &study{rooms: []room{{name: Coldest}, {name: Usual}}, harms: [][][]harm{{
		{of(HarmStep, 5), of(LossStep, 9), of(HarmStep, 3), of(LossStep, 12), of(HarmStep, 4)}, {of(HarmStep, 7)}}}}
	assert.Equal(t, []Ending{{HarmStep, Coldest, 3, nil}, {LossStep, Coldest, 9, nil}, {HarmStep, Usual, 7, nil}},
		st.endings(0))
}

// More work the larger the plan, and four times as much where what is dissolved is followed; events are its inverse.
func TestWorkAndEvents(t *testing.T) {
	p := bare()
	assert.Equal(t, 1000, Events(1000, p))
	for plan.Elements(p) < 60 {
		p.Sensors = append(p.Sensors, probe("probe-"+string(rune('a'+len(p.Sensors)))))
	}
	assert.Equal(t, 500, Events(1000, p))
	assert.Equal(t, 1000, Work(500, p))
	for _, edit := range []func(p *plan.Plan){
		func(p *plan.Plan) { p.Chemistry = &plan.Chemistry{} },
		func(p *plan.Plan) { p.DosingPumps = []plan.DosingPump{{}} },
		func(p *plan.Plan) { p.ChangePumps = []plan.ChangePump{{}} },
		func(p *plan.Plan) { p.CarbonDioxide = []plan.CarbonDioxide{{}} },
		func(p *plan.Plan) { p.DosingPumps, p.ChangePumps = []plan.DosingPump{{}}, []plan.ChangePump{{}} },
		func(p *plan.Plan) { p.ChangePumps, p.CarbonDioxide = []plan.ChangePump{{}}, []plan.CarbonDioxide{{}} },
	} {
		q := bare()
		edit(&q)
		assert.Equal(t, 4000, Work(1000, q))
		assert.Equal(t, 250, Events(1000, q))
	}
}

// How far a fault stays from harm, from its own extremes: a mixed reef is harmed at 21.5 and 29.5 °C, below 30 and
// above 39.
func TestHowNearHarmComes(t *testing.T) {
	r := single(t, guarded())
	l := r.Plan.Limits
	for _, f := range r.Faults {
		x := f.Extremes
		assert.InDelta(t, math.Min(x.TempMinC-*l.HarmLowC, *l.HarmHighC-x.TempMaxC), f.NearestK, 1e-9, f.Fault.ID)
		assert.InDelta(t, math.Min(x.SalinityMin-*l.HarmLowPSU, *l.HarmHighPSU-x.SalinityMax), f.NearestPSU, 1e-9,
			f.Fault.ID)
		if f.Fault.ID == "pump.stopped" { // it dries out slowly, and nears the upper limit
			assert.InDelta(t, *l.HarmHighPSU-x.SalinityMax, f.NearestPSU, 1e-9)
		}
	}
}

// What takes a protection away, and which pairs are tried: one common cause with a single fault, never two of them.
func TestProtectionsAndPairs(t *testing.T) {
	p := guarded()
	p.Controls[0], p.Controls[1] = p.Controls[1], p.Controls[0] // the guard first
	p.Controls[0].Outputs = []string{"heater"}
	st, err := newCombining(context.Background(), p)
	require.NoError(t, err)
	protective := map[string]bool{}
	for _, f := range st.faults {
		protective[f.ID] = st.protects(f)
	}
	for id, want := range map[string]bool{
		"cut.blind": true, "cut.output_welded.heater": true, "hot.silent": true, "other.no_signal": true,
		"low.stuck_wet": true,
		"network.lost":  true, "warm.hung_on": false, "heater.element_open": false, "probe.no_signal": false,
		"pump.stopped": false, "mains.lost": false,
	} {
		got, there := protective[id]
		assert.True(t, there, id)
		assert.Equal(t, want, got, id)
	}
	commons := 0
	for _, pair := range st.candidates() {
		a, b := st.faults[pair[0]], st.faults[pair[1]]
		assert.False(t, len(a.Members) > 0 && len(b.Members) > 0, "%s and %s", a.ID, b.ID)
		if len(a.Members) > 0 || len(b.Members) > 0 {
			commons++
		}
	}
	assert.Positive(t, commons, "a common cause and a fault by itself")
}

// Supplies that an alarm cannot do without: up to what a backup carries, unless somebody has to start it.
func TestWhatCarriesASupply(t *testing.T) {
	for _, c := range []struct {
		name string
		edit func(p *plan.Power)
		want []string
	}{
		{"nothing", func(*plan.Power) {}, []string{"board", "wet", "guard"}},
		{"a battery on the circuit", func(p *plan.Power) { p.Circuits[0].BackupH = 1 }, []string{"board", "wet"}},
		{"a battery elsewhere", func(p *plan.Power) { p.Circuits[1].BackupH = 1 }, []string{"board", "wet", "guard"}},
		{"a backup of the strip", func(p *plan.Power) {
			p.Backups = []plan.Backup{{ID: "u", Supplies: []string{"board"}, Starts: plan.ByItself}}
		}, []string{"board"}},
		{"one that waits for a hand", func(p *plan.Power) {
			p.Backups = []plan.Backup{{ID: "u", Supplies: []string{"board"}, Starts: plan.ByHand}}
		}, []string{"board", "wet", "guard"}},
	} {
		p := twoOutlets()
		c.edit(&p.Power)
		assert.Equal(t, c.want, (&writer{p: p}).carriedBy("board"), c.name)
	}
}

// All ways of an alarm die with a circuit that feeds them, but for those with a battery.
func TestWaysThatDieWithACircuit(t *testing.T) {
	for _, c := range []struct {
		name              string
		ways              []string
		router, modem     float64 // h of battery
		routerOn, modemOn string
		want              bool
	}{
		{"a router", []string{"router"}, 0, 0, "wet", "wet", true},
		{"a router with a battery", []string{"router"}, 1, 0, "wet", "wet", false},
		{"a router elsewhere", []string{"router"}, 0, 0, "wall", "wet", false},
		{"both", []string{"router", "modem"}, 0, 0, "wet", "wet", true},
		{"one of both has a battery", []string{"router", "modem"}, 0, 2, "wet", "wet", false},
		{"one of both elsewhere", []string{"router", "modem"}, 0, 0, "wet", "wall", false},
	} {
		p := twoOutlets()
		p.Power.NetworkCircuit = nil
		p.Routers = []plan.Router{{ID: "router", BatteryH: c.router, Circuit: &c.routerOn}}
		p.Modems = []plan.Modem{{ID: "modem", BatteryH: c.modem, Circuit: &c.modemOn}}
		a := plan.Alarm{ID: "a", Paths: c.ways}
		assert.Equal(t, c.want, (&writer{p: p}).waysDieWith(a, "wet"), c.name)
	}
}

// What a heater above the water that is sure to cover it is told: how far it stands out.
func TestHeatersThatStandHigh(t *testing.T) {
	for _, c := range []struct {
		place    plan.Place
		height   float64
		whenDry  plan.WhenDry
		code     string
		above    float64
		severity Severity
	}{
		{plan.InDisplay, -10, plan.Shatters, "heater_above_drain_back", 5, Weak}, // 15 mm run back
		{plan.InDisplay, -10, plan.CutsOut, "heater_above_drain_back", 5, Note},
		{plan.InDisplay, 0, plan.Shatters, "heater_above_water", 0, Weak},
		{plan.InDisplay, 20, plan.Shatters, "heater_above_water", 20, Weak},
		{plan.InDisplay, -15, plan.Shatters, "", 0, ""},
		{plan.InDisplay, -14.5, plan.Shatters, "heater_above_drain_back", 0.5, Weak},
		{plan.InSump, -70, plan.Burns, "heater_above_intake", 40, Weak}, // the intake is half of 220 mm lower
	} {
		p := twoOutlets()
		p.Sump.ReturnIntakeMM = ptr(110.0)
		p.Heaters[0].Place, p.Heaters[0].HeightMM, p.Heaters[0].WhenDry = &c.place, &c.height, &c.whenDry
		w := &writer{p: p}
		w.heaters()
		if c.code == "" {
			assert.Empty(t, w.list)
			continue
		}
		require.Len(t, w.list, 1, "%+v", c)
		assert.Equal(t, c.code, w.list[0].Code)
		assert.Equal(t, c.severity, w.list[0].Severity)
		assert.InDelta(t, c.above, w.list[0].Message.Params["above"], 1e-9, "%+v", c)
	}
}

// A cup of 2 L at 0.5 L a day is full after 96 h: told where people are away for longer, and only of one that spills.
func TestCupsThatFillMeanwhile(t *testing.T) {
	for _, c := range []struct {
		awayH float64
		full  plan.FullCup
		want  int
	}{{96, plan.CupSpills, 0}, {97, plan.CupSpills, 1}, {97, plan.CupStops, 0}} {
		p := bare()
		p.Attendance.LongestAbsenceH = &c.awayH
		p.Skimmers = []plan.Skimmer{{ID: "first", CupL: 2, SkimmateLDay: 0.5, FullCup: c.full},
			{ID: "second", CupL: 9, SkimmateLDay: 0.1, FullCup: plan.CupSpills}}
		w := &writer{p: p}
		w.skimmers()
		require.Len(t, w.list, c.want, "%+v", c)
		if c.want > 0 {
			assert.InDelta(t, 96, w.list[0].Message.Params["full"], 1e-9)
			w.list[0].Answer.Edit(&p)
			assert.Equal(t, []plan.FullCup{plan.CupStops, plan.CupSpills},
				[]plan.FullCup{p.Skimmers[0].FullCup, p.Skimmers[1].FullCup})
		}
	}
}

// What starts more than sixty times an hour chatters.
func TestChattering(t *testing.T) {
	for starts, want := range map[float64]int{60 * 24: 0, 100 * 24: 1} {
		p := guarded()
		p.Controls[0].HysteresisK = 0.2
		w, _ := writing(t, p)
		w.rooms = make([]room, 1)
		w.nominal(Report{Nominal: []NominalReport{{Room: Usual, Devices: []DeviceUse{{ID: "heater",
			StartsPerDay: starts},
			{ID: "chiller", StartsPerDay: 3}}}}})
		require.Len(t, w.list, want, "%g", starts)
		if want > 0 {
			assert.Equal(t, []string{"heater"}, w.list[0].Elements)
			assert.InDelta(t, 100, w.list[0].Message.Params["starts"], 1e-9)
			w.list[0].Answer.Edit(&p)
			assert.InDelta(t, 1, p.Controls[0].HysteresisK, 1e-9, "five times as wide: twenty starts an hour are borne")
		}
	}
}

// Want of oxygen tells when it harms with more demand, and with less if it does; other ends tell nothing of it.
func TestSpreadOfOxygen(t *testing.T) {
	airless := FaultReport{Verdict: Harmed, FirstHarm: "airless", HarmH: ptr(5.0)}
	assert.Empty(t, spreadSentence(airless).Code)
	airless.Oxygen = &OxygenSpread{MostH: ptr(3.0), MostMgLH: 0.6, LeastMgLH: 0.2}
	assert.Equal(t, "oxygen_spread_or_never", spreadSentence(airless).Code)
	airless.Oxygen.LeastH = ptr(9.0)
	assert.Equal(t, text.Of("oxygen_spread", text.Params{"soonest": 3.0, "latest": 9.0, "most": 0.6, "least": 0.2}),
		spreadSentence(airless))
	airless.FirstHarm = "chilled"
	assert.Empty(t, spreadSentence(airless).Code)
}

// A low mark is moved to 15 mm below the line, or halfway to the intake; the one that the alarm reads, only.
func TestALowMarkIsMoved(t *testing.T) {
	for _, c := range []struct{ dropMM, want float64 }{{50, -15}, {20, -10}} {
		p := guarded()
		p.Display.IntakeDropMM, p.Sensors[2].HeightMM = c.dropMM, ptr(-19.0)
		p.Sensors = append(p.Sensors, plan.Sensor{ID: "mark", Kind: plan.LevelKind, HeightMM: ptr(5.0)})
		w, full := writing(t, p)
		w.soonerAlarm(full.Alarms[2]).Edit(&p)
		assert.InDelta(t, c.want, *p.Sensors[2].HeightMM, 0)
		assert.InDelta(t, 5, *p.Sensors[3].HeightMM, 0)
	}
}

// A fault acts through the output that fails, the first output of what fails or reads what fails, or itself.
func TestWhatAFaultActsThrough(t *testing.T) {
	w, _ := writing(t, guarded())
	w.p.Contactors = []plan.Contactor{{ID: "relay", Outputs: []string{"light", "heater"}}, {ID: "idle"}}
	for id, want := range map[string]string{
		"warm": "heater", "probe": "heater", "cut": "warm", "other": "other", "heater": "heater", "relay": "light",
		"idle": "idle", "hot": "hot",
	} {
		assert.Equal(t, want, w.subject(FaultReport{Fault: Fault{Element: id}}), id)
	}
	assert.Equal(t, "chiller", w.subject(FaultReport{Fault: Fault{Element: "warm", Output: "chiller"}}))
}
