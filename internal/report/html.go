package report

import (
	"bytes"
	_ "embed"
	"fmt"
	"html/template"

	"saltwright/internal/calc/text"
	"saltwright/internal/chart"
	"saltwright/internal/drawing"
)

//go:embed page.html
var pageText string

var page = template.Must(template.New("report").Parse(pageText))

// HTML writes the report as one page that needs nothing else: no script, no request, prints well.
func HTML(in Input) ([]byte, error) {
	var out bytes.Buffer
	code, err := codeOf(in.Link, in.say("report_again", nil))
	if err != nil {
		return nil, err
	}
	findings, others := in.findings()
	style := template.CSS(chart.Style + drawing.Style) // #nosec G203 -- constants of ours
	err = page.Execute(&out, map[string]any{
		"In": in, "Head": in.heads(), "Title": in.title(), "Style": style, "Drawing": in.drawing(),
		"Followed": in.say("report_followed", text.Params{"time": in.HandOver.Report.HorizonH}),
		"Tallies":  in.tallies(), "Findings": findings, "Others": others, "Code": code,
		"Failures": in.failures(), "Settings": in.settings(),
		"Alarms": in.watches(), "Monthly": in.parts(in.HandOver.Monthly),
		"Commission": in.parts(in.HandOver.Commission),
	})
	if err != nil {
		return nil, fmt.Errorf("report: %w", err)
	}
	return out.Bytes(), nil
}

// drawing is the whole plan; empty where it is not known.
func (in Input) drawing() template.HTML {
	if in.Plan == nil {
		return ""
	}
	return in.Plan.Figure(drawing.Shown{Title: in.say("report_drawing_title", text.Params{"tank": in.title()})})
}
