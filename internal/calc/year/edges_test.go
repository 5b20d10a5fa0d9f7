package year

import (
	"errors"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc"
	"saltwright/internal/calc/heat"
)

func TestYearOnItsLimits(t *testing.T) {
	for _, c := range []struct {
		name   string
		param  string // empty: accepted
		change func(*Input)
	}{
		{"accepts no rise", "", func(in *Input) { in.HighestHoldC = in.SetpointC }},
		{"the least chiller", "", func(in *Input) { in.ChillerCOP = 0.5 }},
		{"less", "chiller_cop", func(in *Input) { in.ChillerCOP = 0.49 }},
		{"the coldest week", "", func(in *Input) { in.ChillerCOP, in.Months[3] = 3, room(heat.ColdestAirC+2, 0.4) }},
		{"colder", "months[3].room_c", func(in *Input) { in.Months[3] = room(heat.ColdestAirC+1.9, 0.4) }},
		{"the warmest week", "", func(in *Input) { in.ChillerCOP, in.Months[6] = 3, room(heat.WarmestAirC-2, 0.4) }},
		{"warmer", "months[6].room_c", func(in *Input) {
			in.ChillerCOP, in.Months[6] = 3, room(heat.WarmestAirC-1.9, 0.4)
		}},
	} {
		in := input(t)
		c.change(&in)
		_, err := Run(in)
		if c.param == "" {
			assert.NoError(t, err, c.name)
			continue
		}
		var out *calc.RangeError
		if errors.As(err, &out) {
			assert.Equal(t, c.param, out.Param)
			continue
		}
		var conflict *calc.ConflictError
		require.ErrorAs(t, err, &conflict, c.name)
		assert.Contains(t, conflict.Params, c.param)
	}
}

func TestMonthsAreNamedAndJudged(t *testing.T) {
	in := input(t)
	in.Months[6] = room(31, 0.6)
	in.Months[9] = room(22, 0.15) // the driest by far
	r, err := Run(in)
	require.NoError(t, err)
	for i, m := range r.Months {
		assert.Equal(t, i+1, m.Month)
		assert.Equal(t, m.WaterC > 27, m.TooWarm, "month %d at %.1f", m.Month, m.WaterC)
	}
	assert.True(t, r.Months[6].TooWarm)
	assert.Equal(t, 7, r.WarmestMonth)
	assert.Equal(t, 10, r.Evaporation.Month)

	edge := in
	edge.HighestHoldC = r.Months[6].WaterC
	r, err = Run(edge)
	require.NoError(t, err)
	assert.False(t, r.Months[6].TooWarm, "just as warm as is accepted")

	in.ChillerCOP = 2.5
	r, err = Run(in)
	require.NoError(t, err)
	require.Positive(t, r.ChillerKWh)
	assert.InEpsilon(t, 0.3*(r.HeaterKWh+r.ChillerKWh+r.OtherKWh), r.EnergyCost, 1e-12)

	for i := range in.Months {
		in.Months[i] = room(29, 0.5)
	}
	in.ChillerCOP = 0
	r, err = Run(in)
	require.NoError(t, err)
	assert.Equal(t, []int{1, 1}, []int{r.Cooling.Month, r.WarmestMonth}, "of equals the first")
}
