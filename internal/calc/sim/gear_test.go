package sim

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc/moistair"
	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/seawater"
)

// wide is a tank of 200 L over 1 m² from which nothing evaporates.
func wide() *System {
	s := still(200, 35, 0)
	s.Chamber = Chamber{AreaM2: 1, BaffleMM: 1e6, WideAreaM2: 1, IntakeMM: -1e6, FloorMM: -1e6, RimMM: 1e6}
	return s
}

// A cup of 1.2 L that takes 0.24 L/h is full after five hours, after one where it foams five times as wet. Ten hours
// bring another 1.2 L, or 10.8 L, where nothing stops it.
func TestCups(t *testing.T) {
	const device = 0
	for _, c := range []struct {
		name           string
		full           CupFull
		faults         []Injection
		wet            bool
		cupAtH         float64
		taken, spilled float64
	}{
		{"stops", Stops, nil, false, 5, 1.2, 0}, {"runs back", RunsBack, nil, false, 5, 1.2, 0},
		{"runs over", RunsOver, nil, false, 5, 2.4, 1.2},
		{"foams wet and stops", Stops, []Injection{{Fault: SkimsWet}}, false, 1, 1.2, 0},
		{"foams wet and runs over", RunsOver, []Injection{{Fault: SkimsWet}}, false, 1, 12, 10.8},
		{"foams wet while the water stands high", RunsBack, nil, true, 1, 1.2, 0},
		{"its stop is dead", Stops, []Injection{{Fault: StopDead}}, false, 5, 2.4, 1.2},
		{"draws no air", RunsOver, []Injection{{Fault: AirBlocked}}, false, Never / 3600, 0, 0},
	} {
		s := wide()
		s.Devices = []Device{{ID: "skimmer", Kind: Skimmer, Programme: -1, Thermostat: -1,
			Skim: Skimming{CupL: 1.2, FlowLS: 0.24 / 3600, WetTimes: 5, Full: c.full}}}
		if c.wet {
			s.Comparators = []Comparator{{Quantity: Level, Low: -100, High: -50, Sensor: -1}}
			s.Devices[0].Skim.Wet = 1
		}
		out, err := Run(context.Background(), s, nil, c.faults, 10*3600)
		require.NoError(t, err)
		assert.InDelta(t, -c.taken, out.End().LevelL, 1e-5, c.name)
		assert.InDelta(t, c.spilled, out.End().SpilledL, 1e-5, c.name)
		assert.InDelta(t, c.cupAtH*3600, out.cupFull[device], 0.1, c.name)
		assert.Less(t, out.Balance.WorstRelative(), 1e-10, c.name)
	}
}

