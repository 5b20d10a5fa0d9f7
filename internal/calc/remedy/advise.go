package remedy

import (
	"context"
	"math"
	"reflect"
	"slices"

	"saltwright/internal/calc/audit"
	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/text"
)

// What advice may cost beside the audit itself.
const (
	cureShare   = 1.0    // times its work, after which nothing more is begun that may cure the worst
	answerShare = 2.0    // and nothing more that answers the others
	trialShare  = 1.5    // for one change at most: what it adds may switch without end
	mostAdvised = 60_000 // events of an audit that is dearer are left to a search of its own
	worthEnergy = 0.98   // of the energy: less than that is told
)

// Advise makes, one by one, the changes that answer what an audit found, and for what is harmed or lost first those
// that may cure it; each is audited. Findings whose change comes out well say so, with what came out and the plan; the
// others are as they were, but for what protects people, which is told with what it costs the tank.
//
//	r       a plan's audit
//	sent    the plan as it was sent, not completed
//	reread  what becomes of a changed plan that is sent; what is refused is not proposed
//
// Its work is no more than six times that of the audit; an audit of more than 60,000 events is left as it is.
// Accuracy: that of the audit. Errors: the context's, and what reread returns. Source: [Derived].
func Advise(ctx context.Context, r audit.Report, sent plan.Plan, reread Reread) ([]audit.Finding, error) {
	out, _, err := advise(ctx, r, sent, reread)
	return out, err
}

// advise returns besides how much work it was.
func advise(ctx context.Context, r audit.Report, sent plan.Plan, reread Reread) (out []audit.Finding, work int,
	err error) {
	out = slices.Clone(r.Findings)
	x := adviser{r: r, sent: sent, reread: reread, base: scoreOf(r, nil), work: audit.Work(r.Events, r.Plan)}
	most := mostAdvised
	if r.Plan.Chemistry != nil {
		most *= audit.ChemicalTimes // seconds, but nothing else tells what to do about a doser
	}
	if x.work > most {
		return out, 0, nil
	}
	x.left = x.times(cureShare)
	for i, f := range out {
		if f.Severity == audit.Fatal && len(f.Faults) > 0 {
			if err := x.cure(ctx, &out[i]); err != nil {
				return nil, 0, err
			}
			break // the worst; what cures the others is left to a search
		}
	}
	spent := x.times(cureShare) - x.left
	x.left = x.times(answerShare)
	for i := range out {
		if out[i].Code == "weather_left_out" { // which takes little
			if err := x.weather(ctx, &out[i]); err != nil {
				return nil, 0, err
			}
		}
	}
	for i := range out {
		if a := out[i].Answer; a != nil {
			if _, err := x.make(ctx, &out[i], *a, nil); err != nil {
				return nil, 0, err
			}
		}
	}
	return out, spent + x.times(answerShare) - x.left, nil
}

type adviser struct {
	r      audit.Report
	sent   plan.Plan
	reread Reread
	base   Score
	work   int // of the audit
	left   int // work that may still be begun
}

func (x *adviser) times(share float64) int { return int(share * float64(x.work)) }

