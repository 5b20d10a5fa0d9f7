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
	US        bool   // texts in US units
	Language  string // of the person; the service answers in it where it can
}

// Answer is what the service says.
type Answer struct {
	Headline    string
	Figures     []string // label and value
	Actions     []string // what to do, in order
	Findings    []string // of an audit, the worst first
	Assumptions []Assumption
	Warnings    []string
	Cautions    []string
	Link        string // of a page for people with what was asked; empty where there is none
	Page        string // the same page by itself

	PracticalPSU *float64 // of the answer to a conversion
}

// Assumption is a member that the person did not state.
type Assumption struct {
	Member string
	Number *float64 // nil when Text holds the value
	Text   string
	Unit   string // as the contract names it
}

// Refusal lists the values that the service does not accept.
type Refusal struct{ Violations []Violation }

// Violation is one such value.
type Violation struct {
	Member   string // empty when it concerns no single member
	Detail   string
	Min, Max *float64 // in the contract's unit
	Unit     string   // as the contract names it
}

func (r *Refusal) Error() string {
	return fmt.Sprintf("the service refuses %d values", len(r.Violations))
}

// BusyError means that the service must be asked later.
type BusyError struct{ After time.Duration }

func (b *BusyError) Error() string { return "the service is busy" }

// Service answers requests. It returns a *Refusal for values that are out of range
// and a *BusyError when it cannot answer now.
type Service interface {
	Ask(ctx context.Context, r Request) (*Answer, error)
}
