package draft

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc/audit"
	"saltwright/internal/calc/plan"
)

// room is a display of 200 L, 1000 mm by 500 mm by 400 mm, a tenth of it rock, as the designs of these tests have it.
func room() plan.Plan {
	return plan.Plan{
		Display: plan.Vessel{VolumeL: new(200.0), LengthMM: new(1000.0), WidthMM: new(500.0), WaterDepthMM: new(400.0),
			IntakeDropMM: 50, RockShare: 0.1},
		Limits: plan.Limits{ComfortLowC: new(24.0), ComfortHighC: new(27.0)},
	}
}

// onPaper is a design whose every number is chosen, so that what follows from it can be worked by hand.
func onPaper(edit ...func(d *design)) *design {
	d := &design{
		in: Input{WithSump: new(true), LightsW: new(80.0), LookEveryH: 24, DaysAway: 4, LongestOutageH: 5.5,
			Budget: Budget{Heaters: 3, Circuits: 2, Battery: true, Cellular: true}},
		tank: room(), setpointC: 25.5, needW: 100, holdW: 60, evaporationLD: 3, leastEvaporationLD: 1,
		mainW: 250, otherW: 100, backstopK: 1.1, cutC: 27.5, warmAlarmC: 27.2, coldAlarmC: 23.8, alarmDelayMin: 10,
		pumpLH: 5, runLimitMin: 20, reservoirL: 10, levelMM: 200, lowMM: -36, highMM: 24,
	}
	for _, f := range edit {
		f(d)
	}
	return d
}

func TestHeatersAreTheOnesThatAreSold(t *testing.T) {
	for _, c := range []struct{ w, up, smaller float64 }{
		// On the list itself, between two of it, at both of its ends and by the kilowatt beyond.
		{5, 10, 10}, {10, 10, 10}, {25, 25, 10}, {26, 50, 25}, {100, 100, 75}, {1000, 1000, 800},
		{1200, 2000, 1000}, {2000, 2000, 1000}, {3000, 3000, 2000}, {25000, plan.HeaterMostW, 24000},
	} {
		assert.InDelta(t, c.up, heaterW(c.w), 0, "up from %g W", c.w)
		assert.InDelta(t, c.smaller, smallerW(c.w), 0, "down from %g W", c.w)
	}
}

// A display of 900 mm by 400 mm by 300 mm holds 108 L. Its sump: 675 mm by 300 mm, and 0.8 · 300 = 240 mm raised to
// 250 mm, running at 0.52 · 250 = 130 mm.
func TestFirstDesign(t *testing.T) {
	in := tank(108, plan.MixedReef, 18, 21, 26, 3)
	in.Display.VolumeL = nil
	in.Display.LengthMM, in.Display.WidthMM, in.Display.WaterDepthMM = new(900.0), new(400.0), new(300.0)
	in, assumed := in.completed()
	require.Len(t, assumed, 2)
	assert.True(t, *in.WithSump)
	assert.InDelta(t, 43.2, *in.LightsW, 1e-9) // 0.4 W for each of 108 L

	d, err := newDesign(in)
	require.NoError(t, err)
	s := d.sump()
	assert.Equal(t, []float64{675, 300, 250, 130}, []float64{s.LengthMM, s.WidthMM, s.HeightMM, s.WaterLevelMM})
	assert.InDelta(t, 130, d.levelMM, 0)
	assert.InDelta(t, -23.4, d.lowMM, 1e-9) // 0.18 · 130
	assert.InDelta(t, 15.6, d.highMM, 1e-9) // 0.12 · 130
	assert.InDelta(t, 72, *d.bare().Attendance.LongestAbsenceH, 0)

	assert.Positive(t, d.holdW)
	assert.Greater(t, d.needW, d.holdW, "the set-point asks for more than the edge of harm")
	assert.Greater(t, d.evaporationLD, d.leastEvaporationLD)
	assert.InDelta(t, heaterW(1.25*d.needW), d.mainW, 0)
	assert.InDelta(t, heaterW(1.1*d.holdW), d.otherW, 0)
	assert.InDelta(t, *d.tank.Limits.ComfortHighC+0.2, d.warmAlarmC, 0)
	assert.InDelta(t, *d.tank.Limits.ComfortLowC-0.2, d.coldAlarmC, 0)
	assert.InDelta(t, math.Round(16*d.evaporationLD)/10, d.pumpLH, 0)
	assert.InDelta(t, math.Ceil(1.3*3*d.evaporationLD), d.reservoirL, 0)

	in.WithSump = new(false)
	d, err = newDesign(in)
	require.NoError(t, err)
	assert.Equal(t, []float64{-15, 12, 0}, []float64{d.lowMM, d.highMM, d.levelMM})
	assert.Nil(t, d.plan().Sump)
}

func TestWhatIsLeftOpen(t *testing.T) {
	hundred := tank(100, plan.MixedReef, 18, 21, 26, 3)
	in, assumed := hundred.completed()
	assert.True(t, *in.WithSump, "from 100 L on")
	assert.InDelta(t, 40, *in.LightsW, 0)
	assert.Len(t, assumed, 2)
	small, _ := tank(99, plan.MixedReef, 18, 21, 26, 3).completed()
	assert.False(t, *small.WithSump)
	hundred.WithSump, hundred.LightsW = new(false), new(7.0)
	in, assumed = hundred.completed()
	assert.False(t, *in.WithSump)
	assert.InDelta(t, 7, *in.LightsW, 0)
	assert.Empty(t, assumed)
	for _, b := range Bounds {
		assert.NoError(t, in.check(), b.Param)
	}
	for _, days := range []float64{0.4, 61} {
		in.DaysAway = days
		assert.Error(t, in.check())
	}
}

// The draft is the first of the attempts with the fewest faults that harm or lose the tank, and stops after nine.
func TestDraftKeepsItsBestAttempt(t *testing.T) {
	in := tank(40, plan.MixedReef, 12, 17, 24, 4)
	in.Budget, in.ResponseH = Budget{Heaters: 1, Circuits: 1}, 8
	r, err := Draft(context.Background(), in)
	require.NoError(t, err)
	in, _ = in.completed()
	d, err := newDesign(in)
	require.NoError(t, err)
	var best plan.Plan
	least, attempts := math.MaxInt, 0
	for more := true; more && attempts < 9; attempts++ {
		p := d.plan()
		report, err := audit.Single(context.Background(), p)
		require.NoError(t, err)
		n := 0
		for _, f := range report.Faults {
			if f.Verdict == audit.Harmed || f.Verdict == audit.Lost {
				n++
			}
		}
		assert.Equal(t, n, unsound(report))
		if n < least {
			least, best = n, p
		}
		more = d.mend(report)
	}
	assert.Equal(t, attempts, r.Attempts)
	assert.Equal(t, best, r.Plan)
	fatal := 0
	for _, f := range r.Report.Findings {
		if f.Severity == audit.Fatal {
			fatal++
		}
	}
	assert.Len(t, r.Limits, fatal)
	t.Logf("%d attempts, %d faults at best", attempts, least)
}
