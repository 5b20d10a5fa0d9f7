package sim

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What comes at once out of a reservoir, beside the one limit that is near: 270 L of 35 with 2 meq/L, and either 30 L
// of fresh water, 30 L of twice the salt, or half a litre with 1000 meq.
//
//	diluted       35 · 270/300 = 31.5, of a limit of 35 a tenth too low
//	concentrated  (35 · 270 + 70 · 30)/300 = 38.5, a tenth too high
//	flooded       30 L less what fits under the rim, 2 · (1.5 · 10⁵)^(2/3) mm² · 40 mm = 22.58 L: 7.42 L, of 5 L
//	alkalinity    2 · 270/300 = 1.8, of 2 meq/L a tenth too low, (2 · 270 + 1000)/270.5 = 5.693, of 4 meq/L
func TestWhatComesAtOnce(t *testing.T) {
	base := compiled(t, dosed())
	require.InDelta(t, 270, base.WholeL(), 1e-9)
	for _, c := range []struct {
		name      string
		kind      LimitKind
		limit     float64
		reservoir Reservoir
		amount    float64
		want      float64
	}{
		{"fresh water", Diluted, 35, Reservoir{}, 30, 0.1},
		{"strong brine", Concentrated, 35, Reservoir{Holds: Contents{Salinity: 70}}, 30, 0.1},
		{"over the rim", Flooded, 5, Reservoir{}, 30, (30-22.58)/5 - 1},
		{"diluted alkalinity", AlkalinityLow, 2, Reservoir{}, 30, 0.1},
		{"a strong solution", AlkalinityHigh, 4, Reservoir{Holds: Contents{Meq: 2000}}, 0.5, 5.693/4 - 1},
		{"gas takes no room", AlkalinityHigh, 4, Reservoir{Gas: true, Holds: Contents{Meq: 100}}, 10, 1540/270.0/4 - 1},
	} {
		s := *base
		chemistry := *base.Chemistry
		chemistry.MeqL = 2
		s.Chemistry, s.Reservoirs = &chemistry, []Reservoir{c.reservoir}
		harmsAlone(&s, c.kind, c.limit)
		over, kind := s.AfterAtOnce(0, c.amount)
		assert.Equal(t, c.kind, kind, c.name)
		assert.InDelta(t, c.want, over, 1e-3, c.name)
	}
}

// Fresh water at 60 L/h into 200 L: 35 · 60h/(200 + 60h) lower after h hours. An hour back is looked at every twenty
// minutes: 5.83 after 40 min, 8.08 after the first hour, and 35 · 200 · (1/260 - 1/320) = 5.05 in the second.
func TestChangesWithinAnHour(t *testing.T) {
	s := still(200, 35, 0)
	s.Chamber = Chamber{AreaM2: 1, BaffleMM: 1e6, WideAreaM2: 1, IntakeMM: -1e6, FloorMM: -1e6, RimMM: 1e6}
	s.Devices = []Device{{ID: "pump", Kind: TopOffPump, FlowLS: 1.0 / 60, Programme: -1, Thermostat: -1}}
	s.Reservoirs = []Reservoir{{ID: "r", VolumeL: 1000}}
	c, err := Run(context.Background(), s, nil, nil, 2*3600)
	require.NoError(t, err)
	for _, x := range []struct{ by, want float64 }{{3.1, 1200}, {5, 2400}, {5.9, 3600}, {8, 3600}, {8.2, Never},
		{30, Never}} {
		assert.InDelta(t, x.want, c.changed(Salinity, x.by), 0, "by %g", x.by)
	}
	assert.InDelta(t, 35*60.0/260, c.greatestChange(Salinity), 1e-9)
	trace := c.trace(Salinity)
	require.Len(t, trace, 7, "every twenty minutes, the end as well")
	assert.InDelta(t, 35*200.0/320, trace[6], 1e-9)
}

