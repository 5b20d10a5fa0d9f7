package transport

import (
	"context"
	"encoding/json"
	"net/http"
	"net/url"
	"strconv"

	"github.com/labstack/echo/v4"

	"saltwright/internal/contract"
)

type batchRequest struct {
	Calculations []batchCalculation `json:"calculations"`
}

type batchCalculation struct {
	Operation string          `json:"operation"`
	Request   json.RawMessage `json:"request"`
	Units     string          `json:"units"`
	Include   *string         `json:"include"`
	Samples   *int            `json:"samples"`
	Seed      *int            `json:"seed"`
}

type batchResponse struct {
	Answers []outcome `json:"answers"`
	Cost    int       `json:"cost"`
}

// batch runs several calculations in their order, each as if it had come alone. The whole batch is paid before it
// starts.
func (d *desk) batch(c echo.Context, o *contract.Operation) error {
	asked, err := read(c, o)
	if err != nil {
		return err
	}
	var r batchRequest
	if err := asked.Into(&r); err != nil {
		return err
	}
	if len(r.Calculations) == 0 {
		return &contract.Invalid{Violations: []contract.Violation{{
			Code: contract.CodeCount, In: contract.InBody, Pointer: "#/calculations",
			Detail: "must have at least 1 item",
		}}}
	}
	out := batchResponse{Answers: make([]outcome, len(r.Calculations))}
	for _, item := range r.Calculations {
		samples := 0
		if item.Samples != nil {
			samples = *item.Samples
		}
		out.Cost += d.contract.Calculation(item.Operation).Cost(samples)
	}
	if err := visitorOf(c).pay(c, out.Cost-1); err != nil { // the first unit is paid
		return err
	}
	ctx, cancel := context.WithTimeout(c.Request().Context(), d.gate.budget) // that of one request
	defer cancel()
	for i, item := range r.Calculations {
		if err := ctx.Err(); err != nil {
			return err
		}
		query := url.Values{}
		query.Set("units", item.Units)
		if item.Include != nil {
			query.Set("include", *item.Include)
		}
		for name, value := range map[string]*int{"samples": item.Samples, "seed": item.Seed} {
			if value != nil {
				query.Set(name, strconv.Itoa(*value))
			}
		}
		if out.Answers[i], err = d.run(ctx, d.contract.Calculation(item.Operation), query, item.Request,
			requestID(c)); err != nil {
			return err
		}
	}
	return writeJSON(c, http.StatusOK, out)
}
