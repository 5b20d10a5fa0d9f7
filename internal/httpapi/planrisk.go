package httpapi

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"saltwright/internal/calc"
	"saltwright/internal/calc/audit"
	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/risk"
)

type planCheckViolation struct {
	Pointers []string `json:"pointers"`
	Detail   string   `json:"detail"`
}

type planCheckResponse struct {
	Valid      bool                 `json:"valid"`
	Violations []planCheckViolation `json:"violations"`
	Weaknesses []planFinding        `json:"weaknesses"`
	Assumed    int                  `json:"assumed"`
	Elements   int                  `json:"elements"`
}

func newPlanFindings(in []audit.Finding) []planFinding {
	out := []planFinding{}
	for _, f := range in {
		out = append(out, planFinding{Code: f.Code, Severity: string(f.Severity), Message: f.Message, Change: f.Change, Faults: list(f.Faults), Elements: list(f.Elements)})
	}
	return out
}

// checkPlan reads a plan without simulating it; what is impossible in it is an answer here, not a refusal.
func checkPlan(_ context.Context, r planRequest) (answer[planCheckResponse], error) {
	out := planCheckResponse{
		Valid: true, Violations: []planCheckViolation{}, Weaknesses: []planFinding{},
		Elements: len(r.Heaters) + len(r.Chillers) + len(r.Fans) + len(r.Pumps) + len(r.TopOffPumps) + len(r.Reservoirs) + len(r.Lights) + len(r.Sensors) + len(r.Controls) + len(r.Alarms) + len(r.Power.Circuits),
	}
	in, err := r.input()
	var s audit.Structure
	if err == nil {
		s, err = audit.Check(in)
	}
	if err != nil {
		re := asRequestError(err, planRename)
		if re == nil {
			return answer[planCheckResponse]{}, err
		}
		out.Valid = false
		at := map[string]int{}
		for _, v := range re.violations {
			if i, ok := at[v.Detail]; ok {
				out.Violations[i].Pointers = append(out.Violations[i].Pointers, v.Pointer)
				continue
			}
			at[v.Detail] = len(out.Violations)
			out.Violations = append(out.Violations, planCheckViolation{Pointers: []string{v.Pointer}, Detail: v.Detail})
		}
	}
	out.Weaknesses, out.Assumed = newPlanFindings(s.Weaknesses), len(s.Assumptions)
	return answer[planCheckResponse]{
		Result: out, Assumptions: planAssumptions(s.Assumptions, "#"), Cautions: []caution{mainsNearWater}, Sources: []string{"CommonPractice", "IEC61025"},
		Summary: func(units) string {
			if !out.Valid {
				return fmt.Sprintf("This plan cannot be built as it stands: %d things contradict each other.", len(out.Violations))
			}
			return fmt.Sprintf("This plan of %d elements can be built; %d values are assumed and %d weaknesses show without simulating it.", out.Elements, out.Assumed, len(out.Weaknesses))
		},
	}, nil
}

// planAssumptions writes what a plan's completion assumed, below a pointer.
func planAssumptions(in []plan.Assumption, below string) []assumption {
	var out []assumption
	for _, s := range in {
		out = append(out, assumption{
			Pointer: below + strings.TrimPrefix(pointerOf(s.Param), "#"), Value: s.Value, Unit: s.Unit, Why: string(s.Why), Source: s.Source, Note: s.Note,
		})
	}
	return out
}

type statedRate struct {
	Fault   string  `json:"fault"`
	Element string  `json:"element"`
	PerYear float64 `json:"per_year"`
}

type planRiskRequest struct {
	Plan            planRequest  `json:"plan"`
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
	HarmH   float64  `json:"harm_h"`
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
	in := risk.Input{AbsencePerYr: r.AbsencesPerYear, UntestedYears: r.UntestedYears, ErrorFactor: r.ErrorFactor, TankYears: r.TankYears, Seed: uint64(r.Seed)}
	var err error
	if in.Plan, err = r.Plan.input(); err != nil {
		return in, within(err, "plan.")
	}
	for i, s := range r.Rates {
		if (s.Fault == "") == (s.Element == "") {
			return in, &calc.ConflictError{Params: []string{fmt.Sprintf("rates[%d].fault", i), fmt.Sprintf("rates[%d].element", i)}, Reason: "give the id of a fault or of an element, one of them"}
		}
		in.Rates = append(in.Rates, risk.Stated(s))
	}
	return in, nil
}

// mostSets is how many cut sets an answer lists; their number is always told.
const mostSets = 200

