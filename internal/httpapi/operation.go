package httpapi

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"mime"
	"net"
	"net/http"
	"net/url"
	"strconv"
	"strings"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/labstack/echo/v4"
)

// handler serves one operation.
type handler func(c echo.Context, o *operation) error

// calculation adapts a typed function to a handler: the validated body or query
// with its defaults becomes Req, and what comes back becomes the envelope.
// rename maps a calculation's own parameter names to the contract's; a quantity
// that follows from several members has them all, divided by spaces.
func calculation[Req, Resp any](rename map[string]string, f func(ctx context.Context, r Req) (answer[Resp], error)) registration {
	return registration{
		request: new(Req), response: new(Resp),
		serve: func(c echo.Context, o *operation) error {
			var r Req
			asSent := c.Request().URL.RawQuery // the filter writes the defaults into it
			original, full, err := o.read(c)
			if err != nil {
				return err
			}
			dec := json.NewDecoder(bytes.NewReader(full))
			dec.DisallowUnknownFields()
			if err := dec.Decode(&r); err != nil {
				return fmt.Errorf("%s: the validated request does not fit its type: %w", o.id, err)
			}
			ctx := context.WithValue(c.Request().Context(), sentKey{}, sent{o, original})
			a, err := f(ctx, r)
			if err != nil {
				if re := asRequestError(err, rename); re != nil {
					return o.placed(re)
				}
				return fmt.Errorf("%s: %w", o.id, err)
			}
			u := metric
			if c.QueryParam("units") == string(us) {
				u = us
			}
			e, err := envelopeOf(o, a, u, original, full)
			if err != nil {
				return err
			}
			if err := o.locate(c, original, asSent); err != nil {
				return err
			}
			asked := o.sampling(c)
			if asked.samples == 0 {
				return writeJSON(c, http.StatusOK, e)
			}
			studied, err := study(c.Request().Context(), o, asked, original, full, e, f)
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
	out.violations = append([]violation(nil), re.violations...)
	for i := range out.violations {
		v := &out.violations[i]
		if v.In != "body" {
			continue
		}
		switch m := o.member(v.Pointer); {
		case m == nil:
			v.Detail = fmt.Sprintf("%s %s", strings.TrimPrefix(v.Pointer, "#/"), v.Detail)
			v.Pointer = "#"
		case v.quantity != "" && m.Value.Extensions["x-unit"] != v.Unit:
			v.Detail = fmt.Sprintf("leads to %s outside %g … %g (%s)", v.quantity, *v.Limit.Minimum, *v.Limit.Maximum, v.Unit)
			v.Code, v.Limit, v.Unit = codeConflict, nil, ""
		}
		if o.body == nil {
			v.In, v.Parameter, v.Pointer = "query", strings.TrimPrefix(strings.TrimPrefix(v.Pointer, "#"), "/"), ""
		}
	}
	return &out
}

// read returns the request as JSON, as sent and with the contract's defaults.
func (o *operation) read(c echo.Context) (original, full []byte, err error) {
	req := c.Request()
	if o.body != nil {
		if original, err = readBody(req); err != nil {
			return nil, nil, err
		}
	}
	sent, err := parseQuery(req)
	if err != nil {
		return nil, nil, err
	}
	params := map[string]string{}
	for i, name := range c.ParamNames() {
		params[name] = c.ParamValues()[i]
	}
	if err := o.validate(req.Context(), req, params); err != nil {
		return nil, nil, err
	}
	if err := visitorOf(c).start(c, o); err != nil {
		return nil, nil, err
	}
	if o.body != nil {
		full, err = io.ReadAll(req.Body)
		return original, full, err
	}
	if original, err = o.queryJSON(sent); err != nil {
		return nil, nil, err
	}
	withDefaults, err := parseQuery(req) // the filter wrote the defaults into the URL
	if err != nil {
		return nil, nil, err
	}
	full, err = o.queryJSON(withDefaults)
	return original, full, err
}

// readBody takes the whole body, within its limit, and refuses what is not one
// strict JSON value. The body can be read again afterwards.
func readBody(req *http.Request) ([]byte, error) {
	media, _, err := mime.ParseMediaType(req.Header.Get(echo.HeaderContentType))
	if err != nil || media != "application/json" {
		return nil, &requestError{code: "unsupported_media_type"}
	}
	if req.ContentLength > maxBodyBytes {
		return nil, &requestError{code: "payload_too_large"}
	}
	data, err := io.ReadAll(io.LimitReader(req.Body, maxBodyBytes+1))
	var slow net.Error
	if errors.As(err, &slow) && slow.Timeout() {
		return nil, &requestError{code: "request_timeout"}
	}
	if err != nil {
		return nil, malformed("The body could not be read to its end.")
	}
	if len(data) > maxBodyBytes {
		return nil, &requestError{code: "payload_too_large"}
	}
	if len(data) == 0 {
		return nil, malformed("The body is missing; send one JSON object.")
	}
	if err := checkJSON(data); err != nil {
		return nil, err
	}
	req.Body = io.NopCloser(bytes.NewReader(data))
	req.ContentLength = int64(len(data))
	return data, nil
}

// parseQuery returns the query's values, or a problem when it is not valid.
func parseQuery(req *http.Request) (url.Values, error) {
	v, err := url.ParseQuery(req.URL.RawQuery)
	if err != nil {
		return nil, malformed("The query is not valid: check its per cent signs and semicolons.")
	}
	return v, nil
}

// queryJSON turns query values into the JSON object that the POST twin would take.
func (o *operation) queryJSON(values url.Values) ([]byte, error) {
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
	return json.Marshal(out)
}

// writeJSON writes a value as JSON; the same value gives the same bytes.
func writeJSON(c echo.Context, status int, v any) error {
	var buf bytes.Buffer
	enc := json.NewEncoder(&buf)
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
func (o *operation) locate(c echo.Context, original []byte, asSent string) error {
	if !o.twin {
		return nil
	}
	var members map[string]any
	dec := json.NewDecoder(bytes.NewReader(original))
	dec.UseNumber()
	if err := dec.Decode(&members); err != nil {
		return fmt.Errorf("%s: the request passed as JSON and does not decode: %w", o.id, err)
	}
	query, err := url.ParseQuery(asSent) // units, samples and seed
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
