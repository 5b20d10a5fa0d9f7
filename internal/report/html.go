package report

import (
	"bytes"
	_ "embed"
	"fmt"
	"html/template"

	"saltwright/internal/calc/audit"
	"saltwright/internal/chart"
)

//go:embed page.html
var pageText string

var page = template.Must(template.New("report").Funcs(template.FuncMap{
	"harm": harm, "raised": raised, "spare": spare, "value": value,
}).Parse(pageText))

// HTML writes the report as one page that needs nothing else: no script, no request, prints well.
func HTML(in Input) ([]byte, error) {
	r := in.HandOver.Report
	var out bytes.Buffer
	err := page.Execute(&out, map[string]any{
		"In": in, "R": r, "Title": in.title(), "ChartStyle": template.CSS(chart.Style),
		"Horizon": audit.Duration(r.HorizonH),
		"Held":    r.Count(audit.Held), "Rescued": r.Count(audit.Rescued), "Harmed": r.Count(audit.Harmed),
		"Lost": r.Count(audit.Lost), "Hidden": r.HiddenCount(),
	})
	if err != nil {
		return nil, fmt.Errorf("report: %w", err)
	}
	return out.Bytes(), nil
}