// cure tries what may help against the faults of a finding until one of the changes helps against all of them.
func (x *adviser) cure(ctx context.Context, f *audit.Finding) error {
	only := x.r
	only.Nominal, only.Findings, only.Faults = nil, nil, nil
	for _, fault := range x.r.Faults {
		if slices.Contains(f.Faults, fault.Fault.ID) {
			only.Faults = append(only.Faults, fault)
		}
	}
	for _, c := range against(withNominal(only, x.r), x.sent, (*audit.FaultReport).Ends) {
		cured, err := x.make(ctx, f, c, f.Faults)
		if err != nil || cured {
			return err
		}
	}
	return nil
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

// make makes one change and tells whether it is told as what answers a finding: it makes some of these faults end well
// (all of them where there are several), or takes the finding away, and makes nothing worse.
func (x *adviser) make(ctx context.Context, f *audit.Finding, c Change, faults []string) (told bool, err error) {
	edited, ok := x.edited(c)
	if !ok {
		return false, nil
	}
	share := x.times(trialShare)
	attempt, err := audit.Begin(ctx, edited, audit.Events(share, edited), func(id string) bool {
		return faults == nil || slices.Contains(faults, id)
	})
	if ctx.Err() != nil {
		return false, ctx.Err()
	}
	if err != nil { // it contradicts the plan, or would take more than its share
		x.left -= share
		return false, nil
	}
	if !allWell(attempt.Report(), faults) {
		x.left -= audit.Work(attempt.Report().Events, edited)
		return false, nil
	}
	after, err := attempt.Whole(ctx)
	if ctx.Err() != nil {
		return false, ctx.Err()
	}
	if err != nil {
		x.left -= share
		return false, nil
	}
	x.left -= audit.Work(after.Events, edited)
	s := scoreOf(after, &x.r)
	gone := faults != nil || takenAway(*f, attempt.Findings())
	if s.Worse || !gone && s.Idle || added(s, x.base) || discomforts(after, x.r) {
		if end := x.worse(after); c.Code == "ground_fault" && !end.IsZero() {
			f.Change = text.Of("change_costs", text.Params{"change": c.Sentence, "end": end})
		}
		return false, nil
	}
	// Reading it as the service does costs as much as some audits, so that only what is told is read.
	if _, ok, err := x.reread(ctx, edited); err != nil || !ok {
		return false, err
	}
	proof := setOf(nil, s).Proof()
	if s.Idle {
		proof = x.measured(*f, after)
	}
	f.Change, f.Proved = text.Of("change_proved", text.Params{"change": c.Sentence, "proof": proof}), &edited
	return true, nil
}

// worse says how the first fault ends that ends badly after a change and did not before; empty: none does.
func (x *adviser) worse(after audit.Report) text.Text {
	for _, f := range after.Faults {
		if !f.Verdict.Sound() && !x.base.Unsound[f.Fault.ID] {
			return f.End()
		}
	}
	return text.Text{}
}

// allWell tells whether some faults are held or rescued with time to spare.
func allWell(r audit.Report, faults []string) bool {
	for _, f := range r.Faults {
		if slices.Contains(faults, f.Fault.ID) && (!f.Verdict.Sound() || f.Thin()) {
			return false
		}
	}
	return true
}

// added tells whether a change adds faults that end badly.
func added(s, base Score) bool {
	for id := range s.Unsound {
		if !base.Unsound[id] {
			return true
		}
	}
	return false
}

func takenAway(f audit.Finding, after []audit.Finding) bool {
	return !slices.ContainsFunc(after, func(x audit.Finding) bool {
		return x.Code == f.Code && slices.Equal(x.Elements, f.Elements)
	})
}

// discomforts tells whether a tank leaves its comfort with nothing broken where it did not before.
func discomforts(after, before audit.Report) bool {
	crossed := map[string]bool{}
	for _, n := range before.Nominal {
		for _, c := range n.Crossings {
			crossed[string(n.Room)+c.Loss] = true
		}
	}
	for _, n := range after.Nominal {
		for _, c := range n.Crossings {
			if !crossed[string(n.Room)+c.Loss] {
				return true
			}
		}
	}
	return false
}

// measured says what a change does where no failure ends better by it: how long a contact lasts, or what energy it
// saves.
func (x *adviser) measured(f audit.Finding, after audit.Report) text.Text {
	if f.Code == "contact_wears_out" {
		for _, c := range after.Contacts {
			if c.Element == f.Elements[0] && !math.IsInf(c.LifeY, 1) {
				return text.Of("change_lasts", text.Params{"starts": c.StartsPerDay, "years": c.LifeY})
			}
		}
	}
	for k, n := range after.Nominal {
		if was := x.r.Nominal[k].KWhPerDay; n.KWhPerDay < worthEnergy*was {
			return text.Of("change_saves_energy",
				text.Params{"energy": n.KWhPerDay, "before": was, "room": string(n.Room)})
		}
	}
	return text.Of("change_takes_it_away", nil)
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
