package remedy

import (
	"context"
	"errors"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc/audit"
	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/risk"
	"saltwright/internal/calc/text"
)

// Sets that leave nothing: time for help first, then fewer changes, then less of what is left.
func TestWhichSetComesFirst(t *testing.T) {
	for _, c := range []struct {
		name         string
		first, other Set
	}{
		{"time for help", Set{Changes: []int{1, 2}, Per100: 3}, Set{Changes: []int{3}, Thin: 1}},
		{"fewer changes", Set{Changes: []int{3}, Per100: 3}, Set{Changes: []int{1, 2}, Per100: 1}},
		{"less lost", Set{Changes: []int{3}, Per100: 1, Harms100: 9}, Set{Changes: []int{1}, Per100: 3}},
		{"less harmed", Set{Changes: []int{3}, Per100: 1, Harms100: 4}, Set{Changes: []int{1}, Per100: 1, Harms100: 5}},
	} {
		assert.Negative(t, inOrder(c.first, c.other), c.name)
		assert.Positive(t, inOrder(c.other, c.first), c.name)
	}
	assert.False(t, less(Set{Per100: 1}, Set{Per100: 1}), "equal")
}

// A change more has to take away a fault, or a tenth of the losses or, with no more losses, of the harms.
func TestWhatIsClearlyBetter(t *testing.T) {
	base := Set{Lost: 2, Harmed: 2, Thin: 1, Per100: 10, Harms100: 20}
	for _, c := range []struct {
		name string
		edit func(s *Set)
		want bool
	}{
		{"the same", func(*Set) {}, false}, {"one loss less", func(s *Set) { s.Lost = 1 }, true},
		{"one loss less, one harm more", func(s *Set) { s.Lost, s.Harmed = 1, 3 }, true},
		{"one loss less, two harms more", func(s *Set) { s.Lost, s.Harmed = 1, 4 }, false},
		{"one loss more", func(s *Set) { s.Lost, s.Per100 = 3, 1 }, false},
		{"one harm less", func(s *Set) { s.Harmed = 1 }, true},
		{"one harm more", func(s *Set) { s.Harmed, s.Per100 = 3, 1 }, false},
		{"one thin rescue less", func(s *Set) { s.Thin = 0 }, true},
		{"a tenth of the losses", func(s *Set) { s.Per100 = 9 }, false},
		{"more than a tenth", func(s *Set) { s.Per100 = 8.9 }, true},
		{"a tenth of the harms", func(s *Set) { s.Harms100 = 18 }, false},
		{"more than a tenth of them", func(s *Set) { s.Harms100 = 17.9 }, true},
		{"for more losses", func(s *Set) { s.Harms100, s.Per100 = 10, 10.1 }, false},
	} {
		other := base
		c.edit(&other)
		assert.Equal(t, c.want, clearly(other, base), c.name)
	}
}

func TestWhatHelps(t *testing.T) {
	base := Score{Lost: 2, Harmed: 2, Per100: 10, Harms100: 10, Unsound: map[string]bool{"x": true}}
	for _, c := range []struct {
		name string
		set  Set
		want bool
	}{
		{"nothing", Set{Lost: 2, Harmed: 2, Per100: 10, Harms100: 10}, false},
		{"a harm less", Set{Lost: 2, Harmed: 1, Per100: 10, Harms100: 10}, true},
		{"a loss for a harm", Set{Lost: 1, Harmed: 3, Per100: 10, Harms100: 10}, false},
		{"fewer losses a year", Set{Lost: 2, Harmed: 2, Per100: 9, Harms100: 10}, true},
		{"mended", Set{Lost: 2, Harmed: 2, Per100: 11, Mended: true}, true},
		{"worse besides", Set{Worse: true, Mended: true}, false},
	} {
		assert.Equal(t, c.want, c.set.Helps(base), c.name)
	}
}

