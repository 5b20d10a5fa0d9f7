package plan

import (
	"context"
	"fmt"
	"sort"
	"strings"

	"saltwright/internal/answer/envelope"
	"saltwright/internal/answer/picture"
	"saltwright/internal/calc/audit"
	"saltwright/internal/catalogue"
	"saltwright/internal/report"
)

// WriteReport is an audit as a document for people, as Markdown or as one page of HTML.
func WriteReport(
	ctx context.Context, r Request, markdown bool, defaults []envelope.Assumption, u catalogue.Units,
) ([]byte, error) {
	audited, err := audit.Follow(ctx, r.Plan())
	if err != nil {
		return nil, err
	}
	h := audited.HandOver()
	speaker := catalogue.For(u)
	x := report.Input{HandOver: h, Summary: planSummary(h.Report, u)}
	for _, c := range planCautions(h.Report) {
		x.Cautions = append(x.Cautions, speaker.Say(c.Message))
	}
	assumed := append(defaults, planAssumptions(h.Report.Assumptions, "#")...)
	sort.SliceStable(assumed, func(i, j int) bool { return assumed[i].Pointer < assumed[j].Pointer })
	for _, a := range assumed {
		line := fmt.Sprintf("%s: %v %s", strings.TrimPrefix(a.Pointer, "#/"), a.Value, a.Unit)
		if !a.Note.IsZero() {
			line += " (" + speaker.Say(a.Note) + ")"
		}
		x.Assumed = append(x.Assumed, line)
	}
	if markdown {
		return []byte(report.Markdown(x)), nil
	}
	runs, err := audited.Timelines(ctx, mostCourses)
	if err != nil {
		return nil, err
	}
	x.Charts = courseCharts(picture.For(u), runs)
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
	trial := func(t audit.Trial) handOverTrial { return handOverTrial(t) }
	return planHandOverResponse{
		Sound:    h.Report.Sound(),
		Settings: envelope.Each(h.Settings, func(s audit.Setting) handOverSetting { return handOverSetting(s) }),
		Alarms: envelope.Each(h.Thresholds, func(t audit.Threshold) handOverAlarm {
			a := handOverAlarm(t)
			a.Beats = envelope.List(a.Beats)
			return a
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
	a := envelope.Answer[planHandOverResponse]{
		Result: out, Assumptions: planAssumptions(h.Report.Assumptions, "#"),
		Cautions: append(planCautions(h.Report), envelope.LicensedTrades),
		Sources:  []string{"CommonPractice", "Derived", "IEC60812"},
		Summary: func(catalogue.Units) string {
			return fmt.Sprintf("%d values to set, %d things to try once before livestock comes, and %d to try every "+
				"month, "+
				"since nothing else would show their failure.", len(out.Settings), len(out.Commission),
				len(out.Monthly))
		},
	}
	if !out.Sound {
		a.Warnings = append(a.Warnings, envelope.Warning{
			Code: "not_sound", Message: "This plan can still lose the tank by a single failure, or by none: mend " +
				"that " +
				"first.",
		})
	}
	return a, nil
}