// A trace across events: a heater of 400 W that a timer runs for an hour warms 800,000 J/K above a room of 25 °C to
// which it loses 1 W/K, and it cools from there; a pump that runs for forty minutes of the second hour brings its 40 L
// of fresh water.
func TestTracesGoOnAcrossEvents(t *testing.T) {
	s := wide()
	s.Node[0].Bands = straight(Line{Const: -25, Slope: 1}, Line{})
	s.TopOffTempC = 25
	s.Programmes = []Programme{{{0, 3600, 1, 1}, {3600, daySeconds, 0, 0}}}
	s.Controls = []Control{{ID: "hour", Kind: Timer}}
	s.Devices = []Device{{Kind: Heater, HeatW: [2]float64{400}, Programme: -1, Thermostat: -1},
		{Kind: TopOffPump, FlowLS: 1.0 / 60, Programme: -1, Thermostat: -1}}
	s.Relays = []Relay{{Control: 0, Device: 0, Target: -1}}
	s.Reservoirs = []Reservoir{{ID: "r", VolumeL: 1000}}
	warm, err := Run(context.Background(), s, nil, []Injection{{Fault: DeviceDead, Index: 1}}, 2*3600)
	require.NoError(t, err)
	trace := warm.trace(DisplayTemp)
	require.Len(t, trace, 7)
	after := 400 * (1 - math.Exp(-3600/8e5))
	assert.InDelta(t, 25+400*(1-math.Exp(-2400/8e5)), trace[2], 1e-9)
	assert.InDelta(t, 25+after*math.Exp(-1200/8e5), trace[4], 1e-9)
	assert.InDelta(t, 25+after*math.Exp(-3600/8e5), trace[6], 1e-9)
	assert.InDelta(t, 25+after, warm.Peaks().TempMaxC, 1e-9)
	assert.InDelta(t, 25, warm.Peaks().TempMinC, 1e-9)
	assert.InDelta(t, 25+after, warm.Peaks().SumpMaxC, 1e-9, "there is none")
	assert.InDelta(t, after, warm.greatestChange(DisplayTemp), 1e-9)
	s.Relays[0].Device = 1
	s.Programmes[0] = Programme{{0, 3600, 0, 0}, {3600, 6000, 1, 1}, {6000, daySeconds, 0, 0}}
	fresh, err := Run(context.Background(), s, nil, []Injection{{Fault: DeviceDead, Index: 0}}, 2*3600)
	require.NoError(t, err)
	trace = fresh.trace(Salinity)
	require.Len(t, trace, 7)
	assert.InDelta(t, 35, trace[2], 1e-9)
	assert.InDelta(t, 35*200.0/220, trace[4], 1e-9)
	assert.InDelta(t, 35*200.0/240, trace[6], 1e-9)
}

// A device of the room that never stops: the room goes from 20 °C to 30 °C, or to 10 °C, in a time constant of 12 h,
// and passes half of the way after 12 h · ln 2. One that is off does not, nor one whose end is on the other side.
func TestARoomDeviceThatNeverStops(t *testing.T) {
	for _, c := range []struct {
		name   string
		kind   DeviceKind
		endC   float64
		markC  float64
		wanted bool
	}{
		{"heating", RoomHeater, 30, 25, true}, {"cooling", RoomCooler, 10, 15, true},
		{"heating that would cool", RoomHeater, 10, 15, false}, {"cooling that would heat", RoomCooler, 30, 25, false},
	} {
		s := cooling()
		s.Airs = nil
		for k := 1; k <= airSteps; k++ {
			tempC := 20 + (c.endC-20)*float64(k)/airSteps
			s.Airs = append(s.Airs, Air{TempC: tempC,
				Bands: [2][]Band{straight(Line{Const: -8 * tempC, Slope: 8}, Line{})}})
		}
		s.Devices[0].Kind = c.kind
		s.Devices[0].Room = RoomUnit{WithoutC: 20, TauS: 12 * 3600, Sticks: true, StuckOnC: c.endC}
		s.Sensors = []Sensor{{ID: "air", Kind: TemperatureSensor}}
		warm := c.markC > 20
		s.Comparators = []Comparator{{Quantity: RoomTemp, Low: c.markC - 0.2, High: c.markC, Sensor: 0}}
		if !warm {
			s.Comparators[0] = Comparator{Quantity: RoomTemp, Low: c.markC, High: c.markC + 0.2, Sensor: 0}
		}
		s.Conditions = []Condition{{Kind: ComparatorTrue, Index: 0, Negate: !warm, Sensor: 0}}
		s.Ways = []Way{{Kind: Cellular, Circuit: -1}}
		s.Alarms = []Alarm{{ID: "room", Condition: 0, Circuit: -1, Ways: []int{0}}}
		stuck := []Injection{{Fault: RoomStuck}}
		out, err := Run(context.Background(), s, nil, stuck, 48*3600)
		require.NoError(t, err)
		want := Never
		if c.wanted {
			want = 12 * 3600 * math.Ln2
		}
		assert.InDelta(t, want, out.Alarms(stuck)[0], 1e-3, c.name)
		out, err = Run(context.Background(), s, nil, append(stuck, Injection{Fault: DeviceDead}), 48*3600)
		require.NoError(t, err)
		assert.Equal(t, Never, out.Alarms(stuck)[0], "%s: off", c.name)
	}
}