// Oxygen by another demand than the one that ran. 2e-4 mg/(L s) over 1e-4 1/s are 2 mg/L below the 7 of saturation:
// from 7 it passes 5.5 mg/L after 10,000 s · ln 4. Where the stirred water would stand below comfort it begins at that.
func TestOxygenByAnotherDemand(t *testing.T) {
	still := []Injection{{Fault: DeviceDead}}
	run := func(stirredS float64) *Course {
		s := wide()
		s.OxygenBalance = OxygenBalance{SaturationMgL: 7, StirredS: stirredS, StillS: 1e-4, DemandMgLS: 1e-5}
		s.Devices = []Device{{ID: "stream", Kind: CirculationPump, Programme: -1, Thermostat: -1}}
		s.Limits[Airless] = Limit{Active: true, Comfort: 6, Harm: Edge{At: 5.5}}
		out, err := Run(context.Background(), s, nil, still, 12*3600)
		require.NoError(t, err)
		return out
	}
	assert.InDelta(t, 1e4*math.Log(4), run(1).WithDemand(2e-4).Airless(), 5)
	assert.Equal(t, Never, run(1).WithDemand(1e-4).Airless(), "6 mg/L in the end")
	// 7 - 4 = 3 mg/L stirred, so it begins at 6 and nears 7 - 40 = -33 mg/L: 39 and 38.5 above that.
	assert.InDelta(t, 1e4*math.Log(39/38.5), run(1e-3).WithDemand(4e-3).Airless(), 5)

	// A pump that a timer runs from 10 to 11 o'clock, in a run from 08:00: two hours of 1e-4 1/s to 5 mg/L, an hour of
	// 1e-3 1/s to 6.8 mg/L.
	s := ticking()
	s.Devices[0].Kind = CirculationPump
	s.OxygenBalance = OxygenBalance{SaturationMgL: 7, StirredS: 1e-3, StillS: 1e-4, DemandMgLS: 1e-5}
	out, err := Run(context.Background(), s, nil, nil, 3*3600)
	require.NoError(t, err)
	other := out.WithDemand(2e-4)
	atTen := 5 + 1.8*math.Exp(-0.72)
	assert.InDelta(t, atTen, other.Segments[0].oxygen.At(7200), 1e-9)
	assert.InDelta(t, 6.8+(atTen-6.8)*math.Exp(-3.6), other.Segments[1].oxygen.At(3600), 1e-9)
	assert.InDelta(t, 7200+3600, other.Segments[1].StartS+other.Segments[1].LengthS, 1e-9)

	// A heater that another timer switches meanwhile changes nothing of it: stretches of one exchange are one.
	s.Programmes = append(s.Programmes, Programme{{0, 8.5 * 3600, 0, 0}, {8.5 * 3600, 9.5 * 3600, 1, 1},
		{9.5 * 3600, 10.25 * 3600, 0, 0}, {10.25 * 3600, 10.5 * 3600, 1, 1}, {10.5 * 3600, daySeconds, 0, 0}})
	s.Controls = append(s.Controls, Control{ID: "other", Kind: Timer, Programme: 1})
	s.Devices = append(s.Devices, Device{Kind: Heater, HeatW: [2]float64{1}, Programme: -1, Thermostat: -1})
	s.Relays = append(s.Relays, Relay{Control: 1, Device: 1, Target: -1})
	s.Limits[Airless] = Limit{Active: true, Comfort: 6, Harm: Edge{At: atTen + 1e-3}}
	out, err = Run(context.Background(), s, nil, nil, 3*3600)
	require.NoError(t, err)
	require.Greater(t, len(out.Segments), 6)
	split := out.WithDemand(2e-4)
	assert.InDelta(t, atTen, split.Segments[0].oxygen.At(7200), 1e-9)
	assert.InDelta(t, 7200, split.Segments[0].LengthS, 1e-9)
	assert.InDelta(t, 6.8+(atTen-6.8)*math.Exp(-3.6), split.Segments[1].oxygen.At(split.Segments[1].LengthS), 1e-9)
	harms := split.Airless()
	assert.InDelta(t, -1e4*math.Log((atTen+1e-3-5)/1.8), harms, 1e-3)
	out, err = Run(context.Background(), s, nil, nil, harms)
	require.NoError(t, err)
	assert.Equal(t, Never, out.WithDemand(2e-4).Airless(), "only as the course ends")
}

// What a silent alarm has to say for itself. The water falls below 24 °C after 25,476 s of a day (see chilled).
func TestWhyAnAlarmIsSilent(t *testing.T) {
	const falls = 25476.298
	for _, c := range []struct {
		name   string
		edit   func(s *System)
		faults []Injection
		want   Silent
	}{
		{"raised", nil, nil, Silent{NotSilent, falls}},
		{"never long enough", func(s *System) { s.Alarms[0].DelayS = 70000 }, nil, Silent{TooShort, Never}},
		{"never so cold", func(s *System) { s.Comparators[0].Low, s.Comparators[0].High = 10, 10.2 }, nil,
			Silent{ThresholdNotMet, Never}},
		{"its sensor reads high", nil, []Injection{{Fault: SensorOffset, Value: 9}}, Silent{SensorLies, falls}},
		{"it is broken", nil, []Injection{{Fault: AlarmDead}}, Silent{AlarmBroken, falls}},
		{"its way is down", nil, []Injection{{Fault: WayDead}}, Silent{WayDown, falls}},
		{"the network is down", func(s *System) { s.Ways[0].Kind = Network }, []Injection{{Fault: WayDead}},
			Silent{NetworkDown, falls}},
		{"no power", func(s *System) { s.Alarms[0].Circuit = 0 }, []Injection{{Fault: CircuitLost}},
			Silent{AlarmWithoutFeed, falls}},
		{"its battery is flat", func(s *System) {
			s.Alarms[0].Circuit, s.Circuits[0].BackupS, s.OutageS = 0, 600, 1e6
		}, []Injection{{Fault: MainsLost}}, Silent{BatteryFlat, falls}},
	} {
		s := chilled()
		s.Ways = []Way{{Kind: Cellular, Circuit: -1}}
		s.Alarms = []Alarm{{ID: "cold", Condition: 0, Circuit: -1, Ways: []int{0}}}
		if c.edit != nil {
			c.edit(s)
		}
		out, err := Run(context.Background(), s, nil, c.faults, daySeconds)
		require.NoError(t, err)
		got := out.Silences(c.faults)[0]
		assert.Equal(t, c.want.Why, got.Why, c.name)
		assert.InDelta(t, c.want.AtS, got.AtS, 1e-2, c.name)
	}
}

