package remedy

import (
	"context"
	"math"
	"reflect"
	"slices"
	"strings"

	"saltwright/internal/calc/audit"
	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/text"
)

// What advice may cost beside the audit itself.
const (
	adviceShare  = 4.5     // times its work, after which nothing more is begun
	worstShare   = 2.0     // of that, after which nothing more is begun that may cure the worst
	trialShare   = 1.5     // for one change at most: what it adds may switch without end
	glimpseShare = 0.25    // for one glimpse of it at most
	leastWork    = 5_000   // of an audit: that of a tank with hardly a part is taken to be so much
	mostAdvised  = 100_000 // events of an audit that is dearer are left to a search of its own
	worthEnergy  = 0.98    // of the energy: less than that is told
)

// Advise makes, one by one, changes that may mend what an audit found: first what may cure the worst, then what answers
// a finding by itself, then what may cure the others. A change is glimpsed at first, and audited whole where that ends
// well. Findings whose change comes out well say so, with what came out and the plan; the others say what was tried.
// What protects people is told with what it costs the tank.
//
//	r       a plan's audit
//	sent    the plan as it was sent, not completed
//	reread  what becomes of a changed plan that is sent; what is refused is not proposed
//
// Its work is no more than six times that of the audit, or of one of 5,000 events; an audit of more than 100,000 is
// left as it is.
// Accuracy: that of the audit. Errors: the context's, and what reread returns. Source: [Derived].
func Advise(ctx context.Context, r audit.Report, sent plan.Plan, reread Reread) ([]audit.Finding, error) {
	out, _, err := advise(ctx, r, sent, reread)
	return out, err
}

// advise returns besides how much work it was.
func advise(ctx context.Context, r audit.Report, sent plan.Plan, reread Reread) (out []audit.Finding, work int,
	err error) {
	out = slices.Clone(r.Findings)
	x := adviser{r: r, sent: sent, reread: reread, base: scoreOf(r, nil),
		work: max(leastWork, audit.Work(r.Events, r.Plan))}
	most := mostAdvised
	if r.Plan.Chemistry != nil {
		most *= audit.ChemicalTimes // seconds, but nothing else tells what to do about a doser
	}
	if x.work > most {
		for i := range out {
			if out[i].Change.IsZero() {
				out[i].Change = text.Of("change_too_large", nil)
			}
		}
		return out, 0, nil
	}
	x.left = x.times(adviceShare)
	err = x.all(ctx, out)
	return out, x.times(adviceShare) - x.left, err
}

type adviser struct {
	r      audit.Report
	sent   plan.Plan
	reread Reread
	base   Score
	work   int      // of the audit
	left   int      // work that may still be begun
	kept   int      // of that, for what comes later
	trials []*trial // whole audits of changes
}

func (x *adviser) times(share float64) int { return int(share * float64(x.work)) }

// all advises on each finding, in the order of what a keeper has to know first.
func (x *adviser) all(ctx context.Context, list []audit.Finding) error {
	if i := slices.IndexFunc(list, func(f audit.Finding) bool { return f.Severity == audit.Fatal }); i >= 0 {
		x.kept = x.times(adviceShare - worstShare)
		if err := x.cure(ctx, &list[i]); err != nil {
			return err
		}
		x.kept = 0
	}
	for i := range list {
		if list[i].Code == "weather_left_out" { // which takes little
			if err := x.weather(ctx, &list[i]); err != nil {
				return err
			}
		}
	}
	for i := range list {
		if f := &list[i]; f.Answer != nil && f.Proved == nil {
			if _, err := x.make(ctx, f, *f.Answer, true); err != nil {
				return err
			}
		}
	}
	for i := range list {
		if f := &list[i]; f.Change.IsZero() {
			if err := x.cure(ctx, f); err != nil {
				return err
			}
		}
	}
	for i := range list {
		f := &list[i]
		if f.Severity != audit.Note && f.Proved == nil && f.Answer == nil {
			helps := func(t *trial) bool { return t.helps && x.mends(t, f) != no }
			if _, err := x.known(ctx, f, helps); err != nil {
				return err
			}
		}
	}
	return nil
}

