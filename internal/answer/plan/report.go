package plan

import (
	"context"
	"fmt"
	"sort"
	"strings"

	"saltwright/internal/answer/envelope"
	"saltwright/internal/answer/picture"
	"saltwright/internal/calc/audit"
	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/remedy"
	"saltwright/internal/calc/text"
	"saltwright/internal/catalogue"
	"saltwright/internal/contract"
	"saltwright/internal/drawing"
	"saltwright/internal/phrase"
	"saltwright/internal/report"
)

// Said is one thing that a request says.
type Said struct{ Place, Value string }

// Paper is what a report is written on and what it is to hold beside the audit.
type Paper struct {
	Asked    *contract.Request
	Markdown bool   // or else one page of HTML
	Link     string // the whole address that gives this report again; empty where there is none
	Defaults []envelope.Assumption
	Reader   catalogue.Reader
	Said     []Said
	Document map[string]any              // the plan as it was sent
	Place    func(pointer string) string // where a pointer into the request leads, in words
}

// WriteReport is an audit as a document for people, as Markdown or as one page of HTML.
func WriteReport(ctx context.Context, r Request, p Paper) ([]byte, error) {
	audited, err := audit.Follow(ctx, r.Plan())
	if err != nil {
		return nil, err
	}
	document, err := newPlanDocument(p.Asked.Raw(), r.Plan())
	if err != nil {
		return nil, err
	}
	if audited.Report.Findings, err = remedy.Advise(ctx, audited.Report, r.Plan(),
		document.reread(p.Asked.Operation)); err != nil {
		return nil, err
	}
	h := audited.HandOver()
	speaker := p.Reader.Speaker()
	x := report.Input{HandOver: h, Speaker: speaker, Link: p.Link, Headline: speaker.Say(auditHeadline(h.Report)),
		Details: speaker.Say(auditDetails(h.Report)), Plan: drawing.Of(p.Document, phrase.In(p.Reader.Language))}
	for _, one := range p.Said {
		x.Said = append(x.Said, report.Line{Place: one.Place, Value: one.Value})
	}
	for _, c := range planCautions(h.Report) {
		x.Cautions = append(x.Cautions, speaker.Say(c.Message))
	}
	assumed := append(p.Defaults, planAssumptions(h.Report.Assumptions, "#")...)
	sort.SliceStable(assumed, func(i, j int) bool { return assumed[i].Pointer < assumed[j].Pointer })
	for _, a := range assumed {
		line := report.Line{Place: p.Place(a.Pointer), Value: assumedValue(speaker, a)}
		if !a.Note.IsZero() {
			line.Note = speaker.Say(a.Note)
		}
		x.Assumed = append(x.Assumed, line)
	}
	if p.Markdown {
		return []byte(report.Markdown(x)), nil
	}
	runs, err := audited.Timelines(ctx, mostCourses)
	if err != nil {
		return nil, err
	}
	for _, t := range runs {
		if w, ok := watchedIn(t); ok {
			x.Courses = append(x.Courses, report.Course{Fault: t.Fault.Fault.ID,
				Chart: courseChart(picture.For(p.Reader), t, w)})
		}
	}
	return report.HTML(x)
}

// assumedValue writes what was assumed for a reader.
func assumedValue(speaker *catalogue.Speaker, a envelope.Assumption) string {
	voice := phrase.In(speaker.Language)
	switch v := a.Value.(type) {
	case float64:
		return speaker.Number(v, "", a.Unit)
	case bool:
		return voice.YesNo(v)
	case string:
		return voice.Choice(a.Pointer, strings.ReplaceAll(v, "_", " "))
	}
	return fmt.Sprint(a.Value)
}

type handOverSetting struct {
	Element string    `json:"element"`
	What    text.Text `json:"what"`
	Value   float64   `json:"value"`
	Unit    string    `json:"unit"`
	Why     text.Text `json:"why"`
}

type handOverAlarm struct {
	Alarm      string          `json:"alarm"`
	Sensor     string          `json:"sensor"`
	When       string          `json:"when"`
	ThresholdC *float64        `json:"threshold_c,omitempty"`
	FromAt     *plan.ClockTime `json:"from_at,omitempty"`
	ToAt       *plan.ClockTime `json:"to_at,omitempty"`
	DelayMin   float64         `json:"delay_min"`
	Path       string          `json:"path"`
	Paths      []handOverPath  `json:"paths,omitempty"`
	Beats      []string        `json:"beats"`
	TightestH  *float64        `json:"tightest_h,omitempty"`
}

