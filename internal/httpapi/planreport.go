package httpapi

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"mime"
	"net/http"
	"sort"
	"strconv"
	"strings"

	"github.com/labstack/echo/v4"

	"saltwright/internal/calc/audit"
	"saltwright/internal/report"
)

// The media types of an audit.
const (
	asJSON     = echo.MIMEApplicationJSON
	asMarkdown = "text/markdown"
	asHTML     = "text/html"
)

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

// reported answers with the JSON of a calculation, or with a report for people, as Accept asks.
func reported() registration {
	plain := calculation(nil, auditPlan)
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
		var r planRequest
		dec := json.NewDecoder(bytes.NewReader(in.full))
		dec.DisallowUnknownFields()
		if err := dec.Decode(&r); err != nil {
			return fmt.Errorf("%s: the validated request does not fit its type: %w", o.id, err)
		}
		u := metric
		if c.QueryParam("units") == string(us) {
			u = us
		}
		out, err := writeReport(c.Request().Context(), r, media, o.assumedDefaults(in), u)
		if err != nil {
			if re := asRequestError(err, nil); re != nil {
				return o.placed(re)
			}
			return fmt.Errorf("%s: %w", o.id, err)
		}
		if media == asHTML { // a page of our own, that asks nothing of anybody
			c.Response().Header().Set("Content-Security-Policy", "default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'")
		}
		return send(c, http.StatusOK, media+"; charset=utf-8", out)
	}
	return plain
}

// mostTimelines is how many runs a page draws.
const mostTimelines = 8

func writeReport(ctx context.Context, r planRequest, media string, defaults []assumption, u units) ([]byte, error) {
	most := mostTimelines
	if media == asMarkdown {
		most = 0
	}
	h, timelines, err := audit.Timelines(ctx, r.input(), most)
	if err != nil {
		return nil, err
	}
	x := report.Input{HandOver: h, Timelines: timelines, Summary: planSummary(h.Report, u)}
	for _, c := range planCautions(h.Report) {
		x.Cautions = append(x.Cautions, c.Message)
	}
	assumed := append(defaults, planAssumptions(h.Report.Assumptions, "#")...)
	sort.SliceStable(assumed, func(i, j int) bool { return assumed[i].Pointer < assumed[j].Pointer })
	for _, a := range assumed {
		line := fmt.Sprintf("%s: %v %s", strings.TrimPrefix(a.Pointer, "#/"), a.Value, a.Unit)
		if a.Note != "" {
			line += " (" + a.Note + ")"
		}
		x.Assumed = append(x.Assumed, line)
	}
	if media == asMarkdown {
		return []byte(report.Markdown(x)), nil
	}
	return report.HTML(x)
}

type handOverSetting struct {
	Element string  `json:"element"`
	What    string  `json:"what"`
	Value   float64 `json:"value"`
	Unit    string  `json:"unit"`
	Why     string  `json:"why"`
}

type handOverAlarm struct {
	Alarm      string   `json:"alarm"`
	Sensor     string   `json:"sensor"`
	When       string   `json:"when"`
	ThresholdC *float64 `json:"threshold_c,omitempty"`
	DelayMin   float64  `json:"delay_min"`
	Path       string   `json:"path"`
	Beats      []string `json:"beats"`
	TightestH  *float64 `json:"tightest_h,omitempty"`
}

type handOverTrial struct {
	Element string   `json:"element"`
	Do      string   `json:"do"`
	Expect  string   `json:"expect"`
	Faults  []string `json:"faults"`
}

type planHandOverResponse struct {
	Sound      bool              `json:"sound"`
	Settings   []handOverSetting `json:"settings"`
	Alarms     []handOverAlarm   `json:"alarms"`
	Commission []handOverTrial   `json:"commissioning"`
	Monthly    []handOverTrial   `json:"monthly"`
}

func newPlanHandOverResponse(h audit.HandOver) planHandOverResponse {
	out := planHandOverResponse{Sound: h.Report.Sound(), Settings: []handOverSetting{}, Alarms: []handOverAlarm{}, Commission: []handOverTrial{}, Monthly: []handOverTrial{}}
	for _, s := range h.Settings {
		out.Settings = append(out.Settings, handOverSetting(s))
	}
	for _, t := range h.Thresholds {
		a := handOverAlarm(t)
		a.Beats = list(a.Beats)
		out.Alarms = append(out.Alarms, a)
	}
	for _, t := range h.Commission {
		out.Commission = append(out.Commission, handOverTrial(t))
	}
	for _, t := range h.Monthly {
		out.Monthly = append(out.Monthly, handOverTrial(t))
	}
	return out
}

// handOverPlan is what to set, what to try once and what to try every month.
func handOverPlan(ctx context.Context, r planRequest) (answer[planHandOverResponse], error) {
	h, err := audit.Hand(ctx, r.input())
	if err != nil {
		return answer[planHandOverResponse]{}, err
	}
	out := newPlanHandOverResponse(h)
	a := answer[planHandOverResponse]{
		Result: out, Assumptions: planAssumptions(h.Report.Assumptions, "#"), Cautions: append(planCautions(h.Report), licensedTrades), Sources: []string{"CommonPractice", "Derived", "IEC60812"},
		Summary: func(units) string {
			return fmt.Sprintf("%d values to set, %d things to try once before livestock comes, and %d to try every month, since nothing else would show their failure.", len(out.Settings), len(out.Commission), len(out.Monthly))
		},
	}
	if !out.Sound {
		a.Warnings = append(a.Warnings, warning{Code: "not_sound", Message: "This plan can still lose the tank by a single failure, or by none: mend that first."})
	}
	return a, nil
}