// With its overflow blocked the bench's display takes 20 L/h from 12.8 L below its rim on and spills for 0.86 h; a lamp
// that begins its ramp in that time changes nothing of the salinity (see TestABlockedOverflow).
func TestSpillingGoesOnAcrossAnEvent(t *testing.T) {
	s := dry(20, 30)
	s.StartSecond = 9 * 3600 // the ramp begins an hour later
	out, err := Run(context.Background(), s, nil, []Injection{{Fault: WeirBlocked}}, 3*3600)
	require.NoError(t, err)
	assert.InDelta(t, 35*307.2/320*0.9476681, out.Peaks().SalinityMin, 1e-4)

	// What spills at once takes no more and no less salt than the water has, nor does what runs back over the sump's
	// rim.
	stop := []Injection{{Fault: WeirBlocked}, {Fault: DeviceDead, Index: 3}}
	out, err = Run(context.Background(), dry(5, 30), nil, stop, 3*3600)
	require.NoError(t, err)
	assert.InDelta(t, 35, out.Peaks().SalinityMax, 1e-9)
	samples := out.Samples(3600)
	assert.InDelta(t, 5, samples[len(samples)-1].DisplayL, 1e-9, "it stands at its rim")
	s = dry(20, 30)
	s.DrainBackL = 50
	out, err = Run(context.Background(), s, nil, []Injection{{Fault: DeviceDead, Index: 2}, {Fault: DeviceDead,
		Index: 3}},
		3600)
	require.NoError(t, err)
	end := out.End()
	require.Positive(t, end.SpilledL)
	assert.InDelta(t, 35, end.Salt[Sump]/(60+end.LevelL), 1e-9)
	assert.InDelta(t, 35, end.Salt[Display]/250, 1e-9)
	samples = out.Samples(3600)
	assert.InDelta(t, -50, samples[len(samples)-1].DisplayL, 1e-9)
}

// A display that stands alone, 288 L, leaks 10 L/h and loses 4 L/h to the air: a fine integration, within 1.5 % of the
// change, as in TestSaltOfALeak.
func TestSaltOfADisplayThatLeaksAlone(t *testing.T) {
	s := dry(20, 30)
	for i := range s.Node[Display].Bands {
		s.Node[Display].Bands[i].EvaporationLS = [2]Line{{Const: 4.0 / 3600}, {Const: 4.0 / 3600}}
	}
	s.Leaks = []Leak{{ID: "seam", Node: Display, AtL: -200, FlowLS: 10.0 / 3600}}
	in := append([]Injection{{Fault: DeviceDead, Index: 2}, {Fault: DeviceDead, Index: 3}}, opens...)
	out, err := Run(context.Background(), s, nil, in, 4*3600)
	require.NoError(t, err)
	volume, salt := 288.0, 288*35.0
	for range 4 * 3600 {
		salt -= 10.0 / 3600 * salt / volume
		volume -= 14.0 / 3600
	}
	want := salt / volume
	assert.InDelta(t, want-35, out.Peaks().SalinityMax-35, 0.015*(want-35))
	assert.InDelta(t, want-35, out.End().Salt[Display]/volume-35, 0.015*(want-35))
	assert.InDelta(t, 40, out.End().SpilledL, 1e-6)
}

// Ten litres an hour out of 200 L: what is left in the end cannot evaporate.
func TestATankThatDriesOut(t *testing.T) {
	s := still(200, 35, 10.0/3600)
	s.Chamber = Chamber{AreaM2: 1, BaffleMM: 1e6, WideAreaM2: 1, IntakeMM: -1e6, FloorMM: -1e6, RimMM: 1e6}
	out, err := Run(context.Background(), s, nil, nil, 40*3600)
	require.NoError(t, err)
	assert.InDelta(t, -(1-driedShare)*200, out.End().LevelL, 1e-3)
	assert.InDelta(t, (1-driedShare)*200, out.Balance.EvaporatedL, 1e-3)
}

// A contactor that comes before the timer that drives it follows at once, and what runs at the start has not started.
func TestAContactorBeforeItsTimer(t *testing.T) {
	s := ticking() // from 08:00; calls 10 to 11 and 12 to 15 o'clock
	s.Controls = []Control{{ID: "contactor", Kind: Contactor, Condition: -1, Programme: -1}, {ID: "timer", Kind: Timer}}
	s.Relays = []Relay{{Control: 1, Device: -1, Target: 0}, {Control: 0, Device: 0, Target: -1}}
	out, err := Run(context.Background(), s, nil, nil, daySeconds)
	require.NoError(t, err)
	assert.InDelta(t, 4*3600, out.Devices[0].OnS, 1e-6)
	assert.Equal(t, 2, out.Devices[0].Starts)
	s = ticking()
	s.StartSecond = 10.5 * 3600
	out, err = Run(context.Background(), s, nil, nil, daySeconds)
	require.NoError(t, err)
	assert.Equal(t, 2, out.Devices[0].Starts, "at 12:00 and at 10:00 of the next day")
}

