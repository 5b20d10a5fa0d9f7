package remedy

import (
	"context"
	"errors"
	"reflect"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc/audit"
	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/text"
)

// impatient is a context that ends after so many questions whether it has.
type impatient struct {
	context.Context
	asked, patience int
}

func (c *impatient) Err() error {
	if c.asked++; c.asked > c.patience {
		return context.Canceled
	}
	return nil
}

// away is a plan of half a day without anybody: its return runs back too much, and its heater has no spare.
func away() plan.Plan {
	p := quiet()
	p.Attendance.LongestAbsenceH = new(12.0)
	return p
}

// calm is one that nothing harms: there is room for what runs back, and the room is as warm as the water.
func calm() plan.Plan {
	p := away()
	p.Display.DrainBackMM = 20
	for _, room := range []**plan.RoomState{&p.Room.Coldest, &p.Room.Warmest} {
		*room = &plan.RoomState{TempC: 25, RHPercent: 50}
	}
	p.Room.Usual.TempC = 25
	return p
}

// Whoever goes away is not calculated for further, wherever advice on a finding is: a cure that is glimpsed and then
// audited whole, an answer, harder rooms, and what happens with nothing broken.
func TestAdviceEndsWithItsContext(t *testing.T) {
	p := away()
	r, err := audit.Single(context.Background(), p)
	require.NoError(t, err)
	for _, code := range []string{"harmed_chilled", "shared_sensor", "weather_left_out", "nominal_chilled"} {
		one := r
		for _, f := range r.Findings {
			if f.Code == code {
				one.Findings = []audit.Finding{f}
			}
		}
		require.Len(t, one.Findings, 1, code)
		whole := &impatient{context.Background(), 0, 1_000_000}
		_, err := Advise(whole, one, p, asSent)
		require.NoError(t, err)
		for step := range 12 {
			ends := &impatient{context.Background(), 0, step * (whole.asked - 1) / 11}
			list, err := Advise(ends, one, p, asSent)
			require.ErrorIs(t, err, context.Canceled, "%s: after %d of %d", code, ends.patience, whole.asked)
			assert.Nil(t, list[0].Proved, "%s: after %d of %d", code, ends.patience, whole.asked)
		}
	}
}

// So for a search: in the audit of the plan as it is, in what tests save, and in the audits of changes.
func TestASearchEndsWithItsContext(t *testing.T) {
	for _, patience := range []int{0, 60, 131, 140, 300, 450, 500, 600} {
		ends := &impatient{context.Background(), 0, patience}
		_, err := Find(ends, away(), asSent)
		assert.ErrorIs(t, err, context.Canceled, "after %d", patience)
	}
}

// What the service says against a changed plan that it cannot read ends the advice, with the first plan or a later one.
func TestAdviceTellsWhatRereadingTells(t *testing.T) {
	p := away()
	r, err := audit.Single(context.Background(), p)
	require.NoError(t, err)
	read := 0
	_, err = Advise(context.Background(), r, p, func(_ context.Context, p plan.Plan) (plan.Plan, bool, error) {
		read++
		return p, true, nil
	})
	require.NoError(t, err)
	require.GreaterOrEqual(t, read, 2)
	for failAt := 1; failAt <= read; failAt++ {
		now := 0
		_, err := Advise(context.Background(), r, p, func(_ context.Context, p plan.Plan) (plan.Plan, bool, error) {
			if now++; now == failAt {
				return plan.Plan{}, false, errors.New("no")
			}
			return p, true, nil
		})
		assert.EqualError(t, err, "no", "plan %d of %d", failAt, read)
	}
}

