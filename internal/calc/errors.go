// Package calc holds the error types that every calculation shares.
//
// The packages below it are pure: no HTTP, JSON, environment, log, clock,
// randomness or file. Nothing leaves them but a finite result, one of the two
// error types here, or one of the two sentinel errors.
package calc

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"saltwright/internal/calc/text"
)

// ErrNoSolution says that the equations have no answer for these inputs.
var ErrNoSolution = errors.New("no solution exists for these inputs")

// ErrNoConvergence says that an iteration used up its steps; it is a defect of
// ours, not of the input.
var ErrNoConvergence = errors.New("the calculation did not converge")

// RangeError says that one input lies outside the range a relation is valid in.
type RangeError struct {
	Param    string  // name of the input as the calculation calls it, for instance "water_c"
	Value    float64 // value given; may be NaN or Inf
	Min, Max float64 // valid range, both ends included
	Unit     string  // unit of Value, Min and Max; "1" for a ratio
}

// Error names the input, the value, the range and the unit.
func (e *RangeError) Error() string {
	return fmt.Sprintf("%s is %g; it must lie within %g and %g (%s)", e.Param, e.Value, e.Min, e.Max, e.Unit)
}

// ConflictError says that inputs which are each possible are impossible together.
type ConflictError struct {
	Params []string  // paths of the inputs in conflict, for instance "sump.return_intake_mm"
	Reason text.Text // what conflicts and what to do
}

// Error joins the inputs and the reason.
func (e *ConflictError) Error() string {
	return fmt.Sprintf("%s: %s", strings.Join(e.Params, ", "), e.Reason)
}

// CheckRange refuses a value outside min … max, NaN too.
//
// Errors: *RangeError. Source: [Derived].
func CheckRange(param string, value, min, max float64, unit string) error {
	if math.IsNaN(value) || value < min || value > max {
		return &RangeError{Param: param, Value: value, Min: min, Max: max, Unit: unit}
	}
	return nil
}

// Within puts a place, for instance "channels[2].", before the names in an error of a calculation.
//
// Errors: err itself where it is none of this package's. Source: [Derived].
func Within(place string, err error) error {
	if joined, ok := err.(interface{ Unwrap() []error }); ok {
		var all []error
		for _, e := range joined.Unwrap() {
			all = append(all, Within(place, e))
		}
		return errors.Join(all...)
	}
	var conflict *ConflictError
	var out *RangeError
	switch {
	case errors.As(err, &conflict):
		c := *conflict
		c.Params = nil
		for _, p := range conflict.Params {
			c.Params = append(c.Params, place+p)
		}
		return &c
	case errors.As(err, &out):
		r := *out
		r.Param = place + r.Param
		return &r
	}
	return err
}
