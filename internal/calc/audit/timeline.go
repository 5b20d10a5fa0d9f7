package audit

import (
	"context"

	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/sim"
)

// Timeline is a fault's run, drawn out.
type Timeline struct {
	Fault   FaultReport
	Samples []sim.Sample
	Limits  plan.Limits
	HoursH  float64
}

// samplesPerTimeline is how finely a run is drawn.
const samplesPerTimeline = 240

// Timelines audits a plan, returns what to hand over, and draws out the runs of the faults that matter: the lost ones,
// the harmed ones, then the rescued
// with least to spare, one of each device and kind of loss, at most so many.
//
// Accuracy: as Single. Errors: as Single. Source: [Derived].
func Timelines(ctx context.Context, in plan.Plan, most int) (HandOver, []Timeline, error) {
	st, err := newStudy(ctx, in)
	if err != nil {
		return HandOver{}, nil, err
	}
	var out []Timeline
	for _, i := range st.worthDrawing(most) {
		f := st.report.Faults[i]
		for r := range st.rooms {
			rm := &st.rooms[r]
			if rm.name != f.Room {
				continue
			}
			horizon := *st.p.Attendance.LongestAbsenceH
			if end := f.EndsH(); end != nil {
				horizon = min(horizon, max(*end*1.6, 6))
			}
			injections := st.injections([]int{i}, r)
			start, err := rm.startWith(ctx, driftsOf(injections))
			if err != nil {
				return HandOver{}, nil, err
			}
			course, err := sim.Run(ctx, rm.system, start, injections, horizon*secondsPerHour)
			if err != nil {
				return HandOver{}, nil, err
			}
			samples := course.Samples(horizon * secondsPerHour / samplesPerTimeline)
			out = append(out, Timeline{Fault: f, Samples: samples, Limits: st.p.Limits, HoursH: horizon})
		}
	}
	return handOver(st.report), out, nil
}

// worthDrawing picks the faults worth drawing.
func (st *study) worthDrawing(most int) []int {
	var out []int
	seen := map[[2]string]bool{}
	w := writer{p: st.p}
	for _, v := range []Verdict{Lost, Harmed, Rescued} {
		for {
			best := -1
			for i, f := range st.report.Faults {
				if f.Verdict != v || f.EndsH() == nil || f.Anyway() || seen[[2]string{w.subject(f), f.Ends()}] {
					continue
				}
				if best < 0 || sooner(urgency(f), urgency(st.report.Faults[best])) {
					best = i
				}
			}
			if best < 0 || len(out) == most {
				break
			}
			f := st.report.Faults[best]
			seen[[2]string{w.subject(f), f.Ends()}] = true
			out = append(out, best)
		}
	}
	return out
}

// urgency is the hours to harm or loss, or to spare.
func urgency(f FaultReport) float64 {
	if f.Verdict == Rescued {
		return *f.MarginH
	}
	return *f.EndsH()
}
