package risk

import (
	"context"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc"
	"saltwright/internal/calc/audit"
	"saltwright/internal/calc/plan"
)

func ptr[T any](v T) *T { return &v }

// guarded is a tank whose large heater is held back by a control and, in series, by its own thermostat, with a
// temperature alarm that travels: it takes two failures, or one and a silent alarm, to overheat it.
func guarded() plan.Plan {
	return plan.Plan{
		Livestock: plan.MixedReef, SalinityPSU: 35, ProbeDriftK: 3,
		Display: plan.Vessel{VolumeL: ptr(250.0), WallMM: 10, Material: "glass", Lid: "open", FreeboardMM: 40,
			DrainBackMM: 15, IntakeDropMM: 50, RockShare: 0.1},
		Room:   plan.Room{Usual: plan.RoomState{TempC: 22, RHPercent: 50}, AirSpeedMS: 0.1},
		Oxygen: plan.Oxygen{StirredCMH: 20, StillCMH: 2.07},
		Heaters: []plan.Heater{
			{ID: "left", PowerW: 400, ThermostatC: ptr(26.6), ThermostatHysteresisK: 1},
		},
		TopOffPumps: []plan.TopOffPump{{ID: "pump", FlowLH: 6, Reservoir: "canister"}},
		Reservoirs:  []plan.Reservoir{{ID: "canister", VolumeL: 25, UsableShare: 1, WaterAboveOutletMM: -100}},
		Lights: []plan.Light{{ID: "light", PowerW: 100, HeatShare: 0.3,
			Schedule: &plan.Schedule{OnAt: ptr(plan.ClockTime("11:00")), OffAt: ptr(plan.ClockTime("21:00"))}}},
		Sensors: []plan.Sensor{{ID: "probe", Kind: plan.TemperatureKind},
			{ID: "second", Kind: plan.TemperatureKind}},
		Controls: []plan.Control{{
			ID: "warm", Kind: plan.Heating, Sensor: ptr("probe"), SetpointC: ptr(25.5),
			HysteresisK: 0.4, Outputs: []string{"left"}, OnSensorLoss: "off",
		}},
		Alarms: []plan.Alarm{
			{ID: "hot", Sensor: "second", When: plan.Above, ThresholdC: ptr(27.5), DelayMin: 5,
				Path:       plan.CellularPath,
				OwnBattery: true},
			{ID: "cold", Sensor: "second", When: plan.Below, ThresholdC: ptr(23.5), DelayMin: 5,
				Path:       plan.CellularPath,
				OwnBattery: true},
		},
		// Animals so tender that harm is loss: losses enough to be counted.
		Limits: plan.Limits{
			LossLowC: ptr(21.5), LossHighC: ptr(29.5), LossColdAfterH: ptr(2.0), LossHeatAfterH: ptr(2.0),
			RapidLossLowC: ptr(21.5), RapidLossHighC: ptr(29.5), RapidLossAfterH: ptr(2.0),
			LossLowPSU: ptr(30.0), LossHighPSU: ptr(39.0), LossSalinityAfterH: ptr(2.0),
			LossOxygenMgL: ptr(3.5), LossOxygenAfterH: ptr(1.0),
		},
		Power:      plan.Power{LongestOutageH: 8},
		Attendance: plan.Attendance{LookEveryH: 24, LongestAbsenceH: ptr(120.0), LeavesAt: "08:00"},
	}
}

func input(p plan.Plan) Input {
	return Input{Plan: p, AbsencePerYr: 4, UntestedYears: 0.2, ErrorFactor: 5, Seed: 1}
}

func assess(t *testing.T, in Input) Result {
	t.Helper()
	r, err := Assess(context.Background(), in)
	require.NoError(t, err)
	return r
}

// The drawn years share nothing with the arithmetic but the cut sets: the count must lie within its own exact
// Poisson interval (Garwood 1936; chi-square form as in every textbook, from memory) around what the arithmetic says.
func TestArithmeticAgreesWithDrawnYears(t *testing.T) {
	in := input(guarded())
	in.TankYears = 200_000
	r := assess(t, in)
	require.NotNil(t, r.MonteCarlo)
	mc := *r.MonteCarlo
	require.Greater(t, mc.Losses, 2000)
	// Three standard deviations of the count, and 2 % for the rare-event approximation.
	assert.InEpsilon(t, r.Per100, mc.Per100, 3*mc.halfWidth()/mc.Per100+0.02)
	t.Logf("arithmetic %.3f, drawn %.3f (%.3f to %.3f) in 100 tank-years, %d losses, %d sets", r.Per100, mc.Per100,
		mc.Low95, mc.High95, mc.Losses, len(r.Sets))

	assert.True(t, mc.Agrees)
	long := in
	// a tenth of the hidden parts stand failed: independence no longer holds to better than this
	long.UntestedYears = 2
	r2 := assess(t, long)
	assert.InEpsilon(t, r2.Per100, r2.MonteCarlo.Per100, 0.05)
	t.Logf("untested for two years: arithmetic %.3f, drawn %.3f", r2.Per100, r2.MonteCarlo.Per100)

	byNet := in
	byNet.Plan.Alarms = slices.Clone(byNet.Plan.Alarms)
	for i := range byNet.Plan.Alarms {
		byNet.Plan.Alarms[i].Path = plan.NetworkPath
	}
	byNet.Rates = []Stated{{Fault: "network.lost", PerYear: 30}}
	r3 := assess(t, byNet)
	assert.InEpsilon(t, r3.Per100, r3.MonteCarlo.Per100, 3*r3.MonteCarlo.halfWidth()/r3.MonteCarlo.Per100+0.02,
		"with a network that comes and goes")
	assert.Greater(t, r3.Per100, r.Per100)
	t.Logf("alarms over a network that fails 30 times a year: arithmetic %.3f, drawn %.3f", r3.Per100,
		r3.MonteCarlo.Per100)

	again := assess(t, in)
	assert.Equal(t, mc, *again.MonteCarlo, "the same seed draws the same years")

	// Pairs alone: with no single that loses the tank the rare second failures are what is counted.
	m, _ := newModel(in, r.Combined, r.Rates)
	var pairs []audit.CutSet
	for _, x := range r.Combined.CutSets {
		if len(x.Faults) == 2 {
			pairs = append(pairs, x)
		}
	}
	m = m.of(pairs)
	alone, err := m.per100(m.rate, m.interval)
	require.NoError(t, err)
	only, err := m.drawYears(context.Background(), 1e6, 1)
	require.NoError(t, err)
	require.Greater(t, only.Losses, 100)
	assert.InEpsilon(t, alone, only.Per100, 3*only.halfWidth()/only.Per100+0.05)
	t.Logf("pairs alone: arithmetic %.4f, drawn %.4f (%.4f to %.4f), %d losses", alone, only.Per100,
		only.Low95, only.High95, only.Losses)
}