// cure tries what may help against what a finding is about until one of the changes helps against all of it. Where none
// does, what leaves little time or a failure of its own, and yet less harm than before, is told with that; and where
// nothing is, how far this went.
func (x *adviser) cure(ctx context.Context, f *audit.Finding) error {
	if told, err := x.known(ctx, f, func(t *trial) bool { return t.clean && x.mends(t, f) == well }); err != nil || told {
		return err
	}
	var later []Change
	list, tried := x.against(f), 0
	for _, c := range list {
		if x.left <= x.kept && x.tried(c) == nil {
			break
		}
		tried++
		got, err := x.make(ctx, f, c, false)
		if err != nil || got == well {
			return err
		}
		if got == barely {
			later = append(later, c)
		}
	}
	for _, c := range later {
		if told, err := x.makeDo(ctx, f, c); err != nil || told {
			return err
		}
	}
	if f.Change.IsZero() {
		f.Change = howFar(tried, len(list))
	}
	return nil
}

// known tells a change that was audited for another finding.
func (x *adviser) known(ctx context.Context, f *audit.Finding, mends func(t *trial) bool) (told bool, err error) {
	for _, t := range x.trials {
		if mends(t) {
			if told, err := x.tell(ctx, f, t); err != nil || told {
				return told, err
			}
		}
	}
	return false, nil
}

// howFar says what became of the changes that may help.
func howFar(tried, known int) text.Text {
	switch {
	case known == 0:
		return text.Of("change_nothing_known", nil)
	case tried == 0:
		return text.Of("change_no_time", nil)
	case tried < known:
		return text.Of("change_time_ran_out", text.Params{"count": tried, "known": float64(known)})
	}
	return text.Of("change_none_alone", text.Params{"count": tried})
}

// aboutTime are the codes of changes that bring help sooner: what a rescue that comes late asks for first.
var aboutTime = []string{"alarm_threshold", "alarm_delay", "faster_response", "second_person"}

// against lists what may help against what a finding is about.
func (x *adviser) against(f *audit.Finding) []Change {
	only := x.r
	only.Nominal, only.Findings, only.Faults = nil, nil, nil
	for _, fault := range x.r.Faults {
		if slices.Contains(f.Faults, fault.Fault.ID) {
			only.Faults = append(only.Faults, fault)
		}
	}
	c := newCandidates(withNominal(only, x.r), x.sent, (*audit.FaultReport).Ends)
	if kind, ok := strings.CutPrefix(f.Code, "nominal_"); ok {
		c.losses[kind] = true
	}
	if len(c.losses) == 0 {
		if f.Answer == nil {
			return nil
		}
		return []Change{*f.Answer}
	}
	list := c.all()
	if f.Code == "thin_rescue" {
		slices.SortStableFunc(list, func(a, b Change) int {
			return rankOf(b.Code, aboutTime) - rankOf(a.Code, aboutTime)
		})
	}
	return list
}

// rankOf is 1 for what is in a list, 0 for the rest.
func rankOf(code string, first []string) int {
	if slices.Contains(first, code) {
		return 1
	}
	return 0
}

// withNominal lends an audit the runs that sizes are taken from, without what goes wrong in them.
func withNominal(r, from audit.Report) audit.Report {
	for _, n := range from.Nominal {
		n.Crossings = nil
		r.Nominal = append(r.Nominal, n)
	}
	return r
}

// edited is the plan with a change; not ok where it is the same or cannot be built.
func (x *adviser) edited(c Change) (p plan.Plan, ok bool) {
	p = x.sent.Clone()
	c.Edit(&p)
	if x.left <= 0 || reflect.DeepEqual(p, x.sent) {
		return p, false
	}
	_, _, err := plan.Complete(p)
	return p, err == nil
}

// make makes one change and tells whether it mends a finding, in which case the finding says so: it makes all of its
// faults end well, or takes the finding away, and makes nothing worse.
//
//	answer  it answers the finding by itself: any fault that ends better by it is enough
func (x *adviser) make(ctx context.Context, f *audit.Finding, c Change, answer bool) (grade, error) {
	edited, ok := x.edited(c)
	if !ok || strings.HasPrefix(f.Code, "nominal_") && onlyCalls(x.sent, edited) {
		return no, nil
	}
	t := x.tried(c)
	if t == nil {
		if !answer && len(f.Faults) > 0 {
			if got, err := x.glimpse(ctx, edited, f); err != nil || got != well {
				return got, err
			}
		}
		var err error
		if t, err = x.try(ctx, c, edited, f, answer); err != nil || t == nil {
			return no, err
		}
	}
	switch got := x.mends(t, f); {
	case got == well && t.clean, answer && t.clean && !t.score.Idle:
		told, err := x.tell(ctx, f, t)
		if err != nil || !told {
			return no, err
		}
		return well, nil
	case got != no && t.helps:
		return barely, nil
	}
	if end := x.brings(t.after); c.Code == "ground_fault" && !end.IsZero() {
		f.Change = text.Of("change_costs", text.Params{"change": c.Sentence, "end": end})
	}
	return no, nil
}

