package sim

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// two compressors of 400 W that draw six times as much for half a second, on a circuit of 10 A at 230 V whose breaker
// of type B may open from 30 A on, 6900 W. They are heaters here, so that what they bring is easily counted.
func compressors(n int) *System {
	s := still(200, 35, 0)
	s.OutageS = 3600
	s.Circuits = []Circuit{{ID: "house", RatingW: 2300, AtOnceW: 6900}}
	for range n {
		s.Devices = append(s.Devices, Device{Kind: Heater, HeatW: [2]float64{400}, ElectricW: 400, Programme: -1,
			Thermostat: -1, Starts: Starting{Times: 6, ForS: 0.5}})
	}
	return s
}

// By hand: two draw 4800 W as they start at once, and run. Three draw 7200 W, and the circuit opens when mains return
// after an hour, and stays open. With the third a second later 4800 + 0 W, then 800 + 2400 W: all run, 3 h and 1 s
// less. With 0.2 s between, the first two are still starting: 7200 W again.
func TestACircuitOpensAtReturn(t *testing.T) {
	cases := []struct {
		name    string
		devices int
		afterS  float64 // of the last one
		times   float64
		opens   bool
	}{
		{"two at once", 2, 0, 6, false},
		{"three at once", 3, 0, 6, true},
		{"the third a second later", 3, 1, 6, false},
		{"the third while the others start", 3, 0.2, 6, true},
		{"the third without more at first", 3, 0, 1, false},
		{"exactly what it stands", 3, 0, 5.25, false}, // 4800 + 2100
	}
	for _, c := range cases {
		s := compressors(c.devices)
		last := &s.Devices[len(s.Devices)-1].Starts
		last.AfterS, last.Times = c.afterS, c.times
		out, err := Run(t.Context(), s, nil, []Injection{{Fault: MainsLost}}, 4*3600)
		require.NoError(t, err)
		want := 3 * 3600.0
		if c.opens {
			want = 0
		}
		assert.InDelta(t, want, out.Devices[0].OnS, 0.3, c.name)
		assert.InDelta(
			t,
			want-map[bool]float64{false: c.afterS}[c.opens],
			out.Devices[len(s.Devices)-1].OnS,
			0.3,
			c.name,
		)
		assert.Less(t, out.Balance.WorstRelative(), 1e-10, c.name)
	}
}

// What runs as a run begins has run before; what mains feed all the time never starts.
func TestWhatRunsDoesNotStart(t *testing.T) {
	out, err := Run(t.Context(), compressors(3), nil, nil, 3600)
	require.NoError(t, err)
	assert.InDelta(t, 3600, out.Devices[2].OnS, 1e-6)
}

// A device that comes back ten minutes after its circuit is off for ten minutes more, at each return.
func TestADeviceComesBackLater(t *testing.T) {
	s := compressors(1)
	s.Devices[0].Starts = Starting{AfterS: 600}
	s.Sources = []Source{{Circuits: []int{0}, FromS: 1200, ToS: 1500}} // a generator for five minutes: too short
	out, err := Run(t.Context(), s, nil, []Injection{{Fault: MainsLost}}, 3*3600)
	require.NoError(t, err)
	assert.InDelta(t, 2*3600-600, out.Devices[0].OnS, 1e-6)
	s.Sources[0].ToS = 2400 // for twenty: ten of them
	out, err = Run(t.Context(), s, nil, []Injection{{Fault: MainsLost}}, 3*3600)
	require.NoError(t, err)
	assert.InDelta(t, 2*3600-600+600, out.Devices[0].OnS, 1e-6)
}

// outageInSteps follows the circuits of a system through one outage in steps: who has power, who starts, and which
// breaker opens, written down anew from what the plan's members say.
func outageInSteps(s *System, outageS, horizonS, dt float64) (opened, onS []float64) {
	circuits, devices := len(s.Circuits), len(s.Devices)
	opened, onS = make([]float64, circuits), make([]float64, devices)
	backAt, onAt := make([]float64, circuits), make([]float64, devices)
	ran, live, readyAt := make([]bool, devices), make([]bool, circuits), make([]float64, devices)
	for i := range opened {
		opened[i] = Never
	}
	for i := range onAt {
		onAt[i] = Never
	}
	for step := range int(horizonS / dt) {
		t := float64(step) * dt
		for again := true; again; {
			again = false
			for k, c := range s.Circuits {
				fed := t >= outageS-dt/4
				if c.Feeder > 0 {
					fed = live[c.Feeder-1]
				}
				if !fed {
					backAt[k] = -1
				} else if backAt[k] < 0 {
					backAt[k] = t + c.BackS
				}
				live[k] = fed && t >= backAt[k]-dt/4 && opened[k] == Never
			}
			for i, d := range s.Devices {
				if !live[d.Circuit] {
					readyAt[i] = -1
				} else if readyAt[i] < 0 {
					readyAt[i] = t + d.Starts.AfterS
				}
				on := live[d.Circuit] && t >= readyAt[i]-dt/4
				if on && !ran[i] {
					onAt[i] = t
				}
				ran[i] = on
			}
			for k, c := range s.Circuits {
				load := 0.0
				for i, d := range s.Devices {
					switch below := s.hangsOn(d.Circuit, k); {
					case !below || !ran[i]:
					case t-onAt[i] < d.Starts.ForS-dt/4:
						load += d.ElectricW * max(1, d.Starts.Times)
					default:
						load += d.ElectricW
					}
				}
				if c.AtOnceW > 0 && opened[k] == Never && load > c.AtOnceW {
					opened[k], again = t, true
				}
			}
		}
		for i := range ran {
			if ran[i] {
				onS[i] += dt
			}
		}
	}
	return opened, onS
}

