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

// bounds returns the bounds by the cautious estimates of evaporation, and those that need no time by the expected one.
// warmestNetW is the net heat at the setpoint in the warmest room, all gains on, low evaporation.
func (in SizingInput) bounds(warmestNetW float64) (cautious, expected powerBounds, err error) {
	cold, err := in.System.flows(quantity.Celsius(in.HarmLowC), in.Coldest, GainsContinuous)
	if err != nil {
		return cautious, expected, err
	}
	warm, err := in.System.flows(quantity.Celsius(in.HarmHighC), in.Warmest, GainsAll)
	if err != nil {
		return cautious, expected, err
	}
	expected = powerBounds{holdLowW: cold.NetW.Expected, equilibriumMaxW: warm.NetW.Expected}
	cautious = powerBounds{holdLowW: cold.NetW.High, equilibriumMaxW: warm.NetW.Low}
	cautious.reactionMaxW, cautious.startC, err = in.reaction(warmestNetW, warm)
	return cautious, expected, err
}

// reaction returns the power that leaves time to react, and where a stuck heater starts from in the warmest room.
func (in SizingInput) reaction(warmestNetW float64, atLimit Flows) (maxW, startC float64, err error) {
	limitNetW := atLimit.NetW.Low
	if limitNetW <= 0 {
		return limitNetW, in.HarmHighC, nil // the room alone carries the water to the limit
	}
	startC = in.SetpointC
	if warmestNetW < 0 { // the room carries the water above the setpoint without a heater
		gains := atLimit.GainsW
		startC, err = in.System.settlesBetween(
			known{in.SetpointC, gains + warmestNetW}, known{in.HarmHighC, gains + limitNetW},
			in.Warmest, in.Warmest.AirSpeedMS, gains, EvaporationLow)
		if err != nil {
			return 0, 0, err
		}
		warmestNetW = 0
	}
	rise := in.HarmHighC - startC
	if rise <= 1e-6 {
		return limitNetW, startC, nil
	}
	capacity, err := in.System.heatCapacity(quantity.Celsius(startC))
	if err != nil {
		return 0, 0, err
	}
	slope := (limitNetW - warmestNetW) / rise
	tau, err := TimeConstantH(capacity, slope)
	if err != nil {
		return 0, 0, err
	}
	maxW, err = ReactionLimitW(ReactionInput{
		LossW: warmestNetW + atLimit.GainsW, GainsW: atLimit.GainsW, UAWPerK: slope, RiseK: rise, TauH: tau,
		ResponseH: in.ResponseH,
	})
	return maxW, startC, err
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
		return fmt.Sprintf(
				"In the warmest room the pumps and lights alone carry the water past %.1f °C; no heater is small "+
					"enough to be harmless.",
				in.HarmHighC,
			),
			fmt.Sprintf(
				"Remove at least %s by a chiller or a fan, or cool the room; only then does splitting the heaters "+
					"help.",
				sentenceW(-b.equilibriumMaxW),
			)
	case !w.OneDeadHolds:
		return fmt.Sprintf(
				"With one heater nothing is left when it dies, and in the coldest room holding %.1f °C takes %s.",
				in.HarmLowC, sentenceW(b.holdLowW),
			),
			"Use two or more heaters on separate outlets, or keep the room warmer."
	}
	reason = fmt.Sprintf("Each of %d heaters needs at least %s for the coldest room, and one of more than %s stuck "+
		"on passes %.1f °C in the warmest.",
		w.Heaters, sentenceW(w.PMinW), sentenceW(w.EquilibriumMaxW), in.HarmHighC)
	remedy = "Use more and smaller heaters, keep the coldest room warmer or the warmest cooler, or add a chiller or " +
		"fan."
	if w.ExistsByReaction {
		remedy += fmt.Sprintf(
			" Up to %s each, a stuck one still leaves %.1f h to react.", sentenceW(w.ReactionMaxW), in.ResponseH,
		)
	}
	if w.ExpectedExists {
		remedy += " The expected evaporation would open the window: measure yours for some days to narrow the estimate."
	}
	return reason, remedy
}

// sentenceW formats a power for a sentence.
func sentenceW(w float64) string { return fmt.Sprintf("%.0f W", w) }
