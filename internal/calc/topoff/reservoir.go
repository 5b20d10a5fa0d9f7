package topoff

import (
	"math"

	"saltwright/internal/calc/quantity"
)

// Remedy resolves a reservoir that must be larger than is harmless.
type Remedy string

// The remedies.
const (
	SecondCutOff Remedy = "second_cut_off" // a high-level switch of another kind in series with the pump
	RunLimit     Remedy = "run_limit"      // a timer that cuts a single run
	DayContainer Remedy = "day_container"  // a small harmless container refilled from the big one
	MoreFreeRoom Remedy = "more_free_room" // a lower running level or a larger sump
)

// ReservoirSize is the smallest sufficient reservoir next to the largest harmless one.
type ReservoirSize struct {
	SmallestSufficientL float64  // for the trip with its reserve
	LargestHarmlessL    float64  // whole content neither overflows nor dilutes past the low limit; 0 when Unlimited
	Unlimited           bool     // the pump does not outrun the evaporation: no content does harm
	LimitedBy           string   // "overflow" or "dilution"; empty when Unlimited
	DilutionL           float64  // content that just reaches the low harm limit
	OverflowL           float64  // content that just reaches the rim
	Conflict            bool     // smallest sufficient > largest harmless
	ContentHarmless     bool     // the content as it stands is below the largest harmless
	Remedies            []Remedy // when it conflicts or the content is not harmless
	LongestRunLimitMin  float64  // a run this long is still harmless; 0 when Unlimited
	RunLimitFits        bool     // and it is not shorter than one normal dose
	// days a day container of the largest harmless size lasts, high evaporation; 0 when it never empties
	DayContainerDays float64
}

// DilutionL returns the fresh water that, put in at once, brings a tank just to a salinity.
//
//	added = V0 (S0/SL - 1)
//
//	V0      water now                                    [L]
//	S0, SL  salinity now and then, SL above 0, any scale that mixes by volume
//
// Accuracy: exact when volumes add. Errors: none. Source: [Derived].
func DilutionL(volumeL, salinity, lowLimit float64) float64 { return volumeL * (salinity/lowLimit - 1) }

// largestHarmless returns the largest contents that, pumped in by a pump that never stops, do no harm.
//
//	content = added · F / (F - E), added = DilutionL or the room to the rim
//
//	F, E  pump and evaporation  [L/h]
//
// Unlimited when the pump does not outrun the evaporation.
func (p StuckPump) largestHarmless(lowLimit float64) (dilutionL, overflowL float64, unlimited bool) {
	n := p.netLPerH()
	if n <= 1e-9*p.PumpLPerH {
		return 0, 0, true
	}
	perAdded := p.PumpLPerH / n
	return DilutionL(p.VolumeL, p.Salinity, lowLimit) * perAdded, (p.OverflowL - p.VolumeL) * perAdded, false
}

func (in EnduranceInput) reservoirSize(leastLPerDay, worstLPerDay, needL float64) ReservoirSize {
	r := ReservoirSize{SmallestSufficientL: needL}
	r.DilutionL, r.OverflowL, r.Unlimited = in.pumpFor(leastLPerDay).largestHarmless(in.HarmLowPSU)
	if r.Unlimited {
		r.ContentHarmless = true
		return r
	}
	r.LargestHarmlessL, r.LimitedBy = r.DilutionL, "dilution"
	if r.OverflowL < r.DilutionL {
		r.LargestHarmlessL, r.LimitedBy = r.OverflowL, "overflow"
	}
	r.Conflict = r.SmallestSufficientL > r.LargestHarmlessL
	// The rim is reached but not passed on equality; the salinity limit is reached, and that is harm.
	r.ContentHarmless = in.Reservoir.ContentL <= r.OverflowL && in.Reservoir.ContentL < r.DilutionL
	r.LongestRunLimitMin = quantity.MinutesPerHour * r.LargestHarmlessL / in.Pump.FlowLPerH
	run := in.pumpRun(0, worstLPerDay)
	r.RunLimitFits = run.KeepsUp && r.LongestRunLimitMin >= run.ShortestLimitMin
	if worstLPerDay > 0 {
		if h, ok := bounded(quantity.HoursPerDay * r.LargestHarmlessL / worstLPerDay); ok {
			r.DayContainerDays = h / quantity.HoursPerDay
		}
	}
	if !r.Conflict && r.ContentHarmless {
		return r
	}
	r.Remedies = append(r.Remedies, SecondCutOff)
	if r.RunLimitFits {
		r.Remedies = append(r.Remedies, RunLimit)
	}
	if r.DayContainerDays >= 1 {
		r.Remedies = append(r.Remedies, DayContainer)
	}
	if r.LimitedBy == "overflow" {
		r.Remedies = append(r.Remedies, MoreFreeRoom)
	}
	return r
}

