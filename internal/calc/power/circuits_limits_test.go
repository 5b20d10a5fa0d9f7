package power

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc"
)

func findingIDs(r BudgetResult) map[string][]string {
	out := map[string][]string{}
	for _, f := range r.Findings {
		out[f.Said.Code] = f.IDs
	}
	return out
}

// Worked by hand at 120 V: 480 W are 4 A, a pump of 60 W at a power factor of 0.5 is 1 A and starts with 5 A more, a
// kettle of 600 W is 5 A but for less than three hours, the house takes 240 W or 2 A. The rating must be
// 5/0.8 + 7 = 13.25 A; 8.4 kWh a day at 0.3 are 920.43 in a year of 365.25 days.
func TestCircuitByHand(t *testing.T) {
	r, err := Budget(BudgetInput{
		Circuits: []Circuit{{"c", 20, 120, 0.8, "rcd", 240}},
		Loads: []Load{
			{"heater", "c", Heating, 480, 1, 1, 12}, {"pump", "c", Circulation, 60, 0.5, 6, 24},
			{"kettle", "c", Other, 600, 1, 1, 2},
		},
		PricePerKWh: 0.3,
	})
	require.NoError(t, err)
	c := r.Circuits[0]
	for name, x := range map[string]struct{ want, got float64 }{
		"continuous": {5, c.ContinuousA}, "other": {7, c.OtherA}, "allowed": {16, c.AllowedA},
		"needed": {13.25, c.NeededA}, "headroom": {6.75, c.HeadroomA}, "used": {0.6625, c.UsedShare},
		"start": {17, c.StartA}, "power": {1380, c.PowerW}, "total": {1140, r.TotalW}, "energy": {8.4, r.KWhPerDay},
		"cost": {920.43, r.CostYear},
	} {
		assert.InDelta(t, x.want, x.got, 1e-9, name)
	}
	assert.False(t, c.Overloaded)
	assert.False(t, c.MayTripStart)
}

// NFPA 70, article 100: continuous is a load whose largest current is expected to go on for three hours or more.
func TestThreeHoursAreContinuous(t *testing.T) {
	r, err := Budget(BudgetInput{
		Circuits: []Circuit{{"c", 20, 120, 0.8, "rcd", 0}}, Loads: []Load{{"lamp", "c", Lighting, 120, 1, 1, 3}},
	})
	require.NoError(t, err)
	assert.InDelta(t, 1, r.Circuits[0].ContinuousA, 1e-12)
}

// The quickest breakers may open above three times their rating (common practice, no source): 3 A that start with ten
// times are just three times a rating of 10 A.
func TestStartingCurrent(t *testing.T) {
	in := BudgetInput{
		Circuits: []Circuit{{"c", 10, 120, 0.8, "rcd", 0}}, Loads: []Load{{"motor", "c", Circulation, 360, 1, 10, 24}},
	}
	r, err := Budget(in)
	require.NoError(t, err)
	assert.InDelta(t, 30, r.Circuits[0].StartA, 1e-12)
	assert.False(t, r.Circuits[0].MayTripStart)
	in.Circuits[0].OtherW = 12
	r, err = Budget(in)
	require.NoError(t, err)
	assert.True(t, r.Circuits[0].MayTripStart)
	assert.Equal(t, []string{"c"}, findingIDs(r)["starting_current"])
}

func TestFindingsNameWhatTheyMean(t *testing.T) {
	in := wiring()
	in.Circuits[1].GroundFault = ""
	r, err := Budget(in)
	require.NoError(t, err)
	require.Len(t, r.Trips, 3)
	assert.Equal(t, []string{"heater a", "return", "lamp"}, r.Trips[2].Loads, "behind the ground-fault device")
	found := findingIDs(r)
	assert.Equal(t, []string{"right"}, found["no_ground_fault_protection"])
	assert.Equal(t, []string{"left", "return"}, found["all_circulation_on_one"])
	assert.Equal(t, []string{"right", "gauge"}, found["alarm_goes_with_it"])
	assert.NotContains(t, found, "all_heating_on_one")
	count := 0
	for _, f := range r.Findings {
		if f.Said.Code == "all_circulation_on_one" {
			count++
		}
	}
	assert.Equal(t, 1, count, "a ground-fault device before one circuit says nothing new")
	in.Circuits[1].GroundFault = "rcd"
	r, err = Budget(in)
	require.NoError(t, err)
	assert.NotContains(t, findingIDs(r), "no_ground_fault_protection")
	assert.Equal(t, []string{"rcd", "heater a", "heater b"}, findingIDs(r)["all_heating_on_one"])
}

func TestBudgetRangesNameTheirFields(t *testing.T) {
	for param, change := range map[string]func(*BudgetInput){
		"circuits":                     func(in *BudgetInput) { in.Circuits, in.Loads = nil, nil },
		"price_per_kwh":                func(in *BudgetInput) { in.PricePerKWh = 1000.1 },
		"circuits[1].rating_a":         func(in *BudgetInput) { in.Circuits[1].RatingA = 0.9 },
		"circuits[1].voltage_v":        func(in *BudgetInput) { in.Circuits[1].VoltageV = 481 },
		"circuits[0].continuous_share": func(in *BudgetInput) { in.Circuits[0].ContinuousShare = 0.49 },
		"circuits[0].other_w":          func(in *BudgetInput) { in.Circuits[0].OtherW = -1 },
		"loads[2].power_w":             func(in *BudgetInput) { in.Loads[2].PowerW = 30001 },
		"loads[2].power_factor":        func(in *BudgetInput) { in.Loads[2].PowerFactor = 0.29 },
		"loads[2].start_factor":        func(in *BudgetInput) { in.Loads[2].StartFactor = 0.9 },
		"loads[4].hours_per_day":       func(in *BudgetInput) { in.Loads[4].HoursPerDay = 24.1 },
	} {
		in := wiring()
		change(&in)
		_, err := Budget(in)
		var out *calc.RangeError
		if assert.ErrorAs(t, err, &out, param) {
			assert.Equal(t, param, out.Param)
		}
	}
}