// makeDo tells a change that mends a finding by little, or at the price of another failure, where the plan is better
// for it.
func (x *adviser) makeDo(ctx context.Context, f *audit.Finding, c Change) (told bool, err error) {
	t := x.tried(c)
	if t == nil {
		edited, ok := x.edited(c)
		if !ok {
			return false, nil
		}
		if t, err = x.try(ctx, c, edited, f, false); err != nil || t == nil {
			return false, err
		}
	}
	if x.mends(t, f) == no || !t.helps {
		return false, nil
	}
	return x.tell(ctx, f, t)
}

// onlyCalls tells whether a change is only about whom alarms call, and when: the water goes as it did.
func onlyCalls(sent, edited plan.Plan) bool { return reflect.DeepEqual(waterOf(sent), waterOf(edited)) }

// waterOf is a plan without its alarms, what carries them, whom they call, and the sensors that only they read.
func waterOf(p plan.Plan) plan.Plan {
	p.Alarms, p.Persons, p.Routers, p.Modems, p.Sirens = nil, nil, nil, nil, nil
	p.Power.NetworkCircuit, p.Attendance.ResponseH = nil, nil
	var read []plan.Sensor
	for _, x := range p.Sensors {
		if slices.ContainsFunc(p.Controls, func(k plan.Control) bool { return slices.Contains(k.Reads(), x.ID) }) {
			read = append(read, x)
		}
	}
	p.Sensors = read
	return p
}

// The rooms that are tried where a plan does not say what its own leave out: a house in winter whose heating has died
// for days, and a heat wave; common practice, no source.
const (
	unheatedC  = 12.0
	heatWaveC  = 35.0
	weatherAtK = 1.0 // beyond the plan's own room: less than that is no other room
)

// weather tells what harder rooms do to the tank with nothing broken.
func (x *adviser) weather(ctx context.Context, f *audit.Finding) error {
	room := x.r.Plan.Room
	cold, warm := room.Coldest.TempC, room.Warmest.TempC
	if !room.ColdestWithoutHeating && !x.r.Plan.HeatsRoom() {
		cold = math.Min(unheatedC, cold)
	}
	if !room.WarmestInHeatWave {
		warm = math.Max(heatWaveC, warm)
	}
	if room.Coldest.TempC-cold < weatherAtK && warm-room.Warmest.TempC < weatherAtK {
		return nil
	}
	edited, ok := x.edited(Change{Edit: func(p *plan.Plan) {
		coldest, warmest := *room.Coldest, *room.Warmest
		coldest.TempC, warmest.TempC = cold, warm
		p.Room.Coldest, p.Room.Warmest = &coldest, &warmest
	}})
	if !ok {
		return nil
	}
	share := x.times(trialShare)
	attempt, err := audit.Begin(ctx, edited, audit.Events(share, edited), func(string) bool { return false })
	if ctx.Err() != nil {
		return ctx.Err()
	}
	if err != nil { // it would take more than its share
		x.left -= share
		return nil
	}
	after := attempt.Report()
	x.left -= audit.Work(after.Events, edited)
	params := text.Params{"change": text.Of("change_weather", nil), "cold": cold, "warm": warm}
	code := "change_weather_bears"
	low, high := math.Inf(1), math.Inf(-1)
	for _, n := range after.Nominal {
		low, high = math.Min(low, n.Extremes.TempMinC), math.Max(high, n.Extremes.TempMaxC)
		for _, c := range n.Crossings {
			if c.HarmH != nil {
				code = "change_weather_harms"
			}
		}
	}
	params["low"], params["high"] = low, high
	f.Change = text.Of(code, params)
	return nil
}
