package heat

import (
	"fmt"
	"math"

	"saltwright/internal/calc/quantity"
)

const (
	maxHeaters       = 4
	standardSizeStep = 25 // W; a step of our own choosing for suggestions, no standard
)

// Window is the range of power per heater in which one stuck and one dead heater both do no harm.
type Window struct {
	Heaters           int
	OneDeadHolds      bool    // whether any power lets the others hold the low harm limit
	PMinW             float64 // each; 0 when OneDeadHolds is false
	EquilibriumMaxW   float64 // each; a stuck one may run for ever below this; 0 when even none is too much
	ReactionMaxW      float64 // each; a stuck one leaves time to react below this; at least EquilibriumMaxW
	Exists            bool    // PMinW … EquilibriumMaxW is not empty
	ExistsByReaction  bool    // PMinW … ReactionMaxW is not empty
	ExpectedExists    bool    // as Exists, with the expected evaporation in place of the cautious ones
	SuggestedW        float64 // smallest multiple of 25 W in the window; 0 when none lies in it or no heater is needed
	ReactionSuggested float64 // the same in the window by reaction time
	Reason            string  // why no window exists; empty when one does
	Remedy            string  // what would open it; empty when one exists
}

// powerBounds is what the two sides of a window follow from.
type powerBounds struct {
	holdLowW        float64 // power that holds the low harm limit in the coldest room; may be negative
	equilibriumMaxW float64 // power that ends at the high harm limit in the warmest room; may be negative
	reactionMaxW    float64
	startC          float64
}

func (in SizingInput) bounds(cold, warm Estimate) (powerBounds, error) {
	var b powerBounds
	low, err := in.System.losses(in.LowHarmC, in.Coldest, in.Coldest.AirSpeedMS)
	if err != nil {
		return b, err
	}
	continuous, err := in.System.gainsW(GainsContinuous)
	if err != nil {
		return b, err
	}
	b.holdLowW = low.totalW(cold) - continuous

	all, err := in.System.gainsW(GainsAll)
	if err != nil {
		return b, err
	}
	high, err := in.System.losses(in.HighHarmC, in.Warmest, in.Warmest.AirSpeedMS)
	if err != nil {
		return b, err
	}
	b.equilibriumMaxW = high.totalW(warm) - all
	b.reactionMaxW = b.equilibriumMaxW
	b.startC = in.HighHarmC
	if b.equilibriumMaxW <= 0 {
		return b, nil // the room alone carries the water to the limit
	}
	b.startC = in.SetpointC
	atStart, err := in.System.losses(b.startC, in.Warmest, in.Warmest.AirSpeedMS)
	if err != nil {
		return b, err
	}
	start := atStart.totalW(warm)
	if start < all { // the room carries the water above the setpoint without a heater
		if b.startC, err = in.System.balancePoint(in.Warmest, in.Warmest.AirSpeedMS, all, warm, in.SetpointC, in.HighHarmC); err != nil {
			return b, err
		}
		start = all
	}
	rise := in.HighHarmC - b.startC
	if rise <= 1e-6 {
		return b, nil
	}
	capacity, err := in.System.heatCapacity(quantity.Celsius(b.startC))
	if err != nil {
		return b, err
	}
	slope := (high.totalW(warm) - start) / rise
	tau, err := TimeConstantH(capacity, slope)
	if err != nil {
		return b, err
	}
	b.reactionMaxW, err = ReactionLimitW(ReactionInput{LossW: start, GainsW: all, UAWPerK: slope, RiseK: rise, TauH: tau, ResponseH: in.ResponseH})
	return b, err
}

// pMin returns the least power each of n heaters needs, and whether any is enough with one dead.
func (b powerBounds) pMin(n int, recommendedW float64) (float64, bool) {
	p := recommendedW / float64(n)
	if b.holdLowW <= 0 {
		return p, true // the room and the pumps hold the low limit alone
	}
	if n == 1 {
		return 0, false
	}
	return math.Max(p, b.holdLowW/float64(n-1)), true
}

func (in SizingInput) window(n int, recommendedW float64, cautious, expected powerBounds) Window {
	w := Window{Heaters: n}
	w.PMinW, w.OneDeadHolds = cautious.pMin(n, recommendedW)
	w.EquilibriumMaxW = math.Max(0, cautious.equilibriumMaxW)
	w.ReactionMaxW = math.Max(0, cautious.reactionMaxW)
	w.Exists = w.OneDeadHolds && w.EquilibriumMaxW > 0 && w.PMinW <= w.EquilibriumMaxW
	w.ExistsByReaction = w.OneDeadHolds && w.ReactionMaxW > 0 && w.PMinW <= w.ReactionMaxW
	if p, ok := expected.pMin(n, recommendedW); ok {
		w.ExpectedExists = expected.equilibriumMaxW > 0 && p <= expected.equilibriumMaxW
	}
	if w.Exists {
		w.SuggestedW = standardSize(w.PMinW, w.EquilibriumMaxW)
	}
	if w.ExistsByReaction {
		w.ReactionSuggested = standardSize(w.PMinW, w.ReactionMaxW)
	}
	if !w.Exists {
		w.Reason, w.Remedy = in.explain(w, cautious)
	}
	return w
}

// standardSize returns the smallest multiple of 25 W in lo … hi, or 0 when none is or none is needed.
func standardSize(lo, hi float64) float64 {
	p := standardSizeStep * math.Ceil(lo/standardSizeStep)
	if lo <= 0 || p > hi {
		return 0
	}
	return p
}

func (in SizingInput) explain(w Window, b powerBounds) (reason, remedy string) {
	switch {
	case b.equilibriumMaxW <= 0:
		return fmt.Sprintf("In the warmest room the pumps and lights alone carry the water past %.1f °C; no heater is small enough to be harmless.", in.HighHarmC),
			fmt.Sprintf("Remove at least %s by a chiller or a fan, or cool the room; only then does splitting the heaters help.", sentenceW(-b.equilibriumMaxW))
	case !w.OneDeadHolds:
		return fmt.Sprintf("With one heater nothing is left when it dies, and in the coldest room holding %.1f °C takes %s.", in.LowHarmC, sentenceW(b.holdLowW)),
			"Use two or more heaters on separate outlets, or keep the room warmer."
	}
	reason = fmt.Sprintf("Each of %d heaters needs at least %s for the coldest room, and one of more than %s stuck on passes %.1f °C in the warmest.",
		w.Heaters, sentenceW(w.PMinW), sentenceW(w.EquilibriumMaxW), in.HighHarmC)
	remedy = "Use more and smaller heaters, keep the coldest room warmer or the warmest cooler, or add a chiller or fan."
	if w.ExistsByReaction {
		remedy += fmt.Sprintf(" Up to %s each, a stuck one still leaves %.1f h to react.", sentenceW(w.ReactionMaxW), in.ResponseH)
	}
	if w.ExpectedExists {
		remedy += " The expected evaporation would open the window: measure yours for some days to narrow the estimate."
	}
	return reason, remedy
}