// Oxygen in water that stands: it comes to saturation less demand over transfer, 7 - 4 = 3 mg/L, as an exponential of
// 10,000 s. From 7 mg/L it passes 5 mg/L after 10,000 s · ln(4/2), and is then lost after half an hour.
func TestOxygenThatIsUsedUp(t *testing.T) {
	s := still(200, 35, 0)
	s.Chamber = Chamber{AreaM2: 1, BaffleMM: 1e6, WideAreaM2: 1, IntakeMM: -1e6, FloorMM: -1e6, RimMM: 1e6}
	s.OxygenBalance = OxygenBalance{SaturationMgL: 7, StirredS: 1, StillS: 1e-4, DemandMgLS: 4e-4}
	s.Devices = []Device{{ID: "stream", Kind: CirculationPump, Programme: -1, Thermostat: -1}}
	s.Limits[Airless] = Limit{Active: true, Comfort: 6, Harm: Edge{At: 5}, Losses: []Edge{{At: 5, AfterS: 1800}}}
	dead := []Injection{{Fault: DeviceDead}}
	out, err := Run(context.Background(), s, nil, dead, 12*3600)
	require.NoError(t, err)
	assert.InDelta(t, 1e4*math.Log(4.0/3), out.Discomforts()[Airless], 5)
	assert.InDelta(t, 1e4*math.Ln2, out.Harms()[Airless], 5)
	assert.InDelta(t, 1e4*math.Ln2+1800, out.Losses()[Airless], 5)
	end := out.Segments[len(out.Segments)-1]
	assert.InDelta(t, 3+4*math.Exp(-4.32), end.oxygen.At(end.LengthS), 1e-3)
	well, err := Run(context.Background(), s, nil, nil, 12*3600)
	require.NoError(t, err)
	assert.Equal(t, Never, well.Discomforts()[Airless])
}

// Extremes that lie within one stretch, where nothing switches: 200 L cool from 30 °C to 20 °C in a time constant of
// 80,000 s and evaporate 0.3 L/h for each kelvin above 20 °C, while 1 L/h of 20 °C comes in.
//
//	level  t/3600 - 10·0.3/3600·80,000·(1 - exp(-t/80,000)), lowest at exp(-t/80,000) = 1/3, -20.03 L there
//
// The salinity is highest where the level is lowest, and a float that lies there is passed on the way down and again.
func TestExtremesWithinOneStretch(t *testing.T) {
	s := wide()
	s.LatentJL, s.TopOffTempC, s.TempStartC, s.RoomTempC = 0, 20, 30, 20
	slope := 10 - 4000/3600.0 // the rest of 10 W/K is taken by what comes in
	s.Node[0].Bands = straight(Line{Const: -20 * slope, Slope: slope}, Line{Const: -20 * 0.3 / 3600, Slope: 0.3 / 3600})
	s.Devices = []Device{{Kind: TopOffPump, FlowLS: 1.0 / 3600, Programme: -1, Thermostat: -1}}
	s.Reservoirs = []Reservoir{{ID: "r", VolumeL: 1000}}
	out, err := Run(context.Background(), s, nil, nil, 50*3600)
	require.NoError(t, err)
	require.Len(t, out.Segments, 2)
	const tau = 80000.0
	level := func(at float64) float64 { return at/3600 - 3/3600.0*tau*(1-math.Exp(-at/tau)) }
	lowest := level(tau * math.Log(3))
	require.InDelta(t, -20.03, lowest, 0.01)
	p := out.Peaks()
	assert.InDelta(t, lowest, p.LevelMinL, 1e-9)
	assert.InDelta(t, 0, p.LevelMaxL, 1e-12)
	assert.InDelta(t, 35*200/(200+lowest), p.SalinityMax, 1e-9)
	assert.InDelta(t, 35, p.SalinityMin, 1e-9)
	assert.InDelta(t, level(50*3600), out.End().LevelL, 1e-9)
	said := out.compared(&Comparator{Quantity: Level}, comparing{quantity: Level, state: true, low: -19, high: -18.5},
		true, math.Inf(1))
	require.Len(t, said.turns, 2)
	assert.InDelta(t, -19, level(said.turns[0]), 1e-6)
	assert.InDelta(t, -18.5, level(said.turns[1]), 1e-6)
	assert.Greater(t, said.turns[1], tau*math.Log(3))
}

// harmsAlone gives one kind of harm its limit and puts all others far off.
func harmsAlone(s *System, kind LimitKind, limit float64) {
	for k := range s.Limits {
		s.Limits[k].Harm.At = 1e9
		switch LimitKind(k) {
		case AlkalinityLow, PHLow, Dissolving, Diluted, MagnesiumLow:
			s.Limits[k].Harm.At = 1e-9
		}
	}
	s.Limits[kind].Harm.At = limit
}
