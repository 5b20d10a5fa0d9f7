package water

import (
	"context"

	"saltwright/internal/answer/envelope"
	"saltwright/internal/answer/tank"
	"saltwright/internal/calc/evaporation"
	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/text"
	"saltwright/internal/calc/topoff"
	"saltwright/internal/catalogue"
	"saltwright/internal/chart"
)

type topOffRequest struct {
	VolumeL             float64  `json:"volume_l"`
	SurfaceLengthMM     float64  `json:"surface_length_mm"`
	SurfaceWidthMM      float64  `json:"surface_width_mm"`
	SumpSurfaceM2       float64  `json:"sump_surface_m2"`
	Lid                 string   `json:"lid"`
	WaterC              float64  `json:"water_c"`
	SalinityPSU         float64  `json:"salinity_psu"`
	HarmLowPSU          float64  `json:"harm_low_psu"`
	HarmHighPSU         float64  `json:"harm_high_psu"`
	RoomC               float64  `json:"room_c"`
	ColdestC            *float64 `json:"coldest_c,omitempty"`
	WarmestC            *float64 `json:"warmest_c,omitempty"`
	RHPercent           float64  `json:"rh_percent"`
	AirSpeedMS          float64  `json:"air_speed_m_s"`
	AltitudeM           float64  `json:"altitude_m"`
	MeasuredLD          *float64 `json:"measured_l_d,omitempty"`
	MeasuredUncertainty float64  `json:"measured_uncertainty_percent"`
	ReservoirL          float64  `json:"reservoir_l"`
	ReservoirContentL   *float64 `json:"reservoir_content_l,omitempty"`
	ReservoirFloorMM    float64  `json:"reservoir_floor_mm"`
	ReservoirLineMM     float64  `json:"reservoir_water_line_mm"`
	HoseEndMM           float64  `json:"hose_end_mm"`
	SiphonBreak         bool     `json:"siphon_break"`
	ChamberLengthMM     float64  `json:"return_chamber_length_mm"`
	ChamberWidthMM      float64  `json:"return_chamber_width_mm"`
	SumpWaterLineMM     float64  `json:"sump_water_line_mm"`
	ReturnIntakeMM      float64  `json:"return_intake_mm"`
	SumpFreeL           float64  `json:"sump_free_l"`
	DrainDownL          float64  `json:"drain_down_l"`
	LevelBandMM         float64  `json:"level_band_mm"`
	PumpLH              float64  `json:"pump_l_h"`
	PipeMaxLH           *float64 `json:"pipe_max_l_h,omitempty"`
	RunLimitMin         float64  `json:"run_limit_min"`
	DaysAway            float64  `json:"days_away"`
	ReservePercent      float64  `json:"reserve_percent"`
}

type topOffRoom struct {
	Room              string   `json:"room"`
	LowLD             float64  `json:"low_l_d"`
	ExpectedLD        float64  `json:"expected_l_d"`
	HighLD            float64  `json:"high_l_d"`
	Empties           bool     `json:"empties"`
	BestDays          *float64 `json:"best_days,omitempty"`
	ExpectedDays      *float64 `json:"expected_days,omitempty"`
	WorstDays         *float64 `json:"worst_days,omitempty"`
	LevelFallMMD      float64  `json:"level_fall_mm_d"`
	SalinityRisePSUD  float64  `json:"salinity_rise_psu_d"`
	RunsDry           bool     `json:"runs_dry"`
	RunDryH           *float64 `json:"run_dry_h,omitempty"`
	SalinityAtRunDry  *float64 `json:"salinity_at_run_dry_psu,omitempty"`
	HighSalinityH     *float64 `json:"high_salinity_h,omitempty"`
	HighSalinityFirst bool     `json:"high_salinity_first"`
	Condensing        bool     `json:"condensing"`
}

type topOffPathPoint struct {
	Hours       float64 `json:"after_h"`
	VolumeL     float64 `json:"volume_l"`
	SalinityPSU float64 `json:"salinity_psu"`
	SpilledL    float64 `json:"spilled_l"`
}

