// Package draft designs a plan for a tank and proves it by its own audit.
package draft

import (
	"context"
	"errors"
	"slices"

	"saltwright/internal/calc"
	"saltwright/internal/calc/audit"
	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/remedy"
	"saltwright/internal/calc/text"
)

// Limit is what stands in the way of a plan that no single failure loses.
type Limit struct {
	Loss     string
	Message  text.Text
	Change   text.Text
	Elements []string
}

// Result is a plan and the proof of it.
type Result struct {
	Plan        plan.Plan // as designed, not completed
	Report      audit.Report
	Assumptions []plan.Assumption // of what the input left open
	Sound       bool
	Limits      []Limit     // empty when it is sound
	Attempts    int         // audits it took
	Choices     []text.Text // why it is as it is
}

const mostAttempts = 9

// Draft designs a plan and mends it by its own audit until no single failure loses the tank, or nothing helps any more.
//
//	main heater   1.25 times the coldest room's need, under a control and, in series, its own thermostat
//	other heaters what holds the low harm limit without the main one, each by its own thermostat on the other circuit
//	supervisors   cut the main heater and the others, each by a probe of its own
//	top-off       a pump that gives 1.6 L/h for each litre that evaporates a day
//
// Accuracy: that of the audit. Errors: *calc.RangeError, *calc.ConflictError, the context's.
// Source: [CommonPractice] for the arrangement, [Derived] for the sizes.
func Draft(ctx context.Context, in Input) (Result, error) {
	in, assumed := in.completed()
	if err := in.check(); err != nil {
		return Result{}, err
	}
	d, err := newDesign(in)
	if err != nil {
		return Result{}, err
	}
	var best Result
	for n := 1; n <= mostAttempts; n++ {
		p := d.plan()
		report, err := audit.Single(ctx, p)
		if err != nil {
			return Result{}, ofTheInput(err)
		}
		r := Result{Plan: p, Report: report, Sound: report.Sound()}
		if n == 1 || r.Sound || unsound(report) < unsound(best.Report) {
			best = r
		}
		best.Attempts = n
		if r.Sound || !d.mend(report) {
			break
		}
	}
	best.Choices, best.Assumptions = d.choices(), assumed
	open := func(f audit.Finding) bool { return f.Change.IsZero() }
	if slices.ContainsFunc(best.Report.Findings, open) {
		if best.Report.Findings, err = remedy.Advise(ctx, best.Report, best.Plan, anything); err != nil {
			return Result{}, err
		}
	}
	if !best.Sound {
		for _, f := range best.Report.Findings {
			if f.Severity == audit.Fatal {
				best.Limits = append(best.Limits,
					Limit{Loss: f.Code, Message: f.Message, Change: f.Change, Elements: f.Elements})
			}
		}
	}
	return best, nil
}

// anything takes every plan: none was sent.
func anything(_ context.Context, edited plan.Plan) (plan.Plan, bool, error) { return edited, true, nil }

func unsound(r audit.Report) int { return r.Count(audit.Harmed) + r.Count(audit.Lost) }

// ofTheInput names what stands in the input for what stands in the plan that was made of it: a
// simulation that will not end is long because the absence is.
func ofTheInput(err error) error {
	var conflict *calc.ConflictError
	if errors.As(err, &conflict) {
		return &calc.ConflictError{Params: []string{"days_away"}, Reason: conflict.Reason}
	}
	return err
}
