package audit

import (
	"context"
	"slices"

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

// Audited is an audit that can still draw out its runs.
type Audited struct {
	Report Report
	study  *study
}

// Follow audits a plan as Single does, and keeps what it takes to draw out its runs.
//
// Accuracy: as Single. Errors: as Single. Source: [Derived].
func Follow(ctx context.Context, in plan.Plan) (*Audited, error) {
	st, err := newStudy(ctx, in)
	if err != nil {
		return nil, err
	}
	return &Audited{st.report, st}, nil
}

// HandOver is what to set and to try.
//
// Accuracy: as Single. Errors: none. Source: [Derived].
func (a *Audited) HandOver() HandOver { return handOver(a.Report) }

// Timelines draws out the runs of the faults that matter: the lost ones, the harmed ones, then the rescued with least
// to spare, one of each device and kind of loss, at most so many.
//
// Accuracy: as Single. Errors: as Single. Source: [Derived].
func (a *Audited) Timelines(ctx context.Context, most int) ([]Timeline, error) {
	var out []Timeline
	for _, i := range a.study.worthDrawing(most) {
		t, err := a.study.timeline(ctx, i)
		if err != nil {
			return nil, err
		}
		out = append(out, t)
	}
	return out, nil
}

// timeline follows one fault again, in the room that makes it worst, and a while past its harm.
func (st *study) timeline(ctx context.Context, fault int) (Timeline, error) {
	horizon := *st.p.Attendance.LongestAbsenceH
	if end := st.report.Faults[fault].EndsH(); end != nil {
		horizon = min(horizon, max(*end*pastTheEnd, leastDrawnH))
	}
	again, err := st.again(ctx, fault, horizon)
	return again.Timeline, err
}

// A picture goes on past the end that it shows, and is no shorter than some hours; common practice, no source.
const (
	pastTheEnd  = 1.6
	leastDrawnH = 6.0
)

// followed is a run that was followed again.
type followed struct {
	Timeline
	room       *room
	course     *sim.Course
	injections []sim.Injection
}

// again follows a fault once more for some hours, in the room that makes it worst.
func (st *study) again(ctx context.Context, fault int, hours float64) (followed, error) {
	f := st.report.Faults[fault]
	r := slices.IndexFunc(st.rooms, func(rm room) bool { return rm.name == f.Room })
	rm := &st.rooms[r]
	injections := st.injections([]int{fault}, r)
	start, err := st.startWith(ctx, rm, driftsOf(injections))
	if err != nil {
		return followed{}, err
	}
	rm.system.MaxEvents = rm.usual
	course, err := sim.Run(ctx, rm.system, start, injections, hours*secondsPerHour)
	if err != nil {
		return followed{}, err
	}
	samples := course.Samples(hours * secondsPerHour / samplesPerTimeline)
	line := Timeline{Fault: f, Samples: samples, Limits: st.p.Limits, HoursH: hours}
	return followed{line, rm, course, injections}, nil
}

// worthDrawing picks the faults worth drawing.
func (st *study) worthDrawing(most int) []int {
	var out []int
	seen := map[[2]string]bool{}
	w := writer{p: st.p, rooms: st.rooms}
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
