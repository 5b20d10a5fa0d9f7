package sim

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// brined is dry with no top-off and a pump of 10 L/h that brings water of 70 for good.
func brined(freeL float64) *System {
	s := dry(freeL, 30)
	s.Reservoirs = append(s.Reservoirs, Reservoir{ID: "brine", VolumeL: 1000, Container: true,
		Holds: Contents{Salinity: 70}})
	s.Devices = append(s.Devices, Device{ID: "brine", Kind: Doser, FlowLS: 10.0 / 3600, Reservoir: 1, Programme: -1,
		Thermostat: -1})
	return s
}

func salinities(c *Course) (display, sump float64) {
	end := c.End()
	volume := 300.0
	if !end.Flowing {
		volume = 288 - end.DeficitL
	}
	return end.Salt[Display] / volume, end.Salt[Sump] / (60 + end.LevelL)
}

// Salt water that comes while a blocked overflow holds the water up in the display, by hand: the pump has lifted 7.2 L,
// so that 307.2 L take 10 L/h of 70 and 12.8 L are left below the rim. After that 320 L stay full, and what comes
// drives out as much: S = 70 - (70 - S1)·exp(-litres/320). The sump keeps its 35.
func TestSaltOfWaterThatIsHeldUp(t *testing.T) {
	in := []Injection{{Fault: WeirBlocked}, {Fault: DeviceDead, Index: 3}}
	full := (35*307.2 + 70*12.8) / 320
	for _, c := range []struct{ hours, display, spilled float64 }{
		{1, (35*307.2 + 700) / 317.2, 0}, {1.28, full, 0},
		{3, 70 - (70-full)*math.Exp(-17.2/320), 17.2},
	} {
		out, err := Run(context.Background(), brined(20), nil, in, c.hours*3600)
		require.NoError(t, err)
		display, sump := salinities(out)
		assert.InDelta(t, c.display, display, 1e-6, "%g h", c.hours)
		assert.InDelta(t, 35, sump, 1e-9, "%g h", c.hours)
		assert.InDelta(t, c.spilled, out.End().SpilledL, 1e-6, "%g h", c.hours)
		assert.InDelta(t, c.display, out.Peaks().SalinityMax, 1e-6, "%g h", c.hours)
		assert.InDelta(t, 35, out.Peaks().SalinityMin, 1e-6, "%g h", c.hours)
		assert.InDelta(t, 360+10*c.hours+c.spilled, out.Balance.WaterTurnoverL, 1e-6, "%g h", c.hours)
		assert.Less(t, out.Balance.WorstRelative(), 1e-10)
	}
}

// The same while the return stands: 12 L have run back, the sump's 72 L take all of it up to its rim, 28.2 L higher,
// and then drive out as much. The display keeps its 35.
func TestSaltOfASumpThatStandsAlone(t *testing.T) {
	in := []Injection{{Fault: DeviceDead, Index: 2}, {Fault: DeviceDead, Index: 3}}
	full := (35*72 + 70*28.2) / 100.2
	for _, c := range []struct{ hours, sump, spilled float64 }{
		{1, (35*72 + 700) / 82.0, 0}, {4, 70 - (70-full)*math.Exp(-11.8/100.2), 11.8},
	} {
		out, err := Run(context.Background(), brined(20), nil, in, c.hours*3600)
		require.NoError(t, err)
		display, sump := salinities(out)
		assert.InDelta(t, 35, display, 1e-9, "%g h", c.hours)
		assert.InDelta(t, c.sump, sump, 1e-6, "%g h", c.hours)
		assert.InDelta(t, c.spilled, out.End().SpilledL, 1e-6, "%g h", c.hours)
		assert.InDelta(t, 35, out.Peaks().SalinityMax, 1e-9, "the display's")
		assert.Less(t, out.Balance.WorstRelative(), 1e-10)
	}
	// The display leaks 10 L/h meanwhile: that takes its salt along, and leaves its salinity.
	s := brined(20)
	s.Leaks = []Leak{{ID: "seam", Node: Display, AtL: -200, FlowLS: 10.0 / 3600}}
	out, err := Run(context.Background(), s, nil, append(in, opens...), 2*3600)
	require.NoError(t, err)
	display, sump := salinities(out)
	assert.InDelta(t, 35, display, 1e-6)
	assert.InDelta(t, (35*72+1400)/92.0, sump, 1e-6)
	assert.InDelta(t, 20, out.End().SpilledL, 1e-6)
	assert.InDelta(t, 35*268, out.End().Salt[Display], 1e-3)
	assert.Less(t, out.Balance.WorstRelative(), 1e-10)
}

