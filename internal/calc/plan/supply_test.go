package plan

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc"
)

// wired is a plan with a supply tree: guard, then circuit, then near strip, then far strip.
func wired() Plan {
	p := withSump()
	p.Power.ResidualCurrentDevices = []ResidualCurrentDevice{{ID: "guard"}}
	p.Power.Circuits = []Circuit{{ID: "wet", ResidualCurrentDevice: new("guard"), BreakerA: new(10.0)}, {ID: "dry"}}
	p.Power.Strips = []Strip{{ID: "near", Supply: "wet"}, {ID: "far", Supply: "near"}}
	p.Heaters[0].Supply = new("far")
	return p
}

func TestSupplyTree(t *testing.T) {
	p, list, err := Complete(wired())
	require.NoError(t, err)
	assert.Equal(t, "far", *p.Heaters[0].Circuit, "the old name says the same")
	assert.True(t, p.Power.Circuits[0].GroundFault)
	assert.False(t, p.Power.Circuits[1].GroundFault)
	assert.Equal(t, []string{"far", "near", "wet", "guard"}, p.Power.Above("far"))
	assert.Equal(t, "guard", p.Power.Behind("far"))
	assert.Empty(t, p.Power.Behind("dry"))
	assert.InDelta(t, 300, p.LoadW("near"), 1e-12)
	assert.InDelta(t, 230, *p.Power.VoltageV, 1e-12)
	assert.True(t, slices.ContainsFunc(list, func(a Assumption) bool { return a.Param == "power.voltage_v" }))
	again, _, err := Complete(p)
	require.NoError(t, err, "what is complete may be completed again")
	assert.Equal(t, p.Power, again.Power)
}

func TestSupplyTreesThatCannotBeBuilt(t *testing.T) {
	cases := []struct {
		name   string
		spoil  func(*Plan)
		params []string
		reason string
	}{
		{"supply and circuit differ", func(p *Plan) { p.Heaters[0].Circuit = new("dry") },
			[]string{"heaters[0].circuit", "heaters[0].supply"}, "plan_circuit_and_supply_differ"},
		{"a supply that is none", func(p *Plan) { p.Lights[0].Supply = new("pump") },
			[]string{"lights[0].supply"}, "plan_unknown_id_elsewhere"},
		{"plugged into itself", func(p *Plan) { p.Power.Strips[0].Supply = "far" },
			[]string{"power.strips[0].supply"}, "plan_strips_in_a_circle"},
		{"plugged into nothing", func(p *Plan) { p.Power.Strips[0].Supply = "attic" },
			[]string{"power.strips[0].supply"}, "plan_unknown_id"},
		{"behind nothing", func(p *Plan) { p.Power.Circuits[0].ResidualCurrentDevice = new("wet") },
			[]string{"power.circuits[0].residual_current_device"}, "plan_unknown_id_elsewhere"},
		{"a battery of nothing", func(p *Plan) {
			p.Power.Backups = []Backup{{ID: "b", Kind: Battery, Supplies: []string{"near"}, Starts: ByItself}}
		}, []string{"power.backups[0].hours", "power.backups[0].capacity_wh"}, "plan_backup_hours_or_charge"},
		{"a battery for nothing", func(p *Plan) {
			p.Power.Backups = []Backup{{ID: "b", Kind: Battery, Supplies: []string{"heater"}, Hours: new(1.0)}}
		}, []string{"power.backups[0].supplies[0]"}, "plan_unknown_id_elsewhere"},
		{"a charged generator", func(p *Plan) {
			p.Power.Backups = []Backup{{ID: "g", Kind: Generator, Supplies: []string{"wet"}, CapacityWh: new(9.0)}}
		}, []string{"power.backups[0].capacity_wh", "power.backups[0].kind"}, "plan_generator_has_no_charge"},
		{"a battery by hand", func(p *Plan) {
			p.Power.Backups = []Backup{{ID: "b", Kind: Battery, Supplies: []string{"wet"}, Hours: new(1.0),
				Starts: ByHand}}
		}, []string{"power.backups[0].starts", "power.backups[0].kind"}, "plan_battery_comes_in_by_itself"},
		{"one id twice", func(p *Plan) { p.Power.Strips[0].ID = "guard" },
			[]string{"power.residual_current_devices[0].id", "power.strips[0].id"}, "plan_id_twice"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			p := wired()
			c.spoil(&p)
			_, _, err := Complete(p)
			require.Error(t, err)
			ok := slices.ContainsFunc(conflicts(t, err), func(f *calc.ConflictError) bool {
				return slices.Equal(f.Params, c.params) && strings.Contains(f.Reason.String(), c.reason)
			})
			assert.True(t, ok, "want %v (%s) among:\n%v", c.params, c.reason, err)
		})
	}
}
