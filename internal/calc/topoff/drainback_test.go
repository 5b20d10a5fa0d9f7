package topoff

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc"
)

// Worked by hand: 0.6 m2 of display falling 25 mm to its nozzle gives 15 L, with 3 L of pipes 18 L; over a sump
// of 0.24 m2 that is 75 mm; from 220 mm to a rim of 350 mm 55 mm are left.
func TestDrainBackByHand(t *testing.T) {
	in := DrainBackInput{
		BackSiphon: BackSiphonInput{DisplayAreaM2: 0.6, WeirDropMM: 15, NozzleDropMM: 25, PlumbingL: 3},
		SumpAreaM2: 0.24, RunningMM: 220, RimMM: 350, MarginMM: 50,
	}
	r, err := DrainBack(in)
	require.NoError(t, err)
	assert.InDelta(t, 18, r.DrainL, 1e-12)
	assert.InDelta(t, 75, r.RiseMM, 1e-12)
	assert.InDelta(t, 55, r.MarginMM, 1e-9)
	assert.InDelta(t, 0.24*55, r.SpareL, 1e-9)
	assert.True(t, r.KeepsMargin)
	assert.False(t, r.Overflows)
	assert.InDelta(t, 225, r.HighestRunMM, 1e-9)
	assert.InDelta(t, (0.24*80-3)/0.6, r.DeepestDropMM, 1e-9)

	// At the largest drop the margin is just kept.
	in.BackSiphon.NozzleDropMM = r.DeepestDropMM
	r, err = DrainBack(in)
	require.NoError(t, err)
	assert.InDelta(t, 50, r.MarginMM, 1e-9)

	// A nozzle 80 mm deep floods.
	in.BackSiphon.NozzleDropMM = 80
	r, err = DrainBack(in)
	require.NoError(t, err)
	assert.True(t, r.Overflows)
	assert.InDelta(t, -(51 - 0.24*130), r.SpareL, 1e-9)
	assert.InDelta(t, 350, r.LevelMM, 1e-12)
}

func TestReservoirOverTheSumpComesOnTop(t *testing.T) {
	in := DrainBackInput{
		BackSiphon: BackSiphonInput{
			DisplayAreaM2: 0.5, WeirDropMM: 20,
		}, SumpAreaM2: 0.25, RunningMM: 200, RimMM: 300, MarginMM: 0,
		Reservoir: &Reservoir{SizeL: 30, ContentL: 30, FloorMM: 0, WaterLineMM: 400, HoseEndMM: 300},
	}
	r, err := DrainBack(in)
	require.NoError(t, err)
	assert.True(t, r.SiphonPossible)
	assert.InDelta(t, 7.5, r.SiphonL, 1e-12, "a quarter of the reservoir stands above the hose's end")
	in.Reservoir.SiphonBreak = true
	r, err = DrainBack(in)
	require.NoError(t, err)
	assert.Zero(t, r.SiphonL)
	in.RunningMM = 320
	_, err = DrainBack(in)
	var conflict *calc.ConflictError
	assert.ErrorAs(t, err, &conflict)
}
