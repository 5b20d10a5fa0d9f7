// Package report writes an audit for people: as Markdown for a forum, as one page of HTML to print.
package report

import (
	"html/template"
	"slices"
	"strings"

	"saltwright/internal/calc/audit"
	"saltwright/internal/calc/text"
	"saltwright/internal/catalogue"
	"saltwright/internal/chart"
	"saltwright/internal/drawing"
)

// Input is what a report is made of.
type Input struct {
	HandOver audit.HandOver
	Speaker  *catalogue.Speaker // whose language and units it is written in
	Courses  []Course           // of the page; Markdown has none
	Headline string
	Details  string
	Link     string // the whole address of this report; empty where there is none
	Cautions []string
	Plan     *drawing.Model // what is drawn; nil: nothing
	Said     []Line         // what the plan says
	Assumed  []Line
}

// Line is one thing that was said or assumed.
type Line struct{ Place, Value, Note string }

// Course is how one failure runs.
type Course struct {
	Fault string // its id
	Chart chart.Chart
}

func (in Input) say(code string, params text.Params) string {
	return in.Speaker.Say(text.Of(code, params))
}

func (in Input) title() string {
	if n := in.HandOver.Report.Plan.Name; n != "" {
		return n
	}
	return in.say("report_title", nil)
}

// headings are the codes of what stands in a report whatever the tank.
var headings = []string{
	"report_caution", "report_verdict", "report_failures", "report_unnoticed", "report_change", "report_nothing",
	"report_courses", "report_same_as_table", "report_every_failure", "report_not_held", "report_if", "report_room",
	"report_ends_after", "report_alarm_after", "report_to_spare", "report_settings", "report_to_set", "report_part",
	"report_what", "report_value", "report_why", "report_alarms", "report_alarm", "report_sensor", "report_when",
	"report_path", "report_beats", "report_monthly", "report_once", "report_assumed", "report_pinned_on",
	"report_in_charge", "report_again", "report_do", "report_why_set", "report_said", "report_drawing",
}

// heads says the headings, by code.
func (in Input) heads() map[string]string {
	out := make(map[string]string, len(headings))
	for _, code := range headings {
		out[code] = in.say(code, nil)
	}
	return out
}

// tally is how many failures end in one way.
type tally struct {
	Verdict  string
	Failures int
}

func (in Input) tallies() []tally {
	r := in.HandOver.Report
	var out []tally
	for _, v := range audit.Verdicts {
		out = append(out, tally{in.say("report_verdict_named", text.Params{"verdict": string(v)}), r.Count(v)})
	}
	return append(out, tally{in.say("report_unnoticed", nil), r.HiddenCount()})
}

// finding is one finding as it is written, with how its failures run.
type finding struct {
	Severity, Message, Change string
	Charts                    []chart.Chart
	Drawing                   template.HTML // of the parts that it is about, where no course shows it
}

// findings are the findings, worst first, each with the pictures of its failures that no earlier one has, and the
// pictures that belong to none.
func (in Input) findings() (out []finding, others []chart.Chart) {
	shown := map[string]bool{}
	for _, f := range in.HandOver.Report.Findings {
		one := finding{Severity: in.say("report_severity", text.Params{"severity": string(f.Severity)}),
			Message: in.Speaker.Say(f.Message), Change: in.Speaker.Say(f.Change)}
		for _, c := range in.Courses {
			if slices.Contains(f.Faults, c.Fault) && !shown[c.Fault] {
				one.Charts, shown[c.Fault] = append(one.Charts, c.Chart), true
			}
		}
		if parts := in.partsOf(f); len(one.Charts) == 0 && len(parts) > 0 {
			one.Drawing = in.Plan.Figure(drawing.Shown{Marked: parts, Means: in.say("report_marked", nil),
				Title: one.Message})
		}
		out = append(out, one)
	}
	for _, c := range in.Courses {
		if !shown[c.Fault] {
			others = append(others, c.Chart)
		}
	}
	return out, others
}

// partsOf are the parts of the drawing that a finding is about.
func (in Input) partsOf(f audit.Finding) []string {
	if in.Plan == nil {
		return nil
	}
	about := slices.Clone(f.Elements)
	for _, fault := range in.HandOver.Report.Faults {
		if slices.Contains(f.Faults, fault.Fault.ID) {
			about = append(about, fault.Fault.Elements()...)
		}
	}
	var out []string
	for _, id := range about {
		if in.Plan.Part(id) != nil && !slices.Contains(out, id) {
			out = append(out, id)
		}
	}
	return out
}

// failure is one line of the table of failures.
type failure struct {
	held                                  bool
	If, Verdict, Room, Ends, Alarm, Spare string
}

