package transport

import (
	"context"
	"encoding/json"
	"net/http"
	"net/url"
	"strconv"

	"github.com/labstack/echo/v4"

	"saltwright/internal/calc/text"
	"saltwright/internal/contract"
)

type batchRequest struct {
	Calculations []batchCalculation `json:"calculations"`
}

type batchCalculation struct {
	Operation string          `json:"operation"`
	Request   json.RawMessage `json:"request"`
	Units     string          `json:"units"`
	Language  *string         `json:"language"`
	Include   *string         `json:"include"`
	Detail    *string         `json:"detail"`
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
			Said: text.Of("list_too_short", text.Params{"count": 1}),
		}}}
	}
	spoken(c)
	language := string(languageOf(c))
	out := batchResponse{Answers: make([]outcome, len(r.Calculations))}
	cost := make([]int, len(r.Calculations))
	for i, item := range r.Calculations {
		if item.Language == nil {
			r.Calculations[i].Language = &language
		}
		item = r.Calculations[i]
		if cost[i], err = d.costOf(d.contract.Calculation(item.Operation), item.query(), item.Request); err != nil {
			return err
		}
		out.Cost += cost[i]
	}
	visitor := visitorOf(c)
	paid, err := visitor.take(c, out.Cost-1) // the first unit is paid
	if err != nil {
		return err
	}
	ctx, cancel := context.WithTimeout(c.Request().Context(), d.gate.budget) // that of one request
	defer cancel()
	for i, item := range r.Calculations {
		if err := ctx.Err(); err != nil {
			return err
		}
		if out.Answers[i], err = d.run(ctx, visitor.share, d.contract.Calculation(item.Operation), item.query(),
			item.Request, requestID(c)); err != nil {
			return err
		}
		visitor.refund(c, cost[i]-out.Answers[i].cost, paid)
		out.Cost -= cost[i] - out.Answers[i].cost
	}
	return writeJSON(c, http.StatusOK, out)
}

// query is what the calculation would be asked with alone.
func (b batchCalculation) query() url.Values {
	query := url.Values{}
	query.Set("units", b.Units)
	for name, value := range map[string]*string{
		languageParameter: b.Language, "include": b.Include, "detail": b.Detail,
	} {
		if value != nil {
			query.Set(name, *value)
		}
	}
	for name, value := range map[string]*int{"samples": b.Samples, "seed": b.Seed} {
		if value != nil {
			query.Set(name, strconv.Itoa(*value))
		}
	}
	return query
}

// costOf is what a calculation within another request costs at most.
func (d *desk) costOf(o *contract.Operation, query url.Values, request []byte) (int, error) {
	asked, err := o.Read(request, query.Encode())
	if asRequestError(err) != nil {
		return costOfRefusal(err), nil // its own answer will say why
	}
	if err != nil {
		return 0, err
	}
	return asked.Cost(), nil
}