type handOverPath struct {
	ID       string   `json:"id"`
	Kind     string   `json:"kind"`
	Supply   *string  `json:"supply,omitempty"`
	BatteryH float64  `json:"battery_h"`
	Reaches  []string `json:"reaches"`
}

func newHandOverPath(p audit.Path) handOverPath {
	out := handOverPath(p)
	out.Reaches = envelope.List(p.Reaches)
	return out
}

type handOverTrial struct {
	Element string    `json:"element"`
	Do      text.Text `json:"do"`
	Expect  text.Text `json:"expect"`
	Faults  []string  `json:"faults"`
}

type planHandOverResponse struct {
	Sound      bool              `json:"sound"`
	Settings   []handOverSetting `json:"settings"`
	Alarms     []handOverAlarm   `json:"alarms"`
	Commission []handOverTrial   `json:"commissioning"`
	Monthly    []handOverTrial   `json:"monthly"`
}

func newPlanHandOverResponse(h audit.HandOver) planHandOverResponse {
	trial := func(t audit.Trial) handOverTrial { return handOverTrial(t) }
	return planHandOverResponse{
		Sound:    h.Report.Sound(),
		Settings: envelope.Each(h.Settings, func(s audit.Setting) handOverSetting { return handOverSetting(s) }),
		Alarms: envelope.Each(h.Thresholds, func(t audit.Threshold) handOverAlarm {
			return handOverAlarm{Alarm: t.Alarm, Sensor: t.Sensor, When: t.When, ThresholdC: t.ThresholdC,
				FromAt: t.FromAt, ToAt: t.ToAt, DelayMin: t.DelayMin, Path: t.Path,
				Paths: envelope.Each(t.Paths, newHandOverPath), Beats: envelope.List(t.Beats), TightestH: t.TightestH}
		}),
		Commission: envelope.Each(h.Commission, trial), Monthly: envelope.Each(h.Monthly, trial),
	}
}

// HandOverPlan is what to set, what to try once and what to try every month.
func HandOverPlan(ctx context.Context, r Request) (envelope.Answer[planHandOverResponse], error) {
	h, err := audit.Hand(ctx, r.Plan())
	if err != nil {
		return envelope.Answer[planHandOverResponse]{}, err
	}
	out := newPlanHandOverResponse(h)
	reached, err := films(h.Report.Plan)
	if err != nil {
		return envelope.Answer[planHandOverResponse]{}, err
	}
	a := envelope.Answer[planHandOverResponse]{
		Reached: reached,
		Result:  out, Assumptions: planAssumptions(h.Report.Assumptions, "#"),
		Cautions: append(planCautions(h.Report), envelope.LicensedTrades),
		Sources:  []string{"CommonPractice", "Derived", "IEC60812"},
		Headline: handOverHeadline(h), Details: handOverDetails(h), Actions: handOverActions(h),
		KeyFigures: []envelope.KeyFigure{
			count("hand_over_settings_figure", len(h.Settings)), count("hand_over_alarms_figure", len(h.Thresholds)),
			count("hand_over_commission_figure", len(h.Commission)),
			count("hand_over_monthly_figure", len(h.Monthly)),
		},
	}
	if !out.Sound {
		a.Warnings = append(a.Warnings, envelope.Warn(text.Of("not_sound", nil), ""))
	}
	return a, nil
}

func handOverHeadline(h audit.HandOver) text.Text {
	switch {
	case h.Report.Sound():
		return text.Of("hand_over_ready", text.Params{"settings": float64(len(h.Settings)), "count": len(h.Monthly)})
	case failsByItself(h.Report):
		return text.Of("hand_over_fails_by_itself", nil)
	}
	return text.Of("hand_over_not_sound", text.Params{"count": failing(h.Report)})
}

func handOverDetails(h audit.HandOver) text.Text {
	said := []text.Text{counted("hand_over_trials", len(h.Commission))}
	if len(h.Monthly) > 0 {
		said = append(said, text.Of("hand_over_monthly", nil))
	}
	return text.Sentences(said...)
}

func handOverActions(h audit.HandOver) []text.Text {
	var out []text.Text
	if !h.Report.Sound() {
		out = append(out, text.Of("hand_over_mend_first", nil))
	}
	for _, t := range []text.Text{
		counted("hand_over_set", len(h.Settings)), counted("hand_over_try_once", len(h.Commission)),
		counted("hand_over_try_monthly", len(h.Monthly)),
	} {
		if !t.IsZero() {
			out = append(out, t)
		}
	}
	return out
}
