package webdocs

import (
	"encoding/json"
	"errors"
	"net/url"

	"saltwright/internal/packed"
	"saltwright/internal/phrase"
)

const (
	workshopPath = "/plan/"
	schemaPath   = "/schemas/plan-1.json"
)

// plan is a plan's document, as encoding/json decodes it.
type plan = map[string]any

// unpackedPlan reads the plan that an address carries. Errors: what a reader can do about it.
func unpackedPlan(v *phrase.Voice, text string) (plan, error) {
	raw, err := packed.Unpack(text)
	switch {
	case errors.Is(err, packed.ErrTooLarge):
		return nil, errors.New(v.Say("link_too_large"))
	case err != nil:
		return nil, errors.New(v.Say("link_cut"))
	}
	var document plan
	if json.Unmarshal(raw, &document) != nil {
		return nil, errors.New(v.Say("link_without_plan"))
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
func readPlan(v *phrase.Voice, raw []byte) (plan, error) {
	text := string(raw)
	if len(raw) == 0 {
		return nil, errors.New(v.Say("choose_file"))
	}
	if at, err := url.Parse(text); err == nil && at.Query().Get("plan") != "" {
		return unpackedPlan(v, at.Query().Get("plan"))
	}
	var document plan
	if err := json.Unmarshal(raw, &document); err != nil || document == nil {
		return nil, errors.New(v.Say("not_a_plan"))
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
