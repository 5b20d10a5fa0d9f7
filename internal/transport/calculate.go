package transport

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"maps"
	"net/http"
	"net/url"

	"github.com/labstack/echo/v4"

	"saltwright/internal/answer"
	"saltwright/internal/calc/text"
	"saltwright/internal/catalogue"
	"saltwright/internal/contract"
	"saltwright/internal/negotiate"
)

// handler serves one operation.
type handler func(c echo.Context, o *contract.Operation) error

// The media types of an answer.
const (
	asJSON     = echo.MIMEApplicationJSON
	asMarkdown = "text/markdown"
	asHTML     = "text/html"
)

// reportPolicy lets a report's page use the styles in it, and nothing else.
const reportPolicy = "default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'"

// read returns a request that keeps the contract, paid for and in its place.
func read(c echo.Context, o *contract.Operation) (*contract.Request, error) {
	req := c.Request()
	var body []byte
	var err error
	switch {
	case o.Body != nil:
		if body, err = readBody(req); err != nil {
			return nil, err
		}
	case req.ContentLength != 0:
		return nil, &contract.Malformed{Said: text.Of("body_not_wanted", nil)}
	}
	asked, err := o.Read(body, queryOf(c, o))
	if err != nil {
		if unpaid := visitorOf(c).pay(c, costOfRefusal(err)-1); unpaid != nil {
			return nil, unpaid
		}
		return nil, err
	}
	return asked, visitorOf(c).start(c, asked.Cost())
}

// violationsAUnit is how many violations are found and told apart in the time of a unit.
const violationsAUnit = 1000

// costOfRefusal is what a request costs that breaks the contract.
func costOfRefusal(err error) int {
	var invalid *contract.Invalid
	if !errors.As(err, &invalid) {
		return 1
	}
	return 1 + len(invalid.Violations)/violationsAUnit
}

// calculated serves what the answer room answers: as JSON, or as a report where there is one and Accept asks for it.
func calculated(by answer.Operation, origin string) handler {
	return func(c echo.Context, o *contract.Operation) error {
		spoken(c)
		media := asJSON
		if by.Report != nil {
			negotiate.Vary(c.Response().Header(), echo.HeaderAccept)
			media = negotiate.Preferred(c.Request().Header.Get(echo.HeaderAccept), asJSON, asMarkdown, asHTML)
		}
		asked, err := read(c, o)
		if err != nil {
			return err
		}
		if media != asJSON {
			on := answer.Paper{Markdown: media == asMarkdown, Link: fullAddress(c, asked, origin)}
			page, err := by.Report(c.Request().Context(), asked, on)
			if err != nil {
				return err
			}
			visitorOf(c).leave()
			if media == asHTML {
				c.Response().Header().Set(echo.HeaderContentSecurityPolicy, reportPolicy)
			}
			return send(c, http.StatusOK, media+"; charset=utf-8", page)
		}
		out, err := by.Answer(c.Request().Context(), asked)
		if err != nil {
			return err
		}
		visitorOf(c).leave() // before sending: a client that reads slowly holds no place
		locate(c, asked)
		return writeJSON(c, http.StatusOK, out)
	}
}

// fullAddress is the whole address that GET gives this answer at; empty where there is none. Without an address that
// the operator named it is the one that the caller came by.
func fullAddress(c echo.Context, asked *contract.Request, origin string) string {
	query, ok := asked.Address()
	if c.Request().Method == http.MethodGet { // it came by that address
		query, ok = maps.Clone(c.QueryParams()), true
	}
	if !ok {
		return ""
	}
	if units := c.QueryParam("units"); units != "" {
		query.Set("units", units)
	}
	if l := languageOf(c); l != catalogue.English {
		query.Set(languageParameter, string(l))
	}
	if origin == "" {
		origin = c.Scheme() + "://" + c.Request().Host
	}
	return origin + asked.Operation.Path + "?" + query.Encode()
}

// longestLocation is the longest address that is worth handing on.
const longestLocation = 2000

// locate names, in Content-Location, the address where GET gives this answer (RFC 9110, 8.7).
func locate(c echo.Context, asked *contract.Request) {
	query, ok := asked.Address()
	if !ok {
		return
	}
	for name, v := range c.Request().URL.Query() { // units, samples and seed: the contract has read it
		query[name] = v
	}
	if l := languageOf(c); l != catalogue.English {
		query.Set(languageParameter, string(l))
	}
	if at := asked.Operation.Path + "?" + query.Encode(); len(at) <= longestLocation {
		c.Response().Header().Set("Content-Location", at)
	}
}

// desk runs operations within the service itself, past the limits: for a batch that has paid, and for its own trial.
type desk struct {
	echo     *echo.Echo
	contract *contract.Contract
	serve    map[string]handler
	gate     *gate
	problems *problems
}

// outcome is what an operation answered inside.
type outcome struct {
	Status int             `json:"status"`
	Body   json.RawMessage `json:"body"`

	cost int // units
}

// run answers one request. Its places are those of share.
func (d *desk) run(
	ctx context.Context, share string, o *contract.Operation, query url.Values, body []byte, id string,
) (outcome, error) {
	req, err := http.NewRequestWithContext(ctx, o.Method, o.Path+"?"+query.Encode(), bytes.NewReader(body))
	if err != nil {
		return outcome{}, err
	}
	req.Header.Set(echo.HeaderContentType, echo.MIMEApplicationJSON)
	rec := &recorder{header: http.Header{}}
	c := d.echo.NewContext(req, rec)
	c.SetPath(o.Path)
	rec.header.Set(echo.HeaderXRequestID, id)
	v := &visitor{gate: d.gate, share: share, cost: 1}
	c.Set(visitorKey, v)
	defer v.leave()
	if err := d.serve[o.ID](c, o); err != nil {
		if ctx.Err() != nil {
			return outcome{}, ctx.Err()
		}
		d.problems.write(err, c)
	}
	v.leave()
	return outcome{Status: rec.status, Body: bytes.TrimSpace(rec.body.Bytes()), cost: v.cost}, nil
}

// recorder is a response that stays here.
type recorder struct {
	header http.Header
	status int
	body   bytes.Buffer
}

func (r *recorder) Header() http.Header         { return r.header }
func (r *recorder) Write(p []byte) (int, error) { return r.body.Write(p) }
func (r *recorder) WriteHeader(status int)      { r.status = status }
