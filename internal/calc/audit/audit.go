// Package audit proves a plan by simulation: it runs the tank with nothing
// wrong and then with every single fault of every element, in the room that
// makes it worst, until the longest absence is over.
package audit

import (
	"context"

	"saltwright/internal/calc/plan"
)

// Single audits a plan: fourteen days with nothing wrong in each room, then
// every single fault of every element until the longest absence is over, in
// the room that makes it worst.
//
// Accuracy: that of the heat balance and of the expected evaporation; each run is exact but for rounding.
// Errors: the plan's conflicts (joined *calc.ConflictError), *calc.RangeError
// when the room or the tank is outside a relation's range, a *calc.ConflictError
// when all runs together would take more than 600,000 events, the context's, and
// calc.ErrNoConvergence when a run does not conserve heat, water or salt.
// Source: [IEC60812] for the method (every failure mode of every element, its
// local and end effect, its detection).
func Single(ctx context.Context, in plan.Plan) (Report, error) {
	st, err := newStudy(ctx, in)
	if err != nil {
		return Report{}, err
	}
	return st.report, nil
}
