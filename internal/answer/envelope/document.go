package envelope

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
)

// Document is a request as it was sent, for a calculation that changes it.
type Document struct {
	Original []byte
	// Complete adds the contract's defaults to a changed document, or refuses it.
	Complete func(ctx context.Context, doc []byte) ([]byte, error)
}

type documentKey struct{}

// WithDocument lets a calculation find the request as it was sent.
func WithDocument(ctx context.Context, d Document) context.Context {
	return context.WithValue(ctx, documentKey{}, d)
}

// DocumentOf returns what withDocument put there.
func DocumentOf(ctx context.Context) (Document, bool) {
	d, ok := ctx.Value(documentKey{}).(Document)
	return d, ok
}

func DecodeJSON(data []byte) (any, error) {
	dec := json.NewDecoder(bytes.NewReader(data))
	dec.UseNumber()
	var v any
	if err := dec.Decode(&v); err != nil {
		return nil, fmt.Errorf("decoding our own JSON: %w", err)
	}
	return v, nil
}