// A heater that dies leaves the tank to the cold: a spare one is what helps, it is told with what came out, and what is
// told is what an audit of the changed plan says.
func TestACureIsToldWithWhatCameOut(t *testing.T) {
	p := away()
	r, err := audit.Single(context.Background(), p)
	require.NoError(t, err)
	list, err := Advise(context.Background(), r, p, asSent)
	require.NoError(t, err)
	told := false
	for _, f := range list {
		if f.Code != "harmed_chilled" {
			continue
		}
		told = true
		require.Equal(t, "change_proved", f.Change.Code)
		assert.Equal(t, "remedy_spare_heater", f.Change.Params["change"].(text.Text).Code)
		after, err := audit.Single(context.Background(), *f.Proved)
		require.NoError(t, err)
		for _, x := range after.Faults {
			if x.Fault.ID == "heater.element_open" {
				assert.True(t, x.Verdict.Sound())
			}
		}
		assert.False(t, scoreOf(after, &r).Worse)
	}
	assert.True(t, told)
}

// A search of a small plan: each change and each set, made and audited again, ends as it was said.
func TestASmallSearchKeepsItsWord(t *testing.T) {
	r := find(t, away())
	require.NotEmpty(t, r.Next)
	require.NotEmpty(t, r.Sets)
	assert.Nil(t, r.Best)
	then := cure(t, r, "spare_heater", "heater.element_open")
	assert.Equal(t, audit.Held, then.Verdict)
	keepsItsWord(t, r)
}

// A sound plan is left as it is; what tests save is told of it all the same: here of what guards a heater that would
// boil the tank.
func TestASoundPlanIsLeftAsItIs(t *testing.T) {
	p := calm()
	r := find(t, p)
	assert.Zero(t, r.Candidates())
	assert.Zero(t, r.Audits)
	assert.Empty(t, r.Tests)
	p.Heaters[0].PowerW, p.Heaters[0].ThermostatC = 1000, nil
	addSensor(&p, plan.NewSensor("guard-probe", plan.TemperatureKind))
	addSupervisor(&p, "guard", "guard-probe", plan.Above, []string{"heater"}).ThresholdC = new(28.0)
	r = find(t, p)
	require.True(t, r.Report.Sound())
	assert.Zero(t, r.Candidates())
	assert.NotEmpty(t, r.Tests)
}

// A service that takes every changed plan for the plan as it is: nothing helps, and no set is the best of that.
func TestWhatHelpsNothingIsNotTheBest(t *testing.T) {
	p := away()
	r, err := Find(context.Background(), p,
		func(context.Context, plan.Plan) (plan.Plan, bool, error) { return p, true, nil })
	require.NoError(t, err)
	assert.Positive(t, r.Candidates())
	assert.Empty(t, r.Next)
	assert.Nil(t, r.Best)
	assert.Empty(t, r.Sets)
}

// What leaves little time, or brings a failure of its own, is told where nothing else helps and the plan is better for
// it; here the change is the only one that there is time for, and has been audited.
func TestWhereNothingElseHelpsAChangeMakesDo(t *testing.T) {
	p := quiet()
	for _, c := range []struct {
		name         string
		ends         audit.FaultReport
		clean, helps bool
		refused      bool
		want         bool
	}{
		{"with little time", rescued("0.chilled", 1), true, true, false, true},
		{"with little time, and no better", rescued("0.chilled", 1), true, false, false, false},
		{"with another failure", ending("0.chilled", audit.Held), false, true, false, true},
		{"with another failure, and no better", ending("0.chilled", audit.Held), false, false, false, false},
		{"not at all", ending("0.chilled", audit.Lost), true, true, false, false},
		{"refused", rescued("0.chilled", 1), true, true, true, false},
	} {
		x := adviser{sent: p, r: report(t, p, "chilled"), left: 1, kept: 1,
			reread: func(context.Context, plan.Plan) (plan.Plan, bool, error) { return p, !c.refused, nil }}
		f := audit.Finding{Severity: audit.Fatal, Faults: []string{"0.chilled"}}
		x.trials = []*trial{{change: x.against(&f)[0], after: audit.Report{Faults: []audit.FaultReport{c.ends}},
			clean: c.clean, helps: c.helps}}
		require.NoError(t, x.cure(context.Background(), &f))
		assert.Equal(t, c.want, f.Proved != nil, c.name)
		if !c.want {
			assert.Equal(t, "change_time_ran_out", f.Change.Code, c.name)
			assert.Equal(t, 1, f.Change.Params["count"], c.name)
		}
	}
}

