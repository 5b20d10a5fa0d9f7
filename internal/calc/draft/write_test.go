package draft

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc/plan"
)

// How deep heaters hang, and how long is longer than usual, worked by hand for chosen numbers.
func TestWatching(t *testing.T) {
	noSump := func(d *design) { d.in.WithSump = new(false) }
	for _, c := range []struct {
		name                    string
		edit                    func(d *design)
		depth, heating, resting float64
	}{
		// The sump's intake 100 mm below its line, and 10 mm. 180 L · 4090 J/(L K) · 0.4 K / 150 W = 0.55 h, 2.5 times
		// that is below the least. 0.5 m² · 4 mm = 2 L at 1 L a day take two days, 2.5 times that is too late.
		{"as it is", func(*design) {}, 110, 4, 0},
		{"little water in the sump", func(d *design) { d.levelMM = 20 }, 18, 4, 0}, // 0.9 · 20 and not 10 + 10
		{"the intake of the display", noSump, 60, 4, 0},
		{"a deep intake of the display", func(d *design) { noSump(d); d.tank.Display.IntakeDropMM = 380 }, 360, 4, 0},
		// 180 · 4090 · 0.4 / 25 / 3600 = 3.27 h, times 2.5 is 8.2 h; 2 L at 4 L a day take 12 h, times 2.5 is 30 h.
		{"25 W to spare, 4 L a day", func(d *design) { d.mainW, d.leastEvaporationLD = 125, 4 }, 110, 9, 30},
		// 20.45 h · 2.5 is longer than two days.
		{"4 W to spare", func(d *design) { d.mainW = 104 }, 110, 0, 0},
		{"nothing to spare", func(d *design) { d.mainW = 100 }, 110, 0, 0},
		// The return chamber: 0.2 m · 0.3 m · 4 mm = 0.24 L at 0.5 L a day take 11.52 h, times 2.5 is 28.8 h. With
		// 0.06 m² · 200 mm and 0.12 m² · 250 mm more, 222 L: 222 · 4090 · 0.4 / 25 / 3600 = 4.04 h, times 2.5 is 10.1 h.
		{"a sump", func(d *design) {
			d.mainW, d.leastEvaporationLD = 125, 0.5
			d.tank.Sump = &plan.Sump{LengthMM: 600, WidthMM: 300, HeightMM: 400, WaterLevelMM: 200,
				ReturnChamberMM: new(200.0), BaffleMM: new(250.0)}
		}, 110, 11, 29},
	} {
		d := onPaper(c.edit)
		assert.InDelta(t, c.depth, d.heaterDepthMM(), 1e-9, c.name)
		assert.InDelta(t, c.heating, d.longestHeatingH(), 0, c.name)
		assert.InDelta(t, c.resting, d.longestRestH(), 0, c.name)
	}
	for _, c := range []struct{ hours, least, want float64 }{
		{47.5, 4, 48}, {48, 4, 48}, {48.1, 4, 0}, {3, 4, 4}, {math.NaN(), 4, 0}, {math.Inf(1), 4, 0},
	} {
		assert.InDelta(t, c.want, watched(c.hours, c.least), 0, "%g", c.hours)
	}
}

