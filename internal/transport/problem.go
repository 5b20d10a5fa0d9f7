package transport

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net/http"
	"slices"
	"strconv"

	"saltwright/internal/contract"

	"github.com/labstack/echo/v4"
)

// problemCode is one row of the closed list of problems.
type problemCode struct {
	Code    string
	Status  int
	Title   string
	Meaning string
	Remedy  string
}

// problemCodes is the only table of problems; the contract's enum must equal it.
var problemCodes = []problemCode{
	{"malformed_request", http.StatusBadRequest, "The request could not be read",
		"The body is not one valid JSON value within the limits, or the query is not valid.",
		"Send one JSON object, UTF-8, without duplicate members, at most 16 levels deep."},
	{"unknown_key", http.StatusUnauthorized, "The key is not known",
		"X-API-Key holds no key of this service.", "Check the key, or leave the header out: no operation needs one."},
	{"origin_not_allowed", http.StatusForbidden, "The key may not be used here",
		"This key belongs to pages of other origins.", "Use it from its own pages, or leave X-API-Key out."},
	{"not_found", http.StatusNotFound, "There is nothing at this address",
		"No operation of the contract has this path.", "See /openapi.json for the addresses there are."},
	{"method_not_allowed", http.StatusMethodNotAllowed, "This address does not take this method",
		"The path exists, but not for this method.", "Use a method named in the Allow header."},
	{"request_timeout", http.StatusRequestTimeout, "The body did not arrive in time",
		"A request must be complete within a few seconds.", "Send it again, at once and whole."},
	{"payload_too_large", http.StatusRequestEntityTooLarge, "The body is too large",
		"A body may have at most 65536 bytes.", "Send less; a plan of 200 elements fits easily."},
	{"unsupported_media_type", http.StatusUnsupportedMediaType, "The body's media type is not taken",
		"Bodies are application/json.", "Send the header Content-Type: application/json."},
	{"invalid_request", http.StatusUnprocessableEntity, "The request has invalid values",
		"The request was read, but some values are missing, unknown, out of range or impossible together.",
		"Correct what errors lists and send the request again."},
	{"quota_exceeded", http.StatusTooManyRequests, "The quota is used up",
		"Every operation costs units (x-cost in the contract); a client has so many a minute and a day, as " +
			"RateLimit-Policy says.",
		"Wait as long as Retry-After says; keep answers, which do not change; use a key with a larger quota."},
	{"internal_error", http.StatusInternalServerError, "Something went wrong on our side",
		"The service failed; your request may be fine.", "Try again later; if it stays, report the instance."},
	{"overloaded", http.StatusServiceUnavailable, "Too much is being calculated",
		"Long calculations wait for a free processor, and the queue is full.",
		"Wait as long as Retry-After says and send it again."},
	{"out_of_time", http.StatusServiceUnavailable, "The calculation took too long",
		"A request may calculate for so long and no longer.", "Ask for less: fewer samples, a smaller plan, a " +
			"shorter " +
			"absence."},
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
	Instance    string               `json:"instance"`
	Code        string               `json:"code"`
	Errors      []contract.Violation `json:"errors,omitempty"`
	ErrorsTotal int                  `json:"errors_total,omitempty"`
	Violated    []string             `json:"violated-policies,omitempty"` // the registered type's own name
}

// requestError is what the transport itself refuses.
type requestError struct {
	code       string
	detail     string // replaces the table's remedy when not empty
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
		return &requestError{code: "malformed_request", detail: malformed.Detail, violations: malformed.Violations}
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
	p := s.problem(re, id)
	c.Set(problemKey, p.Code)
	h := c.Response().Header()
	h.Set(echo.HeaderContentType, "application/problem+json")
	h.Set("Cache-Control", "no-store")
	h.Set("Content-Language", "en")
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

func (s *problems) problem(re *requestError, id string) problem {
	row, ok := lookupProblem(re.code)
	if !ok {
		row, _ = lookupProblem("internal_error")
	}
	p := problem{
		Type: s.publicURL + "/problems/" + row.Code, Title: row.Title, Status: row.Status, Detail: row.Remedy,
		Instance: "urn:uuid:" + id, Code: row.Code,
	}
	if row.Code == "quota_exceeded" {
		p.Type = quotaExceeded
	}
	if re.detail != "" {
		p.Detail = re.detail
	}
	p.Violated = re.violated
	p.Errors, p.ErrorsTotal = contract.Listed(re.violations)
	switch {
	case row.Code != "invalid_request" || p.ErrorsTotal == 0:
	case p.ErrorsTotal == 1:
		p.Title = "The request has 1 invalid value"
	default:
		p.Title = fmt.Sprintf("The request has %d invalid values", p.ErrorsTotal)
	}
	return p
}
