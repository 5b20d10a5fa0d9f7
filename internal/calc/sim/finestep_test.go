package sim

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// bench is a two-vessel tank with a thermostat-backed heater under a control,
// top-off by a level switch, a light on a ramp and a network alarm. Its numbers
// are made up to exercise every term; nothing is checked against them but a
// second, independent integration.
func bench() *System {
	s := &System{
		Nodes: 2,
		Node: [2]Node{
			{VolumeL: 300, Bands: bent(9, 2.6e-6, 7.5e-6)},
			{VolumeL: 60, Bands: bent(4, 5e-7, 5e-7)},
		},
		FlowWK: 2200, VolumicHeatJLK: 4090, LatentJL: 2.43e6, TopOffTempC: 20, RoomTempC: 20, DrainBackL: 12,
		Chamber:       Chamber{AreaM2: 0.06, BaffleMM: 20, WideAreaM2: 0.3, IntakeMM: -120, FloorMM: -1e6, RimMM: 150},
		SalinityStart: 35, TempStartC: 25.5,
		OxygenBalance: OxygenBalance{SaturationMgL: 6.7, DemandMgLS: 0.15 / 3600, StirredS: 0.4 / 3600,
			StillS: 0.045 / 3600},
		StartSecond: 8 * 3600,
		Circuits:    []Circuit{{ID: "c"}},
		Programmes: []Programme{{
			{0, 36000, 0, 0}, {36000, 39600, 0, 1}, {39600, 68400, 1, 1}, {68400, 72000, 1, 0}, {72000, 86400, 0, 0},
		}},
		Reservoirs: []Reservoir{{ID: "r", VolumeL: 30, SiphonLS: 20.0 / 3600}},
		Sensors:    []Sensor{{ID: "probe", Kind: TemperatureSensor}, {ID: "float", Kind: LevelSensor}},
		Comparators: []Comparator{
			{Quantity: SumpTemp, Low: 25.3, High: 25.7, Sensor: 0},
			{Quantity: SumpTemp, Low: 26.4, High: 26.9, Sensor: -1},
			{Quantity: Level, Low: -0.3, High: 0, Sensor: 1},
		},
		Conditions: []Condition{
			{Kind: ComparatorTrue, Index: 0, Negate: true, Sensor: 0},
			{Kind: ComparatorTrue, Index: 2, Negate: true, Sensor: 1},
		},
		Controls: []Control{
			{ID: "heat", Kind: Regulator, Condition: 0},
			{ID: "fill", Kind: Regulator, Condition: 1},
		},
		Devices: []Device{
			{ID: "heater", Kind: Heater, HeatW: [2]float64{0, 300}, ElectricW: 300, Programme: -1, Thermostat: 1},
			{ID: "lamp", Kind: Light, HeatW: [2]float64{60, 0}, ElectricW: 150, Programme: 0, Thermostat: -1},
			{ID: "lift", Kind: ReturnPump, HeatW: [2]float64{0, 30}, ElectricW: 30, Programme: -1, Thermostat: -1},
			{ID: "top", Kind: TopOffPump, FlowLS: 20.0 / 3600, Programme: -1, Thermostat: -1},
		},
		Relays:  []Relay{{Control: 0, Device: 0, Target: -1}, {Control: 1, Device: 3, Target: -1}},
		OutageS: 8 * 3600, MaxEvents: 100000,
	}
	set := func(k LimitKind, comfort, harm, afterS float64, losses ...Edge) {
		s.Limits[k] = Limit{Active: true, Comfort: comfort, Harm: Edge{harm, afterS}, Losses: losses}
	}
	set(Overheated, 27.5, 29.5, 3600, Edge{31, 6 * 3600}, Edge{33, 1800})
	set(Chilled, 24, 21.5, 3600, Edge{20.5, 7200})
	set(Diluted, 33, 30, 3600, Edge{28, 3600})
	set(Concentrated, 36.5, 39, 3600)
	set(Flooded, 0.001, 1, 0)
	set(RunDry, -3, s.Chamber.VolumeAtL(-120), 0)
	set(NoDark, 16*3600, 72*3600, 0)
	set(NoLight, 36*3600, 240*3600, 0)
	set(Airless, 5, 3.5, 3600, Edge{2, 3600})
	return s
}

