package remedy

import (
	"context"
	"errors"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc/audit"
	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/text"
)

// ending is a fault and how it ends; what ends badly does so by want of air after 30 h.
func ending(id string, v audit.Verdict) audit.FaultReport {
	f := audit.FaultReport{Fault: audit.Fault{ID: id, Sentence: text.Of(id, nil)}, Verdict: v}
	if !v.Sound() {
		f.FirstHarm, f.HarmH, f.FirstLoss, f.LossH = "airless", new(30.0), "airless", new(30.0)
	}
	return f
}

// rescued is a fault that somebody comes for so many hours before harm.
func rescued(id string, spareH float64) audit.FaultReport {
	f := ending(id, audit.Rescued)
	f.MarginH, f.HarmH, f.FirstHarm = &spareH, new(30.0), "chilled"
	return f
}

// crossed is a tank that, with nothing broken, leaves its comfort in some ways, and comes to harm in others.
func crossed(room audit.RoomName, comfort, harm []string) audit.NominalReport {
	n := audit.NominalReport{Room: room}
	for _, loss := range comfort {
		n.Crossings = append(n.Crossings, audit.Crossing{Loss: loss, ComfortH: new(1.0)})
	}
	for _, loss := range harm {
		n.Crossings = append(n.Crossings, audit.Crossing{Loss: loss, ComfortH: new(1.0), HarmH: new(2.0)})
	}
	return n
}

// A finding about the faults a and b is mended as well as the worse of them ends: with less than half an hour not at
// all, with less than two hours barely, and where time is what it is about only with two hours.
func TestHowWellAFindingIsMended(t *testing.T) {
	for _, c := range []struct {
		name, code string
		list       []audit.FaultReport
		want       grade
	}{
		{"held", "x", []audit.FaultReport{ending("a", audit.Held), ending("b", audit.Held)}, well},
		{"lost", "x", []audit.FaultReport{ending("a", audit.Held), ending("b", audit.Lost)}, no},
		{"harmed", "x", []audit.FaultReport{ending("a", audit.Harmed), ending("b", audit.Held)}, no},
		{"another is lost", "x", []audit.FaultReport{ending("a", audit.Held), ending("c", audit.Lost)}, well},
		{"two hours", "x", []audit.FaultReport{rescued("a", 2), ending("b", audit.Held)}, well},
		{"less than two", "x", []audit.FaultReport{rescued("a", 1.9), ending("b", audit.Held)}, barely},
		{"half an hour", "x", []audit.FaultReport{rescued("a", 0.5)}, barely},
		{"less than half an hour", "x", []audit.FaultReport{ending("b", audit.Held), rescued("a", 0.4)}, no},
		{"of another fault", "x", []audit.FaultReport{rescued("c", 0.4)}, well},
		{"two hours are time", "thin_rescue", []audit.FaultReport{rescued("a", 2)}, well},
		{"less is not", "thin_rescue", []audit.FaultReport{rescued("a", 1.9)}, no},
		{"neither is there any more", "x", nil, well},
	} {
		assert.Equal(t, c.want, gradeOf(c.list, &audit.Finding{Code: c.code, Faults: []string{"a", "b"}}), c.name)
	}
}

// What a change may not bring with it.
func TestWhatAChangeMayNotBring(t *testing.T) {
	of := func(ids ...string) (s Score) {
		s.Unsound = map[string]bool{}
		for _, id := range ids {
			s.Unsound[id] = true
		}
		return s
	}
	assert.False(t, added(of("a"), of("a", "b")), "one less")
	assert.True(t, added(of("a", "c"), of("a", "b")), "another")

	comfort := func(room audit.RoomName, losses ...string) audit.Report {
		return audit.Report{Nominal: []audit.NominalReport{crossed(room, losses, nil)}}
	}
	assert.False(t, discomforts(comfort(audit.Coldest, "chilled"), comfort(audit.Coldest, "chilled", "diluted")))
	assert.True(t, discomforts(comfort(audit.Coldest, "chilled"), comfort(audit.Coldest, "diluted")), "another way")
	assert.True(t, discomforts(comfort(audit.Coldest, "chilled"), comfort(audit.Usual, "chilled")), "another room")
	assert.False(t, discomforts(comfort(audit.Coldest), comfort(audit.Coldest)))

	finding := audit.Finding{Code: "x", Elements: []string{"a"}}
	assert.True(t, takenAway(finding, nil))
	assert.False(t, takenAway(finding, []audit.Finding{{Code: "y"}, finding}))
	assert.True(t, takenAway(finding, []audit.Finding{{Code: "x", Elements: []string{"b"}}}), "of another element")
	assert.True(t, takenAway(finding, []audit.Finding{{Code: "y", Elements: []string{"a"}}}), "another finding")
}

