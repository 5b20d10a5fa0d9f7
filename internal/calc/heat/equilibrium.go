package heat

import (
	"saltwright/internal/calc"
	"saltwright/internal/calc/numeric"
)

// known is a water temperature and the losses there.
type known struct{ waterC, lossW float64 }

// settles returns the water temperature within 0 … 40 °C at which the losses are watts.
func (s System) settles(room Surroundings, surfaceSpeedMS, watts float64, e Estimate) (float64, error) {
	var ends [2]known
	for i, c := range [...]float64{minWaterC, maxWaterC} {
		l, err := s.losses(c, room, surfaceSpeedMS)
		if err != nil {
			return 0, err
		}
		ends[i] = known{c, l.totalW(e)}
	}
	return s.settlesBetween(ends[0], ends[1], room, surfaceSpeedMS, watts, e)
}

// settlesBetween is settles where the losses at two temperatures, one on either side, are known.
func (s System) settlesBetween(lo, hi known, room Surroundings, surfaceSpeedMS, watts float64, e Estimate) (float64, error) {
	if lo.lossW > watts || hi.lossW < watts {
		return 0, calc.ErrNoSolution
	}
	slope := (hi.lossW - lo.lossW) / (hi.waterC - lo.waterC)
	var failed error
	c, err := numeric.RootFrom(func(c float64) float64 {
		l, err := s.losses(c, room, surfaceSpeedMS)
		if err != nil {
			failed = err
		}
		return l.totalW(e) - watts
	}, lo.waterC, hi.waterC, lo.waterC+(watts-lo.lossW)/slope, slope, 1e-9)
	if failed != nil {
		return 0, failed
	}
	return c, err
}
