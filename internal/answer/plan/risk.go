package plan

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"saltwright/internal/answer/envelope"
	"saltwright/internal/calc"
	"saltwright/internal/calc/audit"
	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/risk"
	"saltwright/internal/calc/text"
)

type statedRate struct {
	Fault   string  `json:"fault"`
	Element string  `json:"element"`
	PerYear float64 `json:"per_year"`
}

type planRiskRequest struct {
	Plan            Request      `json:"plan"`
	Rates           []statedRate `json:"rates"`
	AbsencesPerYear float64      `json:"absences_per_year"`
	UntestedYears   float64      `json:"untested_years"`
	ErrorFactor     float64      `json:"error_factor"`
	TankYears       float64      `json:"tank_years"`
	Seed            int          `json:"seed"`
}

type riskSet struct {
	Loss    string   `json:"loss"`
	Faults  []string `json:"faults"`
	Room    string   `json:"room"`
	LossH   float64  `json:"loss_h"`
	RaisedH *float64 `json:"raised_h,omitempty"`
	PerYear float64  `json:"per_year"`
	Share   float64  `json:"share"`
}

type riskElement struct {
	ID              string  `json:"id"`
	PerYear         float64 `json:"per_year"`
	Share           float64 `json:"share"`
	FirstIfTenTimes bool    `json:"first_if_ten_times"`
}

type riskTest struct {
	Element       string  `json:"element"`
	EveryDays     float64 `json:"every_days"`
	NowPer100     float64 `json:"now_per_100"`
	MonthlyPer100 float64 `json:"monthly_per_100"`
	NeverPer100   float64 `json:"never_per_100"`
	WorthPer100   float64 `json:"worth_per_100"`
}

type riskResponseTime struct {
	Hours  float64 `json:"hours"`
	Per100 float64 `json:"per_100"`
}

type riskLoss struct {
	Loss   string  `json:"loss"`
	Per100 float64 `json:"per_100"`
}

type riskRate struct {
	Fault   string  `json:"fault"`
	PerYear float64 `json:"per_year"`
	Assumed bool    `json:"assumed"`
	Basis   string  `json:"basis"`
	Source  string  `json:"source,omitempty"`
}

type riskPairs struct {
	Considered int `json:"considered"`
	LeftOut    int `json:"left_out"`
}

type riskDrawn struct {
	TankYears float64 `json:"tank_years"`
	Losses    int     `json:"losses"`
	Per100    float64 `json:"per_100"`
	Low95     float64 `json:"low_95_per_100"`
	High95    float64 `json:"high_95_per_100"`
	Agrees    bool    `json:"agrees"`
}

type planRiskResponse struct {
	Per100        float64            `json:"losses_per_100"`
	Harms         float64            `json:"harms_per_100"`
	Money         *float64           `json:"loss_per_year,omitempty"`
	P5            float64            `json:"p5_per_100"`
	P95           float64            `json:"p95_per_100"`
	Robust        bool               `json:"robust"`
	Singles       int                `json:"sets_of_one"`
	Doubles       int                `json:"sets_of_two"`
	Losses        []riskLoss         `json:"losses"`
	Sets          []riskSet          `json:"sets"`
	Elements      []riskElement      `json:"elements"`
	Tests         []riskTest         `json:"tests"`
	ResponseTimes []riskResponseTime `json:"response_times"`
	Pairs         riskPairs          `json:"pairs"`
	Rates         []riskRate         `json:"rates"`
	Drawn         *riskDrawn         `json:"drawn,omitempty"`
}

func (r planRiskRequest) input() (risk.Input, error) {
	in := risk.Input{
		Plan: r.Plan.Plan(), AbsencePerYr: r.AbsencesPerYear, UntestedYears: r.UntestedYears,
		ErrorFactor: r.ErrorFactor, TankYears: r.TankYears, Seed: uint64(r.Seed), // #nosec G115 -- a seed has no sign
	}
	for i, s := range r.Rates {
		if (s.Fault == "") == (s.Element == "") {
			return in, &calc.ConflictError{
				Params: []string{fmt.Sprintf("rates[%d].fault", i), fmt.Sprintf("rates[%d].element", i)},
				Reason: text.Of("risk_fault_or_element", nil),
			}
		}
		in.Rates = append(in.Rates, risk.Stated(s))
	}
	return in, nil
}

