package plan

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc/heat"
)

// wetted sums a sump's wet walls chamber by chamber, m²: the return chamber to its running level, all
// before the last baffle to that one's height. Nothing here but a ruler's rules.
func wetted(s Sump) float64 {
	rest := s.LengthMM - *s.ReturnChamberMM
	longWalls := 2 * (*s.ReturnChamberMM*s.WaterLevelMM + rest**s.BaffleMM)
	shortWalls := s.WidthMM * (s.WaterLevelMM + *s.BaffleMM)
	return (longWalls + shortWalls) / 1e6
}

// The sump that the heat balance sees must have the walls and the water of the real one. Depth at the
// baffle misses the wet walls by less than depth at the running level, which an earlier copy of this took.
func TestTheSumpStandsAtItsBaffle(t *testing.T) {
	for _, chamber := range []float64{100, 180, 250} {
		for _, above := range []float64{5, 20, 60} {
			p := withSump()
			p.Sump.LengthMM, p.Sump.ReturnChamberMM, p.Sump.BaffleMM = 600, &chamber, new(p.Sump.WaterLevelMM+above)
			completed, _, err := Complete(p)
			require.NoError(t, err)
			s := *completed.Sump
			v := completed.HeatSystem().Sump
			at := func(depthMM float64) float64 { return 2 * (v.LengthMM + v.WidthMM) * depthMM / 1e6 }
			miss := math.Abs(at(v.WaterDepthMM) - wetted(s))
			assert.Less(t, miss, math.Abs(at(s.WaterLevelMM)-wetted(s)), "chamber %g mm, baffle +%g mm", chamber, above)

			boxes := (chamber*s.WaterLevelMM + (s.LengthMM-chamber)**s.BaffleMM) * s.WidthMM / 1e6
			assert.InDelta(t, boxes, s.WaterL(), 1e-9)
			assert.InDelta(t, completed.Display.WaterL()+boxes, completed.HeatSystem().VolumeL, 1e-9)
		}
	}
}

func TestTheDisplayTheHeatBalanceSees(t *testing.T) {
	p := first()
	p.Display.VolumeL = nil
	p.Display.LengthMM, p.Display.WidthMM, p.Display.WaterDepthMM = new(1200.0), new(500.0), new(450.0)
	p, _, err := Complete(p)
	require.NoError(t, err)
	v := p.HeatSystem()
	assert.Equal(t, heat.Vessel{
		LengthMM: 1200, WidthMM: 500, WaterDepthMM: 450, FreeboardMM: 40, WallMM: 10, Material: heat.Glass, Lid: "open",
	}, v.Display)
	assert.Nil(t, v.Sump)
	assert.InDelta(t, 0.9*270, v.VolumeL, 1e-9, "a tenth is rock")
}

// Worked by hand: 300 L at 35 are diluted to 30 by 50 L, since 300 · 35 = 350 · 30.
func TestHarmlessDilution(t *testing.T) {
	p, _, err := Complete(first())
	require.NoError(t, err)
	assert.InDelta(t, 50, p.HarmlessDilutionL(300), 1e-9)
}

func TestWhereASecondLineCuts(t *testing.T) {
	p, _, err := Complete(first())
	require.NoError(t, err)
	assert.Equal(t, 25.8, p.Limits.MiddleC(), "of 24 … 27.5")
	assert.Equal(t, 28.1, p.Limits.CutC(), "27.5 + 0.3 · 2")
}

func TestTimesOfDay(t *testing.T) {
	assert.Equal(t, 9.5, ClockTime("09:30").Hour())
	assert.Zero(t, ClockTime("00:00").Hour())
	assert.Panics(t, func() { ClockTime("24:00").Hour() })
	for _, text := range []ClockTime{"", "24:00", "12:60", "noon", "-1:00"} {
		p := first()
		p.Attendance.LeavesAt = text
		p.Lights[0].Schedule = &Schedule{OnAt: &text, OffAt: new(ClockTime("12:00"))}
		_, _, err := Complete(p)
		var params []string
		for _, c := range conflicts(t, err) {
			params = append(params, c.Params[0])
		}
		assert.Subset(t, params, []string{"attendance.leaves_at", "lights[0].schedule.on_at"}, text)
	}
}

func TestUnknownLivestockIsRefused(t *testing.T) {
	p := first()
	p.Livestock = "sharks"
	_, _, err := Complete(p)
	assert.ErrorContains(t, err, "livestock")
}

// A clone's lists and sump are its own.
func TestCloneReachesNothing(t *testing.T) {
	p := withSump()
	c := p.Clone()
	c.Heaters[0].PowerW, c.Sump.WaterLevelMM, c.Controls[0].HysteresisK = 1, 1, 1
	c.Sensors, c.Alarms[0].DelayMin, c.Lights[0].Schedule = append(c.Sensors, Sensor{}), 9, nil
	assert.Equal(t, withSump(), p)
}
