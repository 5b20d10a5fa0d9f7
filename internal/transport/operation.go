package transport

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"maps"
	"mime"
	"net"
	"net/http"
	"net/url"
	"strconv"
	"strings"
	"sync"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/labstack/echo/v4"

	"saltwright/internal/answer/envelope"
	"saltwright/internal/answer/words"
)

// handler serves one operation.
type handler func(c echo.Context, o *operation) error

// calculation adapts a typed function to a handler: the validated body or query
// with its defaults becomes Req, and what comes back becomes the envelope.
// rename maps a calculation's own parameter names to the contract's; a quantity
// that follows from several members has them all, divided by spaces.
func calculation[Req, Resp any](rename map[string]string, f func(ctx context.Context, r Req) (envelope.Answer[Resp], error)) registration {
	return registration{
		request: new(Req), response: new(Resp),
		serve: func(c echo.Context, o *operation) error {
			var r Req
			in, err := o.read(c)
			if err != nil {
				return err
			}
			dec := json.NewDecoder(bytes.NewReader(in.full))
			dec.DisallowUnknownFields()
			if err := dec.Decode(&r); err != nil {
				return fmt.Errorf("%s: the validated request does not fit its type: %w", o.id, err)
			}
			ctx := envelope.WithDocument(c.Request().Context(), envelope.Document{Original: in.original, Complete: o.complete})
			a, err := f(ctx, r)
			if err != nil {
				if re := asRequestError(err, rename); re != nil {
					return o.placed(re)
				}
				return fmt.Errorf("%s: %w", o.id, err)
			}
			u := words.Metric
			if c.QueryParam("units") == string(words.US) {
				u = words.US
			}
			e := envelopeOf(o, a, u, in)
			if err := o.locate(c, in.sent); err != nil {
				return err
			}
			draws := o.sampling(c)
			if draws.samples == 0 {
				return writeJSON(c, http.StatusOK, e)
			}
			studied, err := study(c.Request().Context(), o, draws, in, e, f)
			if err != nil {
				if re := asRequestError(err, rename); re != nil {
					return o.placed(re)
				}
				return fmt.Errorf("%s: %w", o.id, err)
			}
			return writeJSON(c, http.StatusOK, studiedEnvelope{e, studied})
		},
	}
}

// complete returns a document with the contract's defaults, as if it had been sent.
func (o *operation) complete(ctx context.Context, doc []byte) ([]byte, error) {
	req, err := http.NewRequestWithContext(ctx, http.MethodPost, o.path, bytes.NewReader(doc))
	if err != nil {
		return nil, err
	}
	req.Header.Set("Content-Type", "application/json")
	if err := o.validate(ctx, req, nil, nil); err != nil {
		return nil, err
	}
	return io.ReadAll(req.Body)
}

// registration is one line of the operations table.
type registration struct {
	serve             handler
	request, response any // for the contract tests; nil for documents
}

// placed holds what a calculation refused against the request: a quantity that
// only follows from a member is said to follow from it, one that is no member is
// named in words, and a query has parameters where a body has pointers.
func (o *operation) placed(re *requestError) *requestError {
	out := *re
	out.violations = append([]envelope.Violation(nil), re.violations...)
	for i := range out.violations {
		v := &out.violations[i]
		if v.In != "body" {
			continue
		}
		switch m := o.member(v.Pointer); {
		case m == nil:
			v.Detail = fmt.Sprintf("%s %s", strings.TrimPrefix(v.Pointer, "#/"), v.Detail)
			v.Pointer = "#"
		case v.Quantity != "" && m.Value.Extensions["x-unit"] != v.Unit:
			v.Detail = fmt.Sprintf("leads to %s outside %g … %g (%s)", v.Quantity, *v.Limit.Minimum, *v.Limit.Maximum, v.Unit)
			v.Code, v.Limit, v.Unit = envelope.CodeConflict, nil, ""
		}
		if o.body == nil {
			v.In, v.Parameter, v.Pointer = "query", strings.TrimPrefix(strings.TrimPrefix(v.Pointer, "#"), "/"), ""
		}
	}
	return &out
}

// asked is a request as it was sent and with the contract's defaults, in JSON and decoded.
type asked struct {
	original  []byte // of a body
	full      []byte
	sent, all any // numbers are json.Number, or float64 where a query or a default brought them
}

// read returns the request, once it has passed the contract and been paid for.
func (o *operation) read(c echo.Context) (asked, error) {
	req := c.Request()
	var a asked
	var err error
	if o.body != nil {
		if a.original, a.sent, err = readBody(req); err != nil {
			return a, err
		}
	}
	sent, err := parseQuery(req)
	if err != nil {
		return a, err
	}
	var params map[string]string
	if names := c.ParamNames(); len(names) > 0 {
		params = map[string]string{}
		for i, name := range names {
			params[name] = c.ParamValues()[i]
		}
	}
	if err := o.validate(req.Context(), req, sent, params); err != nil {
		return a, err
	}
	if err := visitorOf(c).start(c, o); err != nil {
		return a, err
	}
	if o.body != nil {
		validated, ok := req.Body.(interface{ ValidatedValue() any })
		if !ok {
			return a, fmt.Errorf("%s: the filter left no validated value", o.id)
		}
		a.all = validated.ValidatedValue()
		a.full, err = io.ReadAll(req.Body)
		return a, err
	}
	members, err := o.queryMembers(sent)
	if err != nil {
		return a, err
	}
	full := o.withDefaults(members)
	a.sent, a.all = members, full
	a.full, err = json.Marshal(full)
	return a, err
}

