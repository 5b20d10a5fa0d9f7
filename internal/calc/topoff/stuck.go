package topoff

import (
	"math"

	"saltwright/internal/calc/quantity"
)

// PathPoint is one moment of the salinity's fall while the pump runs without end.
type PathPoint struct {
	Hours float64
	Filled
}

// StuckResult is what the pump does when it never stops, until the reservoir is empty.
type StuckResult struct {
	Harmless        bool    // neither the low harm limit nor an overflow before the reservoir is empty
	ReservoirEmptyH float64 // 0 when it never empties
	Empties         bool
	OverflowH       float64 // 0 when it does not overflow before the reservoir is empty
	Overflows       bool
	LowSalinityH    float64 // 0 when the low harm limit is not reached before the reservoir is empty
	ReachesLow      bool
	FinalSalinity   float64
	FinalVolumeL    float64
	SpilledL        float64 // mixed water on the floor
	Path            []PathPoint
	PerRunLimitL    float64 // what one run to the run limit brings, at most the reservoir; 0 without a limit
	SalinityAtLimit float64 // after that run; 0 without a limit
	LimitHarmless   bool    // that run neither overflows nor reaches the low harm limit
}

const pathPoints = 13

// pumpFor is the stuck pump as the litres a day evaporate. A pump that
// evaporation outruns is taken to keep level.
func (in EnduranceInput) pumpFor(evaporationLPerDay float64) StuckPump {
	return StuckPump{
		VolumeL: in.VolumeL, OverflowL: in.VolumeL + in.Sump.FreeL, Salinity: float64(in.Salinity),
		PumpLPerH:        in.Pump.FlowLPerH,
		EvaporationLPerH: math.Min(evaporationLPerDay/quantity.HoursPerDay, in.Pump.FlowLPerH),
	}
}

func (in EnduranceInput) stuck(leastLPerDay float64) StuckResult {
	var r StuckResult
	p := in.pumpFor(leastLPerDay)
	r.ReservoirEmptyH, r.Empties = bounded(in.Reservoir.ContentL / in.Pump.FlowLPerH)
	end := math.Min(in.Reservoir.ContentL/in.Pump.FlowLPerH, neverH)
	if t, ok := p.timeToOverflow(); ok && t < end {
		r.OverflowH, r.Overflows = t, true
	}
	if t, ok := p.timeToSalinity(in.HarmLowPSU); ok && t <= end {
		r.LowSalinityH, r.ReachesLow = t, true
	}
	r.Harmless = !r.Overflows && !r.ReachesLow
	last := p.after(end)
	r.FinalSalinity, r.FinalVolumeL, r.SpilledL = last.Salinity, last.VolumeL, last.SpilledL
	for i := range pathPoints {
		h := end * float64(i) / (pathPoints - 1)
		r.Path = append(r.Path, PathPoint{Hours: h, Filled: p.after(h)})
	}
	if in.Pump.RunLimitMin > 0 {
		h := math.Min(in.Pump.RunLimitMin/quantity.MinutesPerHour, end)
		at := p.after(h)
		r.PerRunLimitL = h * in.Pump.FlowLPerH
		r.SalinityAtLimit = at.Salinity
		r.LimitHarmless = at.SpilledL == 0 && at.Salinity > in.HarmLowPSU
	}
	return r
}

// PumpRun is how the pump works from day to day.
type PumpRun struct {
	Duty             float64 // share of the day it runs, usual room, expected evaporation, 0 … 1
	KeepsUp          bool    // whether it outruns the high evaporation of the worst room
	DoseL            float64 // between the switch points of the level control
	DoseMin          float64 // how long one dose takes at the high evaporation; 0 when it does not keep up
	DosesPerDay      float64 // usual room, expected evaporation
	ShortestLimitMin float64 // shortest sensible run limit: twice one dose; 0 when it does not keep up
	LimitTooShort    bool    // the limit given would cut off a normal dose
}

// runLimitFactor: a limit below twice the longest normal dose trips without a fault. Source: [CommonPractice].
const runLimitFactor = 2

func (in EnduranceInput) pumpRun(usualLPerDay, worstLPerDay float64) PumpRun {
	r := PumpRun{
		Duty:  math.Min(1, usualLPerDay/quantity.HoursPerDay/in.Pump.FlowLPerH),
		DoseL: in.Sump.ReturnChamberAreaM2 * in.Sump.LevelBandMM,
	}
	r.DosesPerDay = usualLPerDay / r.DoseL
	net := in.Pump.FlowLPerH - worstLPerDay/quantity.HoursPerDay
	if net <= 0 {
		return r
	}
	if h, ok := bounded(r.DoseL / net); ok {
		r.KeepsUp = true
		r.DoseMin = quantity.MinutesPerHour * h
		r.ShortestLimitMin = runLimitFactor * r.DoseMin
		r.LimitTooShort = in.Pump.RunLimitMin > 0 && in.Pump.RunLimitMin < r.DoseMin
	}
	return r
}