// mostSets is how many cut sets an answer lists; their number is always told.
const mostSets = 200

func newPlanRiskResponse(x risk.Result) planRiskResponse {
	out := planRiskResponse{
		Per100: x.Per100, Harms: x.Harms100, Money: x.Money, P5: x.P5, P95: x.P95, Robust: x.Robust, Sets: []riskSet{},
		Losses:   envelope.Each(x.Losses, func(l risk.Loss) riskLoss { return riskLoss(l) }),
		Elements: envelope.Each(x.Elements, func(e risk.Element) riskElement { return riskElement(e) }),
		Tests:    envelope.Each(x.Tests, func(t risk.Test) riskTest { return riskTest(t) }),
		ResponseTimes: envelope.Each(x.Responses,
			func(r risk.Response) riskResponseTime { return riskResponseTime(r) }),
		Rates: envelope.Each(x.Rates, func(r risk.Rate) riskRate {
			return riskRate{r.Fault, r.PerYear, r.Assumed, string(r.Basis), r.Source}
		}),
		Pairs: riskPairs{x.Combined.Considered, x.Combined.LeftOut},
		Drawn: (*riskDrawn)(x.MonteCarlo),
	}
	for _, s := range x.Sets {
		if len(s.Faults) == 1 {
			out.Singles++
		} else {
			out.Doubles++
		}
		if len(out.Sets) < mostSets {
			out.Sets = append(out.Sets, riskSet{
				Loss: s.Loss, Faults: s.Faults, Room: string(s.Room), LossH: s.AtH, RaisedH: firstCallH(s.Calls),
				PerYear: s.PerYear, Share: s.Share,
			})
		}
	}
	return out
}

// ofPlan says that an error speaks of the plan inside the request, unless it names a member beside it.
func ofPlan(err error) error {
	var conflict *calc.ConflictError
	var out *calc.RangeError
	name := ""
	switch {
	case errors.As(err, &conflict):
		name = conflict.Params[0]
	case errors.As(err, &out):
		name = out.Param
	}
	for _, own := range []string{"rates", "absences_per_year", "untested_years", "error_factor", "tank_years"} {
		if strings.HasPrefix(name, own) {
			return err
		}
	}
	return calc.Within("plan.", err)
}

// RiskOfPlan is how often a plan's failures would cost the tank, one by one and in pairs.
func RiskOfPlan(ctx context.Context, r planRiskRequest) (envelope.Answer[planRiskResponse], error) {
	in, err := r.input()
	if err != nil {
		return envelope.Answer[planRiskResponse]{}, err
	}
	x, err := risk.Assess(ctx, in)
	if err != nil {
		return envelope.Answer[planRiskResponse]{}, ofPlan(err)
	}
	out, of := newPlanRiskResponse(x), sayingsOf(x.Combined.Report)
	reached, err := films(x.Combined.Report.Plan)
	if err != nil {
		return envelope.Answer[planRiskResponse]{}, err
	}
	a := envelope.Answer[planRiskResponse]{
		Reached: reached,
		Result:  out, Assumptions: planAssumptions(append(x.Combined.Report.Assumptions, x.Assumed...), "#/plan"),
		Cautions: planCautions(x.Combined.Report),
		Sources: []string{"CommonPractice", "EIA2023", "FESHM4240", "Grover2013", "IEC60812", "IEC61025", "IEC615086",
			"ISO138491", "NUREG0492", "NUREGCR4780"},
		Warnings: []envelope.Warning{envelope.Warn(text.Of("rates_are_orders_of_magnitude",
			text.Params{"assumed": float64(assumedRates(x.Rates)), "count": len(x.Rates)}), ""),
			envelope.Warn(text.Of("risk_counts_listed_failures", nil), ""),
			envelope.Warn(lengthsOfOutages(), "")},
		Headline: riskHeadline(out), Details: riskDetails(out, of), KeyFigures: riskFigures(out),
		Actions: riskActions(out, of),
	}
	if x.Combined.LeftOut > 0 {
		a.Warnings = append(a.Warnings, envelope.Warn(text.Of("pairs_left_out", text.Params{
			"left_out": float64(x.Combined.LeftOut), "considered": float64(x.Combined.Considered)}), ""))
	}
	return a, nil
}

