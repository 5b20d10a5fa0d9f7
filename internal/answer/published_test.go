package answer

import (
	"encoding/json"
	"maps"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/answer/envelope"
	"saltwright/internal/calc"
	"saltwright/internal/calc/source"
	"saltwright/internal/catalogue"
	"saltwright/internal/contract"
)

func warnedAt(t testing.TB, answer map[string]any) []string {
	t.Helper()
	var out []string
	for _, w := range answer["warnings"].([]any) {
		if w := w.(map[string]any); w["code"] == "outside_published_range" {
			pointer, _ := w["pointer"].(string)
			out = append(out, pointer)
		}
	}
	return out
}

// Each range of the core is used, cites a work that there is, and no default of the contract lies outside it.
func TestPublishedRangesAreUsed(t *testing.T) {
	c, err := contract.Load()
	require.NoError(t, err)
	used := map[calc.Published]bool{}
	for name := range uses {
		o := c.Calculation(name)
		require.NotNil(t, o, "%s is no calculation of the contract", name)
		p, err := newPublished(o)
		require.NoError(t, err)
		for i, r := range p.ranges {
			used[p.rows[i]] = true
			if s := schemaAt(o, r.Place); s != nil {
				if at, ok := s.Default.(float64); ok {
					assert.True(t, p.rows[i].Holds(at), "%s: the default of %s, %g", name, r.Place, at)
				}
			}
		}
	}
	for _, row := range publishedRanges() {
		assert.True(t, used[row], "%s %s is used nowhere", row.Relation, row.Quantity)
		known := func(e source.Entry) bool { return e.Key == row.Source }
		assert.True(t, slices.ContainsFunc(source.All(), known), row.Source)
		assert.Less(t, row.Low, row.High)
	}
}

// One mechanism, every operation: a member that the contract lets beyond what a relation is published for warns. The
// requests are the contract's own examples with that one member changed.
func TestEveryMemberBeyondItsRangeWarns(t *testing.T) {
	a := newAsker(t)
	tried := 0
	for name := range uses {
		if strings.HasPrefix(name, "plan-") { // the same mechanism, seconds each; one of them below
			continue
		}
		o := a.contract.Calculation(name)
		p, err := newPublished(o)
		require.NoError(t, err)
		var example map[string]any
		require.NoError(t, json.Unmarshal(o.Examples[0].Value, &example))
		for i, r := range p.ranges {
			member, ok := strings.CutPrefix(r.Place, "#/")
			if !ok || strings.Contains(member, "/") {
				continue
			}
			row := p.rows[i]
			for _, beyond := range []float64{row.Low - 0.01, row.High + 0.01} {
				if beyond < *r.AcceptedLow || beyond > *r.AcceptedHigh {
					continue
				}
				request := maps.Clone(example)
				request[member] = beyond
				body, err := json.Marshal(request)
				require.NoError(t, err)
				asked, err := o.Read(body, "")
				require.NoError(t, err)
				if _, err := a.operations[o.ID].Answer(t.Context(), asked); err != nil {
					continue // in conflict with another member of the example
				}
				tried++
				warned := warnedAt(t, a.ask(t, name, request))
				assert.Contains(t, warned, r.Place, "%s with %s = %g", name, member, beyond)
			}
		}
		assert.Empty(t, warnedAt(t, a.ask(t, name, example)), "%s: its example lies inside", name)
	}
	t.Logf("%d members beyond a published range", tried)
	assert.Greater(t, tried, 40)
}

