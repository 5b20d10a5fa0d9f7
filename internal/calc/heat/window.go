package heat

import (
	"math"

	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/text"
)

const maxHeaters = 4

// Window is the range of power per heater in which one stuck and one dead heater both do no harm.
type Window struct {
	Heaters           int
	OneDeadHolds      bool      // whether any power lets the others hold the low harm limit
	PMinW             float64   // each; 0 when OneDeadHolds is false
	EquilibriumMaxW   float64   // each; a stuck one may run for ever below this; 0 when even none is too much
	ReactionMaxW      float64   // each; a stuck one leaves time to react below this; at least EquilibriumMaxW
	Exists            bool      // PMinW … EquilibriumMaxW is not empty
	ExistsByReaction  bool      // PMinW … ReactionMaxW is not empty
	ExpectedExists    bool      // as Exists, with the expected evaporation in place of the cautious ones
	SuggestedW        float64   // smallest stock size in the window; 0 when none lies in it or no heater is needed
	ReactionSuggested float64   // the same in the window by reaction time
	Reason            text.Text // why no window exists; empty when one does
	Remedy            text.Text // what would open it; empty when one exists
}

// Choice is heaters that can be bought.
type Choice struct {
	Heaters    int
	EachW      float64
	ByReaction bool // one stuck on does harm, but only after the time until somebody acts
}

// choose returns the fewest heaters of a stock size that no failure makes harmful, or else those that leave the time
// until somebody acts; nil where there are neither.
func choose(windows []Window) *Choice {
	for _, w := range windows {
		if w.SuggestedW > 0 {
			return &Choice{Heaters: w.Heaters, EachW: w.SuggestedW}
		}
	}
	for _, w := range windows {
		if w.ReactionSuggested > 0 {
			return &Choice{w.Heaters, w.ReactionSuggested, true}
		}
	}
	return nil
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
		w.SuggestedW = in.stockSize(w.PMinW, w.EquilibriumMaxW)
	}
	if w.ExistsByReaction {
		w.ReactionSuggested = in.stockSize(w.PMinW, w.ReactionMaxW)
	}
	if !w.Exists {
		w.Reason, w.Remedy = in.explain(w, cautious)
	}
	return w
}

// stockSize returns the smallest stock size in lo … hi, or 0 when none is or none is needed.
func (in SizingInput) stockSize(lo, hi float64) float64 {
	smallest := 0.0
	for _, p := range in.StockSizesW {
		if lo > 0 && p >= lo && p <= hi && (smallest == 0 || p < smallest) {
			smallest = p
		}
	}
	return smallest
}

func (in SizingInput) explain(w Window, b powerBounds) (reason, remedy text.Text) {
	switch {
	case b.equilibriumMaxW <= 0:
		return text.Of("heater_window_room_too_warm", text.Params{"high": in.HarmHighC}),
			text.Of("heater_window_cool_first", text.Params{"power": -b.equilibriumMaxW})
	case !w.OneDeadHolds:
		return text.Of("heater_window_one_is_not_enough", text.Params{"low": in.HarmLowC, "power": b.holdLowW}),
			text.Of("heater_window_use_two", nil)
	}
	reason = text.Of("heater_window_bounds_cross", text.Params{
		"count": w.Heaters, "least": w.PMinW, "most": w.EquilibriumMaxW, "high": in.HarmHighC,
	})
	remedy = text.Of("heater_window_more_and_smaller", nil)
	if w.ExistsByReaction {
		remedy = text.Sentences(remedy, text.Of("heater_window_time_to_react",
			text.Params{"power": w.ReactionMaxW, "time": in.ResponseH}))
	}
	if w.ExpectedExists {
		remedy = text.Sentences(remedy, text.Of("heater_window_measure_evaporation", nil))
	}
	return reason, remedy
}
