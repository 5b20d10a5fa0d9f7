package answer

import (
	"context"
	"reflect"

	"saltwright/internal/contract"
)

// Operation answers requests of one operation of the contract.
type Operation struct {
	// Answer returns what is written as JSON. Errors: *contract.Invalid for what a calculation refuses, the context's,
	// and faults of ours.
	Answer func(ctx context.Context, r *contract.Request) (any, error)
	// Report returns the answer as Markdown, or as a page of HTML; nil where there is no report. Errors: as of Answer.
	Report func(ctx context.Context, r *contract.Request, p Paper) ([]byte, error)

	Request, Result reflect.Type // what is read and what is answered; Request is nil where nothing is asked
}

// Paper is what a report is written on.
type Paper struct {
	Markdown bool   // or else one page of HTML
	Link     string // the whole address that gives this report again; empty where there is none
}

// binding makes what answers an operation ready for its contract.
type binding func(o *contract.Operation) (Operation, error)
