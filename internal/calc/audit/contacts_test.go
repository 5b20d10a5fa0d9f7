package audit

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc/plan"
)

func contact(t *testing.T, r Report, element, output string) Contact {
	t.Helper()
	i := slices.IndexFunc(r.Contacts, func(c Contact) bool { return c.Element == element && c.Output == output })
	require.GreaterOrEqual(t, i, 0, "no contact %s %s", element, output)
	return r.Contacts[i]
}

// controlled hangs the bare tank's heater on a control outside, with its own thermostat as the backstop.
func controlled(hysteresisK float64) plan.Plan {
	p := bare()
	p.Heaters[0].ThermostatC = ptr(27.5)
	p.Sensors = []plan.Sensor{{ID: "probe", Kind: plan.TemperatureKind}}
	p.Controls = []plan.Control{{ID: "warm", Kind: plan.Heating, Sensor: ptr("probe"), SetpointC: ptr(25.5),
		HysteresisK: hysteresisK, Outputs: []string{"heater"}, OnSensorLoss: "off"}}
	return p
}

// An outside control spares the heater's own thermostat: that never switches, and welds as seldom as one that stands.
func TestAnOutsideControlSparesTheThermostat(t *testing.T) {
	alone := single(t, bare())
	own := contact(t, alone, "heater", "")
	use := alone.Nominal[1].Devices[slices.IndexFunc(alone.Nominal[1].Devices,
		func(d DeviceUse) bool { return d.ID == "heater" })]
	assert.InDelta(t, use.StartsPerDay, own.StartsPerDay, 1e-9, "without a control every start is the thermostat's")
	// By hand, ISO 13849-1: 0.1 n/B10d, and what is added for standing.
	assert.InEpsilon(t, 0.1*own.StartsPerDay*365.25/1e5+0.005, own.PerYear, 1e-9)
	assert.InEpsilon(t, 1e5/(own.StartsPerDay*365.25), own.LifeY, 1e-9)
	assert.InDelta(t, own.PerYear, fault(t, alone, "heater.thermostat_welded").Fault.PerYear, 0)

	spared := single(t, controlled(0.4))
	assert.Zero(t, contact(t, spared, "heater", "").StartsPerDay)
	assert.InDelta(t, 0.005, fault(t, spared, "heater.thermostat_welded").Fault.PerYear, 0)
	relay := contact(t, spared, "warm", "heater")
	assert.Positive(t, relay.StartsPerDay)
	assert.InEpsilon(t, 0.1*relay.StartsPerDay*365.25/4e5+8.76e-5,
		fault(t, spared, "warm.output_welded.heater").Fault.PerYear, 1e-9)
	t.Logf("thermostat alone: %.1f starts a day, %.4f a year; spared: its relay %.1f starts a day, %.5f a year",
		own.StartsPerDay, own.PerYear, relay.StartsPerDay, relay.PerYear)
}

// The time of a cycle is the band over the rates of warming and cooling, so that a band of 0.2 K switches some five
// times as often as one of 1 K.
func TestANarrowBandShowsItsPrice(t *testing.T) {
	narrow, wide := single(t, controlled(0.2)), single(t, controlled(1))
	a, b := contact(t, narrow, "warm", "heater"), contact(t, wide, "warm", "heater")
	assert.InEpsilon(t, 5, a.StartsPerDay/b.StartsPerDay, 0.15)
	assert.InEpsilon(t, b.LifeY/a.LifeY, a.StartsPerDay/b.StartsPerDay, 1e-9)
	t.Logf("0.2 K: %.1f starts a day, %.1f years; 1 K: %.1f, %.1f years", a.StartsPerDay, a.LifeY,
		b.StartsPerDay, b.LifeY)

	// A thermostat of 0.1 K on a strong heater does not last: a finding.
	p := bare()
	p.Heaters[0].PowerW, p.Heaters[0].ThermostatHysteresisK = 1000, 0.1
	r := single(t, p)
	c := contact(t, r, "heater", "")
	require.Less(t, c.LifeY, shortContactLifeY)
	assert.True(t, slices.ContainsFunc(r.Findings, func(f Finding) bool {
		return f.Code == "contact_wears_out" && f.Message.Code == "thermostat_wears_out" && f.Elements[0] == "heater"
	}))
	assert.False(t, slices.ContainsFunc(wide.Findings, func(f Finding) bool { return f.Code == "contact_wears_out" }))
}