// Four changes against faults a to d: each of the first two removes two, the third one, the last none; one is
// impossible.
func TestWhatPromises(t *testing.T) {
	left := func(ids ...string) Score {
		s := Score{Left: map[string]bool{}}
		for _, id := range ids {
			s.Left[id] = true
		}
		return s
	}
	impossible := left()
	impossible.Impossible = true
	base := left("a", "b", "c", "d")
	singles := []Score{left("a", "b", "c", "d"), left("c", "d"), left("a", "b"), left("b", "c", "d"), impossible}
	assert.False(t, cures(singles[0], base))
	assert.True(t, cures(singles[3], base))
	// What leaves nothing first; of what leaves as much, what has no idle change first.
	assert.Equal(t, [][]int{{1, 2}, {2, 3}, {1, 3}, {0, 1}, {0, 2}, {0, 3}}, promising(singles, base, 2))
	// Of three, all have to be of use and to promise all: none needs the fourth change.
	three := []Score{left("b", "c"), left("a", "c"), left("a", "b"), left("a", "b", "c")}
	assert.Equal(t, [][]int{{0, 1, 2}}, promising(three, left("a", "b", "c"), 3))
	for _, x := range three {
		x.Left["d"] = true
	}
	assert.Empty(t, promising(three, left("a", "b", "c", "d"), 3), "d is left")
}

// What a fault counts as: better by its verdict, or with time where there was too little.
func TestProofTellsTheWorst(t *testing.T) {
	outcome := func(was, then audit.Verdict, spareH float64) Outcome {
		f := audit.FaultReport{Verdict: then, Alarm: &audit.AlarmReport{ID: "bell"}, MarginH: &spareH,
			Fault: audit.Fault{Sentence: text.Of("x", nil)}}
		return Outcome{audit.FaultReport{Verdict: was}, f}
	}
	s := Set{Outcomes: []Outcome{outcome(audit.Lost, audit.Held, 0), outcome(audit.Lost, audit.Rescued, 9),
		outcome(audit.Lost, audit.Rescued, 6), outcome(audit.Lost, audit.Lost, 1),
		outcome(audit.Lost, audit.Rescued, 7)}}
	assert.Len(t, s.Better(), 4)
	proof := s.Proof()
	assert.Contains(t, proof.String(), "remedy_then_rescued")
	assert.Contains(t, proof.String(), "6")
	none := outcome(audit.Lost, audit.Rescued, 6)
	none.Then.MarginH = nil
	assert.False(t, none.lessTime(s.Outcomes[1]))
	assert.False(t, s.Outcomes[1].lessTime(none))
	assert.True(t, s.Outcomes[2].lessTime(s.Outcomes[1]))
	assert.False(t, s.Outcomes[1].lessTime(s.Outcomes[1]))
	assert.Empty(t, Set{}.Proof().String())
}

// What a search costs is asked before each set, and what fails while the best is made smaller is told.
func TestRefiningReportsErrors(t *testing.T) {
	c := cover{0b111, 0, 0b111000, 0, 0b110000000, 0, 0b11000000000, 0b1000000}
	var calls int
	run := func(failAt int) error {
		calls = 0
		_, err := Search(context.Background(), len(c), c.score(nil), 1000,
			func(_ context.Context, set []int, _ func(Score) bool) (Score, error) {
				if calls++; calls == failAt {
					return Score{}, errors.New("no")
				}
				return c.score(set), nil
			})
		return err
	}
	require.NoError(t, run(0))
	all := calls
	for last := all; last > all-3; last-- {
		assert.EqualError(t, run(last), "no", "call %d of %d", last, all)
	}
}

// One change that does not cure is tried once: there is nothing to be left out of it.
func TestASingleChangeIsTriedOnce(t *testing.T) {
	c := cover{1}
	f, err := Search(context.Background(), 1, c.score(nil), 1000,
		func(_ context.Context, set []int, _ func(Score) bool) (Score, error) { return c.score(set), nil })
	require.NoError(t, err)
	assert.Equal(t, 1, f.Audits)
	assert.Equal(t, []int{0}, f.Best.Changes)
}

