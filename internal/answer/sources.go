package answer

import (
	"context"
	"reflect"

	"saltwright/internal/calc/source"
	"saltwright/internal/contract"
)

type sourcesResponse struct {
	Sources []sourceEntry `json:"sources"`
}

type sourceEntry struct {
	Key      string `json:"key"`
	Citation string `json:"citation"`
	DOI      string `json:"doi,omitempty"`
	Note     string `json:"note"`
}

// bibliography is every work that an answer may cite.
func bibliography(*contract.Operation) (Operation, error) {
	out := sourcesResponse{Sources: []sourceEntry{}}
	for _, e := range source.All() {
		out.Sources = append(out.Sources, sourceEntry{Key: e.Key, Citation: e.Citation, DOI: e.DOI, Note: e.Note})
	}
	return Operation{
		Result: reflect.TypeFor[sourcesResponse](),
		Answer: func(context.Context, *contract.Request) (any, error) { return out, nil },
	}, nil
}