// advising is an adviser of a plan with all of its work left, and the finding of a code.
func advising(t *testing.T, p plan.Plan, code string) (*adviser, *audit.Finding) {
	t.Helper()
	r, err := audit.Single(context.Background(), p)
	require.NoError(t, err)
	x := &adviser{r: r, sent: p, reread: asSent, base: scoreOf(r, nil),
		work: max(leastWork, audit.Work(r.Events, r.Plan))}
	x.left = x.times(adviceShare)
	for i := range r.Findings {
		if r.Findings[i].Code == code {
			return x, &r.Findings[i]
		}
	}
	require.Fail(t, "no such finding", code)
	return nil, nil
}

// What cures is told at once, and nothing is tried after it.
func TestACureEndsTheSearch(t *testing.T) {
	x, f := advising(t, away(), "harmed_chilled")
	require.NoError(t, x.cure(context.Background(), f))
	require.NotNil(t, f.Proved)
	assert.Equal(t, "remedy_spare_heater", f.Change.Params["change"].(text.Text).Code)
	require.NotEmpty(t, x.trials)
	assert.Same(t, f.Proved, &x.trials[len(x.trials)-1].edited)
}

// What does not help is known by a glimpse, for a small part of an audit.
func TestWhatDoesNotHelpCostsLittle(t *testing.T) {
	x, f := advising(t, quiet(), "lost_airless")
	require.NoError(t, x.cure(context.Background(), f))
	require.Equal(t, "change_none_alone", f.Change.Code)
	assert.Empty(t, x.trials)
	spent := x.times(adviceShare) - x.left
	assert.Greater(t, f.Change.Params["count"], 5)
	assert.Less(t, spent, audit.Work(x.r.Events, x.r.Plan)/2, "all of them together")
}

// What leaves its finding where it was, with nothing broken, is not followed further.
func TestWhatTakesNothingAwayIsNotFollowed(t *testing.T) {
	x, f := advising(t, quiet(), "nominal_chilled")
	require.NoError(t, x.cure(context.Background(), f))
	require.Equal(t, "change_none_alone", f.Change.Code)
	assert.Greater(t, f.Change.Params["count"], 5)
	assert.Empty(t, x.trials)
}

// A change that has to make do is audited, too, before it is told; one that does not help is not told, and one for
// which nobody waits is not audited.
func TestWhatMakesDoIsAudited(t *testing.T) {
	x, f := advising(t, away(), "harmed_chilled")
	list := x.against(f)
	of := func(code string) Change {
		i := slices.IndexFunc(list, func(c Change) bool { return c.Code == code })
		require.GreaterOrEqual(t, i, 0, code)
		return list[i]
	}
	told, err := x.makeDo(context.Background(), f, of("temperature_alarm"))
	require.NoError(t, err)
	assert.False(t, told)
	_, err = x.makeDo(&impatient{context.Background(), 0, 100}, f, of("spare_heater"))
	assert.ErrorIs(t, err, context.Canceled)
	assert.Nil(t, f.Proved)
	told, err = x.makeDo(context.Background(), f, of("spare_heater"))
	require.NoError(t, err)
	assert.True(t, told)
	assert.NotNil(t, f.Proved)
}

// A plan that switches so often that its audit takes more events than any change is given at least: changes may take
// three times as many. Of all changes the service takes the spare heater alone.
func TestChangesOfABusyPlanMayTakeMore(t *testing.T) {
	p := away()
	p.Controls[1].HysteresisK = 0.02
	r, err := Find(context.Background(), p, func(_ context.Context, edited plan.Plan) (plan.Plan, bool, error) {
		only := p.Clone()
		if len(edited.Heaters) == 2 {
			only.Heaters = edited.Heaters
		}
		return edited, reflect.DeepEqual(edited, only), nil
	})
	require.NoError(t, err)
	require.Greater(t, r.Report.Events, leastTrialEvents)
	require.Len(t, r.Next, 1)
	assert.Equal(t, "spare_heater", r.Changes(r.Next[0])[0].Code)
}
