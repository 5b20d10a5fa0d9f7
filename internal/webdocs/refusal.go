package webdocs

import (
	"fmt"
	"net/http"

	"saltwright/internal/contract"
)

// refusal is an answer of the API other than 200.
type refusal struct {
	status  int
	header  http.Header
	problem problemDocument
}

func (e *refusal) Error() string {
	return fmt.Sprintf("the API answered %d: %s", e.status, e.problem.Detail)
}

// about tells whether a parameter is among what was refused.
func (e *refusal) about(parameter string) bool {
	for _, v := range e.problem.Errors {
		if v.Parameter == parameter {
			return true
		}
	}
	return false
}

type problemDocument struct {
	Title  string      `json:"title"`
	Detail string      `json:"detail"`
	Code   string      `json:"code"`
	Errors []violation `json:"errors"`
}

// violation is one thing that the API refused.
type violation struct {
	Code       string         `json:"code"`
	Pointer    string         `json:"pointer"`
	Parameter  string         `json:"parameter"`
	Detail     string         `json:"detail"`
	Unit       string         `json:"unit"`
	Suggestion string         `json:"suggestion"`
	Limit      contract.Bound `json:"limit"`
}