// readBody takes the whole body, within its limit, and refuses what is not one
// strict JSON value. The body can be read again afterwards.
func readBody(req *http.Request) (data []byte, value any, err error) {
	media, _, err := mime.ParseMediaType(req.Header.Get(echo.HeaderContentType))
	if err != nil || media != "application/json" {
		return nil, nil, &requestError{code: "unsupported_media_type"}
	}
	if req.ContentLength > maxBodyBytes {
		return nil, nil, &requestError{code: "payload_too_large"}
	}
	data, err = io.ReadAll(io.LimitReader(req.Body, maxBodyBytes+1))
	var slow net.Error
	if errors.As(err, &slow) && slow.Timeout() {
		return nil, nil, &requestError{code: "request_timeout"}
	}
	if err != nil {
		return nil, nil, malformed("The body could not be read to its end.")
	}
	if len(data) > maxBodyBytes {
		return nil, nil, &requestError{code: "payload_too_large"}
	}
	if len(data) == 0 {
		return nil, nil, malformed("The body is missing; send one JSON object.")
	}
	if value, err = checkJSON(data); err != nil {
		return nil, nil, err
	}
	req.Body = io.NopCloser(bytes.NewReader(data))
	req.ContentLength = int64(len(data))
	return data, value, nil
}

// parseQuery returns the query's values, or a problem when it is not valid.
func parseQuery(req *http.Request) (url.Values, error) {
	v, err := url.ParseQuery(req.URL.RawQuery)
	if err != nil {
		return nil, malformed("The query is not valid: check its per cent signs and semicolons.")
	}
	return v, nil
}

// withDefaults adds the contract's defaults to the members of a query.
func (o *operation) withDefaults(members map[string]any) map[string]any {
	out := maps.Clone(members)
	for _, p := range o.route.Operation.Parameters {
		name, value := p.Value.Name, p.Value.Schema.Value.Default
		if _, given := members[name]; given || value == nil || p.Value.In != openapi3.ParameterInQuery || answerParameter(name) {
			continue
		}
		out[name] = value
	}
	return out
}

// queryMembers turns query values into the members that the POST twin would take.
func (o *operation) queryMembers(values url.Values) (map[string]any, error) {
	out := map[string]any{}
	for _, p := range o.route.Operation.Parameters {
		name := p.Value.Name
		if p.Value.In != openapi3.ParameterInQuery || answerParameter(name) || !values.Has(name) {
			continue
		}
		text := values.Get(name)
		switch kind := p.Value.Schema.Value.Type; {
		case kind.Is("number"), kind.Is("integer"):
			f, err := strconv.ParseFloat(text, 64)
			if err != nil {
				return nil, fmt.Errorf("parameter %s passed the contract but is no number: %w", name, err)
			}
			out[name] = f + 0 // -0 + 0 is 0
		case kind.Is("boolean"):
			out[name] = text == "true"
		default:
			out[name] = text
		}
	}
	return out, nil
}

// buffers hold an answer until it is written.
var buffers = sync.Pool{New: func() any { return new(bytes.Buffer) }}

// writeJSON writes a value as JSON; the same value gives the same bytes.
func writeJSON(c echo.Context, status int, v any) error {
	buf := buffers.Get().(*bytes.Buffer)
	defer buffers.Put(buf)
	buf.Reset()
	enc := json.NewEncoder(buf)
	enc.SetEscapeHTML(false)
	if err := enc.Encode(v); err != nil {
		var unsupported *json.UnsupportedValueError
		if errors.As(err, &unsupported) {
			return fmt.Errorf("a calculation returned a value that JSON cannot hold: %w", err)
		}
		return err
	}
	media := c.Response().Header().Get(echo.HeaderContentType)
	if media == "" {
		media = echo.MIMEApplicationJSON
	}
	return send(c, status, media, buf.Bytes())
}

// longestLocation is the longest address that is worth handing on.
const longestLocation = 2000

// locate names, in Content-Location, the address where GET gives this answer (RFC 9110, 8.7).
func (o *operation) locate(c echo.Context, request any) error {
	members, ok := request.(map[string]any)
	if !o.twin || !ok {
		return nil
	}
	query, err := parseQuery(c.Request()) // units, samples and seed
	if err != nil {
		return fmt.Errorf("%s: the query passed and does not parse: %w", o.id, err)
	}
	for name, v := range members {
		query.Set(name, fmt.Sprint(v))
	}
	if at := o.path + "?" + query.Encode(); len(at) <= longestLocation {
		c.Response().Header().Set("Content-Location", at)
	}
	return nil
}