// bent are losses to a room of 20 °C that grow steeper at 26.2 and 28 °C and flatter below 23 °C.
func bent(wattsPerK, litresPerK, withFanPerK float64) []Band {
	var out []Band
	lossFrom, edge := wattsPerK*2, 23.0
	evaporation, withFan := 6*litresPerK, 6*withFanPerK
	for _, b := range []struct{ highC, steeper float64 }{{23, 0.8}, {26.2, 1}, {28, 1.3}, {math.Inf(1), 1.9}} {
		through := func(value, slope float64) Line { return Line{value - slope*edge, slope} }
		out = append(out, Band{
			HighC: b.highC, DryLossW: through(lossFrom, b.steeper*wattsPerK),
			EvaporationLS: [2]Line{through(evaporation, b.steeper*litresPerK), through(withFan, b.steeper*withFanPerK)},
		})
		if b.highC > edge {
			last := out[len(out)-1]
			lossFrom, evaporation, withFan = last.DryLossW.At(b.highC), last.EvaporationLS[0].At(b.highC),
				last.EvaporationLS[1].At(b.highC)
			edge = b.highC
		}
	}
	return out
}

// fine is the independent method: fixed steps of a fraction of a second with
// the midpoint rule for heat and plain bookkeeping for the rest. It knows the
// bench's wiring by heart and shares no code with the simulation.
type fine struct {
	td, ts, level, deficit, sd, ss, stored, spilled, o2 float64
	heat, fill, thermostatOpen                          bool
	flowing                                             bool
	heaterS, cup                                        float64
	pumped, siphon                                      bool
}

// fineSiphon is the bench's reservoir where it stands: 0.1 m² of floor, empty so far above the normal line.
type fineSiphon struct {
	emptyMM, lineEndMM float64
	none               bool // it stands too low
}

type fineFaults struct {
	heaterRelayWelded, thermostatWelded, fillWelded, returnDead, lampOn, heaterDead bool

	siphon  fineSiphon
	offset  float64
	skimS   float64 // out of the sump by a skimmer with a cup of 2 L, L/s
	clogged float64 // share of the return flow that is left; 0: all
}

