package report

import (
	"fmt"
	"strings"
)

// inline keeps a text from being read as Markdown.
func inline(s string) string {
	return strings.NewReplacer(
		"\\", "\\\\", "|", "\\|", "*", "\\*", "_", "\\_", "`", "\\`", "<", "&lt;", "[", "\\[", "\n", " ",
	).Replace(s)
}

// table writes the heads of a table.
func table(b *strings.Builder, heads ...string) {
	row(b, heads...)
	b.WriteString("|" + strings.Repeat("---|", len(heads)) + "\n")
}

func row(b *strings.Builder, cells ...string) {
	for _, c := range cells {
		b.WriteString("| " + inline(c) + " ")
	}
	b.WriteString("|\n")
}

// Markdown writes the report for a forum post: no HTML, tables with headers.
func Markdown(in Input) string {
	var b strings.Builder
	head := in.heads()
	fmt.Fprintf(&b, "# %s\n\n%s\n\n", inline(in.title()), inline(in.Headline+" "+in.Details))
	for _, c := range in.Cautions {
		fmt.Fprintf(&b, "> **%s** %s\n\n", head["report_caution"], inline(c))
	}
	table(&b, head["report_verdict"], head["report_failures"])
	for _, t := range in.tallies() {
		row(&b, t.Verdict, fmt.Sprint(t.Failures))
	}
	fmt.Fprintf(&b, "\n## %s\n\n", head["report_change"])
	found, _ := in.findings()
	if len(found) == 0 {
		b.WriteString(head["report_nothing"] + "\n\n")
	}
	for i, f := range found {
		fmt.Fprintf(&b, "%d. **%s** %s *%s*\n", i+1, f.Severity, inline(f.Message), inline(f.Change))
	}
	fmt.Fprintf(&b, "\n## %s\n\n", head["report_not_held"])
	table(&b, head["report_if"], head["report_verdict"], head["report_room"], head["report_ends_after"],
		head["report_alarm_after"], head["report_to_spare"])
	for _, f := range in.failures() {
		if !f.held {
			row(&b, f.If, f.Verdict, f.Room, f.Ends, f.Alarm, f.Spare)
		}
	}
	fmt.Fprintf(&b, "\n## %s\n\n", head["report_settings"])
	table(&b, head["report_part"], head["report_what"], head["report_value"])
	for _, s := range in.settings() {
		row(&b, s.Part, s.What, s.Value)
	}
	fmt.Fprintf(&b, "\n## %s\n\n", head["report_monthly"])
	for _, p := range in.parts(in.HandOver.Monthly) {
		fmt.Fprintf(&b, "- [ ] **%s**:", inline(p.Part))
		for _, t := range p.Trials {
			fmt.Fprintf(&b, " %s %s", inline(t.Do), inline(t.Expect))
		}
		b.WriteString("\n")
	}
	return b.String()
}