// SiphonResult is what the reservoir's height brings when the pump is off.
type SiphonResult struct {
	Risk      bool    // the reservoir's water stands above the hose's end and nothing breaks a siphon
	VolumeL   float64 // that would run by itself
	Salinity  float64 // after it
	Overflows bool
	Harmful   bool // it overflows or reaches the low harm limit
	Backflow  bool // the hose ends under water and the reservoir stands lower: salt water can run back
}

func (in EnduranceInput) siphon() SiphonResult {
	s := SiphonResult{Salinity: float64(in.Salinity)}
	res := in.Reservoir
	if res.SiphonBreak {
		return s
	}
	s.Backflow = res.HoseEndMM < in.Sump.WaterLineMM && res.WaterLineMM < in.Sump.WaterLineMM
	if res.WaterLineMM <= res.HoseEndMM || res.ContentL == 0 {
		return s
	}
	s.Risk = true
	s.VolumeL = res.siphonedL()
	added := math.Min(s.VolumeL, in.Sump.FreeL)
	at := in.VolumeL + added
	// What is beyond the rim dilutes and spills like a stuck pump without evaporation.
	s.Salinity = float64(in.Salinity) * in.VolumeL / at * math.Exp(-(s.VolumeL-added)/at)
	s.Overflows = s.VolumeL > in.Sump.FreeL
	s.Harmful = s.Overflows || s.Salinity <= in.HarmLowPSU
	return s
}

// siphonedL is what runs out of an upright reservoir, down to its floor or to the hose's end, whichever is higher.
func (res Reservoir) siphonedL() float64 {
	stop := math.Max(res.HoseEndMM, res.FloorMM)
	return res.ContentL * (res.WaterLineMM - stop) / (res.WaterLineMM - res.FloorMM)
}

// DrainDown is the water that runs back when the return pump stops, against the room for it.
type DrainDown struct {
	VolumeL float64
	FreeL   float64
	SpareL  float64 // free less drain-down; negative: this much ends on the floor
	Fits    bool
}

func (in EnduranceInput) drainDown() DrainDown {
	spare := in.Sump.FreeL - in.Sump.DrainDownL
	return DrainDown{VolumeL: in.Sump.DrainDownL, FreeL: in.Sump.FreeL, SpareL: spare, Fits: spare >= 0}
}

// BackSiphonInput is what stands above the sump when all runs.
type BackSiphonInput struct {
	DisplayAreaM2 float64 // 0.001 … 1000 m2
	WeirDropMM    float64 // running level down to the weir's edge, 0 … 500 mm
	NozzleDropMM  float64 // running level down to where the return line takes in air, 0 … 2000 mm
	PlumbingL     float64 // in pipes and overflow box that empties, 0 … 1e5 L
}

// BackSiphonL returns the water that runs to the sump when the return pump stops.
//
//	V = A · max(weir drop, nozzle drop) + plumbing
//
//	A      display's surface                                       [m2]
//	drops  running level to weir and to the return line's air hole [mm]
//
// A check valve in the return line is taken to leak. Accuracy: exact for an upright display.
// Errors: *calc.RangeError. Source: [Derived].
func BackSiphonL(in BackSiphonInput) (float64, error) {
	if err := checkAll([]bound{
		{"display_area_m2", in.DisplayAreaM2, 1e-3, 1e3, "m2"},
		{"weir_drop_mm", in.WeirDropMM, 0, 500, "mm"},
		{"nozzle_drop_mm", in.NozzleDropMM, 0, 2000, "mm"},
		{"plumbing_l", in.PlumbingL, 0, 1e5, "L"},
	}); err != nil {
		return 0, err
	}
	return in.DisplayAreaM2*math.Max(in.WeirDropMM, in.NozzleDropMM) + in.PlumbingL, nil
}
