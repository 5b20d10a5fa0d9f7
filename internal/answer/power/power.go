// Package power answers questions of circuits and outages.
package power

import (
	"context"

	"saltwright/internal/answer/envelope"
	"saltwright/internal/calc"
	"saltwright/internal/calc/power"
	"saltwright/internal/calc/text"
)

type powerCircuit struct {
	ID              string  `json:"id"`
	RatingA         float64 `json:"rating_a"`
	VoltageV        float64 `json:"voltage_v"`
	ContinuousShare float64 `json:"continuous_share"`
	GroundFault     string  `json:"ground_fault"`
	OtherW          float64 `json:"other_w"`
}

type powerLoad struct {
	ID          string  `json:"id"`
	Circuit     string  `json:"circuit"`
	Role        string  `json:"role"`
	PowerW      float64 `json:"power_w"`
	PowerFactor float64 `json:"power_factor"`
	StartFactor float64 `json:"start_factor"`
	HoursPerDay float64 `json:"hours_per_day"`
}

type powerBudgetRequest struct {
	Circuits    []powerCircuit `json:"circuits"`
	Loads       []powerLoad    `json:"loads"`
	PricePerKWh float64        `json:"price_per_kwh"`
}

type circuitLoading struct {
	ID           string  `json:"id"`
	PowerW       float64 `json:"power_w"`
	ContinuousA  float64 `json:"continuous_a"`
	OtherA       float64 `json:"other_a"`
	AllowedA     float64 `json:"allowed_continuous_a"`
	NeededA      float64 `json:"needed_rating_a"`
	HeadroomA    float64 `json:"headroom_a"`
	UsedShare    float64 `json:"used_share"`
	StartA       float64 `json:"start_a"`
	Overloaded   bool    `json:"overloaded"`
	MayTripStart bool    `json:"may_trip_at_start"`
}

type powerTrip struct {
	Cause   string   `json:"cause"`
	ID      string   `json:"id"`
	Loads   []string `json:"loads"`
	PowerW  float64  `json:"power_w"`
	AllOf   []string `json:"all_of"`
	NoAlarm bool     `json:"no_alarm"`
}

type powerFinding struct {
	Code    string    `json:"code"`
	Message text.Text `json:"message"`
	IDs     []string  `json:"ids"`
}

type powerBudgetResponse struct {
	TotalW     float64          `json:"total_w"`
	EnergyKWhD float64          `json:"energy_kwh_d"`
	CostYear   float64          `json:"cost_year"`
	Circuits   []circuitLoading `json:"circuits"`
	Trips      []powerTrip      `json:"trips"`
	Findings   []powerFinding   `json:"findings"`
}

func (r powerBudgetRequest) input() (power.BudgetInput, error) {
	in := power.BudgetInput{PricePerKWh: r.PricePerKWh}
	if len(r.Circuits) == 0 || len(r.Loads) == 0 {
		return in, &calc.ConflictError{Params: []string{"circuits", "loads"},
			Reason: text.Of("budget_without_circuits_or_loads", nil)}
	}
	for _, c := range r.Circuits {
		in.Circuits = append(in.Circuits, power.Circuit(c))
	}
	for _, l := range r.Loads {
		in.Loads = append(in.Loads, power.Load{
			ID: l.ID, Circuit: l.Circuit, Role: power.Role(l.Role), PowerW: l.PowerW, PowerFactor: l.PowerFactor,
			StartFactor: l.StartFactor, HoursPerDay: l.HoursPerDay,
		})
	}
	return in, nil
}

func newPowerBudgetResponse(b power.BudgetResult) powerBudgetResponse {
	out := powerBudgetResponse{TotalW: b.TotalW, EnergyKWhD: b.KWhPerDay, CostYear: b.CostYear,
		Circuits: []circuitLoading{}, Trips: []powerTrip{}, Findings: []powerFinding{}}
	for _, c := range b.Circuits {
		out.Circuits = append(out.Circuits, circuitLoading{
			ID: c.ID, PowerW: c.PowerW, ContinuousA: c.ContinuousA, OtherA: c.OtherA, AllowedA: c.AllowedA,
			NeededA: c.NeededA, HeadroomA: c.HeadroomA,
			UsedShare: c.UsedShare, StartA: c.StartA, Overloaded: c.Overloaded, MayTripStart: c.MayTripStart,
		})
	}
	for _, t := range b.Trips {
		trip := powerTrip{Cause: t.Cause, ID: t.ID, Loads: envelope.List(t.Loads), PowerW: t.PowerW, AllOf: []string{},
			NoAlarm: t.NoAlarm}
		for _, role := range t.AllOf {
			trip.AllOf = append(trip.AllOf, string(role))
		}
		out.Trips = append(out.Trips, trip)
	}
	for _, f := range b.Findings {
		out.Findings = append(out.Findings, powerFinding{Code: f.Said.Code, Message: f.Said, IDs: envelope.List(f.IDs)})
	}
	return out
}