type topOffStuck struct {
	Harmless         bool              `json:"harmless"`
	Empties          bool              `json:"empties"`
	ReservoirEmptyH  *float64          `json:"reservoir_empty_h,omitempty"`
	Overflows        bool              `json:"overflows"`
	OverflowH        *float64          `json:"overflow_h,omitempty"`
	ReachesLow       bool              `json:"reaches_low_salinity"`
	LowSalinityH     *float64          `json:"low_salinity_h,omitempty"`
	FinalSalinityPSU float64           `json:"final_salinity_psu"`
	SpilledL         float64           `json:"spilled_l"`
	Path             []topOffPathPoint `json:"path"`
	PerRunL          *float64          `json:"per_run_l,omitempty"`
	SalinityAtLimit  *float64          `json:"salinity_at_run_limit_psu,omitempty"`
	LimitHarmless    bool              `json:"run_limit_harmless"`
}

type topOffReservoir struct {
	SmallestSufficientL float64  `json:"smallest_sufficient_l"`
	LargestHarmlessL    float64  `json:"largest_harmless_l"`
	Unlimited           bool     `json:"unlimited"`
	LimitedBy           string   `json:"limited_by"`
	DilutionL           float64  `json:"dilution_l"`
	OverflowL           float64  `json:"overflow_l"`
	Conflict            bool     `json:"conflict"`
	ContentHarmless     bool     `json:"content_harmless"`
	Remedies            []string `json:"remedies"`
	LongestRunLimitMin  *float64 `json:"longest_run_limit_min,omitempty"`
	RunLimitFits        bool     `json:"run_limit_fits"`
	DayContainerDays    *float64 `json:"day_container_days,omitempty"`
}

type topOffPump struct {
	DutyShare        float64  `json:"duty_share"`
	KeepsUp          bool     `json:"keeps_up"`
	DoseL            float64  `json:"dose_l"`
	DoseMin          *float64 `json:"dose_min,omitempty"`
	DosesPerDay      float64  `json:"doses_per_day"`
	ShortestLimitMin *float64 `json:"shortest_limit_min,omitempty"`
	LimitTooShort    bool     `json:"limit_too_short"`
}

type topOffSiphon struct {
	Risk        bool    `json:"risk"`
	VolumeL     float64 `json:"volume_l"`
	SalinityPSU float64 `json:"salinity_psu"`
	Overflows   bool    `json:"overflows"`
	Harmful     bool    `json:"harmful"`
	Backflow    bool    `json:"backflow"`
}

type topOffDrainDown struct {
	VolumeL float64 `json:"volume_l"`
	FreeL   float64 `json:"free_l"`
	SpareL  float64 `json:"spare_l"`
	Fits    bool    `json:"fits"`
}

type topOffTrip struct {
	NeedL      float64 `json:"need_l"`
	ExpectedL  float64 `json:"expected_l"`
	Sufficient bool    `json:"sufficient"`
	ShortL     float64 `json:"short_l"`
}

type topOffResponse struct {
	WorstRoom string          `json:"worst_room"`
	Trip      topOffTrip      `json:"trip"`
	Reservoir topOffReservoir `json:"reservoir"`
	Stuck     topOffStuck     `json:"stuck_pump"`
	Pump      topOffPump      `json:"pump"`
	Siphon    topOffSiphon    `json:"siphon"`
	DrainDown topOffDrainDown `json:"drain_down"`
	Rooms     []topOffRoom    `json:"rooms"`
}