// The same with the return running, evaporation of 4 L/h and a drain of 3 L/h: 360 L mixed. Salt comes in with 10 L/h
// of 70 and leaves with the drain alone: V dS/dt = 700 - 6·S as long as the volume grows by 3 L/h, which is
// S = 700/6 - (700/6 - 35)·(1 + 3·t/360)^(-6/3).
func TestSaltOfAllWaterThatIsChanged(t *testing.T) {
	s := brined(20)
	for i := range s.Node[Sump].Bands {
		s.Node[Display].Bands[i].EvaporationLS = [2]Line{{Const: 1.0 / 3600}, {Const: 1.0 / 3600}}
		s.Node[Sump].Bands[i].EvaporationLS = [2]Line{{Const: 3.0 / 3600}, {Const: 3.0 / 3600}}
	}
	s.Devices = append(s.Devices, Device{ID: "out", Kind: Drain, FlowLS: 3.0 / 3600, InletL: -5, Programme: -1,
		Thermostat: -1})
	in := []Injection{{Fault: DeviceDead, Index: 3}}
	out, err := Run(context.Background(), s, nil, in, 10*3600)
	require.NoError(t, err)
	display, sump := salinities(out)
	want := 700.0/6 - (700.0/6-35)*math.Pow(1+30/360.0, -2)
	assert.InDelta(t, want, display, 1e-6)
	assert.InDelta(t, want, sump, 1e-6)
	assert.InDelta(t, want, out.Peaks().SalinityMax, 1e-6)
	assert.InDelta(t, 30, out.End().LevelL, 1e-6)
	assert.InDelta(t, 30, out.Balance.DrainedL, 1e-6)
	assert.InDelta(t, 100, out.Balance.DosedL, 1e-6)
	assert.InDelta(t, 40, out.Balance.EvaporatedL, 1e-6)
	// What a residual is a share of: 360 L and what came and went, 35 · 360 and what was added.
	assert.InDelta(t, 360+40+100+30, out.Balance.WaterTurnoverL, 1e-6)
	assert.InDelta(t, 35*360+70*100, out.Balance.SaltTurnover, 1e-6)
	assert.Less(t, out.Balance.WorstRelative(), 1e-10)
}

// The worst of three residuals is told, each as a share of its own turnover, whatever its sign; none has no share.
func TestTheWorstResidualIsTold(t *testing.T) {
	b := Balance{HeatResidualJ: -3, HeatTurnoverJ: 30, WaterResidualL: 2, WaterTurnoverL: 40, SaltResidual: 1,
		SaltTurnover: 100}
	assert.InDelta(t, 0.1, b.WorstRelative(), 1e-15)
	b.HeatTurnoverJ = 0
	assert.InDelta(t, 0.05, b.WorstRelative(), 1e-15)
	b.WaterResidualL = -0.1
	assert.InDelta(t, 0.01, b.WorstRelative(), 1e-15)
	assert.Zero(t, Balance{}.WorstRelative())
}

// The heat of a tank by hand: 200 L of 4000 J/(L K) at 25 °C under a heater of 50 W for an hour lose 10 W/K to 20 °C,
// and a top-off of 2 L/h at 15 °C mixes in. What moved is 20 MJ that were there and each of these, whatever its sign.
func TestHeatThatMoved(t *testing.T) {
	s := wide()
	s.Node[0].Bands = straight(Line{Const: -200, Slope: 10}, Line{})
	s.TopOffTempC = 15
	s.Devices = []Device{{ID: "heater", Kind: Heater, HeatW: [2]float64{50}, ElectricW: 60, Programme: -1,
		Thermostat: -1},
		{ID: "fill", Kind: TopOffPump, FlowLS: 2.0 / 3600, Programme: -1, Thermostat: -1}}
	s.Reservoirs = []Reservoir{{ID: "r", VolumeL: 100}}
	out, err := Run(context.Background(), s, nil, nil, 3600)
	require.NoError(t, err)
	// dT/dt = (50 - 10·(T - 20) - 2/3600·4000·(T - 15))/800,000: it hardly moves from 25 °C, -22.2 W at the start.
	slope := 10 + 2/3600.0*4000
	ends := 25 - 22.2222/slope
	const c = 200 * 4000.0
	mean := ends + (25-ends)*(1-math.Exp(-slope*3600/c))/(slope*3600/c)
	want := 25*c + 50*3600 + 10*(mean-20)*3600 + 2*4000*(mean-15)
	assert.InDelta(t, want, out.Balance.HeatTurnoverJ, 1)
	assert.InDelta(t, 60*3600, out.Devices[0].EnergyJ, 1e-6)
	assert.InDelta(t, 2, out.Balance.ToppedUpL, 1e-9)
	assert.InDelta(t, 202, out.Balance.WaterTurnoverL, 1e-9)
	assert.Less(t, out.Balance.WorstRelative(), 1e-12)
}