func newPlanRiskResponse(x risk.Result) planRiskResponse {
	out := planRiskResponse{
		Per100: x.Per100, P5: x.P5, P95: x.P95, Robust: x.Robust,
		Losses: []riskLoss{}, Sets: []riskSet{}, Elements: []riskElement{}, Tests: []riskTest{}, ResponseTimes: []riskResponseTime{}, Rates: []riskRate{},
		Pairs: riskPairs{x.Combined.Considered, x.Combined.LeftOut},
	}
	for _, s := range x.Sets {
		if len(s.Faults) == 1 {
			out.Singles++
		} else {
			out.Doubles++
		}
		if len(out.Sets) < mostSets {
			out.Sets = append(out.Sets, riskSet{Loss: s.Loss, Faults: s.Faults, Room: string(s.Room), HarmH: s.HarmH, RaisedH: s.RaisedH, PerYear: s.PerYear, Share: s.Share})
		}
	}
	for _, l := range x.Losses {
		out.Losses = append(out.Losses, riskLoss(l))
	}
	for _, e := range x.Elements {
		out.Elements = append(out.Elements, riskElement(e))
	}
	for _, t := range x.Tests {
		out.Tests = append(out.Tests, riskTest(t))
	}
	for _, r := range x.Responses {
		out.ResponseTimes = append(out.ResponseTimes, riskResponseTime(r))
	}
	for _, r := range x.Rates {
		out.Rates = append(out.Rates, riskRate(r))
	}
	if mc := x.MonteCarlo; mc != nil {
		d := riskDrawn(*mc)
		out.Drawn = &d
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
	return within(err, "plan.")
}

var planRiskRename = map[string]string{}

// riskOfPlan is how often a plan's failures would cost the tank, one by one and in pairs.
func riskOfPlan(ctx context.Context, r planRiskRequest) (answer[planRiskResponse], error) {
	in, err := r.input()
	if err != nil {
		return answer[planRiskResponse]{}, err
	}
	x, err := risk.Assess(ctx, in)
	if err != nil {
		return answer[planRiskResponse]{}, ofPlan(err)
	}
	out := newPlanRiskResponse(x)
	a := answer[planRiskResponse]{
		Result: out, Assumptions: planAssumptions(x.Combined.Report.Assumptions, "#/plan"), Cautions: planCautions(x.Combined.Report),
		Sources: []string{"CommonPractice", "IEC60812", "IEC61025", "IEC615086", "NUREG0492"},
		Warnings: []warning{{Code: "rates_are_orders_of_magnitude", Message: fmt.Sprintf(
			"Nobody publishes how often such parts fail: %d of %d rates are assumed by common practice. Read the order of the sets and what changes it, not the figure.", assumedRates(x.Rates), len(x.Rates))}},
		Summary: func(units) string { return riskSummary(out) },
	}
	if x.Combined.LeftOut > 0 {
		a.Warnings = append(a.Warnings, warning{Code: "pairs_left_out", Message: fmt.Sprintf("%d of %d pairs were not reached within the budget of this answer.", x.Combined.LeftOut, x.Combined.Considered)})
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
	if len(r.Sets) > 0 && r.Per100 == 0 { // harm falls on the return
		return fmt.Sprintf("%d single faults and %d pairs lose this tank, but only as the longest absence ends, the earliest by %s (%s after %s): losses are not to be counted in 100 tank-years, until an absence grows longer.",
			r.Singles, r.Doubles, strings.Join(r.Sets[0].Faults, " with "), strings.ReplaceAll(r.Sets[0].Loss, "_", " "), audit.Duration(r.Sets[0].HarmH))
	}
	fmt.Fprintf(&b, "%d single faults and %d pairs lose this tank: about %s losses in 100 tank-years (%s to %s, the rates being unsure).",
		r.Singles, r.Doubles, digits(r.Per100), digits(r.P5), digits(r.P95))
	if len(r.Sets) > 0 {
		fmt.Fprintf(&b, " The largest part, %.0f %%, comes from %s (%s after %s).", 100*r.Sets[0].Share, strings.Join(r.Sets[0].Faults, " with "),
			strings.ReplaceAll(r.Sets[0].Loss, "_", " "), audit.Duration(r.Sets[0].HarmH))
	}
	if len(r.Tests) > 0 && r.Tests[0].WorthPer100 > 0 {
		fmt.Fprintf(&b, " Trying %s every month would save %s of them.", r.Tests[0].Element, digits(r.Tests[0].WorthPer100))
	}
	if r.Drawn != nil {
		fmt.Fprintf(&b, " %.0f drawn tank-years count %s in 100.", r.Drawn.TankYears, digits(r.Drawn.Per100))
	}
	return b.String()
}
