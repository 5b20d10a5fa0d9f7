package transport

import (
	"context"
	"net/http"
	"net/url"

	"github.com/labstack/echo/v4"

	"saltwright/internal/assistant"
)

// caller is who a message of an assistant comes from.
type caller struct {
	c       echo.Context
	visitor *visitor
}

type callerKey struct{}

// messages serves the tools of assistants. A message costs a unit; a tool costs what its operation costs.
func (d *desk) messages(tools http.Handler) echo.HandlerFunc {
	return func(c echo.Context) error {
		return d.gate.attend(c, func(c echo.Context) error {
			ctx := context.WithValue(c.Request().Context(), callerKey{}, caller{c, visitorOf(c)})
			tools.ServeHTTP(c.Response(), c.Request().WithContext(ctx))
			return nil
		})
	}
}

// askFor asks an operation for an assistant: on the account of who sent the message, or of nobody where the tools are
// not served over HTTP.
func (d *desk) askFor(ctx context.Context, operation string, query url.Values, request []byte) (assistant.Answer,
	error) {
	ctx, cancel := context.WithTimeout(ctx, d.gate.budget)
	defer cancel()
	o := d.contract.Calculation(operation)
	from, overHTTP := ctx.Value(callerKey{}).(caller)
	if !overHTTP {
		out, err := d.run(ctx, "", o, query, request, "")
		return assistant.Answer{Status: out.Status, Body: out.Body}, err
	}
	cost, err := d.costOf(o, query, request)
	if err != nil {
		return assistant.Answer{}, err
	}
	paid, err := from.visitor.take(from.c, cost-1) // the first unit is paid
	var out outcome
	if err == nil {
		out, err = d.run(ctx, from.visitor.share, o, query, request, requestID(from.c))
		from.visitor.refund(from.c, cost-max(out.cost, 1), paid)
	}
	if err != nil {
		out = d.refused(err, requestID(from.c))
	}
	return assistant.Answer{Status: out.Status, Body: out.Body}, nil
}

// refused is the problem that an error is answered with.
func (d *desk) refused(err error, id string) outcome {
	rec := &recorder{header: http.Header{echo.HeaderXRequestID: {id}}}
	c := d.echo.NewContext(&http.Request{Header: http.Header{}, URL: &url.URL{}}, rec)
	d.problems.write(err, c)
	return outcome{Status: rec.status, Body: rec.body.Bytes()}
}