// The plan that is written down, number by number.
func TestPlanThatIsWritten(t *testing.T) {
	d := onPaper(func(d *design) { d.otherW, d.mainW, d.leastEvaporationLD, d.fan = 200, 125, 4, true })
	p := d.plan()
	require.NotNil(t, p.Sump)
	assert.InDelta(t, 200, p.Sump.WaterLevelMM, 0)
	assert.Equal(t, []string{"circuit-1", "circuit-2"}, []string{p.Power.Circuits[0].ID, p.Power.Circuits[1].ID})

	pumps := map[string][2]float64{}
	for _, x := range p.Pumps {
		pumps[x.ID] = [2]float64{x.FlowLH, x.PowerW}
	}
	// Six times 200 L an hour; 0.1 W and 0.03 W for each litre.
	assert.Equal(t, map[string][2]float64{"return": {1200, 20}, "stream-a": {1200, 6}, "stream-b": {1200, 6}}, pumps)

	require.Len(t, p.Heaters, 3)
	for i, want := range []struct {
		id         string
		powerW, on float64
	}{{"heater-main", 125, 26.6}, {"heater-2", 100, 24.8}, {"heater-3", 100, 24.8}} { // 200 W by two
		h := p.Heaters[i]
		assert.Equal(t, want.id, h.ID)
		assert.InDelta(t, want.powerW, h.PowerW, 0, h.ID)
		assert.InDelta(t, want.on, *h.ThermostatC, 1e-9, h.ID)
		assert.InDelta(t, -110, *h.HeightMM, 1e-9, h.ID)
	}
	assert.Equal(t, []string{"heater-2", "heater-3"}, controlled(t, p, "spare-guard").Outputs)
	assert.InDelta(t, 26.4, *controlled(t, p, "fan-control").SetpointC, 1e-9)
	alarms := map[string]plan.Alarm{}
	for _, a := range p.Alarms {
		alarms[a.ID] = a
	}
	assert.True(t, alarms["too-cold"].OnSensorLoss)
	assert.False(t, alarms["low-water"].OnSensorLoss)
	assert.InDelta(t, 540, *alarms["heats-too-long"].RunsMin, 0) // 9 h, as in TestWatching
	assert.InDelta(t, 30, *alarms["fills-no-more"].WithinH, 0)
	assert.Contains(t, alarms, "no-return")
	assert.Len(t, p.Lights, 1)
}

// Without a sump, with one heater, in the dark, and where no run is longer than usual: nothing that watches it.
func TestPlanWithoutWhatIsNotThere(t *testing.T) {
	p := onPaper(func(d *design) {
		d.in.WithSump, d.in.Budget.Heaters, d.in.LightsW = new(false), 1, new(0.09)
		d.mainW = d.needW
		d.tank.Display.VolumeL = new(20.0)
	}).plan()
	var ids []string
	for _, x := range p.Pumps {
		ids = append(ids, x.ID)
		assert.InDelta(t, 3, x.PowerW, 0, "not 0.03 W times 20")
	}
	assert.Equal(t, []string{"stream-a", "stream-b"}, ids)
	assert.Nil(t, p.Sump)
	assert.Len(t, p.Heaters, 1)
	assert.Empty(t, p.Lights)
	for _, a := range p.Alarms {
		assert.NotContains(t, []string{"heats-too-long", "fills-no-more", "no-return"}, a.ID)
	}
	for _, s := range p.Sensors {
		assert.NotContains(t, []string{"spare-probe", "flow-vane"}, s.ID)
	}
	for _, k := range p.Controls {
		assert.NotContains(t, []string{"spare-guard", "lamp-timer", "fan-control"}, k.ID)
	}
	assert.Len(t, onPaper(func(d *design) { d.in.LightsW = new(0.1) }).plan().Lights, 1, "the least that is a lamp")
}

// Up to 150 W one other heater stands by, above that as many as may be bought.
func TestHeatersThatStandBy(t *testing.T) {
	for _, c := range []struct {
		otherW  float64
		heaters int
		want    int
	}{{150, 3, 1}, {150, 1, 0}, {200, 3, 2}, {200, 1, 0}} {
		d := onPaper(func(d *design) { d.otherW, d.in.Budget.Heaters = c.otherW, c.heaters })
		assert.Equal(t, c.want, d.spares(), "%g W, %d heaters", c.otherW, c.heaters)
		var spare bool
		for _, s := range d.plan().Sensors {
			spare = spare || s.ID == "spare-probe"
		}
		assert.Equal(t, c.want > 0, spare, "a probe of their own")
	}
}

func controlled(t *testing.T, p plan.Plan, id string) plan.Control {
	t.Helper()
	for _, k := range p.Controls {
		if k.ID == id {
			return k
		}
	}
	require.Fail(t, "no such control", id)
	return plan.Control{}
}