// How a changed plan stands beside the plan as it is: there a is lost, b is held, c is rescued by an hour, d by five,
// and the tank leaves comfort by itself in one way and is harmed in another.
func TestAPlanBesideAnother(t *testing.T) {
	base := audit.Report{Nominal: []audit.NominalReport{crossed(audit.Usual, []string{"diluted"}, nil)},
		Faults: []audit.FaultReport{ending("a", audit.Lost), ending("b", audit.Held), rescued("c", 1), rescued("d", 5)}}
	harmed := base
	harmed.Nominal = []audit.NominalReport{crossed(audit.Usual, nil, []string{"airless"})}
	all := func(change audit.FaultReport) []audit.FaultReport {
		out := append([]audit.FaultReport(nil), base.Faults...)
		for i := range out {
			if out[i].Fault.ID == change.Fault.ID {
				out[i] = change
				return out
			}
		}
		return append(out, change)
	}
	salty := ending("b", audit.Lost)
	salty.FirstLoss = "diluted"
	for _, c := range []struct {
		name                string
		base                audit.Report
		nominal             []audit.NominalReport
		faults              []audit.FaultReport
		worse, idle, mended bool
	}{
		{"the same", base, base.Nominal, base.Faults, false, true, false},
		{"a is only harmed", base, base.Nominal, all(ending("a", audit.Harmed)), false, false, false},
		{"a is held", base, base.Nominal, all(ending("a", audit.Held)), false, false, false},
		{"b is lost", base, base.Nominal, all(ending("b", audit.Lost)), true, true, false},
		{"b is rescued by little", base, base.Nominal, all(rescued("b", 1.9)), true, true, false},
		{"b is rescued", base, base.Nominal, all(rescued("b", 2)), false, true, false},
		{"c has time", base, base.Nominal, all(rescued("c", 2)), false, false, false},
		{"c has a little more time", base, base.Nominal, all(rescued("c", 1.9)), false, true, false},
		{"c is harmed", base, base.Nominal, all(ending("c", audit.Harmed)), true, true, false},
		{"d has little time", base, base.Nominal, all(rescued("d", 1)), true, true, false},
		{"what is new is lost", base, base.Nominal, all(ending("z", audit.Lost)), false, true, false},
		{"b is lost as the tank is by itself", harmed, harmed.Nominal, all(ending("b", audit.Lost)), false, true,
			false},
		{"b is lost where the tank leaves its comfort by itself", base, base.Nominal, all(salty), true, true, false},
		{"no harm by itself any more", harmed, base.Nominal, base.Faults, false, false, true},
		{"harm by itself", base, harmed.Nominal, base.Faults, true, true, false},
	} {
		var s Score
		s.compare(audit.Report{Nominal: c.nominal, Faults: c.faults}, c.base)
		assert.Equal(t, []bool{c.worse, c.idle, c.mended}, []bool{s.Worse, s.Idle, s.Mended}, c.name)
		for _, o := range s.Outcomes {
			assert.Contains(t, []string{"a", "c"}, o.Was.Fault.ID, c.name)
		}
	}
}

// What a plan comes to: of six faults two are lost, one is harmed, one is rescued by little.
func TestWhatAPlanComesTo(t *testing.T) {
	r := report(t, equipped(sent()))
	r.Faults = []audit.FaultReport{ending("a", audit.Lost), ending("b", audit.Lost), ending("c", audit.Harmed),
		rescued("d", 1.9), rescued("e", 2), ending("f", audit.Held)}
	r.Events = 70
	s := scoreOf(r, nil)
	assert.Equal(t, map[string]bool{"a": true, "b": true, "c": true}, s.Unsound)
	assert.Equal(t, map[string]bool{"a": true, "b": true, "c": true, "d": true}, s.Left)
	assert.Equal(t, []int{2, 1, 1, 70}, []int{s.Lost, s.Harmed, s.Thin, s.Events})
	assert.False(t, s.Idle, "beside nothing")
	r.Nominal = []audit.NominalReport{crossed(audit.Usual, nil, []string{"chilled"})}
	s = scoreOf(r, &r)
	assert.True(t, s.Unsound[nominal])
	assert.True(t, s.Left[nominal])
	assert.True(t, s.Idle, "beside itself")
}