func (f *fine) run(s *System, faults fineFaults, seconds, dt float64) {
	lamp := func(clock float64) float64 {
		if faults.lampOn {
			return 1
		}
		h := math.Mod(clock, 86400) / 3600
		return math.Max(0, math.Min(1, math.Min(h-10, 20-h)))
	}
	// The losses once more, by hand: straight at 23 °C, with bends.
	bend := func(t float64) float64 {
		k := math.Min(t-23, 0)*0.8 + math.Min(math.Max(t-23, 0), 3.2)
		return k + 1.3*math.Min(math.Max(t-26.2, 0), 1.8) + 1.9*math.Max(t-28, 0)
	}
	dry := func(n int, t float64) float64 { return [2]float64{9, 4}[n] * (2 + bend(t)) }
	evap := func(n int, t float64) float64 { return [2]float64{2.6e-6, 5e-7}[n] * (6 + bend(t)) }
	n := int(math.Round(seconds / dt))
	for i := range n {
		clock := s.StartSecond + float64(i)*dt
		flowing := !faults.returnDead
		if f.flowing && !flowing { // the display drains back
			salt := f.sd * s.DrainBackL
			sumpWas := 60 + f.level
			f.ts = (60*f.ts + s.DrainBackL*f.td) / (60 + s.DrainBackL)
			f.ss = (f.ss*sumpWas + salt) / (sumpWas + s.DrainBackL)
			f.level += s.DrainBackL
			f.flowing = false
		}
		switch read := f.ts + faults.offset; {
		case read <= 25.3:
			f.heat = true
		case read >= 25.7:
			f.heat = false
		}
		switch {
		case f.ts >= 26.9:
			f.thermostatOpen = true
		case f.ts <= 26.4:
			f.thermostatOpen = false
		}
		switch {
		case f.level <= -0.3:
			f.fill = true
		case f.level >= 0:
			f.fill = false
		}
		heater := (f.heat || faults.heaterRelayWelded) && (!f.thermostatOpen || faults.thermostatWelded) &&
			!faults.heaterDead
		// The head of a siphon, from the heights of both waters: 0.06 m² up to 20 mm, 0.3 m² above.
		stands := f.level / 0.06
		if f.level > 1.2 {
			stands = 20 + (f.level-1.2)/0.3
		}
		head := faults.siphon.emptyMM + f.stored/0.1 - math.Max(faults.siphon.lineEndMM, stands)
		pumps := f.fill || faults.fillWelded
		f.siphon = (f.siphon || f.pumped && !pumps) && !pumps && head > 0 && !faults.siphon.none
		f.pumped = pumps
		q := 0.0
		if (pumps || f.siphon) && f.stored > 0 {
			q = 20.0 / 3600
			f.stored -= q * dt
		}
		cd, cs := 300*4090.0, 60*4090.0
		k, left := s.FlowWK, 1.0
		if faults.clogged > 0 {
			left = faults.clogged
			k *= left
		}
		pump := 30.0
		if !flowing {
			cd, cs, k, pump = 288*4090.0, 72*4090.0, 0, 0
		}
		slope := func(td, ts float64) (float64, float64) {
			hs := pump
			if heater {
				hs += 300
			}
			d := 60*lamp(clock+dt/2) - dry(0, td) - 2.43e6*evap(0, td) + k*(ts-td)
			u := hs - dry(1, ts) - 2.43e6*evap(1, ts) + k*(td-ts) + q*4090*(20-ts)
			return d / cd, u / cs
		}
		a, b := slope(f.td, f.ts)
		a, b = slope(f.td+a*dt/2, f.ts+b*dt/2)
		ed, es := evap(0, f.td)*dt, evap(1, f.ts)*dt
		f.td += a * dt
		f.ts += b * dt
		if heater {
			f.heaterS += dt
		}
		exchange := map[bool]float64{true: 0.045 + left*(0.4-0.045), false: 0.045}[flowing]
		f.o2 += dt * (exchange/3600*(6.7-f.o2) - 0.15/3600)
		rim := 0.06*20 + 0.3*(150-20)
		if flowing {
			salt := f.sd * (360 + f.level)
			f.level += q*dt - ed - es
			s := salt / (360 + f.level) // filled, mixed, then the excess goes
			f.skim(faults.skimS * dt)
			if f.level > rim {
				f.spilled += f.level - rim
				f.level = rim
			}
			f.sd, f.ss = s, s
			continue
		}
		displayWas, sumpWas := 288-f.deficit, 60+f.level
		f.deficit += ed
		f.sd *= displayWas / (288 - f.deficit)
		f.level += q*dt - es
		f.ss *= sumpWas / (60 + f.level)
		f.skim(faults.skimS * dt)
		if f.level > rim {
			f.spilled += f.level - rim
			f.level = rim
		}
	}
}

// skim takes water out of the sump, into the cup and then onto the floor.
func (f *fine) skim(litres float64) {
	f.level -= litres
	if f.cup += litres; f.cup > 2 {
		f.spilled += f.cup - 2
		f.cup = 2
	}
}