// BudgetPower is the loading of circuits and what fails together.
func BudgetPower(_ context.Context, r powerBudgetRequest) (envelope.Answer[powerBudgetResponse], error) {
	in, err := r.input()
	if err != nil {
		return envelope.Answer[powerBudgetResponse]{}, err
	}
	b, err := power.Budget(in)
	if err != nil {
		return envelope.Answer[powerBudgetResponse]{}, err
	}
	return envelope.Answer[powerBudgetResponse]{
		Result: newPowerBudgetResponse(b), Cautions: []envelope.Caution{envelope.MainsNearWater,
			envelope.LicensedTrades}, Sources: []string{"CommonPractice", "Derived", "NFPA70"},
		Headline: budgetHeadline(b), Details: text.Sentences(budgetDetails(in, b)...), KeyFigures: budgetFigures(b),
		Actions: budgetActions(b),
	}, nil
}

func budgetHeadline(b power.BudgetResult) text.Text {
	overloaded := 0
	for _, c := range b.Circuits {
		if c.Overloaded {
			overloaded++
		}
	}
	switch {
	case overloaded > 0:
		return text.Of("budget_overloaded", text.Params{"count": overloaded})
	case len(b.Findings) > 0:
		return text.Of("budget_weak", text.Params{"count": len(b.Findings)})
	}
	return text.Of("budget_sound", nil)
}

func budgetDetails(in power.BudgetInput, b power.BudgetResult) []text.Text {
	out := []text.Text{text.Of("budget_totals",
		text.Params{"count": len(in.Loads), "power": b.TotalW, "energy": b.KWhPerDay})}
	if b.CostYear > 0 {
		out = append(out, text.Of("budget_cost", text.Params{"cost": b.CostYear}))
	}
	const most = 8 // findings in a summary; the result has them all
	for _, f := range b.Findings[:min(most, len(b.Findings))] {
		out = append(out, f.Said)
	}
	return out
}

func budgetFigures(b power.BudgetResult) []envelope.KeyFigure {
	fullest := 0.0
	for _, c := range b.Circuits {
		fullest = max(fullest, c.UsedShare)
	}
	out := []envelope.KeyFigure{
		{Label: text.Of("budget_fullest_figure", nil), Value: fullest, Quantity: "share"},
		{Label: text.Of("budget_power_figure", nil), Value: b.TotalW, Quantity: "power"},
		{Label: text.Of("budget_energy_figure", nil), Value: b.KWhPerDay, Quantity: "energy_a_day"},
	}
	if b.CostYear > 0 {
		out = append(out, envelope.KeyFigure{Label: text.Of("budget_cost_figure", nil), Value: b.CostYear,
			Quantity: "money"})
	}
	return out
}

// budgetActions says once for each kind of weakness what to do, and on which circuits.
func budgetActions(b power.BudgetResult) []text.Text {
	first := map[string][]string{} // ids that a kind of finding begins with
	for _, f := range b.Findings {
		first[f.Said.Code] = append(first[f.Said.Code], f.IDs[0])
	}
	var out []text.Text
	for _, x := range []struct{ finding, action string }{
		{"overloaded", "budget_move_a_load"},
		{"no_ground_fault_protection", "budget_add_ground_fault"},
		{"alarm_goes_with_it", "budget_second_alarm"},
		{"all_heating_on_one", "budget_spread_heating"},
		{"all_circulation_on_one", "budget_spread_circulation"},
		{"all_cooling_on_one", "budget_spread_cooling"},
		{"starting_current", "budget_start_in_turn"},
	} {
		if on := first[x.finding]; on != nil {
			out = append(out, text.Of(x.action, text.Params{"on": on}))
		}
	}
	return out
}
