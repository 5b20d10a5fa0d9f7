package audit

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/sim"
	"saltwright/internal/calc/text"
)

// What is said of each kind of harm is the peak of that kind. 1 meq/L of alkalinity are 2.8 degrees (10 mg/L of calcium
// oxide, 56.08 g/mol, half of that a mole of charge), 1 mmol/L of magnesium 24.3 mg/L (IUPAC's atomic weights).
func TestEachPeakIsTold(t *testing.T) {
	e := Extremes{TempMinC: 19, TempMaxC: 31, SalinityMin: 30, SalinityMax: 40, SpilledL: 5, LevelMinMM: -12,
		OxygenMinMgL: 2, SumpMaxC: 33, TempChangeK: 3, SalinityChange: 1.5, Dissolved: &sim.DissolvedPeaks{
			AlkalinityMin: 1, AlkalinityMax: 5, PHMin: 7.5, PHMax: 8.9, AragoniteMin: 0.8, AragoniteMax: 9,
			MagnesiumMin: 40, MagnesiumMax: 70}}
	for loss, want := range map[string]struct {
		name  string
		value float64
	}{
		"overheated": {"peak", 31}, "chilled": {"peak", 19}, "diluted": {"peak", 30}, "concentrated": {"peak", 40},
		"flooded": {"spilled", 5}, "run_dry": {"fall", 12}, "airless": {"least", 2}, "sump_hot": {"peak", 33},
		"temperature_shock": {"change", 3}, "salinity_shock": {"change", 1.5}, "alkalinity_low": {"peak", 2.804},
		"alkalinity_high": {"peak", 14.02}, "ph_low": {"peak", 7.5}, "ph_high": {"peak", 8.9},
		"dissolving": {"peak", 0.8}, "falling_out": {"peak", 9}, "magnesium_low": {"peak", 972.2},
		"magnesium_high": {"peak", 1701.4},
	} {
		said := how(loss, e)
		assert.Equal(t, "how_"+loss, said.Code)
		require.Contains(t, said.Params, want.name, loss)
		assert.InEpsilon(t, want.value, said.Params[want.name], 2e-4, loss)
	}
	e.OxygenMinMgL = 0
	assert.Equal(t, "how_out_of_oxygen", how("airless", e).Code)
	assert.Equal(t, "how_no_dark", how("no_dark", e).Code)
	assert.Equal(t, "how_no_light", how("no_light", e).Code)
	assert.Equal(t, "how_heater_dry", how("heater_dry", e).Code)
}

// Rescues by one alarm that leave little time are one finding, told by the tightest.
func TestTightRescuesAreGathered(t *testing.T) {
	tight := func(id, alarm string, spareH float64) FaultReport {
		return FaultReport{Fault: Fault{ID: id, Sentence: text.Of(id, nil)}, Verdict: Rescued, MarginH: &spareH,
			Alarm: &AlarmReport{ID: alarm}}
	}
	w := writer{}
	w.thin(Report{Faults: []FaultReport{tight("a", "bell", 1.5), tight("b", "horn", 1), tight("c", "bell", 0.5),
		tight("d", "bell", 2), tight("e", "bell", 1)}})
	require.Len(t, w.list, 2)
	assert.Equal(t, []string{"a", "c", "e"}, w.list[0].Faults)
	assert.Equal(t, []string{"bell"}, w.list[0].Elements)
	assert.Equal(t, text.Sentences(text.Of("thin_rescue", text.Params{"fault": text.Of("c", nil), "alarm": "bell",
		"spare": 0.5}), text.Of("others_as_close", text.Params{"count": 2})), w.list[0].Message)
	assert.Equal(t, []string{"b"}, w.list[1].Faults)
	assert.Equal(t, "thin_rescue", w.list[1].Message.Code, "there are no others")
}

// What happens with nothing broken: loss before damage before harm before discomfort, each at its own hour.
func TestWhatHappensByItselfIsTold(t *testing.T) {
	for _, c := range []struct {
		crossing Crossing
		code     string
		atH      float64
		severity Severity
	}{
		{Crossing{Loss: "chilled", ComfortH: ptr(1.0)}, "nominal_discomfort", 1, Weak},
		{Crossing{Loss: "chilled", ComfortH: ptr(1.0), HarmH: ptr(2.0)}, "nominal_harm", 2, Fatal},
		{Crossing{Loss: "flooded", ComfortH: ptr(1.0), HarmH: ptr(2.0)}, "nominal_damage", 2, Fatal},
		{Crossing{Loss: "chilled", ComfortH: ptr(1.0), HarmH: ptr(2.0), LossH: ptr(3.0)}, "nominal_loss", 3, Fatal},
	} {
		w := writer{}
		w.nominal(Report{Nominal: []NominalReport{{Room: Usual, Crossings: []Crossing{c.crossing}}}})
		require.Len(t, w.list, 1)
		assert.Equal(t, "nominal_"+c.crossing.Loss, w.list[0].Code)
		assert.Equal(t, c.severity, w.list[0].Severity, c.code)
		assert.Equal(t, c.code, w.list[0].Message.Code)
		assert.InDelta(t, c.atH, w.list[0].Message.Params["time"], 0, c.code)
	}
}