func (in Input) failures() []failure {
	var out []failure
	for _, f := range in.HandOver.Report.Faults {
		code := "report_verdict_named"
		if f.Hidden {
			code = "report_verdict_unnoticed"
		}
		out = append(out, failure{
			held: f.Verdict == audit.Held, If: in.Speaker.Say(f.Fault.Sentence),
			Verdict: in.say(code, text.Params{"verdict": string(f.Verdict)}),
			Room:    in.say("room_named", text.Params{"room": string(f.Room)}),
			Ends:    in.ends(f), Alarm: in.raised(f), Spare: in.spare(f),
		})
	}
	return out
}

func (in Input) ends(f audit.FaultReport) string {
	if f.EndsH() == nil {
		return in.say("report_never", nil)
	}
	return in.say("report_ends", text.Params{"time": *f.EndsH(), "kind": f.Ends()})
}

func (in Input) raised(f audit.FaultReport) string {
	if f.Alarm == nil {
		return in.say("report_none", nil)
	}
	return in.say("report_time", text.Params{"time": f.Alarm.RaisedH})
}

func (in Input) spare(f audit.FaultReport) string {
	switch {
	case f.MarginH == nil:
		return ""
	case *f.MarginH < 0:
		return in.say("report_late", text.Params{"time": -*f.MarginH})
	}
	return in.say("report_time", text.Params{"time": *f.MarginH})
}

// setting is one line of what to set.
type setting struct{ Part, What, Value, Why string }

func (in Input) settings() []setting {
	var out []setting
	for _, s := range in.HandOver.Settings {
		out = append(out, setting{s.Element, in.Speaker.Say(s.What), in.Speaker.Number(s.Value, "", s.Unit),
			in.Speaker.Say(s.Why)})
	}
	return out
}

// watch is one line of the alarms.
type watch struct{ Alarm, Sensor, When, Path, Beats string }

func (in Input) watches() []watch {
	var out []watch
	for _, t := range in.HandOver.Thresholds {
		params := text.Params{"reading": t.When, "delay": t.DelayMin}
		w := watch{Alarm: t.Alarm, Sensor: t.Sensor, When: in.say("report_raised_on", params),
			Path:  in.paths(t),
			Beats: in.say("report_none", nil)}
		if t.ThresholdC != nil {
			params["threshold"] = *t.ThresholdC
			w.When = in.say("report_raised_at", params)
		}
		if n := len(t.Beats); n > 0 {
			w.Beats = in.say("report_beaten", text.Params{"count": n})
		}
		out = append(out, w)
	}
	return out
}

// paths lists every way of an alarm, by the sort of it and by its name where the plan names it.
func (in Input) paths(t audit.Threshold) string {
	var out []string
	for _, p := range t.Paths {
		sort := in.say("report_path_named", text.Params{"path": p.Kind})
		if p.ID != p.Kind {
			sort += " (" + p.ID + ")"
		}
		if len(p.Reaches) > 0 {
			sort += ": " + strings.Join(p.Reaches, ", ")
		}
		out = append(out, sort)
	}
	return strings.Join(out, "; ")
}

// trial is something to try, and what to see.
type trial struct{ Do, Expect string }

// part is one part of the tank, or several alike, with all that is tried on each.
type part struct {
	Part   string
	Trials []trial
}

// parts lists what is tried on each part, in the order in which the parts come first. Parts on which the same is tried
// stand together.
func (in Input) parts(list []audit.Trial) []part {
	each := in.say("report_each_of_them", nil)
	type tried struct {
		parts          []string
		own, inCompany []trial // as said of one part, and of each of several
	}
	var all []*tried
	for _, t := range list {
		at := slices.IndexFunc(all, func(o *tried) bool { return o.parts[0] == t.Element })
		if at < 0 {
			at, all = len(all), append(all, &tried{parts: []string{t.Element}})
		}
		if own := (trial{in.Speaker.Say(t.Do), in.Speaker.Say(t.Expect)}); !slices.Contains(all[at].own, own) {
			all[at].own = append(all[at].own, own)
			all[at].inCompany = append(all[at].inCompany,
				trial{in.sayOf(each, t.Do, t.Element), in.sayOf(each, t.Expect, t.Element)})
		}
	}
	var merged []*tried
	for _, one := range all {
		at := slices.IndexFunc(merged, func(o *tried) bool { return slices.Equal(o.inCompany, one.inCompany) })
		if at < 0 {
			merged = append(merged, one)
			continue
		}
		merged[at].parts = append(merged[at].parts, one.parts...)
	}
	var out []part
	for _, one := range merged {
		trials := one.own
		if len(one.parts) > 1 {
			trials = one.inCompany
		}
		out = append(out, part{strings.Join(one.parts, ", "), trials})
	}
	return out
}

// sayOf says a text with another name in the place of a part's.
func (in Input) sayOf(name string, t text.Text, element string) string {
	params := text.Params{}
	for key, value := range t.Params {
		if value == element {
			value = name
		}
		params[key] = value
	}
	return in.Speaker.Say(text.Of(t.Code, params))
}
