package topoff

import (
	"math"

	"saltwright/internal/calc"
	"saltwright/internal/calc/text"
)

// DrainBackInput is a display over a sump whose return pump stops.
type DrainBackInput struct {
	BackSiphon     BackSiphonInput
	SumpAreaM2     float64    // of all chambers that fill together, 0.001 … 1000 m2
	RunningMM      float64    // mean water line while all runs, over the sump's floor, 0 … 5000 mm
	RimMM          float64    // over the sump's floor, above RunningMM, at most 5000 mm
	DisplacedL     float64    // what stands in the sump between the two, 0 … 1e5 L
	MarginMM       float64    // to keep under the rim, 0 … 1000 mm
	Reservoir      *Reservoir // that may empty by itself at the same time; nil: none
	TopOffMissedMM float64    // how far the running level may already stand high when it happens, 0 … 500 mm
}

// DrainBackResult is where the sump's water ends.
type DrainBackResult struct {
	DrainL         float64 // from display and pipes
	SiphonL        float64 // from the reservoir
	RiseMM         float64
	LevelMM        float64 // at most the rim
	MarginMM       float64 // left to the rim; negative: it would have stood this much above it
	FreeL          float64 // between running level and rim
	SpareL         float64 // free less what comes down; negative: this much ends on the floor
	Overflows      bool
	KeepsMargin    bool
	HighestRunMM   float64 // running level that still keeps the margin; 0 when none does
	DeepestDropMM  float64 // nozzle and weir drop that still keeps the margin at this running level; 0 when none does
	SiphonPossible bool    // the reservoir's water stands above its hose's end and nothing breaks a siphon
}

// DrainBack returns where the sump's level ends when the return pump stops, and what keeps it off the floor.
//
//	drain = BackSiphonL,  rise = (drain + siphon + displaced) / area
//	spare = area (rim - running) - displaced - drain - siphon
//
// Check valves are taken to leak, as they do in time.
// Accuracy: exact for upright walls and chambers that fill together.
// Errors: *calc.RangeError; *calc.ConflictError when the running level is not below the rim.
// Source: [Derived].
func DrainBack(in DrainBackInput) (DrainBackResult, error) {
	var r DrainBackResult
	if err := checkAll([]bound{
		{"sump_area_m2", in.SumpAreaM2, 1e-3, 1e3, "m2"},
		{"sump_water_line_mm", in.RunningMM, 0, 5000, "mm"},
		{"sump_rim_mm", in.RimMM, 1, 5000, "mm"},
		{"displaced_l", in.DisplacedL, 0, 1e5, "L"},
		{"margin_mm", in.MarginMM, 0, 1000, "mm"},
		{"high_level_mm", in.TopOffMissedMM, 0, 500, "mm"},
	}); err != nil {
		return r, err
	}
	if in.RunningMM+in.TopOffMissedMM >= in.RimMM {
		return r, &calc.ConflictError{
			Params: []string{"sump_water_line_mm", "high_level_mm", "sump_rim_mm"},
			Reason: text.Of("drain_water_line_above_rim", nil),
		}
	}
	var err error
	if r.DrainL, err = BackSiphonL(in.BackSiphon); err != nil {
		return r, err
	}
	if res := in.Reservoir; res != nil {
		if res.WaterLineMM < res.FloorMM || res.ContentL > 0 && res.WaterLineMM == res.FloorMM {
			return r, &calc.ConflictError{
				Params: []string{"reservoir_water_line_mm", "reservoir_floor_mm"},
				Reason: text.Of("reservoir_line_below_floor", nil),
			}
		}
		if err := checkAll([]bound{
			{"reservoir_content_l", res.ContentL, 0, 1e6, "L"}, {"hose_end_mm", res.HoseEndMM, 0, 5000, "mm"},
		}); err != nil {
			return r, err
		}
		if !res.SiphonBreak && res.ContentL > 0 && res.WaterLineMM > res.HoseEndMM {
			r.SiphonPossible, r.SiphonL = true, res.siphonedL()
		}
	}
	running := in.RunningMM + in.TopOffMissedMM
	down := r.DrainL + r.SiphonL
	// A litre over a square metre is a millimetre.
	r.FreeL = in.SumpAreaM2*(in.RimMM-running) - in.DisplacedL
	r.SpareL = r.FreeL - down
	r.Overflows = r.SpareL < 0
	r.RiseMM = (down + in.DisplacedL) / in.SumpAreaM2
	r.LevelMM = math.Min(running+r.RiseMM, in.RimMM)
	r.MarginMM = in.RimMM - running - r.RiseMM
	r.KeepsMargin = r.MarginMM >= in.MarginMM
	r.HighestRunMM = math.Max(0, in.RimMM-in.MarginMM-r.RiseMM-in.TopOffMissedMM)
	room := in.SumpAreaM2*(in.RimMM-running-in.MarginMM) - in.DisplacedL - r.SiphonL - in.BackSiphon.PlumbingL
	r.DeepestDropMM = math.Max(0, room/in.BackSiphon.DisplayAreaM2)
	return r, nil
}
