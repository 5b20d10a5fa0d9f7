package transport

import (
	"bytes"
	"encoding/json"
	"fmt"
	"mime"
	"net/http"
	"strconv"
	"strings"

	"github.com/labstack/echo/v4"

	"saltwright/internal/answer/plan"
	"saltwright/internal/answer/words"
)

// reported answers with the JSON of a calculation, or with a report for people, as Accept asks.
func reported() registration {
	plain := calculation(nil, plan.AuditPlan)
	inner := plain.serve
	plain.serve = func(c echo.Context, o *operation) error {
		c.Response().Header().Add(echo.HeaderVary, echo.HeaderAccept)
		media := preferred(c.Request().Header.Get(echo.HeaderAccept), asJSON, asMarkdown, asHTML)
		if media == asJSON {
			return inner(c, o)
		}
		in, err := o.read(c)
		if err != nil {
			return err
		}
		var r plan.Request
		dec := json.NewDecoder(bytes.NewReader(in.full))
		dec.DisallowUnknownFields()
		if err := dec.Decode(&r); err != nil {
			return fmt.Errorf("%s: the validated request does not fit its type: %w", o.id, err)
		}
		u := words.Metric
		if c.QueryParam("units") == string(words.US) {
			u = words.US
		}
		out, err := plan.WriteReport(c.Request().Context(), r, media == asMarkdown, o.assumedDefaults(in), u)
		if err != nil {
			if re := asRequestError(err, nil); re != nil {
				return o.placed(re)
			}
			return fmt.Errorf("%s: %w", o.id, err)
		}
		if media == asHTML { // a page of our own, that asks nothing of anybody
			c.Response().Header().Set("Content-Security-Policy",
				"default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'")
		}
		return send(c, http.StatusOK, media+"; charset=utf-8", out)
	}
	return plain
}

// preferred returns the offered media type that an Accept header likes best; the first where it likes none.
func preferred(accept string, offered ...string) string {
	best, bestQ := offered[0], 0.0
	for _, piece := range strings.Split(accept, ",") {
		media, params, err := mime.ParseMediaType(strings.TrimSpace(piece))
		if err != nil {
			continue
		}
		q := 1.0
		if text, ok := params["q"]; ok {
			if q, err = strconv.ParseFloat(text, 64); err != nil {
				continue
			}
		}
		for _, o := range offered {
			group, _, _ := strings.Cut(o, "/")
			if (media == o || media == group+"/*" || media == "*/*") && q > bestQ {
				best, bestQ = o, q
				break
			}
		}
	}
	return best
}

// The media types of an audit.
const (
	asJSON     = echo.MIMEApplicationJSON
	asMarkdown = "text/markdown"
	asHTML     = "text/html"
)