// Losses are told before harms, what ends first for each element, and a run without end where none ends.
func TestUnsoundFaultsAreInOrder(t *testing.T) {
	w, _ := writing(t, guarded())
	harmed := ended("a", "light", 4)
	harmed.Verdict = Harmed
	w.unsound(Report{Faults: []FaultReport{harmed, ended("b", "heater", 0), ended("c", "chiller", 0),
		ended("d", "chiller", 8), ended("e", "chiller", 6)}})
	var got []string
	for _, f := range w.list {
		got = append(got, f.Code+" "+f.Elements[0])
	}
	assert.Equal(t, []string{"lost_switching_without_end heater", "lost_switching_without_end chiller",
		"lost_overheated chiller", "harmed_overheated light"}, got)
	assert.InDelta(t, 6, w.list[2].Message.Params["list"].([]text.Text)[0].Params["time"], 0)
	assert.Equal(t, text.Params{"count": 1}, w.list[2].Message.Params["list"].([]text.Text)[1].Params)
}

// Which ways to fail a part has, by what the plan says of it.
func TestWaysToFailFollowThePlan(t *testing.T) {
	modes := func(p plan.Plan, element string) (out []string) {
		for _, f := range allFaults(t, p) {
			if f.Element == element {
				out = append(out, f.Mode)
			}
		}
		return out
	}
	p := bare()
	assert.Equal(t, []string{"left_empty"}, modes(p, "canister"), "it has no break to be blocked")
	p.Reservoirs[0].SiphonBreak = true
	assert.Equal(t, []string{"left_empty"}, modes(p, "canister"), "it stands too low to run by itself")
	p.Reservoirs[0].WaterAboveOutletMM = 200
	assert.Equal(t, []string{"left_empty", "break_blocked"}, modes(p, "canister"))
	assert.InDelta(t, 8, named(t, allFaults(t, p), "mains.lost").Sentence.Params["time"], 1e-9)
	p.Alarms = []plan.Alarm{{ID: "long", When: plan.RunsLong, Watches: "heater", RunsMin: ptr(180.0),
		Path: plan.CellularPath}, told("hot", "probe", plan.Above, ptr(28.0), plan.CellularPath)}
	p.Sensors = []plan.Sensor{probe("probe")}
	list := allFaults(t, p)
	assert.Equal(t, "try_run_on", named(t, list, "long.silent").try.do)
	assert.Equal(t, "try_raise_alarm", named(t, list, "hot.silent").try.do)
}

// A cup that stops its skimmer may fail to; one that spills has nothing to fail.
func TestACupStopMayFail(t *testing.T) {
	stops := func(full plan.FullCup) int {
		p := bare()
		p.Skimmers = []plan.Skimmer{newSkimmer("skimmer", 2, 0.15)}
		p.Skimmers[0].FullCup = full
		n := 0
		for _, f := range allFaults(t, p) {
			if f.Element == "skimmer" && f.breaks(sim.StopDead) {
				n++
			}
		}
		return n
	}
	assert.Equal(t, 1, stops(plan.CupStops))
	assert.Zero(t, stops(plan.CupSpills))
}

// Probes of pH and of salinity drift up and down by the same, and are told by how much.
func TestProbesDriftBothWays(t *testing.T) {
	p := bare()
	p.Sensors = []plan.Sensor{{ID: "ph", Kind: plan.PHKind}, {ID: "salt", Kind: plan.ConductivityKind}, probe("warm")}
	list := allFaults(t, p)
	for id, drift := range map[string]float64{"ph": plan.PHDrift, "salt": plan.ConductivityDriftPSU, "warm": 3} {
		assert.InDelta(t, drift, named(t, list, id+".reads_high").injections[0].Value, 1e-12, id)
		assert.InDelta(t, -drift, named(t, list, id+".reads_low").injections[0].Value, 1e-12, id)
		assert.InDelta(t, drift, named(t, list, id+".reads_low").Sentence.Params["difference"], 1e-12, id)
	}
}

// Where two dosers are all that has a clock or a container, each of them fails by both.
func TestTheFirstOfAllDosersFailsInEveryWay(t *testing.T) {
	p := bare()
	p.Lights, p.TopOffPumps, p.Reservoirs = nil, nil, nil
	p.DosingPumps = clockwork().DosingPumps
	for _, id := range []string{"doser", "other"} {
		list := allFaults(t, p)
		assert.NotEmpty(t, named(t, list, id+".programme_stuck_on").injections)
		wrong := named(t, list, id+".wrong_container")
		assert.Equal(t, map[string]string{"doser": "other", "other": "doser"}[id], wrong.Sentence.Params["other"])
	}
}
