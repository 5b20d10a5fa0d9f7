package plan

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"saltwright/internal/answer/envelope"
	"saltwright/internal/calc"
	"saltwright/internal/calc/audit"
	"saltwright/internal/calc/risk"
	"saltwright/internal/calc/text"
	"saltwright/internal/catalogue"
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
				Reason: text.Plain("give the id of a fault or of an element, one of them"),
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
		Per100: x.Per100, Harms: x.Harms100, P5: x.P5, P95: x.P95, Robust: x.Robust, Sets: []riskSet{},
		Losses:   envelope.Each(x.Losses, func(l risk.Loss) riskLoss { return riskLoss(l) }),
		Elements: envelope.Each(x.Elements, func(e risk.Element) riskElement { return riskElement(e) }),
		Tests:    envelope.Each(x.Tests, func(t risk.Test) riskTest { return riskTest(t) }),
		ResponseTimes: envelope.Each(x.Responses,
			func(r risk.Response) riskResponseTime { return riskResponseTime(r) }),
		Rates: envelope.Each(x.Rates, func(r risk.Rate) riskRate { return riskRate(r) }),
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
				Loss: s.Loss, Faults: s.Faults, Room: string(s.Room), LossH: s.AtH, RaisedH: s.RaisedH,
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
	out := newPlanRiskResponse(x)
	a := envelope.Answer[planRiskResponse]{
		Result: out, Assumptions: planAssumptions(x.Combined.Report.Assumptions, "#/plan"),
		Cautions: planCautions(x.Combined.Report),
		Sources:  []string{"CommonPractice", "IEC60812", "IEC61025", "IEC615086", "NUREG0492"},
		Warnings: []envelope.Warning{{Code: "rates_are_orders_of_magnitude", Message: fmt.Sprintf(
			"Nobody publishes how often such parts fail: %d of %d rates are assumed by common practice. "+
				"Read the order of the sets and what changes it, not the figure.", assumedRates(x.Rates),
			len(x.Rates))}},
		Summary: func(catalogue.Units) string { return riskSummary(out) },
	}
	if x.Combined.LeftOut > 0 {
		a.Warnings = append(a.Warnings, envelope.Warning{Code: "pairs_left_out", Message: fmt.Sprintf(
			"%d of %d pairs were not reached within the budget of this answer.", x.Combined.LeftOut,
			x.Combined.Considered)})
	}
	return a, nil
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

func riskSummary(r planRiskResponse) string {
	var b strings.Builder
	worst := ""
	if len(r.Sets) > 0 {
		s := r.Sets[0]
		worst = fmt.Sprintf("%s (%s after %s)", strings.Join(s.Faults, " with "), strings.ReplaceAll(s.Loss, "_", " "),
			audit.Duration(s.LossH))
	}
	if len(r.Sets) > 0 && r.Per100 == 0 { // harm falls on the return
		return fmt.Sprintf("%d single faults and %d pairs lose this tank, but only as the longest absence ends, the "+
			"earliest by %s: losses are not to be counted in 100 tank-years, until an absence grows longer.",
			r.Singles, r.Doubles, worst)
	}
	fmt.Fprintf(&b, "%d single faults and %d pairs lose this tank: about %s losses in 100 tank-years (%s to %s, the "+
		"rates being unsure).", r.Singles, r.Doubles, catalogue.Digits(r.Per100), catalogue.Digits(r.P5),
		catalogue.Digits(r.P95))
	if len(r.Sets) > 0 {
		fmt.Fprintf(&b, " The largest part, %.0f %%, comes from %s.", 100*r.Sets[0].Share, worst)
	}
	if len(r.Tests) > 0 && r.Tests[0].WorthPer100 > 0 {
		fmt.Fprintf(&b, " Trying %s every month would save %s of them.",
			r.Tests[0].Element, catalogue.Digits(r.Tests[0].WorthPer100))
	}
	if r.Drawn != nil {
		fmt.Fprintf(&b, " %.0f drawn tank-years count %s in 100.", r.Drawn.TankYears,
			catalogue.Digits(r.Drawn.Per100))
	}
	return b.String()
}