// What a change does where no failure ends better by it: how long the contact of the finding lasts, or what energy it
// saves from a fiftieth on.
func TestWhatAChangeMeasures(t *testing.T) {
	x := adviser{r: audit.Report{Nominal: []audit.NominalReport{{KWhPerDay: 1}, {KWhPerDay: 2}}}}
	worn := audit.Finding{Code: "contact_wears_out", Elements: []string{"b"}}
	after := audit.Report{
		Contacts: []audit.Contact{{Element: "a", LifeY: 5, StartsPerDay: 90},
			{Element: "b", LifeY: 9, StartsPerDay: 40}},
		Nominal: []audit.NominalReport{{KWhPerDay: 0.99}, {KWhPerDay: 1.5}},
	}
	assert.Equal(t, text.Of("change_lasts", text.Params{"starts": 40.0, "years": 9.0}), x.measured(worn, after))
	after.Contacts[1].LifeY = math.Inf(1)
	saved := x.measured(worn, after)
	assert.Equal(t, "change_saves_energy", saved.Code)
	assert.InDelta(t, 1.5, saved.Params["energy"], 0)
	assert.InDelta(t, 2, saved.Params["before"], 0)
	after.Nominal[1].KWhPerDay = 1.96
	assert.Equal(t, "change_takes_it_away", x.measured(audit.Finding{Code: "x"}, after).Code)
}

// Rooms that a plan leaves out: a house in winter whose heating has died, where a strong heater bears what a weak one
// does not, and a heat wave; what the plan has itself, to a kelvin, is tried no more.
func TestHarderRooms(t *testing.T) {
	for _, c := range []struct {
		coldC, warmC, powerW float64
		heatWave             bool
		want                 string
	}{
		{19, 24, 600, true, "change_weather_bears"}, {19, 24, 25, true, "change_weather_harms"},
		{19, 24, 600, false, "change_weather_harms"}, {12.5, 34.5, 600, false, ""}, {12.5, 33, 600, false, "tried"},
		{14, 34.5, 600, false, "tried"}, {13, 34.5, 600, false, "tried"}, {12.5, 34, 600, false, "tried"},
	} {
		p := quiet()
		p.Room.Coldest.TempC, p.Room.Warmest.TempC, p.Heaters[0].PowerW = c.coldC, c.warmC, c.powerW
		p.Heaters[0].ThermostatC, p.Room.WarmestInHeatWave = nil, c.heatWave
		r, err := audit.Single(context.Background(), p)
		require.NoError(t, err)
		x := adviser{r: r, sent: p, reread: asSent, base: scoreOf(r, nil), work: audit.Work(r.Events, r.Plan)}
		x.left = x.times(adviceShare)
		var f audit.Finding
		require.NoError(t, x.weather(context.Background(), &f))
		if c.want == "tried" {
			assert.NotEmpty(t, f.Change.Code, "%+v", c)
			low, high := f.Change.Params["low"].(float64), f.Change.Params["high"].(float64)
			assert.Less(t, low, high, "%+v", c)
			assert.Greater(t, low, 10.0, "%+v", c)
			assert.Less(t, high, 40.0, "%+v", c)
		} else {
			assert.Equal(t, c.want, f.Change.Code, "%+v", c)
		}
	}
}

// Of two changes that cost the same the one that saves more comes first; without a price likewise. A heater of another
// size is a new one, however near the sizes are.
func TestChangesOfOnePrice(t *testing.T) {
	p := equipped(sent())
	p.Worth = &plan.Worth{Livestock: new(1000.0), Costs: []plan.Cost{{Part: plan.HeaterPart, Cost: 90}}}
	r := Result{sent: p, Base: Score{Per100: 5, Unsound: map[string]bool{"x": true}}}
	for _, x := range []struct {
		code string
		edit func(p *plan.Plan)
	}{
		{"heater", func(p *plan.Plan) { p.Heaters[0].PowerW = 340 }},
		{"better heater", func(p *plan.Plan) { p.Heaters[0].PowerW = 310 }},
		{"lamp", func(p *plan.Plan) { p.Lights = append(p.Lights, plan.NewLight("more", 10)) }},
		{"better lamp", func(p *plan.Plan) { p.Lights = append(p.Lights, plan.NewLight("more", 20)) }},
		{"no gain", func(p *plan.Plan) { p.Heaters[0].PowerW = 320 }},
	} {
		r.changes = append(r.changes, Change{Code: x.code, Edit: x.edit})
	}
	for k, per100 := range []float64{4, 3, 2, 1, 5} {
		r.Next = append(r.Next, setOf([]int{k}, Score{Per100: per100, Unsound: map[string]bool{"x": true}}))
	}
	var codes []string
	list := r.Worths()
	for _, w := range list {
		codes = append(codes, r.Changes(w.Set)[0].Code)
	}
	assert.Equal(t, []string{"better heater", "heater", "better lamp", "lamp"}, codes)
	assert.InDelta(t, 90, *list[0].Cost, 0)
}

