package sim

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc/plan"
)

// manyCourses are runs of all tanks of these tests with what moves each of their quantities.
func manyCourses(t *testing.T) map[string]*Course {
	t.Helper()
	out := map[string]*Course{}
	run := func(name string, s *System, hours float64, in ...Injection) {
		t.Helper()
		c, err := Run(context.Background(), s, nil, in, hours*3600)
		require.NoError(t, err)
		out[name] = c
	}
	dead := func(i int) Injection { return Injection{Fault: DeviceDead, Index: i} }
	run("bench", bench(), 30)
	run("bench without a return", bench(), 30, dead(2))
	run("bench with a relay welded", bench(), 30, Injection{Fault: RelayClosed, Index: 1})
	run("wired up without mains", wiredUp(), 9, Injection{Fault: MainsLost})
	run("held up", dry(20, 30), 4, Injection{Fault: WeirBlocked})
	evaporating := bench()
	evaporating.Overflows, evaporating.DisplayFreeL = 1, 20
	run("held up and drying", evaporating, 40, Injection{Fault: WeirBlocked}, dead(3))
	run("brine held up", brined(20), 5, Injection{Fault: WeirBlocked}, dead(3))
	run("brine in a sump alone", brined(20), 5, dead(2), dead(3))
	run("brine in all water", brined(20), 5, dead(3))
	leaks := bench()
	leaks.Leaks = []Leak{{ID: "seam", Node: Display, AtL: -40, FlowLS: 5.0 / 3600}}
	run("a leak", leaks, 20, append(opens, dead(3))...)
	run("a leak of a display alone", leaks, 20, append(opens, dead(2), dead(3))...)
	run("a cold room", cooling(), 48, dead(0))
	p := changed()
	p.DosingPumps = dosed().DosingPumps
	p.DosingPumps = append(p.DosingPumps, plan.DosingPump{ID: "magnesium", FlowMLMin: 30,
		Doses:     &plan.Doses{ADay: 12, RunS: 4, FirstAt: "00:30"},
		Container: plan.Container{VolumeL: 2, MagnesiumMgL: 50000, Form: plan.CarbonateForm}})
	s := compiled(t, p)
	run("doses", s, 48)
	run("a dose that never stops", s, 6, Injection{Fault: ProgrammeOn, Index: number(s, "alkalinity")})
	run("a drain that never stops", s, 6, Injection{Fault: ProgrammeOn, Index: number(s, "out")})
	run("magnesium that never stops", s, 6, Injection{Fault: ProgrammeOn, Index: number(s, "magnesium")})
	run("new water that never stops", s, 12, Injection{Fault: ProgrammeOn, Index: number(s, "in")})
	return out
}