// halfWidth is one standard deviation of Per100, by the count.
func (mc MonteCarlo) halfWidth() float64 { return (mc.High95 - mc.Low95) / 4 }

func TestRiskFollowsWhatMakesItLarger(t *testing.T) {
	base := assess(t, input(guarded()))
	assert.Positive(t, base.Per100)
	assert.Less(t, base.P5, base.Per100)
	assert.Greater(t, base.P95, base.Per100)

	more := input(guarded())
	more.AbsencePerYr = 20
	assert.Greater(t, assess(t, more).Per100, base.Per100, "more often away")

	tested := guarded()
	for _, id := range []string{"hot", "cold", "second", "left", "warm", "probe"} {
		tested.ProofTests = append(tested.ProofTests, plan.ProofTest{Element: id, EveryDays: 30})
	}
	monthly := assess(t, input(tested))
	assert.LessOrEqual(t, monthly.Per100, base.Per100, "tests")
	for _, x := range monthly.Tests {
		assert.LessOrEqual(t, x.MonthlyPer100, x.NeverPer100+1e-12)
	}
	last := 0.0
	for _, x := range base.Responses {
		assert.GreaterOrEqual(t, x.Per100, last, "a slower response never saves a tank")
		last = x.Per100
		if x.Hours == *base.Combined.Report.Plan.Attendance.ResponseH {
			assert.InEpsilon(t, base.Per100, x.Per100, 1e-9, "as planned")
		}
	}
	shares := 0.0
	for _, s := range base.Sets {
		shares += s.Share
	}
	assert.InDelta(t, 1, shares, 1e-9)
	sumOfLosses := 0.0
	for _, l := range base.Losses {
		sumOfLosses += l.Per100
	}
	assert.InEpsilon(t, base.Per100, sumOfLosses, 1e-9)
}

func TestStatedRates(t *testing.T) {
	in := input(guarded())
	in.Rates = []Stated{{Element: "left", PerYear: 1}, {Fault: "light.dark", PerYear: 0.5}}
	r := assess(t, in)
	total := 0.0
	for i, f := range r.Combined.Report.Faults {
		if f.Fault.Element == "left" {
			total += r.Rates[i].PerYear
			assert.False(t, r.Rates[i].Assumed)
		}
		if f.Fault.ID == "light.dark" {
			assert.InDelta(t, 0.5, r.Rates[i].PerYear, 0)
		}
	}
	assert.InDelta(t, 1, total, 1e-12)
	var conflict *calc.ConflictError
	in.Rates = []Stated{{Fault: "no.such", PerYear: 1}}
	_, err := Assess(context.Background(), in)
	assert.ErrorAs(t, err, &conflict)
	var out *calc.RangeError
	in.Rates = []Stated{{Fault: "light.dark", PerYear: -1}}
	_, err = Assess(context.Background(), in)
	assert.ErrorAs(t, err, &out)
	in = input(guarded())
	in.UntestedYears = 0
	_, err = Assess(context.Background(), in)
	assert.ErrorAs(t, err, &out)
}

func TestDrawingStops(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	c, err := audit.Pairs(ctx, guarded())
	require.NoError(t, err)
	m := model{faults: c.Report.Faults, absence: 120, look: 24, share: 0.05}
	m.chances, _ = plan.ChancesOf(c.Report.Plan)
	m = m.of(c.CutSets)
	for range c.Report.Faults {
		m.own, m.mains = append(m.own, 1), append(m.mains, false)
		m.rate, m.hidden, m.interval, m.lasts = append(m.rate, 1), append(m.hidden, true), append(m.interval,
			1), append(m.lasts, 0)
	}
	cancel()
	_, err = m.drawYears(ctx, 1e6, 1)
	assert.ErrorIs(t, err, context.Canceled)
}