func (r topOffRequest) input() (topoff.EnduranceInput, []envelope.Assumption, error) {
	lid, err := evaporation.LidFactor(evaporation.Lid(r.Lid))
	if err != nil {
		return topoff.EnduranceInput{}, nil, err
	}
	in := topoff.EnduranceInput{
		VolumeL: r.VolumeL, Salinity: quantity.PracticalSalinity(r.SalinityPSU), HarmLowPSU: r.HarmLowPSU,
		HarmHighPSU: r.HarmHighPSU,
		Water:       quantity.Celsius(r.WaterC),
		Surfaces: []topoff.FreeSurface{{AreaM2: r.SurfaceLengthMM * r.SurfaceWidthMM / quantity.SquareMMPerSquareMetre,
			LidFactor: lid}},
		Reservoir: topoff.Reservoir{
			SizeL: r.ReservoirL, ContentL: r.ReservoirL, FloorMM: r.ReservoirFloorMM, WaterLineMM: r.ReservoirLineMM,
			HoseEndMM: r.HoseEndMM, SiphonBreak: r.SiphonBreak,
		},
		Sump: topoff.Sump{
			ReturnChamberAreaM2: r.ChamberLengthMM * r.ChamberWidthMM / quantity.SquareMMPerSquareMetre,
			WaterLineMM:         r.SumpWaterLineMM,
			ReturnIntakeMM:      r.ReturnIntakeMM, FreeL: r.SumpFreeL, DrainDownL: r.DrainDownL,
			LevelBandMM: r.LevelBandMM,
		},
		Pump:     topoff.Pump{FlowLPerH: r.PumpLH, PipeMaxLPerH: r.PumpLH, RunLimitMin: r.RunLimitMin},
		DaysAway: r.DaysAway, ReservePercent: r.ReservePercent,
	}
	if r.SumpSurfaceM2 > 0 {
		in.Surfaces = append(in.Surfaces, topoff.FreeSurface{AreaM2: r.SumpSurfaceM2, LidFactor: lid})
	}
	coldest, warmest, assumed := tank.RoomStates(r.RoomC, r.ColdestC, r.WarmestC)
	for _, x := range []struct {
		into *topoff.Room
		at   float64
	}{{&in.Coldest, coldest}, {&in.Usual, r.RoomC}, {&in.Warmest, warmest}} {
		air, err := tank.Air(x.at, r.RHPercent, r.AltitudeM)
		if err != nil {
			return in, nil, err
		}
		*x.into = topoff.Room{Air: air, AirSpeedMS: r.AirSpeedMS}
	}
	if r.MeasuredLD != nil {
		in.Measured = &topoff.Measured{LitresPerDay: *r.MeasuredLD, Room: in.Usual, Water: in.Water,
			UncertaintyPercent: r.MeasuredUncertainty}
	}
	if r.ReservoirContentL != nil {
		in.Reservoir.ContentL = *r.ReservoirContentL
	} else {
		assumed = append(assumed, envelope.Assumption{Pointer: "#/reservoir_content_l", Value: r.ReservoirL,
			Unit: "L",
			Why:  "derived", Source: "Derived", Note: text.Of("assumed_full_reservoir", nil)})
	}
	if r.PipeMaxLH != nil {
		in.Pump.PipeMaxLPerH = *r.PipeMaxLH
	}
	return in, assumed, nil
}