// A test made more often takes the place of the one that is planned, or is added.
func TestTestsAreWrittenDown(t *testing.T) {
	p := equipped(sent())
	p.ProofTests = []plan.ProofTest{{Element: "line", EveryDays: 90}, {Element: "probe", EveryDays: 90}}
	r := Result{sent: p}
	assert.Equal(t, []plan.ProofTest{{Element: "line", EveryDays: 90}, {Element: "probe", EveryDays: 7}},
		r.Tested(risk.Oftener{Element: "probe", EveryDays: 7}).ProofTests)
	assert.Equal(t, append(p.ProofTests, plan.ProofTest{Element: "bell", EveryDays: 30}),
		r.Tested(risk.Oftener{Element: "bell", EveryDays: 30}).ProofTests)
	assert.Equal(t, []plan.ProofTest{{Element: "line", EveryDays: 7}, {Element: "probe", EveryDays: 90}},
		r.Tested(risk.Oftener{Element: "line", EveryDays: 7}).ProofTests)
	assert.Len(t, p.ProofTests, 2)
}

// A second way is another modem, for the alarm and for all who are reached by named ways.
func TestReachIsWidened(t *testing.T) {
	p := equipped(sent())
	p.Routers = []plan.Router{{ID: "router", Circuit: new("one")}}
	p.Alarms[0].Path, p.Alarms[0].Paths = "", []string{"router"}
	p.Persons = []plan.Person{{ID: "named", ReachedBy: []string{"router"}}, {ID: "anyhow"}}
	offered := func(why audit.WhyNoHelp, code string) *plan.Plan {
		r := report(t, p, "overheated")
		r.Faults[0].NoHelp = []audit.NoHelp{{Why: why, Alarms: []string{"bell"}}}
		for _, x := range Candidates(r, p) {
			if x.Code == code {
				edited := p.Clone()
				x.Edit(&edited)
				return &edited
			}
		}
		return nil
	}
	for _, why := range []audit.WhyNoHelp{audit.WayDown, audit.NetworkDown} {
		second := offered(why, "second_modem")
		require.NotNil(t, second, why)
		modem := second.Modems[0].ID
		assert.InDelta(t, 8, second.Modems[0].BatteryH, 0, "the longest outage")
		assert.Equal(t, []string{"router", modem}, second.Alarms[0].Paths)
		assert.Equal(t, []string{"router", modem}, second.Persons[0].ReachedBy)
		assert.Empty(t, second.Persons[1].ReachedBy)
	}
	assert.Nil(t, offered(audit.OnlyInRoom, "second_modem"))
	assert.NotNil(t, offered(audit.OnlyInRoom, "louder"))
	assert.Nil(t, offered(audit.OnlyInRoom, "second_person"))
	for _, why := range []audit.WhyNoHelp{audit.TooLate, audit.NobodyCalled} {
		more := offered(why, "second_person")
		require.NotNil(t, more, why)
		assert.Len(t, more.Persons, 3)
	}
	p.Persons = nil
	assert.Len(t, offered(audit.TooLate, "second_person").Persons, 2, "whom attendance speaks of is named besides")
	assert.NotNil(t, offered(audit.SensorLies, "second_sensor"))
}
