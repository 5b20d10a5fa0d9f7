package transport

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"net/url"
	"strconv"

	"github.com/labstack/echo/v4"

	"saltwright/internal/answer/envelope"
)

type batchRequest struct {
	Calculations []batchCalculation `json:"calculations"`
}

type batchCalculation struct {
	Operation string          `json:"operation"`
	Request   json.RawMessage `json:"request"`
	Units     string          `json:"units"`
	Samples   *int            `json:"samples"`
	Seed      *int            `json:"seed"`
}

type batchItem struct {
	Status int             `json:"status"`
	Body   json.RawMessage `json:"body"`
}

type batchResponse struct {
	Answers []batchItem `json:"answers"`
	Cost    int         `json:"cost"`
}

// runBatch runs several calculations in their order, each as if it had come alone.
func runBatch(c echo.Context, o *operation) error {
	in, err := o.read(c)
	if err != nil {
		return err
	}
	var r batchRequest
	if err := json.Unmarshal(in.full, &r); err != nil {
		return fmt.Errorf("%s: the validated request does not fit its type: %w", o.id, err)
	}
	if len(r.Calculations) == 0 {
		return invalid(envelope.Violation{Code: envelope.CodeItems, In: "body", Pointer: "#/calculations", Detail: "must have at least 1 item"})
	}
	v := visitorOf(c)
	out := batchResponse{Answers: make([]batchItem, len(r.Calculations))}
	for _, item := range r.Calculations {
		samples := 0
		if item.Samples != nil {
			samples = *item.Samples
		}
		out.Cost += v.server.contract.byName[item.Operation].cost(samples)
	}
	if err := v.pay(c, out.Cost-1); err != nil { // the first unit is paid
		return err
	}
	ctx := c.Request().Context()
	for i, item := range r.Calculations {
		if err := ctx.Err(); err != nil {
			return err
		}
		query := url.Values{}
		query.Set("units", item.Units)
		for name, value := range map[string]*int{"samples": item.Samples, "seed": item.Seed} {
			if value != nil {
				query.Set(name, strconv.Itoa(*value))
			}
		}
		target := v.server.contract.byName[item.Operation]
		if out.Answers[i], err = v.server.inside(ctx, target, query, item.Request, requestID(c)); err != nil {
			return err
		}
	}
	return writeJSON(c, http.StatusOK, out)
}

// inside runs an operation that takes a body within the service itself, past the
// limits: for a batch that has paid, and for the service's own trial.
func (s *Server) inside(ctx context.Context, o *operation, query url.Values, body []byte, id string) (batchItem, error) {
	req, err := http.NewRequestWithContext(ctx, o.method, o.path+"?"+query.Encode(), bytes.NewReader(body))
	if err != nil {
		return batchItem{}, err
	}
	req.Header.Set(echo.HeaderContentType, echo.MIMEApplicationJSON)
	rec := &recorder{header: http.Header{}}
	c := s.echo.NewContext(req, rec)
	c.SetPath(o.echoPath)
	c.Set(requestIDKey, id)
	v := &visitor{server: s, prepaid: true}
	c.Set(visitorKey, v)
	defer v.leave()
	if err := s.table[o.id].serve(c, o); err != nil {
		if ctx.Err() != nil {
			return batchItem{}, ctx.Err()
		}
		s.writeProblem(err, c)
	}
	return batchItem{Status: rec.status, Body: bytes.TrimSpace(rec.body.Bytes())}, nil
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