func newTopOffResponse(e topoff.EnduranceResult) topOffResponse {
	out := topOffResponse{
		WorstRoom: e.WorstRoom, Trip: topOffTrip(e.Trip), Pump: newTopOffPump(e.Run), Siphon: topOffSiphon{
			Risk: e.Siphon.Risk, VolumeL: e.Siphon.VolumeL, SalinityPSU: e.Siphon.Salinity,
			Overflows: e.Siphon.Overflows,
			Harmful:   e.Siphon.Harmful, Backflow: e.Siphon.Backflow,
		},
		DrainDown: topOffDrainDown(e.DrainDown), Rooms: []topOffRoom{},
		Stuck: topOffStuck{
			Harmless: e.Stuck.Harmless, Empties: e.Stuck.Empties,
			ReservoirEmptyH: onlyIf(e.Stuck.Empties, e.Stuck.ReservoirEmptyH),
			Overflows:       e.Stuck.Overflows,
			OverflowH:       onlyIf(e.Stuck.Overflows, e.Stuck.OverflowH),
			ReachesLow:      e.Stuck.ReachesLow, LowSalinityH: onlyIf(e.Stuck.ReachesLow, e.Stuck.LowSalinityH),
			FinalSalinityPSU: e.Stuck.FinalSalinity, SpilledL: e.Stuck.SpilledL, Path: []topOffPathPoint{},
			PerRunL:         onlyIf(e.Stuck.PerRunLimitL > 0, e.Stuck.PerRunLimitL),
			SalinityAtLimit: onlyIf(e.Stuck.SalinityAtLimit > 0, e.Stuck.SalinityAtLimit),
			LimitHarmless:   e.Stuck.LimitHarmless,
		},
		Reservoir: topOffReservoir{
			SmallestSufficientL: e.Size.SmallestSufficientL, LargestHarmlessL: e.Size.LargestHarmlessL,
			Unlimited: e.Size.Unlimited,
			LimitedBy: orNone(e.Size.LimitedBy), DilutionL: e.Size.DilutionL, OverflowL: e.Size.OverflowL,
			Conflict:        e.Size.Conflict,
			ContentHarmless: e.Size.ContentHarmless, Remedies: []string{},
			LongestRunLimitMin: onlyIf(!e.Size.Unlimited, e.Size.LongestRunLimitMin),
			RunLimitFits:       e.Size.RunLimitFits,
			DayContainerDays:   onlyIf(e.Size.DayContainerDays > 0, e.Size.DayContainerDays),
		},
	}
	for _, r := range e.Size.Remedies {
		out.Reservoir.Remedies = append(out.Reservoir.Remedies, string(r))
	}
	for _, p := range e.Stuck.Path {
		out.Stuck.Path = append(out.Stuck.Path, topOffPathPoint{Hours: p.Hours, VolumeL: p.VolumeL,
			SalinityPSU: p.Salinity, SpilledL: p.SpilledL})
	}
	for _, r := range e.Rooms {
		out.Rooms = append(out.Rooms, topOffRoom{
			Room: r.Room, LowLD: r.LitresPerDay.Low, ExpectedLD: r.LitresPerDay.Expected, HighLD: r.LitresPerDay.High,
			Empties:          r.Empties,
			BestDays:         onlyIf(r.BestDays > 0, r.BestDays),
			ExpectedDays:     onlyIf(r.Empties, r.ExpectedDays),
			WorstDays:        onlyIf(r.WorstDays > 0, r.WorstDays),
			LevelFallMMD:     r.LevelFallMMPerDay.Expected,
			SalinityRisePSUD: r.SalinityRisePerDay.Expected, RunsDry: r.RunsDry, RunDryH: onlyIf(r.RunsDry, r.RunDryH),
			SalinityAtRunDry:  onlyIf(r.RunsDry, r.SalinityAtRunDry),
			HighSalinityH:     onlyIf(r.HighSalinityH > 0, r.HighSalinityH),
			HighSalinityFirst: r.SalinityHighFirst, Condensing: r.Condensing,
		})
	}
	return out
}

func newTopOffPump(p topoff.PumpRun) topOffPump {
	return topOffPump{
		DutyShare: p.Duty, KeepsUp: p.KeepsUp, DoseL: p.DoseL, DoseMin: onlyIf(p.KeepsUp, p.DoseMin),
		DosesPerDay:      p.DosesPerDay,
		ShortestLimitMin: onlyIf(p.KeepsUp, p.ShortestLimitMin), LimitTooShort: p.LimitTooShort,
	}
}

func orNone(s string) string {
	if s == "" {
		return "nothing"
	}
	return s
}

// TopOffEndurance is how long a reservoir lasts and what a stuck pump can do.
func TopOffEndurance(_ context.Context, r topOffRequest) (envelope.Answer[topOffResponse], error) {
	in, assumed, err := r.input()
	if err != nil {
		return envelope.Answer[topOffResponse]{}, err
	}
	e, err := topoff.Endurance(in)
	if err != nil {
		return envelope.Answer[topOffResponse]{}, err
	}
	return envelope.Answer[topOffResponse]{
		Result: newTopOffResponse(e), Assumptions: assumed, Warnings: topOffWarnings(e),
		Cautions: []envelope.Caution{envelope.MainsNearWater},
		Sources:  []string{"CommonPractice"},
		Charts: func(u catalogue.Reader) ([]chart.Chart, error) {
			return []chart.Chart{reservoirChart(u, e, in.Reservoir.ContentL, r.DaysAway)}, nil
		},
		Headline: topOffHeadline(in, e), Details: topOffDetails(e), KeyFigures: topOffFigures(e),
		Actions: topOffActions(in, e),
	}, nil
}