// Changes are sought against what was lost and what was harmed first, by faults and with nothing broken, and against
// what was rescued by little.
func TestWhatIsSoughtAgainst(t *testing.T) {
	p := equipped(sent())
	lost, held := ending("a", audit.Lost), ending("b", audit.Held)
	lost.FirstHarm, held.FirstHarm = "chilled", "overheated"
	for _, c := range []struct {
		name         string
		faults       []audit.FaultReport
		nominal      audit.NominalReport
		spare, cools bool // heater against cold, chiller or fan against heat
	}{
		{"nothing", []audit.FaultReport{held}, audit.NominalReport{}, false, false},
		{"the first harm", []audit.FaultReport{held, lost}, audit.NominalReport{}, true, false},
		{"what is rescued by little", []audit.FaultReport{rescued("c", 1.9)}, audit.NominalReport{}, true, false},
		{"what is rescued", []audit.FaultReport{rescued("c", 2)}, audit.NominalReport{}, false, false},
		{"comfort", nil, crossed(audit.Usual, []string{"overheated"}, nil), false, false},
		{"harm with nothing broken", nil, crossed(audit.Usual, nil, []string{"overheated"}), false, true},
	} {
		r := report(t, p)
		r.Faults, r.Nominal = c.faults, []audit.NominalReport{c.nominal}
		codes := map[string]bool{}
		for _, x := range Candidates(r, p) {
			codes[x.Code] = true
		}
		assert.Equal(t, []bool{c.spare, c.cools}, []bool{codes["spare_heater"], codes["fan"]}, c.name)
	}
}

// A change that only calls somebody does not mend what the tank does by itself: who is called, by what, when, and by
// which sensor. Another guard, another device or another absence does.
func TestWhatOnlyCalls(t *testing.T) {
	for _, c := range []struct {
		name string
		edit func(p *plan.Plan)
		want bool
	}{
		{"an alarm", func(p *plan.Plan) { p.Alarms[0].ThresholdC = new(20.0) }, true},
		{"its own sensor", func(p *plan.Plan) { addSensor(p, plan.NewSensor("more", plan.TemperatureKind)) }, true},
		{"the sensor of a control", func(p *plan.Plan) { p.Sensors[1].Place = new(plan.InSump) }, false},
		{"a person", func(p *plan.Plan) { p.Persons = append(p.Persons, plan.Person{ID: "x"}) }, true},
		{"a quicker one", func(p *plan.Plan) { p.Attendance.ResponseH = new(1.0) }, true},
		{"a modem", func(p *plan.Plan) { p.Modems = append(p.Modems, plan.Modem{ID: "x"}) }, true},
		{"the router's circuit", func(p *plan.Plan) { p.Power.NetworkCircuit = new("two") }, true},
		{"a shorter absence", func(p *plan.Plan) { p.Attendance.LongestAbsenceH = new(1.0) }, false},
		{"a heater", func(p *plan.Plan) { p.Heaters[0].PowerW = 1 }, false},
		{"a control", func(p *plan.Plan) { p.Controls[1].HysteresisK = 0.9 }, false},
	} {
		p := equipped(sent())
		edited := p.Clone()
		c.edit(&edited)
		assert.Equal(t, c.want, onlyCalls(p, edited), c.name)
	}
}

func TestHowFarASearchWent(t *testing.T) {
	assert.Equal(t, text.Of("change_nothing_known", nil), howFar(0, 0))
	assert.Equal(t, text.Of("change_no_time", nil), howFar(0, 3))
	assert.Equal(t, text.Of("change_time_ran_out", text.Params{"count": 2, "known": 3.0}), howFar(2, 3))
	assert.Equal(t, text.Of("change_none_alone", text.Params{"count": 3}), howFar(3, 3))
}

