package bot

import (
	"context"
	"fmt"
	"time"
)

// Request is what a complete question asks of the service.
type Request struct {
	Operation string // operationId of the contract
	Members   map[string]any
	US        bool // texts in US units
}

// Answer is what the service says.
type Answer struct {
	Summary     string
	Assumptions []Assumption
	Warnings    []string
	Cautions    []string
	Link        string // an address that answers the same; nothing: there is none
	Model       string // name and version
	Contract    string // its version
}

// Assumption is a member that the person did not state.
type Assumption struct {
	Member string
	Number *float64 // nil: Text holds the value
	Text   string
	Unit   string // the contract's name of it
}

// Refusal is what the service says of values that it does not take.
type Refusal struct{ Violations []Violation }

// Violation is one such value.
type Violation struct {
	Member   string // nothing: of no single member
	Detail   string
	Min, Max *float64 // in the contract's unit
	Unit     string   // the contract's name of it
}

func (r *Refusal) Error() string {
	return fmt.Sprintf("the service refuses %d values", len(r.Violations))
}

// BusyError says that the service wants to be asked later.
type BusyError struct{ After time.Duration }

func (b *BusyError) Error() string { return "the service is busy" }

// Service answers requests. It returns a *Refusal for values that are out of range
// and a *BusyError when it cannot answer now.
type Service interface {
	Ask(ctx context.Context, r Request) (*Answer, error)
}