// Power that goes after water has been held up lets the display run back with the salt that came to it, by hand. After
// an hour 317.2 L stand above; 29.2 L of them run down to 288 L and mix with the sump's 52.8 L. After 4.8 h it is
// 355.2 L where the freeboard is 60 L, of which 67.2 L run down: the sump's 120 L stand 19.8 L above its rim.
func TestSaltOfWaterThatRunsBack(t *testing.T) {
	in := []Injection{{Fault: WeirBlocked}, {Fault: DeviceDead, Index: 3}, {Fault: MainsLost}}
	for _, c := range []struct{ freeL, hours, sumpL, spilled float64 }{{20, 1, 82, 0}, {60, 4.8, 100.2, 19.8}} {
		s := brined(c.freeL)
		s.OutageS, s.Circuits[0].BackupS = 1e6, c.hours*3600
		out, err := Run(context.Background(), s, nil, in, (c.hours+1)*3600)
		require.NoError(t, err)
		display, sump := salinities(out)
		above := (35*307.2 + 70*10*c.hours) / (307.2 + 10*c.hours)
		down := 7.2 + 12 + 10*c.hours
		assert.InDelta(t, above, display, 1e-6, "%g h", c.hours)
		assert.InDelta(t, (35*52.8+above*down)/(52.8+down), sump, 1e-6, "%g h", c.hours)
		assert.InDelta(t, c.sumpL-60, out.End().LevelL, 1e-6, "%g h", c.hours)
		assert.InDelta(t, c.spilled, out.End().SpilledL, 1e-6, "%g h", c.hours)
		assert.False(t, out.End().Flowing)
		assert.Less(t, out.Balance.WorstRelative(), 1e-10)
	}
	// A return line's nozzle 30 L deep lets it run down that far; two that do not let anything run keep it up.
	for _, c := range []struct {
		lines []ReturnLine
		downL float64
	}{
		{[]ReturnLine{{DepthL: 10}, {DepthL: 30}, {DepthL: 50, Stops: true}}, 7.2 + 30 + 10},
		{[]ReturnLine{{DepthL: 30, Stops: true}}, 0},
	} {
		s := brined(20)
		s.OutageS, s.Circuits[0].BackupS = 1e6, 3600
		s.ReturnLines = c.lines
		out, err := Run(context.Background(), s, nil, in, 2*3600)
		require.NoError(t, err)
		assert.InDelta(t, -7.2+c.downL, out.End().LevelL, 1e-6)
		assert.Less(t, out.Balance.WorstRelative(), 1e-10)
	}
}