func TestRunAgreesWithFineSteps(t *testing.T) {
	cases := []struct {
		name   string
		inject []Injection
		fine   fineFaults
		hours  float64
	}{
		{"nothing wrong", nil, fineFaults{}, 48},
		{"heating relay welded, thermostat takes over", []Injection{{Fault: RelayClosed, Index: 0}},
			fineFaults{heaterRelayWelded: true}, 30},
		{"relay and thermostat welded", []Injection{{Fault: RelayClosed, Index: 0},
			{Fault: ThermostatClosed, Index: 0}},
			fineFaults{heaterRelayWelded: true, thermostatWelded: true}, 30},
		{"heater dead", []Injection{{Fault: DeviceDead, Index: 0}}, fineFaults{heaterDead: true}, 48},
		{"fill relay welded", []Injection{{Fault: RelayClosed, Index: 1}}, fineFaults{fillWelded: true}, 20},
		{"return pump dead", []Injection{{Fault: DeviceDead, Index: 2}}, fineFaults{returnDead: true}, 30},
		{"return pump dead and fill welded", []Injection{{Fault: DeviceDead, Index: 2},
			{Fault: RelayClosed, Index: 1}},
			fineFaults{returnDead: true, fillWelded: true}, 20},
		{"probe reads 2 K high", []Injection{{Fault: SensorOffset, Index: 0, Value: 2}}, fineFaults{offset: 2}, 48},
		{"lamp stuck on", []Injection{{Fault: ProgrammeOn, Index: 1}}, fineFaults{lampOn: true}, 30},
		{"return clogged to a fifth", []Injection{{Fault: Clogged, Index: 2}}, fineFaults{clogged: 0.2}, 30},
		{"a skimmer whose cup fills", nil, fineFaults{skimS: 24 / 86400.0}, 30},
		{"a skimmer that foams wet", []Injection{{Fault: SkimsWet, Index: 4}}, fineFaults{skimS: 96 / 86400.0}, 30},
		{"a skimmer whose return pump is dead", []Injection{{Fault: DeviceDead, Index: 2}},
			fineFaults{skimS: 24 / 86400.0, returnDead: true}, 20},
		{"a siphon down to its line's end", nil, fineFaults{siphon: fineSiphon{emptyMM: -900, lineEndMM: 50}}, 30},
		{"a siphon to equal levels", nil, fineFaults{siphon: fineSiphon{emptyMM: -1100, lineEndMM: -40}}, 30},
		{"a siphon that spills", nil, fineFaults{siphon: fineSiphon{emptyMM: 100, lineEndMM: 200}}, 30},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			s := bench()
			s.Reservoirs[0].VolumeL = 120 // enough to spill
			s.Devices[2].Clogs = Clogging{Left: 0.2, Return: 1}
			if c.fine.skimS > 0 {
				s.Devices = append(s.Devices, Device{ID: "skimmer", Kind: Skimmer, Programme: -1, Thermostat: -1,
					Skim: Skimming{Node: Sump, CupL: 2, FlowLS: 24 / 86400.0, WetTimes: 4, Full: RunsOver}})
			}
			if c.fine.siphon == (fineSiphon{}) {
				c.fine.siphon.none = true
			} else {
				s.Reservoirs[0].AreaM2 = 0.1
				s.Reservoirs[0].EmptyMM, s.Reservoirs[0].LineEndMM = c.fine.siphon.emptyMM, c.fine.siphon.lineEndMM
			}
			out, err := Run(context.Background(), s, nil, c.inject, c.hours*3600)
			require.NoError(t, err)
			require.False(t, out.Truncated)
			f := fine{td: 25.5, ts: 25.5, sd: 35, ss: 35, stored: 120, o2: 6.7 - 0.15/0.4, flowing: true, heat: true}
			f.run(s, c.fine, c.hours*3600, 0.03125)
			got := out.End()
			// A step of 1/32 s switches up to that much late: the heater moves the sump by
			// 0.04 mK and the pump 0.2 mL a step, and phases drift by some steps a cycle.
			assert.InDelta(t, f.td, got.TempC[Display], 0.02, "display temperature")
			assert.InDelta(t, f.ts, got.TempC[Sump], 0.05, "sump temperature")
			assert.InDelta(t, f.level, got.LevelL, 0.03, "level")
			assert.InDelta(t, f.spilled, got.SpilledL, 0.03, "spilled")
			assert.InDelta(t, f.stored, got.StoredL[0], 0.03, "reservoir")
			assert.InDelta(t, f.o2, got.OxygenMgL, 1e-3, "oxygen")
			volume := 300.0
			if !got.Flowing {
				volume = 288 - got.DeficitL
			}
			assert.InDelta(t, f.sd, got.Salt[Display]/volume, 0.003, "salinity")
			// a fraction of one 20-minute cycle, by phase
			assert.InDelta(t, f.heaterS, out.Devices[0].OnS, 150, "heater seconds")
			assert.Less(t, out.Balance.WorstRelative(), 1e-10, "balances: %+v", out.Balance)
			if !c.fine.siphon.none {
				assert.Less(t, got.StoredL[0], 115.0, "it ran, or the case says nothing")
			}
			t.Logf("%d events, worst balance %.1e", len(out.Segments), out.Balance.WorstRelative())
		})
	}
}
