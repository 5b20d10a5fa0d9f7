package webdocs

import (
	"encoding/json"
	"errors"
	"net/url"

	"saltwright/internal/packed"
)

const (
	workshopPath = "/plan/"
	schemaPath   = "/schemas/plan-1.json"
)

// plan is a plan's document, as encoding/json decodes it.
type plan = map[string]any

// unpackedPlan reads the plan that an address carries. Errors: what a reader can do about it.
func unpackedPlan(text string) (plan, error) {
	raw, err := packed.Unpack(text)
	switch {
	case errors.Is(err, packed.ErrTooLarge):
		return nil, errors.New("the plan in this link is larger than any plan may be")
	case err != nil:
		return nil, errors.New("this link was changed or cut on its way; copy it again, up to its last letter")
	}
	var document plan
	if json.Unmarshal(raw, &document) != nil {
		return nil, errors.New("this link holds no plan")
	}
	return document, nil
}

func packPlan(document plan) (string, error) {
	raw, err := json.Marshal(document)
	if err != nil {
		return "", err
	}
	return packed.Pack(raw)
}

// readPlan reads a plan's JSON, or a link that carries one. Errors: what a reader can do about it.
func readPlan(raw []byte) (plan, error) {
	text := string(raw)
	if len(raw) == 0 {
		return nil, errors.New("choose a file, or paste a link or a plan")
	}
	if at, err := url.Parse(text); err == nil && at.Query().Get("plan") != "" {
		return unpackedPlan(at.Query().Get("plan"))
	}
	var document plan
	if err := json.Unmarshal(raw, &document); err != nil || document == nil {
		return nil, errors.New("this is no plan: its text must be the JSON of one, or a link with plan= in it")
	}
	if inner, ok := document["plan"].(plan); ok { // an answer or a request around it
		document = inner
	}
	return document, nil
}

// query is a query in a reader's units, with further names and values by turns.
func query(units string, with ...string) string {
	q := url.Values{}
	if units != "" {
		q.Set("units", units)
	}
	for i := 0; i+1 < len(with); i += 2 {
		q.Set(with[i], with[i+1])
	}
	if len(q) == 0 {
		return ""
	}
	return "?" + q.Encode()
}