// What goes over a rim at once is as strong as the water it leaves: from the sump as the return stops, from the display
// as it is held up, and from the sump again as it runs back.
func TestWhatGoesOverARimIsAsStrong(t *testing.T) {
	s := compiled(t, overASump())
	start := initialState(s)
	for _, c := range []struct {
		name string
		goes func(r *run)
	}{
		{"stops", func(r *run) { r.rimL = r.drains - 3; r.setFlow(false) }},
		{"held up", func(r *run) { r.s.DisplayFreeL = 1; r.dam() }},
		{"held up and back", func(r *run) {
			r.s.DisplayFreeL = 100
			r.dam()
			r.rimL = 1
			r.undam()
		}},
	} {
		copied := *s
		r := newRun(&copied, &start, newFaultState(s, nil), 1, nil)
		whole := r.whole()
		heldMeq, alkalinity, magnesium := r.dissolved.Meq, r.value(&Comparator{Quantity: Alkalinity}),
			r.value(&Comparator{Quantity: Magnesium})
		pH, aragonite := r.value(&Comparator{Quantity: PH}), r.value(&Comparator{Quantity: Aragonite})
		salinity := (r.salt[Display] + r.salt[Sump]) / whole
		c.goes(r)
		require.Positive(t, r.spilled, c.name)
		assert.InDelta(t, whole-r.spilled, r.whole(), 1e-9, c.name)
		assert.InDelta(t, heldMeq*(1-r.spilled/whole), r.dissolved.Meq, 1e-6, c.name)
		assert.InDelta(t, alkalinity, r.value(&Comparator{Quantity: Alkalinity}), 1e-9, c.name)
		assert.InDelta(t, magnesium, r.value(&Comparator{Quantity: Magnesium}), 1e-9, c.name)
		assert.InDelta(t, pH, r.value(&Comparator{Quantity: PH}), 1e-9, c.name)
		assert.InDelta(t, aragonite, r.value(&Comparator{Quantity: Aragonite}), 1e-9, c.name)
		assert.InDelta(t, salinity*r.spilled, r.saltSpilled, 1e-6, c.name)
		assert.InDelta(t, salinity*(whole-r.spilled), r.salt[Display]+r.salt[Sump], 1e-6, c.name)
	}
}

// Water that is held up while it evaporates, 4 L/h from the display and 1 L/h from the sump, by hand. The pump holds
// the sump at its intake as long as fresh water comes, so that the display loses all 5 L/h; when none comes each loses
// its own.
func TestEvaporationWhileWaterIsHeldUp(t *testing.T) {
	evaporating := func() *System {
		s := brined(60)
		for i := range s.Node[Sump].Bands {
			s.Node[Display].Bands[i].EvaporationLS = [2]Line{{Const: 4.0 / 3600}, {Const: 4.0 / 3600}}
			s.Node[Sump].Bands[i].EvaporationLS = [2]Line{{Const: 1.0 / 3600}, {Const: 1.0 / 3600}}
		}
		return s
	}
	in := []Injection{{Fault: WeirBlocked}, {Fault: DeviceDead, Index: 3}}
	out, err := Run(context.Background(), evaporating(), nil, in, 3600)
	require.NoError(t, err)
	display, sump := salinities(out)
	assert.InDelta(t, -19.2-10+5, out.End().DeficitL, 1e-6)
	assert.InDelta(t, -7.2, out.End().LevelL, 1e-6)
	assert.InDelta(t, (35*307.2+700)/312.2, display, 1e-6)
	assert.InDelta(t, 35, sump, 1e-6)
	assert.Less(t, out.Balance.WorstRelative(), 1e-10)
	out, err = Run(context.Background(), evaporating(), nil, append(in, Injection{Fault: DeviceDead, Index: 4}), 3*3600)
	require.NoError(t, err)
	display, sump = salinities(out)
	assert.InDelta(t, -19.2+12, out.End().DeficitL, 1e-6)
	assert.InDelta(t, -7.2-3, out.End().LevelL, 1e-6)
	assert.InDelta(t, 35*307.2/295.2, display, 1e-6)
	assert.InDelta(t, 35*52.8/49.8, sump, 1e-6)
	assert.Less(t, out.Balance.WorstRelative(), 1e-10)
	// A seam at the display's normal line leaks the 7.2 L above it, 6 L/h, and no more.
	s := brined(60)
	s.Leaks = []Leak{{ID: "seam", Node: Display, AtL: 0, FlowLS: 6.0 / 3600}}
	for hours, spilled := range map[float64]float64{1: 6, 5: 7.2} {
		out, err = Run(context.Background(), s, nil, append(append(in, Injection{Fault: DeviceDead, Index: 4}),
			opens...),
			hours*3600)
		require.NoError(t, err)
		assert.InDelta(t, spilled, out.End().SpilledL, 1e-5)
		assert.InDelta(t, -19.2+spilled, out.End().DeficitL, 1e-5)
		assert.Less(t, out.Balance.WorstRelative(), 1e-10)
	}
	// Nothing spills from a sump whose water is about to be lifted, however much runs back first.
	s = brined(60)
	s.DrainBackL = 50
	out, err = Run(context.Background(), s, nil, append(in, Injection{Fault: DeviceDead, Index: 4}), 3600)
	require.NoError(t, err)
	assert.InDelta(t, 0, out.End().SpilledL, 1e-9)
	assert.InDelta(t, -7.2, out.End().LevelL, 1e-9)
}