// What is tried for a finding: against the harm of its own faults alone, against the kind that a nominal one names;
// where little time is left, what brings help sooner comes first; where there is no harm, its own answer.
func TestWhatIsTriedForAFinding(t *testing.T) {
	p := equipped(sent())
	p.Alarms[0].DelayMin = 20
	x := adviser{sent: p, r: report(t, p, "chilled", "no_dark")}
	codes := func(f audit.Finding) (out []string) {
		for _, c := range x.against(&f) {
			out = append(out, c.Code)
		}
		return out
	}
	cold := codes(audit.Finding{Code: "fault_chilled", Faults: []string{"0.chilled"}})
	assert.Contains(t, cold, "spare_heater")
	assert.NotContains(t, cold, "dark_night")
	assert.NotContains(t, codes(audit.Finding{Code: "x", Faults: []string{"1.no_dark"}}), "spare_heater")
	assert.Contains(t, codes(audit.Finding{Code: "nominal_overheated"}), "fan")
	assert.Empty(t, codes(audit.Finding{Code: "x"}))
	assert.Equal(t, []string{"own"}, codes(audit.Finding{Code: "x", Answer: &Change{Code: "own"}}))
	sooner := codes(audit.Finding{Code: "thin_rescue", Faults: []string{"0.chilled"}})
	assert.ElementsMatch(t, cold, sooner)
	assert.Equal(t, []string{"alarm_threshold", "alarm_delay", "faster_response"}, sooner[:3])
	assert.NotEqual(t, cold, sooner)
	assert.Less(t, indexOf(sooner, "spare_heater"), indexOf(sooner, "temperature_alarm"), "the others as they were")
}

func indexOf(list []string, wanted string) int {
	for i, x := range list {
		if x == wanted {
			return i
		}
	}
	return len(list)
}

// made is a change that has been audited: it makes faults end so, and helps the plan or not.
func made(code string, helps bool, faults ...audit.FaultReport) *trial {
	t := &trial{change: Change{Code: code, Sentence: text.Of(code, nil)}, after: audit.Report{Faults: faults},
		clean: helps, helps: helps}
	t.edited.Name = code
	return t
}

// With no work left, what was audited for one finding is told of every finding that it mends: of nothing that is only a
// note, has an answer of its own, or is answered already; and never what is refused.
func TestWhatWasTriedIsToldWhereItMends(t *testing.T) {
	held := made("held", true, ending("a", audit.Held))
	by := func(code string) text.Text { return text.Of(code, nil) }
	for _, c := range []struct {
		name    string
		finding audit.Finding
		trials  []*trial
		want    string // the change that is told; empty: none
	}{
		{"it mends", audit.Finding{Severity: audit.Fatal, Faults: []string{"a"}}, []*trial{held}, "held"},
		{"the first that does", audit.Finding{Severity: audit.Weak, Faults: []string{"a"}},
			[]*trial{made("lost", true, ending("a", audit.Lost)), made("dear", false, ending("a", audit.Held)), held},
			"held"},
		{"by little", audit.Finding{Severity: audit.Weak, Faults: []string{"a"}},
			[]*trial{made("little", true, rescued("a", 1))}, "little"},
		{"a note", audit.Finding{Severity: audit.Note, Faults: []string{"a"}, Change: by("kept")},
			[]*trial{made("little", true, rescued("a", 1))}, ""},
		{"one with an answer", audit.Finding{Severity: audit.Weak, Change: by("kept"), Code: "x",
			Answer: &Change{Code: "own", Edit: func(*plan.Plan) {}}}, []*trial{held}, ""},
		{"one that is answered", audit.Finding{Severity: audit.Weak, Change: by("kept"), Faults: []string{"a"},
			Proved: &plan.Plan{Name: "other"}}, []*trial{held}, "other"},
		{"what mends no fault and takes nothing away", audit.Finding{Severity: audit.Weak, Code: "x"},
			[]*trial{{change: Change{Code: "still"}, edited: plan.Plan{Name: "still"},
				findings: []audit.Finding{{Code: "x"}}, clean: true, helps: true}},
			""},
		{"what is not there any more", audit.Finding{Severity: audit.Weak, Code: "x"}, []*trial{held}, "held"},
		{"refused", audit.Finding{Severity: audit.Fatal, Faults: []string{"a"}},
			[]*trial{{change: held.change, edited: held.edited, after: held.after, clean: true, helps: true,
				refused: true}}, ""},
	} {
		p := quiet()
		x := adviser{sent: p, r: report(t, p, "chilled"), reread: asSent, trials: c.trials}
		list := []audit.Finding{c.finding}
		require.NoError(t, x.all(context.Background(), list))
		got := ""
		if list[0].Proved != nil {
			got = list[0].Proved.Name
		}
		assert.Equal(t, c.want, got, c.name)
		if c.want == "" && !c.finding.Change.IsZero() {
			assert.Equal(t, c.finding.Change, list[0].Change, c.name)
		}
	}
	x := adviser{sent: quiet(), r: report(t, quiet(), "chilled"), trials: []*trial{held},
		reread: func(context.Context, plan.Plan) (plan.Plan, bool, error) {
			return plan.Plan{}, true,
				errors.New("no")
		}}
	for _, severity := range []audit.Severity{audit.Fatal, audit.Weak} {
		for _, change := range []text.Text{{}, by("told by the audit")} {
			if severity == audit.Fatal && !change.IsZero() {
				continue // the worst is cured in any case
			}
			list := []audit.Finding{{Severity: severity, Faults: []string{"a"}, Change: change}}
			assert.EqualError(t, x.all(context.Background(), list), "no")
			assert.Nil(t, list[0].Proved)
		}
	}
}