// Random trees of circuits after an outage, beside steps of a tenth of a second.
func TestStartsAgreeWithSteps(t *testing.T) {
	r := rand.New(rand.NewPCG(16, 5)) // fixed seed
	trips, stands := 0, 0
	for n := range 60 {
		s := still(200, 35, 0)
		s.OutageS = 30
		s.Circuits = []Circuit{
			{ID: "guard"},
			{ID: "a", Feeder: 1},
			{ID: "b", Feeder: 1, BackS: float64(r.IntN(3)) * 20},
			{ID: "strip", Feeder: 2, BackS: float64(r.IntN(3)) * 5},
		}
		for k := 1; k < 3; k++ {
			s.Circuits[k].RatingW, s.Circuits[k].AtOnceW = 1e6, 600+900*r.Float64() // its rating opens nothing here
		}
		for range 8 {
			s.Devices = append(s.Devices, Device{Kind: Heater, Circuit: r.IntN(4), HeatW: [2]float64{100},
				ElectricW: 50 + 100*r.Float64(), Programme: -1, Thermostat: -1, Starts: Starting{
					Times: 1 + 5*r.Float64(), ForS: 0.3 + float64(r.IntN(100)), AfterS: float64(r.IntN(4)) * 15}})
		}
		out, err := Run(t.Context(), s, nil, []Injection{{Fault: MainsLost}}, 300)
		require.NoError(t, err)
		opened, onS := outageInSteps(s, s.OutageS, 300, 0.1)
		for k := range opened {
			if opened[k] == Never {
				stands++
			} else {
				trips++
			}
			assert.InDelta(t, opened[k], out.opened[k], 0.05, "draw %d, circuit %d", n, k)
		}
		for i := range onS {
			assert.InDelta(t, onS[i], out.Devices[i].OnS, 0.15, "draw %d, device %d", n, i)
		}
	}
	assert.Greater(t, trips, 20)
	assert.Greater(t, stands, 60)
}

// A lamp whose own programme gives no light draws nothing as its power comes: two compressors and a lamp of 3000 W open
// the circuit at 7800 W by day and stand by night.
func TestALampByNightDrawsNothingAtOnce(t *testing.T) {
	for second, opens := range map[float64]bool{0: false, 11 * 3600: true} {
		s := compressors(2)
		s.StartSecond = second
		s.Programmes = []Programme{{{0, 10 * 3600, 0, 0}, {10 * 3600, daySeconds, 1, 1}}}
		s.Circuits[0].RatingW = 1e5
		s.Devices = append(s.Devices, Device{Kind: Light, ElectricW: 3000, Programme: 0, Thermostat: -1})
		out, err := Run(t.Context(), s, nil, []Injection{{Fault: MainsLost}}, 4*3600)
		require.NoError(t, err)
		want := 3 * 3600.0
		if opens {
			want = 0
		}
		assert.InDelta(t, want, out.Devices[0].OnS, 1, "from %g s", second)
	}
}

// A strip of 250 W that a heater of 200 W and a lamp of 100 W with a clock of its own hang on opens after an hour of
// light, not of night; where the lamp comes on at 10 o'clock of a run from 08:00 that is three hours after its start. A
// strip opens at no load at once, however much more a device draws at first.
func TestALampLoadsItsStripByDay(t *testing.T) {
	const h = 3600.0
	for _, c := range []struct {
		name   string
		fromH  float64
		starts Starting
		out    []Injection
		opensH float64
	}{
		{"by night", 20, Starting{}, nil, Never / h}, {"from ten o'clock on", 8, Starting{}, nil, 3},
		{"by day", 11, Starting{}, nil, 1},
		{"an inrush by night", 20, Starting{Times: 10, ForS: 1}, []Injection{{Fault: MainsLost}}, Never / h},
		{"an inrush by day", 11, Starting{Times: 10, ForS: 1}, []Injection{{Fault: MainsLost}}, 3},
	} {
		s := still(200, 35, 0)
		s.StartSecond, s.OutageS = c.fromH*h, 2*h
		s.Programmes = []Programme{{{0, 10 * h, 0, 0}, {10 * h, 18 * h, 1, 1}, {18 * h, 24 * h, 0, 0}},
			{{0, 10.5 * h, 0, 0}, {10.5 * h, 24 * h, 0, 0}}} // nothing hangs on the second: an instant on the way
		s.Circuits = []Circuit{{ID: "house"}, {ID: "strip", Feeder: 1, RatingW: 250}}
		s.Devices = []Device{{Kind: Heater, Circuit: 1, HeatW: [2]float64{200}, ElectricW: 200, Programme: -1,
			Thermostat: -1, Starts: c.starts}, {Kind: Light, Circuit: 1, ElectricW: 100, Programme: 0, Thermostat: -1}}
		out, err := Run(t.Context(), s, nil, c.out, 6*h)
		require.NoError(t, err)
		assert.InDelta(t, c.opensH*h, out.opened[1], 1e-3, c.name)
	}
}