// A display and a sump that stand apart dry out each by itself: 288 and 72 L lose 10 and 4 L/h until a twentieth of
// what they usually hold is left, 15 and 3 L.
func TestBothVesselsDryOut(t *testing.T) {
	s := dry(20, 30)
	for i := range s.Node[Sump].Bands {
		s.Node[Display].Bands[i].EvaporationLS = [2]Line{{Const: 10.0 / 3600}, {Const: 10.0 / 3600}}
		s.Node[Sump].Bands[i].EvaporationLS = [2]Line{{Const: 4.0 / 3600}, {Const: 4.0 / 3600}}
	}
	in := []Injection{{Fault: DeviceDead, Index: 2}, {Fault: DeviceDead, Index: 3}}
	for hours, want := range map[float64][2]float64{10: {100, 40}, 20: {200, 69}, 40: {273, 69}} {
		out, err := Run(context.Background(), s, nil, in, hours*3600)
		require.NoError(t, err)
		assert.InDelta(t, want[Display], out.End().DeficitL, 1e-3, "%g h", hours)
		assert.InDelta(t, 12-want[Sump], out.End().LevelL, 1e-3, "%g h", hours)
		assert.Less(t, out.Balance.WorstRelative(), 1e-9)
	}
}

// Two drains at their inlet share what comes in: 5 L down to it, and then the 10 L/h of new water, however fast they
// are.
func TestDrainsAtTheirInletShareWhatComes(t *testing.T) {
	s := brined(60)
	for _, id := range []string{"out", "out-too"} {
		s.Devices = append(s.Devices, Device{ID: id, Kind: Drain, FlowLS: 6.0 / 3600, InletL: -5, Programme: -1,
			Thermostat: -1})
	}
	out, err := Run(context.Background(), s, nil, []Injection{{Fault: DeviceDead, Index: 3}}, 10*3600)
	require.NoError(t, err)
	assert.InDelta(t, -5, out.End().LevelL, 1e-4)
	assert.InDelta(t, 100+5, out.Balance.DrainedL, 1e-4)
	s.Devices[5].FlowLS, s.Devices[6].FlowLS = 30.0/3600, 30.0/3600
	out, err = Run(context.Background(), s, nil, []Injection{{Fault: DeviceDead, Index: 3}}, 10*3600)
	require.NoError(t, err)
	assert.InDelta(t, -5, out.End().LevelL, 1e-4)
	assert.InDelta(t, 100+5, out.Balance.DrainedL, 1e-4)
}

// What was on the floor at the start is not counted as spilled in the run.
func TestWhatWasOnTheFloorBefore(t *testing.T) {
	s := dry(20, 30)
	start := initialState(s)
	start.SpilledL = 5
	out, err := Run(context.Background(), s, &start, []Injection{{Fault: RelayClosed, Index: 1}}, 3*3600)
	require.NoError(t, err)
	assert.Zero(t, out.Balance.SpilledL)
	assert.InDelta(t, 5, out.End().SpilledL, 0)
	assert.Less(t, out.Balance.WorstRelative(), 1e-10)
}

// A skimmer whose pump stands dry takes nothing: the one in a sump that has been lifted up into the display. The one in
// the display goes on: 0.24 L/h fill its cup of 1.2 L in five hours.
func TestASkimmerWhoseSumpIsLifted(t *testing.T) {
	for node, want := range map[int]float64{Display: 5 * 3600, Sump: Never} {
		s := dry(20, 30)
		s.Devices = append(s.Devices, Device{ID: "skimmer", Kind: Skimmer, Programme: -1, Thermostat: -1,
			Skim: Skimming{Node: node, CupL: 1.2, FlowLS: 0.24 / 3600}})
		in := []Injection{{Fault: WeirBlocked}, {Fault: DeviceDead, Index: 3}}
		out, err := Run(context.Background(), s, nil, in, 8*3600)
		require.NoError(t, err)
		assert.InDelta(t, want, out.cupFull[4], 1, "node %d", node)
		taken := 0.0
		if want != Never {
			taken = 1.2
		}
		assert.InDelta(t, -19.2+taken, out.End().DeficitL, 1e-5, "node %d", node)
		assert.Less(t, out.Balance.WorstRelative(), 1e-10)
	}
}