func TestTimelines(t *testing.T) {
	from := timeline{turns: []float64{5}}
	assert.False(t, from.at(4.9))
	assert.True(t, from.at(5))
	assert.Equal(t, from, from.upTo(5))
	assert.Empty(t, from.upTo(4.9).turns)
	// A latch remembers what was yes until its power is cut, and trips again by what comes later.
	pulses := timeline{turns: []float64{2, 3, 9, 10}}
	assert.Equal(t, timeline{turns: []float64{2}}, pulses.until(always(true)))
	assert.Equal(t, timeline{turns: []float64{2, 5, 9}}, pulses.until(timeline{true, []float64{5, 8}}))
	assert.Equal(t, timeline{turns: []float64{9}}, pulses.until(timeline{false, []float64{8}}))
	both := timeline{turns: []float64{1, 6}}.and(timeline{turns: []float64{2, 8}})
	assert.Equal(t, timeline{turns: []float64{2, 6}}, both)
	assert.InDelta(t, 2.0, pulses.lasting(0, 20), 0)
	assert.InDelta(t, 2.5, pulses.lasting(0.5, 20), 0)
	assert.Equal(t, Never, pulses.lasting(1.5, 20))
	assert.InDelta(t, 8, from.lasting(3, 20), 0)
	assert.Equal(t, Never, from.lasting(16, 20))
}

// A breaker of 100 W opens slowly up to 1.45 times that, quickly above.
func TestHowSoonALoadOpens(t *testing.T) {
	x := &rated{ratingW: 100}
	assert.InDelta(t, 3600, x.opensAfter(145), 0)
	assert.InDelta(t, 60, x.opensAfter(146), 0)
}

// Water of 60 °C, of which the relations of evaporation know nothing, loses more by the vapour pressures: 7.384 and
// 19.946 kPa of pure water at 40 and 60 °C (steam tables, from memory), 0.981 times that of sea water, and 1.169 kPa of
// air of 20 °C and 50 %: (19.567 - 1.169)/(7.244 - 1.169) = 3.03.
func TestEvaporationBeyondItsRelations(t *testing.T) {
	pressure, err := moistair.StandardPressure(0)
	require.NoError(t, err)
	v := vesselInAir{salinity: 35, air: moistair.State{Temp: 20, RelativeHumidity: 0.5, Pressure: pressure}}
	for _, c := range []struct {
		water quantity.Celsius
		want  float64
	}{{40, 1}, {60, 3.03}} {
		got, err := v.vapourBeyond(c.water)
		require.NoError(t, err)
		assert.InEpsilon(t, c.want, got, 0.005, "%g °C", float64(c.water))
	}
	_, err = seawater.VapourPressure(35, hottestKnown)
	require.NoError(t, err)
	_, err = v.vapourBeyond(1e6)
	assert.Error(t, err)
}

// How devices start, and the limits of what is dissolved: 2.80385 dKH are 1 meq/L.
func TestStartsAndChemicalLimitsAreCompiled(t *testing.T) {
	p := everyPart()
	p.Power.Starts = []plan.Start{{Element: "lift", InrushTimes: 3, InrushS: 0.5},
		{Element: "stream", InrushTimes: 1, BackAfterMin: ptr(2.0)}}
	p.DosingPumps = []plan.DosingPump{{ID: "doser", FlowMLMin: 30, Doses: &plan.Doses{ADay: 12, RunS: 4,
		FirstAt: "00:30"}, Container: plan.Container{VolumeL: 2, AlkalinityMeqL: 2000, Form: plan.CarbonateForm}}}
	p.Limits.HarmChemistryAfterH, p.Limits.LossChemistryAfterH = ptr(6.0), ptr(24.0)
	p.Limits.ComfortLowDKH, p.Limits.HarmLowDKH, p.Limits.LossLowDKH = ptr(7.0), ptr(5.6077), ptr(2.80385)
	s := compiled(t, p)
	assert.Equal(t, Starting{Times: 3, ForS: 0.5}, s.Devices[number(s, "lift")].Starts)
	assert.InDelta(t, 120, s.Devices[number(s, "stream")].Starts.AfterS, 0)
	assert.Equal(t, Starting{}, s.Devices[number(s, "second-lift")].Starts)
	low := s.Limits[AlkalinityLow]
	assert.InDelta(t, 2, low.Harm.At, 1e-4)
	assert.InDelta(t, 6*3600, low.Harm.AfterS, 0)
	require.Len(t, low.Losses, 1)
	assert.InDelta(t, 1, low.Losses[0].At, 1e-4)
	assert.InDelta(t, 24*3600, low.Losses[0].AfterS, 0)
	assert.InDelta(t, 0.5, s.Chemistry.StarvedMeqL, 1e-4)
	assert.Empty(t, s.Limits[FallingOut].Losses)
}
