// Package power holds the loading of circuits, what fails together when one of
// them opens, and how long a tank endures without mains.
package power

import (
	"fmt"
	"maps"
	"math"
	"slices"

	"saltwright/internal/calc"
	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/text"
)

const (
	// ContinuousShare is how much of a circuit's rating a load of three hours or more may take where the North
	// American rule holds: the rating is at least 125 % of it. Source: [NFPA70].
	ContinuousShare = 0.8
	continuousHours = 3.0
)

// Role is what a load does for the tank.
type Role string

// The roles.
const (
	Heating     Role = "heating"
	Circulation Role = "circulation"
	Lighting    Role = "lighting"
	Cooling     Role = "cooling"
	TopOff      Role = "top_off"
	Alarm       Role = "alarm"
	Other       Role = "other"
)

var roles = []Role{Heating, Circulation, Lighting, Cooling, TopOff, Alarm, Other}

// Circuit is what one breaker feeds.
type Circuit struct {
	ID              string
	RatingA         float64 // of its breaker, 1 … 125 A
	VoltageV        float64 // 90 … 480 V
	ContinuousShare float64 // of the rating that continuous load may take, 0.5 … 1
	GroundFault     string  // id of the ground-fault device that it lies behind; empty: none
	OtherW          float64 // of whatever else in the house hangs on it, 0 … 30000 W
}

// Load is one device.
type Load struct {
	ID          string
	Circuit     string
	Role        Role
	PowerW      float64 // 0 … 30000 W
	PowerFactor float64 // 0.3 … 1
	StartFactor float64 // current at the start over running, 1 … 10
	HoursPerDay float64 // 0 … 24; 3 or more at a stretch counts as continuous
}

// BudgetInput is circuits and loads.
type BudgetInput struct {
	Circuits    []Circuit // 1 … 20, ids unique
	Loads       []Load    // 1 … 100
	PricePerKWh float64   // 0 … 1000
}

// CircuitResult is one circuit's loading.
type CircuitResult struct {
	ID           string
	ContinuousA  float64
	OtherA       float64 // loads of less than three hours, and the house's
	AllowedA     float64 // continuous current the rating allows
	NeededA      float64 // continuous / share + other: what the rating must be at least
	HeadroomA    float64 // rating less NeededA; negative: overloaded
	UsedShare    float64 // NeededA over the rating
	StartA       float64 // largest current, with the heaviest starter starting while the rest runs
	Overloaded   bool
	MayTripStart bool // StartA is above three times the rating, where the quickest breakers may open
	PowerW       float64
}

// Trip is what goes dark together.
type Trip struct {
	Cause   string // circuit or ground_fault
	ID      string
	Loads   []string
	PowerW  float64
	AllOf   []Role // roles that are left with nothing
	NoAlarm bool   // the alarm goes with them: nobody is told
}

// Finding is a weakness of the wiring.
type Finding struct {
	Said text.Text // its code is the kind of weakness
	IDs  []string
}

// BudgetResult is all of it.
type BudgetResult struct {
	Circuits  []CircuitResult
	Trips     []Trip
	Findings  []Finding
	TotalW    float64
	KWhPerDay float64
	CostYear  float64
}

// Budget returns the loading of circuits and what fails together.
//
//	I = P / (V pf), needed rating = I_continuous / share + I_other
//	with a share of 0.8 that is 125 % of the continuous load
//
// Local rules and a licensed electrician decide; this is arithmetic.
// Accuracy: exact for the figures given; labels state powers to some 10 %.
// Errors: *calc.RangeError; *calc.ConflictError for ids that repeat or name nothing.
// Source: [NFPA70] article 210.20(A); currents [Derived].
func Budget(in BudgetInput) (BudgetResult, error) {
	var r BudgetResult
	if err := in.check(); err != nil {
		return r, err
	}
	for _, c := range in.Circuits {
		r.Circuits = append(r.Circuits, in.circuit(c))
	}
	for _, l := range in.Loads {
		r.TotalW += l.PowerW
		r.KWhPerDay += l.PowerW * l.HoursPerDay / quantity.WattsPerKilowatt
	}
	r.CostYear = r.KWhPerDay * quantity.DaysPerYear * in.PricePerKWh
	var devices []string
	for _, c := range in.Circuits {
		r.Trips = append(r.Trips, in.trip("circuit", c.ID, []string{c.ID}))
		if c.GroundFault != "" && !slices.Contains(devices, c.GroundFault) {
			devices = append(devices, c.GroundFault)
		}
	}
	for _, d := range devices {
		var behind []string
		for _, c := range in.Circuits {
			if c.GroundFault == d {
				behind = append(behind, c.ID)
			}
		}
		r.Trips = append(r.Trips, in.trip("ground_fault", d, behind))
	}
	r.Findings = in.findings(r)
	return r, nil
}

