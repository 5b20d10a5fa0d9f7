package audit

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/text"
)

// ended is a fault of an element that ends in loss by heat after some hours; 0: its run switched without end.
func ended(id, element string, lossH float64) FaultReport {
	f := FaultReport{Fault: Fault{ID: id, Element: element, Sentence: text.Of("x", nil)}, Verdict: Lost}
	if lossH > 0 {
		f.FirstHarm, f.FirstLoss, f.HarmH, f.LossH = "overheated", "overheated", &lossH, &lossH
	}
	return f
}

// Faults that act through one thing and end alike are one finding, told by the one that ends first.
func TestFaultsAreGathered(t *testing.T) {
	w, _ := writing(t, guarded())
	w.unsound(Report{Faults: []FaultReport{ended("warm.a", "warm", 9), ended("heater.b", "heater", 5),
		ended("heater.c", "heater", 7), ended("chiller.d", "chiller", 3), {Verdict: Held}}})
	require.Len(t, w.list, 2)
	assert.Equal(t, []string{"warm.a", "heater.b", "heater.c"}, w.list[0].Faults)
	assert.Equal(t, []string{"heater"}, w.list[0].Elements)
	assert.Equal(t, "lost_overheated", w.list[0].Code)
	assert.Contains(t, w.list[0].Message.String(), "5")
	assert.NotContains(t, w.list[0].Message.String(), "9")
	assert.Equal(t, []string{"chiller.d"}, w.list[1].Faults)

	lost, endless := ended("a", "heater", 5), ended("b", "heater", 0)
	assert.Equal(t, "fault_loses", lost.End().Code)
	assert.Equal(t, "fault_switches_without_end", endless.End().Code)
}

// Who looks at most once a week is told nothing, and a tank without a heater neither.
func TestRareLooksAreTold(t *testing.T) {
	for _, c := range []struct {
		everyH float64
		heats  bool
		want   bool
	}{{168, true, false}, {169, true, true}, {169, false, false}} {
		p := bare()
		p.Attendance.LookEveryH, p.Attendance.LongestAbsenceH = c.everyH, ptr(400.0)
		w, _ := writing(t, p)
		if !c.heats {
			w.p.Heaters = nil
		}
		w.people()
		assert.Equal(t, c.want, slices.Contains(codes(w.list), "rarely_looked_at"), "%+v", c)
	}
}

// A trial that answers for several faults is told once, before those that answer for fewer.
func TestTrialsAnswerForSeveralFaults(t *testing.T) {
	fault := func(id, do string, with text.Params) FaultReport {
		return FaultReport{Fault: Fault{ID: id, Element: id, try: &test{do: do, expect: "e", doWith: with}},
			Hidden: true}
	}
	same := text.Params{"k": "v"}
	h := HandOver{Report: Report{Faults: []FaultReport{fault("a", "x", nil), fault("b", "y", same), fault("c", "y",
		same)}}}
	list := h.gather(func(f FaultReport) bool { return f.Hidden })
	require.Len(t, list, 2)
	assert.Equal(t, []string{"b", "c"}, list[0].Faults)
	assert.Equal(t, []string{"a"}, list[1].Faults)
	assert.Equal(t, "v", list[0].Do.Params["k"])
	assert.Equal(t, text.Of("x", element("a")), list[1].Do)
	assert.Empty(t, h.gather(func(FaultReport) bool { return false }))
}

// A lamp of 100 W that burns ten hours takes a kilowatt-hour a day.
func TestEnergyOfADay(t *testing.T) {
	for _, n := range single(t, bare()).Nominal {
		found := false
		for _, d := range n.Devices {
			if d.ID == "light" {
				assert.InDelta(t, 1, d.KWhPerDay, 1e-6, n.Room)
				found = true
			}
		}
		assert.True(t, found)
	}
}

// A strip on a strip is told, one on a circuit is not; 400 W at 100 V are more than 3.9 A, but not more than 4 A.
func TestStripsAndLoads(t *testing.T) {
	for _, c := range []struct {
		ratingA float64
		onStrip bool
		want    []string
	}{{4, false, nil}, {3.9, false, []string{"supply_overloaded"}}, {4, true, []string{"strip_on_a_strip"}}} {
		p := bare()
		p.Power.Circuits = []plan.Circuit{{ID: "wall", GroundFault: true}}
		p.Power.VoltageV = ptr(100.0)
		p.Power.Strips = []plan.Strip{{ID: "board", Supply: "wall", RatingA: &c.ratingA}, {ID: "other", Supply: "wall"}}
		if c.onStrip {
			p.Power.Strips[1].Supply = "board"
		}
		p.Heaters[0].Supply, p.Heaters[0].PowerW = ptr("board"), 300
		p.Lights[0].Supply, p.Lights[0].PowerW = ptr("board"), 100
		w, _ := writing(t, p)
		w.supply()
		var got []string
		for _, f := range w.list {
			if f.Code == "supply_overloaded" || f.Code == "strip_on_a_strip" {
				got = append(got, f.Code)
			}
		}
		assert.Equal(t, c.want, got, "%+v", c)
	}
}
