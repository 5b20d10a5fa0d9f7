package topoff

import (
	"saltwright/internal/calc"
	"saltwright/internal/calc/moistair"
	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/text"
)

// FreeSurface is one open water surface of the system.
type FreeSurface struct {
	AreaM2    float64 // 1e-4 … 1e4 m2
	LidFactor float64 // share of the free evaporation left by the lid, 0 … 1
}

// Room is the air over the water.
type Room struct {
	Air        moistair.State
	AirSpeedMS float64 // 0 … 3 m/s
}

// Measured is the evaporation a keeper found.
type Measured struct {
	LitresPerDay       float64
	Room               Room             // in which it was measured
	Water              quantity.Celsius // at which it was measured
	UncertaintyPercent float64          // 0 … 90 %
}

// Reservoir is the fresh water that waits to be pumped. Heights are over the sump's floor.
type Reservoir struct {
	SizeL       float64 // 0.1 … 1e6 L
	ContentL    float64 // 0 … SizeL
	FloorMM     float64 // height of its floor, -5000 … 20000 mm
	WaterLineMM float64 // height of its water, at least FloorMM
	HoseEndMM   float64 // height at which its hose ends in the sump, 0 … 5000 mm
	SiphonBreak bool    // an air gap or a valve that opens only with the pump
}

// Sump is where level is lost and where the top-off enters. Heights are over its floor.
type Sump struct {
	ReturnChamberAreaM2 float64 // 1e-4 … 1e3 m2
	WaterLineMM         float64 // in the return chamber when all runs, 0 … 5000 mm
	ReturnIntakeMM      float64 // at which the return pump draws air, below the water line
	FreeL               float64 // between the running level and the rim, 0 … 1e6 L
	DrainDownL          float64 // what runs back when the return pump stops (BackSiphon), 0 … 1e6 L
	LevelBandMM         float64 // between the top-off's switch points, 0.1 … 500 mm
}

// Pump is the top-off pump.
type Pump struct {
	FlowLPerH    float64 // 0.01 … 1e5 L/h
	PipeMaxLPerH float64 // what the hose and the valve let through, at least FlowLPerH
	RunLimitMin  float64 // after which a control cuts it off; 0: no limit
}

// EnduranceInput is a system with its top-off and the absence it must last.
type EnduranceInput struct {
	VolumeL        float64                    // all water, 1 … 1e6 L
	Salinity       quantity.PracticalSalinity // 1 … 42, strictly between the limits
	HarmLowPSU     float64                    // low harm limit, above 0
	HarmHighPSU    float64                    // high harm limit
	Water          quantity.Celsius           // 0 … 40 °C
	Surfaces       []FreeSurface              // 1 … 10
	Usual          Room
	Coldest        Room
	Warmest        Room
	Measured       *Measured // nil: the published correlations
	Reservoir      Reservoir
	Sump           Sump
	Pump           Pump
	DaysAway       float64 // 0.1 … 365
	ReservePercent float64 // kept on top of the trip's need, 0 … 500 %
}

func (in EnduranceInput) check() error {
	if err := checkAll([]bound{
		{"volume_l", in.VolumeL, 1, 1e6, "L"},
		{"salinity_psu", float64(in.Salinity), 1, 42, "1"},
		{"harm_low_psu", in.HarmLowPSU, 0.1, 60, "1"},
		{"harm_high_psu", in.HarmHighPSU, 0.1, 60, "1"},
		{"surfaces", float64(len(in.Surfaces)), 1, 10, "1"},
		{"reservoir_l", in.Reservoir.SizeL, 0.1, 1e6, "L"},
		{"reservoir_content_l", in.Reservoir.ContentL, 0, 1e6, "L"},
		{"reservoir_floor_mm", in.Reservoir.FloorMM, -5000, 20000, "mm"},
		{"reservoir_water_line_mm", in.Reservoir.WaterLineMM, -5000, 20000, "mm"},
		{"hose_end_mm", in.Reservoir.HoseEndMM, 0, 5000, "mm"},
		{"return_chamber_area_m2", in.Sump.ReturnChamberAreaM2, 1e-4, 1e3, "m2"},
		{"sump_water_line_mm", in.Sump.WaterLineMM, 0, 5000, "mm"},
		{"return_intake_mm", in.Sump.ReturnIntakeMM, 0, 5000, "mm"},
		{"sump_free_l", in.Sump.FreeL, 0, 1e6, "L"},
		{"drain_down_l", in.Sump.DrainDownL, 0, 1e6, "L"},
		{"level_band_mm", in.Sump.LevelBandMM, 0.1, 500, "mm"},
		{"pump_l_h", in.Pump.FlowLPerH, 0.01, 1e5, "L/h"},
		{"pipe_max_l_h", in.Pump.PipeMaxLPerH, 0.01, 1e6, "L/h"},
		{"run_limit_min", in.Pump.RunLimitMin, 0, 1e6, "min"},
		{"days_away", in.DaysAway, 0.1, 365, "d"},
		{"reserve_percent", in.ReservePercent, 0, 500, "%"},
	}); err != nil {
		return err
	}
	for _, c := range []struct {
		bad    bool
		params []string
		code   string
	}{
		{in.Sump.ReturnIntakeMM >= in.Sump.WaterLineMM, []string{
			"return_intake_mm", "sump_water_line_mm",
		}, "topoff_intake_above_line"},
		{in.Pump.FlowLPerH > in.Pump.PipeMaxLPerH, []string{"pump_l_h", "pipe_max_l_h"}, "topoff_pump_over_pipe"},
		{in.Reservoir.ContentL > in.Reservoir.SizeL, []string{
			"reservoir_content_l", "reservoir_l",
		}, "topoff_content_over_size"},
		{in.Reservoir.WaterLineMM < in.Reservoir.FloorMM || in.Reservoir.ContentL > 0 &&
			in.Reservoir.WaterLineMM == in.Reservoir.FloorMM, []string{
			"reservoir_water_line_mm", "reservoir_floor_mm",
		}, "reservoir_line_below_floor"},
		{float64(in.Salinity) <= in.HarmLowPSU || float64(in.Salinity) >= in.HarmHighPSU, []string{
			"salinity_psu", "harm_low_psu", "harm_high_psu",
		}, "topoff_salinity_outside_limits"},
		{in.Coldest.Air.Temp > in.Usual.Air.Temp || in.Usual.Air.Temp > in.Warmest.Air.Temp, []string{
			"coldest_c", "room_c", "warmest_c",
		}, "topoff_rooms_out_of_order"},
	} {
		if c.bad {
			return &calc.ConflictError{Params: c.params, Reason: text.Of(c.code, nil)}
		}
	}
	return nil
}