// lengthsOfOutages says how often mains fail, and for how long.
func lengthsOfOutages() text.Text {
	short, long := risk.Interruptions[0], risk.Interruptions[1]
	return text.Of("risk_lengths_of_outages", text.Params{
		"often": short.PerYear, "short": short.MeanH, "seldom": long.PerYear, "long": long.MeanH})
}

func assumedRates(list []risk.Rate) int {
	n := 0
	for _, r := range list {
		if r.Assumed {
			n++
		}
	}
	return n
}

func riskHeadline(r planRiskResponse) text.Text {
	switch {
	case len(r.Sets) == 0:
		return text.Of("risk_none", nil)
	case r.Per100 == 0: // harm falls on the return
		return text.Of("risk_at_the_end_only", text.Params{"time": earliest(r.Sets)})
	}
	return text.Of("risk_expected", text.Params{"losses": r.Per100, "low": r.P5, "high": r.P95})
}

// earliest is when the first of some sets loses the tank.
func earliest(sets []riskSet) float64 {
	return slices.MinFunc(sets, func(a, b riskSet) int { return cmp.Compare(a.LossH, b.LossH) }).LossH
}

func riskDetails(r planRiskResponse, of sayings) text.Text {
	if len(r.Sets) == 0 {
		return text.Text{}
	}
	said := []text.Text{counted("risk_singles", r.Singles), counted("risk_doubles", r.Doubles)}
	if worst := r.Sets[0]; r.Per100 > 0 {
		said = append(said, text.Of("risk_largest", text.Params{
			"share": worst.Share, "faults": of.all(worst.Faults), "kind": worst.Loss, "time": worst.LossH}))
	}
	if r.Money != nil {
		said = append(said, text.Of("risk_money", text.Params{"money": *r.Money}))
	}
	if best := bestTest(r); best != nil {
		said = append(said, text.Of("risk_test_pays", text.Params{"element": best.Element, "saved": best.WorthPer100}))
	}
	if r.Drawn != nil {
		said = append(said, text.Of("risk_drawn", text.Params{"years": r.Drawn.TankYears, "losses": r.Drawn.Per100}))
	}
	return text.Sentences(said...)
}

// bestTest is the monthly test that saves most; nil: none saves anything.
func bestTest(r planRiskResponse) *riskTest {
	if len(r.Tests) == 0 || r.Tests[0].WorthPer100 <= 0 {
		return nil
	}
	return &r.Tests[0]
}

func riskFigures(r planRiskResponse) []envelope.KeyFigure {
	part := func(code string, x float64) envelope.KeyFigure {
		return envelope.KeyFigure{Label: text.Of(code, nil), Value: x, Quantity: "percent"}
	}
	return []envelope.KeyFigure{
		part("risk_losses_figure", r.Per100), part("risk_low_figure", r.P5), part("risk_high_figure", r.P95),
		count("risk_singles_figure", r.Singles), count("risk_doubles_figure", r.Doubles),
	}
}

func riskActions(r planRiskResponse, of sayings) []text.Text {
	var out []text.Text
	if len(r.Sets) > 0 {
		worst := r.Sets[0]
		out = append(out, text.Of("risk_act_on", text.Params{"faults": of.all(worst.Faults), "kind": worst.Loss}))
	}
	if best := bestTest(r); best != nil {
		out = append(out, text.Of("risk_test_monthly", text.Params{"element": best.Element}))
	}
	if len(r.Sets) > 0 {
		out = append(out, text.Of("risk_ask_remedies", nil))
	}
	return out
}

// sayings are the sentences of faults, by their ids.
type sayings map[string]text.Text

func sayingsOf(r audit.Report) sayings {
	out := sayings{}
	for _, f := range r.Faults {
		out[f.Fault.ID] = f.Fault.Sentence
	}
	return out
}

func (s sayings) all(faults []string) []text.Text {
	return envelope.Each(faults, func(id string) text.Text { return s[id] })
}

// firstCallH is when the first alarm reaches somebody; nil: none does.
func firstCallH(calls []plan.Call) *float64 {
	if call := plan.FirstCall(calls); call != nil {
		return &call.AtH
	}
	return nil
}