func (in BudgetInput) check() error {
	type bound struct {
		param           string
		value, min, max float64
		unit            string
	}
	bounds := []bound{
		{"circuits", float64(len(in.Circuits)), 1, 20, "1"}, {"loads", float64(len(in.Loads)), 1, 100, "1"},
		{"price_per_kwh", in.PricePerKWh, 0, 1000, "1/kWh"},
	}
	known := map[string]bool{}
	for i, c := range in.Circuits {
		at := fmt.Sprintf("circuits[%d].", i)
		bounds = append(bounds, bound{at + "rating_a", c.RatingA, 1, 125, "A"},
			bound{at + "voltage_v", c.VoltageV, 90, 480, "V"},
			bound{at + "continuous_share", c.ContinuousShare, 0.5, 1, "1"},
			bound{at + "other_w", c.OtherW, 0, 30000, "W"})
		if known[c.ID] {
			return &calc.ConflictError{
				Params: []string{at + "id"},
				Reason: text.Of("circuit_id_twice", text.Params{"id": c.ID}),
			}
		}
		known[c.ID] = true
	}
	loads := map[string]bool{}
	for i, l := range in.Loads {
		at := fmt.Sprintf("loads[%d].", i)
		bounds = append(bounds, bound{at + "power_w", l.PowerW, 0, 30000, "W"},
			bound{at + "power_factor", l.PowerFactor, 0.3, 1, "1"},
			bound{at + "start_factor", l.StartFactor, 1, 10, "1"},
			bound{at + "hours_per_day", l.HoursPerDay, 0, quantity.HoursPerDay, "h"})
		if loads[l.ID] {
			return &calc.ConflictError{
				Params: []string{at + "id"},
				Reason: text.Of("load_id_twice", text.Params{"id": l.ID}),
			}
		}
		loads[l.ID] = true
		if !known[l.Circuit] {
			return &calc.ConflictError{
				Params: []string{at + "circuit"},
				Reason: text.Of("circuit_not_known",
					text.Params{"id": l.Circuit, "circuits": slices.Sorted(maps.Keys(known))}),
			}
		}
		if !slices.Contains(roles, l.Role) {
			return &calc.ConflictError{Params: []string{at + "role"},
				Reason: text.Of("role_not_known", nil)}
		}
	}
	for _, b := range bounds {
		if err := calc.CheckRange(b.param, b.value, b.min, b.max, b.unit); err != nil {
			return err
		}
	}
	return nil
}

func (in BudgetInput) circuit(c Circuit) CircuitResult {
	r := CircuitResult{
		ID: c.ID, AllowedA: c.ContinuousShare * c.RatingA, PowerW: c.OtherW, OtherA: c.OtherW / c.VoltageV,
	}
	surge := 0.0
	for _, l := range in.Loads {
		if l.Circuit != c.ID {
			continue
		}
		amps := l.PowerW / (c.VoltageV * l.PowerFactor)
		if l.HoursPerDay >= continuousHours {
			r.ContinuousA += amps
		} else {
			r.OtherA += amps
		}
		r.PowerW += l.PowerW
		surge = math.Max(surge, amps*(l.StartFactor-1))
	}
	r.NeededA = r.ContinuousA/c.ContinuousShare + r.OtherA
	r.HeadroomA = c.RatingA - r.NeededA
	r.UsedShare = r.NeededA / c.RatingA
	const rounding = 1e-9
	r.Overloaded = r.NeededA > c.RatingA*(1+rounding)
	r.StartA = r.ContinuousA + r.OtherA + surge
	const quickBreaker = 3 // times its rating, where the quickest kind may open at once; common practice, no source
	r.MayTripStart = r.StartA > quickBreaker*c.RatingA
	return r
}

func (in BudgetInput) trip(cause, id string, circuits []string) Trip {
	t := Trip{Cause: cause, ID: id}
	left := map[Role]bool{}
	had := map[Role]bool{}
	for _, l := range in.Loads {
		had[l.Role] = true
		if slices.Contains(circuits, l.Circuit) {
			t.Loads = append(t.Loads, l.ID)
			t.PowerW += l.PowerW
			continue
		}
		left[l.Role] = true
	}
	for _, role := range roles {
		if had[role] && !left[role] {
			t.AllOf = append(t.AllOf, role)
		}
	}
	t.NoAlarm = slices.Contains(t.AllOf, Alarm)
	return t
}

// goneTogether is what is said when a trip takes all that does one thing for the tank.
var goneTogether = map[Role]string{
	Heating: "all_heating_on_one", Circulation: "all_circulation_on_one", Cooling: "all_cooling_on_one",
}

func (in BudgetInput) findings(r BudgetResult) []Finding {
	var out []Finding
	for i, c := range r.Circuits {
		if c.Overloaded {
			out = append(out, Finding{text.Of("overloaded", text.Params{
				"circuit": c.ID, "needed": c.NeededA, "rating": in.Circuits[i].RatingA}), []string{c.ID}})
		}
		if c.MayTripStart {
			out = append(out, Finding{text.Of("starting_current", text.Params{"circuit": c.ID, "current": c.StartA}),
				[]string{c.ID}})
		}
		if in.Circuits[i].GroundFault == "" {
			out = append(out, Finding{text.Of("no_ground_fault_protection", text.Params{"circuits": []string{c.ID}}),
				[]string{c.ID}})
		}
	}
	for _, t := range r.Trips {
		if t.Cause == "ground_fault" && in.sameAsCircuit(t) {
			continue
		}
		if t.NoAlarm {
			out = append(out, Finding{text.Of("alarm_goes_with_it", text.Params{"trip": t.ID}),
				append([]string{t.ID}, in.idsOf(Alarm)...)})
		}
		for _, role := range t.AllOf {
			if code, ok := goneTogether[role]; ok {
				out = append(out, Finding{text.Of(code, text.Params{"trip": t.ID}),
					append([]string{t.ID}, in.idsOf(role)...)})
			}
		}
	}
	return out
}

// sameAsCircuit tells whether a ground-fault device has just one circuit behind it, which speaks for itself.
func (in BudgetInput) sameAsCircuit(t Trip) bool {
	n := 0
	for _, c := range in.Circuits {
		if c.GroundFault == t.ID {
			n++
		}
	}
	return n < 2
}

func (in BudgetInput) idsOf(role Role) []string {
	var out []string
	for _, l := range in.Loads {
		if l.Role == role {
			out = append(out, l.ID)
		}
	}
	return out
}
