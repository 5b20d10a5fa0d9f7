package chart

import (
	_ "embed" // the style
	"fmt"
	"html/template"
	"strings"
)

// Style is how a page shows figures. It asks for the page's --ink, --paper and --accent, and does without.
//
//go:embed chart.css
var Style string

// A picture on a page: which of the two drawings is shown follows the width of the column, by the page's style.
var figure = template.Must(template.New("figure").Parse(`<figure class="chart">
<figcaption><strong>{{.Title}}</strong></figcaption>
{{.Narrow}}
{{.Wide}}
{{with .Sentence}}<p class="chart-sentence">{{.}}</p>
{{end}}{{if .Table.Rows}}<details class="chart-table"><summary>{{.Fold}}</summary>
<div class="wide" tabindex="0" role="group" aria-label="{{.Title}}"><table><caption>{{.Title}}</caption>
<thead><tr>{{range .Table.Columns}}<th scope="col">{{.}}</th>{{end}}</tr></thead>
<tbody>{{range .Table.Rows}}<tr>
{{range $i, $c := .Cells}}{{if not $i}}<th scope="row">{{$c}}</th>{{else -}}
<td data-label="{{index $.Table.Columns $i}}">{{$c}}</td>{{end}}{{end}}
</tr>{{end}}</tbody></table></div></details>
{{end}}</figure>
`))

// Figure writes a chart for a page of HTML: title, drawing, sentence, and the same as a table, folded under the text of
// fold. Errors: a fault of ours.
func (c Chart) Figure(fold string) (template.HTML, error) {
	narrow := template.HTML(c.SVG(Narrow)) // #nosec G203 -- drawn by pen, which escapes every text
	wide := template.HTML(c.SVG(Wide))     // #nosec G203 -- likewise
	var out strings.Builder
	err := figure.Execute(&out, struct {
		Chart
		Narrow, Wide template.HTML
		Fold         string
	}{c, narrow, wide, fold})
	if err != nil {
		return "", fmt.Errorf("chart: %w", err)
	}
	return template.HTML(out.String()), nil // #nosec G203 -- what the template escaped
}
