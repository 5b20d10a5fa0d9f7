// Package report writes an audit for people: as Markdown for a forum, as one page of HTML to print.
package report

import (
	"fmt"
	"strings"

	"saltwright/internal/calc/audit"
	"saltwright/internal/chart"
	"saltwright/internal/unit"
)

// Input is what a report is made of.
type Input struct {
	HandOver audit.HandOver
	Charts   []chart.Chart // of the page; Markdown has none
	Summary  string
	Cautions []string
	Assumed  []string // one line each
}

func (in Input) title() string {
	if n := in.HandOver.Report.Plan.Name; n != "" {
		return n
	}
	return "Audit of a tank"
}

// inline keeps a text from being read as Markdown.
func inline(s string) string {
	return strings.NewReplacer(
		"\\", "\\\\", "|", "\\|", "*", "\\*", "_", "\\_", "`", "\\`", "<", "&lt;", "[", "\\[", "\n", " ",
	).Replace(s)
}

// Markdown writes the report for a forum post: no HTML, tables with headers.
func Markdown(in Input) string {
	var b strings.Builder
	r := in.HandOver.Report
	fmt.Fprintf(&b, "# %s\n\n%s\n\n", inline(in.title()), inline(in.Summary))
	for _, c := range in.Cautions {
		fmt.Fprintf(&b, "> **Caution.** %s\n\n", inline(c))
	}
	fmt.Fprintf(&b, "| verdict | faults |\n|---|---|\n| held | %d |\n| rescued by an alarm | %d |\n"+
		"| harmed | %d |\n| lost | %d |\n"+
		"| hidden, waiting for a second one | %d |\n\n",
		r.Count(audit.Held), r.Count(audit.Rescued), r.Count(audit.Harmed), r.Count(audit.Lost), r.HiddenCount())
	b.WriteString("## What to change\n\n")
	if len(r.Findings) == 0 {
		b.WriteString("Nothing.\n\n")
	}
	for i, f := range r.Findings {
		fmt.Fprintf(&b, "%d. **%s** %s *%s*\n", i+1, f.Severity, inline(f.Message), inline(f.Change))
	}
	b.WriteString("\n## Faults that are not simply held\n\n" +
		"| if | verdict | room | harm or loss after | alarm after | to spare |\n|---|---|---|---|---|---|\n")
	for _, f := range r.Faults {
		if f.Verdict == audit.Held {
			continue
		}
		fmt.Fprintf(&b, "| %s | %s | %s | %s | %s | %s |\n",
			inline(f.Fault.Sentence), f.Verdict, f.Room, harm(f), raised(f), spare(f))
	}
	b.WriteString("\n## Set\n\n| element | what | value |\n|---|---|---|\n")
	for _, s := range in.HandOver.Settings {
		fmt.Fprintf(&b, "| %s | %s | %s |\n", inline(s.Element), s.What, value(s.Value, s.Unit))
	}
	b.WriteString("\n## Try every month\n\n")
	for _, t := range in.HandOver.Monthly {
		fmt.Fprintf(&b, "- [ ] **%s**: %s %s\n", inline(t.Element), inline(t.Do), inline(t.Expect))
	}
	return b.String()
}

// value writes a setting with its unit, to two decimals.
func value(v float64, name string) string {
	number := strings.TrimRight(strings.TrimRight(fmt.Sprintf("%.2f", v), "0"), ".")
	return unit.Beside(number, unit.Of(name).Metric)
}

func harm(f audit.FaultReport) string {
	if f.EndsH() == nil {
		return "never"
	}
	return audit.Duration(*f.EndsH()) + " (" + strings.ReplaceAll(f.Ends(), "_", " ") + ")"
}

func raised(f audit.FaultReport) string {
	if f.Alarm == nil {
		return "none"
	}
	return audit.Duration(f.Alarm.RaisedH)
}

func spare(f audit.FaultReport) string {
	switch {
	case f.MarginH == nil:
		return ""
	case *f.MarginH < 0:
		return audit.Duration(-*f.MarginH) + " too late"
	}
	return audit.Duration(*f.MarginH)
}
