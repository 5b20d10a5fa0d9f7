// Package power answers questions of circuits and outages.
package power

import (
	"context"
	"fmt"
	"strings"

	"saltwright/internal/answer/envelope"
	"saltwright/internal/calc"
	"saltwright/internal/calc/power"
	"saltwright/internal/calc/text"
	"saltwright/internal/catalogue"
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
	Code    string   `json:"code"`
	Message string   `json:"message"`
	IDs     []string `json:"ids"`
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
			Reason: text.Plain("give at least one circuit and one load")}
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
		out.Findings = append(out.Findings, powerFinding{Code: f.Code, Message: f.Sentence, IDs: envelope.List(f.IDs)})
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
		Summary: func(catalogue.Units) string {
			var s strings.Builder
			fmt.Fprintf(&s, "%d loads of %.0f W take %.1f kWh a day.", len(in.Loads), b.TotalW, b.KWhPerDay)
			over := 0
			for _, c := range b.Circuits {
				if c.Overloaded {
					over++
				}
			}
			switch over {
			case 0:
				s.WriteString(" No circuit is loaded beyond its rating.")
			case 1:
				s.WriteString(" One circuit is overloaded.")
			default:
				fmt.Fprintf(&s, " %d circuits are overloaded.", over)
			}
			for _, f := range b.Findings {
				s.WriteString(" " + f.Sentence)
			}
			return s.String()
		},
	}, nil
}