// The worst is cured first, before the answers to other findings, wherever it stands in the list.
func TestTheWorstIsCuredFirst(t *testing.T) {
	answer := &Change{Code: "own", Sentence: text.Of("own", nil), Edit: func(p *plan.Plan) { p.Name = "own" }}
	worst := audit.Finding{Severity: audit.Fatal, Faults: []string{"a"}}
	other := audit.Finding{Severity: audit.Weak, Code: "x", Answer: answer}
	for _, list := range [][]audit.Finding{{worst, other}, {other, worst}} {
		var read []string
		x := adviser{sent: quiet(), r: report(t, quiet(), "chilled"), left: 1,
			reread: func(_ context.Context, p plan.Plan) (plan.Plan, bool, error) {
				read = append(read, p.Name)
				return p, true, nil
			}}
		x.trials = []*trial{made("own", true), made("cure", true, ending("a", audit.Held))}
		x.trials[0].findings = []audit.Finding{{Code: "y"}}
		x.trials[0].after.Faults = []audit.FaultReport{ending("a", audit.Lost)}
		require.NoError(t, x.all(context.Background(), list))
		assert.Equal(t, []string{"cure", "own"}, read)
	}
}

// With no work left nothing is begun; with any, what changes the plan is.
func TestWhatIsBegun(t *testing.T) {
	edit := Change{Edit: func(p *plan.Plan) { p.Name = "other" }}
	for left, want := range map[int]bool{-1: false, 0: false, 1: true} {
		x := adviser{sent: quiet(), left: left}
		_, ok := x.edited(edit)
		assert.Equal(t, want, ok, "%d", left)
		_, ok = x.edited(Change{Edit: func(*plan.Plan) {}})
		assert.False(t, ok, "nothing changes")
		_, ok = x.edited(Change{Edit: func(p *plan.Plan) { p.Heaters[0].Circuit = new("nowhere") }})
		assert.False(t, ok, "it cannot be built")
	}
}

// A change that protects people and costs the tank something is told with that; one that mends is told with what it
// brings besides.
func TestWhatAChangeBrings(t *testing.T) {
	x := adviser{base: Score{Unsound: map[string]bool{"a": true}}}
	assert.True(t, x.brings(audit.Report{Faults: []audit.FaultReport{ending("a", audit.Lost),
		ending("b", audit.Held)}}).IsZero(), "that was there before")
	later := ending("c", audit.Lost)
	later.LossH = new(31.0)
	end := x.brings(audit.Report{Faults: []audit.FaultReport{ending("a", audit.Lost), later, ending("b", audit.Lost)}})
	assert.Equal(t, "fault_loses", end.Code)
	assert.Equal(t, text.Of("b", nil), end.Params["fault"], "the soonest")
}

// What is said of a change: first what becomes of the finding's own faults, then of others, then what is measured.
func TestWhatIsSaidOfATrial(t *testing.T) {
	better := func(id string) Outcome { return Outcome{ending(id, audit.Lost), ending(id, audit.Harmed)} }
	saves := audit.Report{Nominal: []audit.NominalReport{{KWhPerDay: 1}}}
	x := adviser{r: audit.Report{Nominal: []audit.NominalReport{{KWhPerDay: 2}}}}
	said := func(f audit.Finding, s Score) string {
		return x.proof(&trial{score: s, after: saves}, f).String()
	}
	own := said(audit.Finding{Code: "x", Faults: []string{"b"}}, Score{Outcomes: []Outcome{better("a"), better("b")}})
	assert.Contains(t, own, "remedy_then_harmed")
	assert.Contains(t, own, "b")
	assert.NotContains(t, own, "remedy_then_others", "the other is not its own")
	both := said(audit.Finding{Code: "x", Faults: []string{"c"}}, Score{Outcomes: []Outcome{better("a"), better("b")}})
	assert.Contains(t, both, "remedy_then_others")
	assert.Contains(t, said(audit.Finding{Code: "nominal_x"}, Score{Mended: true}), "remedy_then_by_itself")
	assert.True(t, strings.HasPrefix(said(audit.Finding{Code: "x"}, Score{}), "change_saves_energy"))
}
