package transport

import (
	"context"
	"errors"
	"log/slog"
	"net/http"
	"slices"
	"strconv"

	"saltwright/internal/calc/text"
	"saltwright/internal/catalogue"
	"saltwright/internal/contract"

	"github.com/labstack/echo/v4"
)

// problemCode is one row of the closed list of problems; the catalogue has the words.
type problemCode struct {
	Code   string
	Status int
}

// problemCodes is the only table of problems; the contract's enum must equal it.
var problemCodes = []problemCode{
	{"malformed_request", http.StatusBadRequest},
	{"unknown_key", http.StatusUnauthorized},
	{"origin_not_allowed", http.StatusForbidden},
	{"not_found", http.StatusNotFound},
	{"method_not_allowed", http.StatusMethodNotAllowed},
	{"request_timeout", http.StatusRequestTimeout},
	{"payload_too_large", http.StatusRequestEntityTooLarge},
	{"unsupported_media_type", http.StatusUnsupportedMediaType},
	{"invalid_request", http.StatusUnprocessableEntity},
	{"quota_exceeded", http.StatusTooManyRequests},
	{"internal_error", http.StatusInternalServerError},
	{"overloaded", http.StatusServiceUnavailable},
	{"out_of_time", http.StatusServiceUnavailable},
}

// said returns a text about a kind of problem: problem_title, problem_meaning or problem_remedy.
func (p problemCode) said(what string) text.Text {
	return text.Of(what, text.Params{"problem": p.Code})
}

// quotaExceeded is the registered type of a problem that is not ours alone
// (IANA, HTTP Problem Types).
const quotaExceeded = "https://iana.org/assignments/http-problem-types#quota-exceeded"

// problem is an RFC 9457 problem document.
type problem struct {
	Type        string               `json:"type"`
	Title       string               `json:"title"`
	Status      int                  `json:"status"`
	Detail      string               `json:"detail"`
	Reason      contract.Reason      `json:"reason"` // what the detail is made of
	Instance    string               `json:"instance"`
	Code        string               `json:"code"`
	Errors      []contract.Violation `json:"errors,omitempty"`
	ErrorsTotal int                  `json:"errors_total,omitempty"`
	Violated    []string             `json:"violated-policies,omitempty"` // the registered type's own name
}

// requestError is what the transport itself refuses.
type requestError struct {
	code       string
	said       text.Text // instead of the remedy of its kind
	violations []contract.Violation
	violated   []string // policies
	retryAfter int      // s; 0: nothing is said
}

func (e *requestError) Error() string { return e.code }

func lookupProblem(code string) (problemCode, bool) {
	for _, p := range problemCodes {
		if p.Code == code {
			return p, true
		}
	}
	return problemCode{}, false
}

// asRequestError turns any error of a handler into what the caller may see, or nil for a fault of ours.
func asRequestError(err error) *requestError {
	var re *requestError
	var invalid *contract.Invalid
	var malformed *contract.Malformed
	var he *echo.HTTPError
	switch {
	case errors.Is(err, context.DeadlineExceeded):
		return &requestError{code: "out_of_time"}
	case errors.As(err, &re):
		return re
	case errors.As(err, &invalid):
		if slices.ContainsFunc(invalid.Violations,
			func(v contract.Violation) bool { return v.In == contract.InPath }) {
			return &requestError{code: "not_found"} // the path names nothing there is
		}
		return &requestError{code: "invalid_request", violations: invalid.Violations}
	case errors.As(err, &malformed):
		return &requestError{code: "malformed_request", said: malformed.Said, violations: malformed.Violations}
	case errors.As(err, &he) && he.Code == http.StatusNotFound:
		return &requestError{code: "not_found"}
	case errors.As(err, &he) && he.Code == http.StatusMethodNotAllowed:
		return &requestError{code: "method_not_allowed"}
	}
	return nil
}

// problemKey is where the code of the problem that was answered stands.
const problemKey = "problem"

func problemOf(c echo.Context) string {
	code, _ := c.Get(problemKey).(string)
	return code
}

// problems writes every answer that is not 2xx.
type problems struct {
	publicURL string
	log       *slog.Logger
	metrics   *metrics
}

// statusAbandoned stands in the log and the metrics where a caller went away before its answer. No caller sees it; it
// is the number that proxies use for this (common practice, no source).
const statusAbandoned = 499

// abandoned tells whether a request ended because its caller went away, or did not take its answer.
func abandoned(err error) bool { return errors.Is(err, context.Canceled) || errors.Is(err, errUnread) }

// write is echo's error handler.
func (s *problems) write(err error, c echo.Context) {
	if c.Response().Committed {
		return
	}
	if abandoned(err) { // there is nobody to answer and nothing to mend
		c.Response().WriteHeader(statusAbandoned)
		return
	}
	id := requestID(c)
	re := asRequestError(err)
	if re == nil {
		s.log.LogAttrs(c.Request().Context(), slog.LevelError, "request failed",
			slog.String("request_id", id), slog.String("route", c.Path()), slog.String("cause", err.Error()))
		re = &requestError{code: "internal_error"}
	}
	p := s.problem(re, id, speakerOf(c))
	c.Set(problemKey, p.Code)
	h := c.Response().Header()
	h.Set(echo.HeaderContentType, "application/problem+json")
	h.Set("Cache-Control", "no-store")
	spoken(c)
	h.Set("Link", links)
	switch re.code {
	case "method_not_allowed":
		allow, _ := c.Get(echo.ContextKeyHeaderAllow).(string) // the router's list for this path
		h.Set(echo.HeaderAllow, allow)
	case "unsupported_media_type":
		h.Set("Accept", "application/json")
	case "request_timeout":
		h.Set(echo.HeaderConnection, "close")
	}
	if re.retryAfter > 0 {
		h.Set(echo.HeaderRetryAfter, strconv.Itoa(re.retryAfter))
	}
	s.metrics.problems.WithLabelValues(p.Code).Inc()
	if err := writeJSON(c, p.Status, p); err != nil {
		s.log.LogAttrs(c.Request().Context(), slog.LevelWarn, "problem not written", slog.String("request_id", id),
			slog.String("cause", err.Error()))
	}
}

func (s *problems) problem(re *requestError, id string, speaker *catalogue.Speaker) problem {
	row, ok := lookupProblem(re.code)
	if !ok {
		row, _ = lookupProblem("internal_error")
	}
	p := problem{
		Type: s.publicURL + "/problems/" + row.Code, Status: row.Status, Instance: "urn:uuid:" + id,
		Code: row.Code, Violated: re.violated,
	}
	if row.Code == "quota_exceeded" {
		p.Type = quotaExceeded
	}
	said := re.said
	if said.IsZero() {
		said = row.said("problem_remedy")
	}
	p.Detail, p.Reason = speaker.Say(said), contract.ReasonOf(said)
	p.Errors, p.ErrorsTotal = contract.Listed(re.violations)
	for i := range p.Errors {
		v := &p.Errors[i]
		v.Detail, v.Reason = speaker.Say(v.Said), contract.ReasonOf(v.Said)
	}
	title := row.said("problem_title")
	if row.Code == "invalid_request" && p.ErrorsTotal > 0 {
		title = text.Of("invalid_values", text.Params{"count": p.ErrorsTotal})
	}
	p.Title = speaker.Say(title)
	return p
}