// No quantity leaves its bounds in any segment of any of them, and the peaks are what samples within find: the samples
// lie between them and come close.
func TestBoundsAndPeaksAgreeWithSamples(t *testing.T) {
	for name, c := range manyCourses(t) {
		t.Run(name, func(t *testing.T) {
			w := &c.start // before anything switched
			least := [4]float64{w.temp[Display], w.level, w.salt[Display] / w.displayVolume(), w.oxygen}
			most := least
			alkalinity := [4][2]float64{}
			for i := range alkalinity {
				alkalinity[i] = [2]float64{math.Inf(1), math.Inf(-1)}
			}
			sump := w.temp[w.s.Nodes-1]
			for i := range c.Segments {
				g := &c.Segments[i]
				for k := range 25 {
					at := g.LengthS * float64(k) / 24
					values := map[Quantity]float64{DisplayTemp: g.temp[Display].At(at), SumpTemp: g.temp[g.last].At(at),
						Level: g.level.At(at), Salinity: g.salinityAt(at), Oxygen: g.oxygen.At(at),
						Spill:    g.spill.At(at),
						RoomTemp: g.room.At(at)}
					if g.last == Sump {
						values[DisplayLevel] = g.displayOver(at)
					}
					for q, v := range values {
						b := g.bound[q]
						require.True(t, v >= b[0]-1e-9 && v <= b[1]+1e-9, "quantity %d, segment %d: %g in %v", q, i, v,
							b)
						require.GreaterOrEqual(t, v, c.bound[q][0]-1e-9)
						require.LessOrEqual(t, v, c.bound[q][1]+1e-9)
					}
					for j, q := range []Quantity{DisplayTemp, Level, Salinity, Oxygen} {
						least[j], most[j] = min(least[j], values[q]), max(most[j], values[q])
					}
					sump = max(sump, values[SumpTemp])
					if g.dissolved == nil {
						continue
					}
					for j, q := range []Quantity{Alkalinity, PH, Aragonite, Magnesium} {
						low, high := g.dissolved.bounds(q, g.LengthS, g.decay)
						v := g.dissolved.quantity(q)(at)
						require.True(t, v >= low-1e-9 && v <= high+1e-9, "quantity %d, segment %d: %g in %g … %g", q,
							i, v,
							low, high)
						alkalinity[j] = [2]float64{min(alkalinity[j][0], v), max(alkalinity[j][1], v)}
					}
				}
			}
			p := c.Peaks()
			near := func(want, got float64, says string) {
				t.Helper()
				assert.InDelta(t, want, got, 5e-4*max(1, math.Abs(want)), says)
			}
			near(least[0], p.TempMinC, "coldest")
			near(most[0], p.TempMaxC, "warmest")
			near(least[1], p.LevelMinL, "lowest")
			near(most[1], p.LevelMaxL, "highest")
			near(least[2], p.SalinityMin, "freshest")
			near(most[2], p.SalinityMax, "saltiest")
			near(least[3], p.OxygenMinMgL, "least oxygen")
			near(sump, p.SumpMaxC, "the sump's warmest")
			if p.Dissolved == nil {
				return
			}
			d := p.Dissolved
			for j, got := range [][2]float64{{d.AlkalinityMin, d.AlkalinityMax}, {d.PHMin, d.PHMax},
				{d.AragoniteMin, d.AragoniteMax}, {d.MagnesiumMin, d.MagnesiumMax}} {
				near(alkalinity[j][0], got[0], "least dissolved")
				near(alkalinity[j][1], got[1], "most dissolved")
			}
		})
	}
}

// Each quantity passes each value when samples say so: the first time it does, by the curve itself, is where it stands
// at that value.
func TestCrossingsAgreeWithSamples(t *testing.T) {
	found := map[Quantity]int{}
	for name, c := range manyCourses(t) {
		quantities := []Quantity{DisplayTemp, SumpTemp, Level, Salinity, Oxygen, Spill, RoomTemp, DisplayLevel}
		if c.s.Chemistry != nil {
			quantities = append(quantities, Alkalinity, PH, Aragonite, Magnesium)
		}
		for i := range c.Segments {
			g := &c.Segments[i]
			if g.LengthS < 60 {
				continue
			}
			for _, q := range quantities {
				of := c.Segments[i].shown(q)
				from, to := of(0), of(g.LengthS)
				if math.Abs(to-from) < 1e-3 {
					continue
				}
				value := (from + to) / 2
				at, ok := g.reaching(&Comparator{Quantity: q}, value, to > from)
				require.True(t, ok, "%s: quantity %d in segment %d", name, q, i)
				require.InDelta(t, value, of(at), 1e-6*max(1, math.Abs(value)), "%s: quantity %d in segment %d", name,
					q, i)
				_, ok = g.reaching(&Comparator{Quantity: q}, to+(to-from)*100, to > from)
				require.False(t, ok, "%s: quantity %d in segment %d", name, q, i)
				later, ok := g.reachingAfter(at/2, &Comparator{Quantity: q}, value, to > from)
				require.True(t, ok)
				require.InDelta(t, at, later, 1e-3, "%s: quantity %d in segment %d", name, q, i)
				// What lies just beyond all that it comes to is not found, nor after its end.
				beyond := to
				for k := range 200 {
					if x := of(g.LengthS * float64(k) / 199); to > from {
						beyond = max(beyond, x)
					} else {
						beyond = min(beyond, x)
					}
				}
				beyond += (to - from) / 50
				for _, after := range []float64{0, g.LengthS / 2, 0.9 * g.LengthS} {
					_, ok = g.reachingAfter(after, &Comparator{Quantity: q}, beyond, to > from)
					require.False(t, ok, "%s: quantity %d in segment %d", name, q, i)
				}
				found[q]++
			}
		}
	}
	for _, q := range []Quantity{DisplayTemp, SumpTemp, Level, Salinity, Oxygen, Spill, RoomTemp, DisplayLevel,
		Alkalinity,
		PH, Aragonite, Magnesium} {
		assert.Positive(t, found[q], "quantity %d", q)
	}
}

