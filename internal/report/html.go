package report

import (
	"bytes"
	"fmt"
	"html/template"

	"saltwright/internal/calc/audit"
)

var page = template.Must(template.New("report").Funcs(template.FuncMap{
	"harm": harm, "raised": raised, "spare": spare, "value": value,
}).Parse(`<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>{{.Title}}: audit</title>
<style>
:root { color-scheme: light dark; --ink: #17212b; --paper: #fdfdfb; --line: #b9c2c9; --soft: #eef1f2; }
@media (prefers-color-scheme: dark) { :root { --ink: #e4e9ec; --paper: #12181d; --line: #46525b; --soft: #1d262d; } }
body { margin: 0 auto; padding: 1.2rem; max-width: 52rem; background: var(--paper); color: var(--ink); font: 1rem/1.5 system-ui, sans-serif; }
h1 { font-size: 1.6rem; margin: 0 0 .6rem; } h2 { font-size: 1.2rem; margin: 2rem 0 .6rem; border-bottom: 1px solid var(--line); }
table { border-collapse: collapse; width: 100%; font-size: .92rem; } caption { text-align: left; font-weight: 600; padding: .3rem 0; }
th, td { text-align: left; vertical-align: top; padding: .35rem .5rem; border-bottom: 1px solid var(--line); } th { background: var(--soft); }
.wide { overflow-x: auto; }
.caution { border: 2px solid currentColor; padding: .6rem .8rem; margin: .8rem 0; }
.tally { display: flex; flex-wrap: wrap; gap: .6rem; padding: 0; list-style: none; } .tally li { border: 1px solid var(--line); padding: .4rem .8rem; } .tally b { font-size: 1.3rem; }
figure { margin: 1.2rem 0; break-inside: avoid; } figure svg { width: 100%; height: auto; } figcaption { font-size: .9rem; }
li { margin: .3rem 0; } .box { display: inline-block; width: .8em; height: .8em; border: 1.5px solid currentColor; margin-right: .5em; }
@media print { :root { --ink: #000; --paper: #fff; --line: #888; --soft: #eee; } body { max-width: none; padding: 0; font-size: 10pt; } h2 { break-after: avoid; } tr, li { break-inside: avoid; } .wide { overflow: visible; } }
</style>
</head>
<body>
<main>
<h1>{{.Title}}</h1>
<p>{{.In.Summary}}</p>
{{range .In.Cautions}}<p class="caution"><strong>Caution.</strong> {{.}}</p>
{{end}}<ul class="tally">
<li><b>{{.Held}}</b> held</li><li><b>{{.Rescued}}</b> rescued by an alarm</li><li><b>{{.Lost}}</b> lost</li><li><b>{{.Hidden}}</b> hidden, waiting for a second one</li>
</ul>
<h2>What to change</h2>
{{if .R.Findings}}<ol>
{{range .R.Findings}}<li><strong>{{.Severity}}.</strong> {{.Message}} <em>{{.Change}}</em></li>
{{end}}</ol>{{else}}<p>Nothing.</p>{{end}}
{{if .Figures}}<h2>How the faults that matter run</h2>
{{range .Figures}}<figure>{{.SVG}}<figcaption>{{.Caption}}</figcaption></figure>
{{end}}{{end}}<h2>Every fault</h2>
<div class="wide"><table><caption>Single faults, followed for {{.Horizon}}</caption>
<thead><tr><th scope="col">if</th><th scope="col">verdict</th><th scope="col">room</th><th scope="col">harm after</th><th scope="col">alarm after</th><th scope="col">to spare</th></tr></thead>
<tbody>{{range .R.Faults}}<tr><td>{{.Fault.Sentence}}</td><td>{{.Verdict}}{{if .Hidden}}, hidden{{end}}</td><td>{{.Room}}</td><td>{{harm .}}</td><td>{{raised .}}</td><td>{{spare .}}</td></tr>
{{end}}</tbody></table></div>
<h2>Settings</h2>
<div class="wide"><table><caption>What to set</caption>
<thead><tr><th scope="col">element</th><th scope="col">what</th><th scope="col">value</th><th scope="col">why</th></tr></thead>
<tbody>{{range .In.HandOver.Settings}}<tr><td>{{.Element}}</td><td>{{.What}}</td><td>{{value .Value .Unit}}</td><td>{{.Why}}</td></tr>
{{end}}</tbody></table></div>
{{if .In.HandOver.Thresholds}}<div class="wide"><table><caption>Alarms</caption>
<thead><tr><th scope="col">alarm</th><th scope="col">sensor</th><th scope="col">when</th><th scope="col">path</th><th scope="col">harm it beats</th></tr></thead>
<tbody>{{range .In.HandOver.Thresholds}}<tr><td>{{.Alarm}}</td><td>{{.Sensor}}</td><td>{{.When}}{{with .ThresholdC}} {{value . "degC"}}{{end}}, after {{.DelayMin}} min</td><td>{{.Path}}</td><td>{{len .Beats}} faults</td></tr>
{{end}}</tbody></table></div>{{end}}
<h2>Try every month</h2>
<ul>{{range .In.HandOver.Monthly}}<li><span class="box" aria-hidden="true"></span><strong>{{.Element}}.</strong> {{.Do}} {{.Expect}}</li>
{{end}}</ul>
<h2>Try once, before livestock</h2>
<ul>{{range .In.HandOver.Commission}}<li><span class="box" aria-hidden="true"></span><strong>{{.Element}}.</strong> {{.Do}} {{.Expect}}</li>
{{end}}</ul>
<h2>Assumed</h2>
<ul>{{range .In.Assumed}}<li>{{.}}</li>
{{end}}</ul>
</main>
</body>
</html>
`))

// HTML writes the report as one page that needs nothing else: no script, no request, prints well.
func HTML(in Input) ([]byte, error) {
	figures, err := Figures(in.Timelines)
	if err != nil {
		return nil, err
	}
	r := in.HandOver.Report
	var out bytes.Buffer
	err = page.Execute(&out, map[string]any{
		"In": in, "R": r, "Title": in.title(), "Figures": figures, "Horizon": audit.Duration(r.HorizonH),
		"Held": r.Count(audit.Held), "Rescued": r.Count(audit.Rescued), "Lost": r.Count(audit.Lost), "Hidden": r.HiddenCount(),
	})
	if err != nil {
		return nil, fmt.Errorf("report: %w", err)
	}
	return out.Bytes(), nil
}