// The ones that the keeper of this project named.
func TestNamedCasesWarn(t *testing.T) {
	a := newAsker(t)
	surface := func(water, room, rh float64) map[string]any {
		return map[string]any{"length_mm": 1000, "width_mm": 500, "water_c": water, "room_c": room, "rh_percent": rh}
	}
	tank := map[string]any{"length_mm": 1000, "width_mm": 500, "water_depth_mm": 500, "room_c": 22}
	with := func(member string, value any) map[string]any {
		out := maps.Clone(tank)
		out[member] = value
		return out
	}
	huge := with("length_mm", 20000)
	huge["width_mm"], huge["room_c"] = 20000, 7
	for _, c := range []struct {
		name    string
		request map[string]any
		pointer string
	}{
		{"evaporation", surface(5, 20, 50), "#/water_c"},
		{"evaporation", surface(36, 20, 50), "#/water_c"},
		{"evaporation", surface(25, 20, 10), "#/rh_percent"},
		{"heat-balance", with("water_c", 36), "#/water_c"},
		{"heat-balance", with("salinity_psu", 41), "#/salinity_psu"},
		{"heat-balance", huge, ""}, // the film of air over the water: a number on the way
		{"annual-balance", map[string]any{"length_mm": 20000, "width_mm": 20000, "water_depth_mm": 500,
			"setpoint_c": 34, "highest_water_c": 36}, ""}, // in its coldest month
		{"model-calibration", map[string]any{"length_mm": 20000, "width_mm": 20000, "water_depth_mm": 500,
			"evaporation": map[string]any{"l_d": 2000, "water_c": 30, "room_c": 7}}, ""},
		{"salinity-conversion", map[string]any{"scale": "practical_psu", "value": 35, "sample_c": 31}, "#/sample_c"},
		{"salinity-conversion", map[string]any{"scale": "practical_psu", "value": 1}, ""},
		{"salt-mix", map[string]any{"volume_l": 20, "target_psu": 43}, "#/target_psu"},
		{"daylight", map[string]any{"latitude_deg": 60, "month": 6}, "#/latitude_deg"},
	} {
		assert.Contains(t, warnedAt(t, a.ask(t, c.name, c.request)), c.pointer, "%s %v", c.name, c.request)
	}
	assert.Empty(t, warnedAt(t, a.ask(t, "daylight", map[string]any{"latitude_deg": -18, "month": 6})))
}

// The narrowest range of a value is the one that is said, once, in the units asked for.
func TestOneWarningForAValue(t *testing.T) {
	narrow := calc.Published{Of: "specific_heat", Unit: "degC", Low: 0, High: 30, Source: "A"}
	wide := calc.Published{Of: "density", Unit: "degC", Low: 0, High: 35, Source: "B"}
	p := published{
		ranges: []envelope.Range{{Place: "way"}, {Place: "way"}}, rows: []calc.Published{wide, narrow},
	}
	got := p.warnings(&contract.Request{}, nil, nil, map[string]float64{"way": 40})
	require.Len(t, got, 1)
	assert.Equal(t, "way is 104.0 °F; the specific heat of sea water is published for 32.0 °F to 86.0 °F (A). "+
		"Beyond that the formula "+
		"is only "+
		"carried on: trust it less.", catalogue.Reader{Units: catalogue.US}.Speaker().Say(got[0].Message))
	assert.Empty(t, p.warnings(&contract.Request{}, nil, nil, map[string]float64{"way": 20}))
}

// The sources of an answer are those of the functions that it rests on, as their doc comments cite them.
func TestSourcesAreThoseOfTheFunctions(t *testing.T) {
	c, err := contract.Load()
	require.NoError(t, err)
	for name, want := range map[string][]string{
		// ASHRAE, Shah, VapourPressure, SaturationPressure, LatentHeat, LitresPerDay, LidFactor, MoistureOf
		"evaporation": {
			"ASHRAEApplications", "SmithLofJones1998", "Shah2014", "GreenCarritt1967", "HylandWexler1983",
			"Henderson1984", "Kell1975", "CommonPractice", "ASHRAEFundamentals2017", "Pauken1995",
			"SmithJonesLof1993",
		},
		"heat-balance": { // DryLoss, the three Nusselt numbers, HeatCapacity, Density, and evaporation
			"ChurchillChu1975", "McAdams1954", "Incropera2007", "ISO10456", "EN673", "CODATA2018", "Cengel2003",
			"Millero1973", "MilleroPoisson1981", "Shah2014", "HylandWexler1983",
		},
		"plan-audit":       {"GarciaGordon1992", "BensonKrause1984", "Shah2014", "IEC60812", "ChurchillChu1975"},
		"outage-endurance": {"GarciaGordon1992", "BensonKrause1984", "ColeCaraco1998"},
		"salt-mix":         {"UNESCO44", "Millero2008", "MilleroPoisson1981"},
	} {
		m, err := newModel(c.Calculation(name))
		require.NoError(t, err)
		for _, key := range want {
			assert.Contains(t, m.with(nil), key, name)
		}
		assert.LessOrEqual(t, len(m.with(nil)), 40, "the contract's bound")
	}
}