// shown is a quantity so long after the beginning of a segment.
func (g *Segment) shown(q Quantity) func(float64) float64 {
	switch q {
	case DisplayTemp:
		return g.temp[Display].At
	case SumpTemp:
		return g.temp[g.last].At
	case Level:
		return g.level.At
	case Salinity:
		return g.salinityAt
	case Oxygen:
		return g.oxygen.At
	case Spill:
		return g.spill.At
	case RoomTemp:
		return g.room.At
	case DisplayLevel:
		return func(at float64) float64 {
			if g.last == Display {
				return 0
			}
			return g.displayOver(at)
		}
	}
	return g.dissolved.quantity(q)
}

// A course so steep that its root is known only to within more than its value: the instant that is told is past it.
func TestASteepCourseIsPast(t *testing.T) {
	for _, rising := range []bool{true, false} {
		g := &Segment{LengthS: 7200}
		g.bound[Salinity] = [2]float64{math.Inf(-1), math.Inf(1)}
		for k := range 50 {
			zero := 1000.123456 + float64(k)*17.001
			course := func(t float64) float64 { return 1e9 * (t - zero) }
			if !rising {
				course = func(t float64) float64 { return 1e9 * (zero - t) }
			}
			at, ok := g.firstReaching(course, Salinity, 0, rising, 0)
			require.True(t, ok)
			assert.InDelta(t, zero, at, 1e-6)
			assert.True(t, at >= zero, "%.9f of %.9f", at, zero)
		}
	}
}

// Samples come every so often from the start on and at the end, each of its own segment.
func TestSamplesAreEvenlyApart(t *testing.T) {
	s := wide()
	s.Programmes = []Programme{{{0, 3700, 1, 1}, {3700, daySeconds, 0, 0}}}
	s.Controls = []Control{{ID: "timer", Kind: Timer}}
	s.Devices = []Device{{Kind: TopOffPump, FlowLS: 1.0 / 100, Programme: -1, Thermostat: -1}}
	s.Relays = []Relay{{Control: 0, Device: 0, Target: -1}}
	s.Reservoirs = []Reservoir{{ID: "r", VolumeL: 1000}}
	out, err := Run(context.Background(), s, nil, nil, 7000)
	require.NoError(t, err)
	var at, level []float64
	for _, x := range out.Samples(1000) {
		at, level = append(at, x.AtS), append(level, x.LevelMM)
	}
	assert.Equal(t, []float64{0, 1000, 2000, 3000, 4000, 5000, 6000, 7000}, at)
	assert.InDeltaSlice(t, []float64{0, 10, 20, 30, 37, 37, 37, 37}, level, 1e-6)
}

// asked counts how often a run asks whether it is still wanted, and says no from the second time on.
type asked struct {
	context.Context
	times int
}

func (a *asked) Err() error {
	if a.times++; a.times > 1 {
		return context.Canceled
	}
	return nil
}

// A run that nobody waits for any more ends on its way, not only before it begins.
func TestALongRunIsBrokenOff(t *testing.T) {
	ctx := &asked{Context: context.Background()}
	_, err := Run(ctx, bench(), nil, nil, 30*daySeconds)
	assert.ErrorIs(t, err, context.Canceled)
	assert.Equal(t, 2, ctx.times)
}
