// Package topoff holds how long the fresh-water top-off of a tank lasts, what
// happens once it is empty, and what a pump that never stops can do.
package topoff

import (
	"math"

	"saltwright/internal/calc"
	"saltwright/internal/calc/evaporation"
	"saltwright/internal/calc/moistair"
	"saltwright/internal/calc/quantity"
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

// Spread is a number with the uncertainty that evaporation brings.
type Spread struct{ Low, Expected, High float64 }

// RoomResult is how the top-off fares in one room.
type RoomResult struct {
	Room               string // "usual", "coldest" or "warmest"
	LitresPerDay       Spread
	Condensing         bool
	BestDays           float64 // the reservoir at the low evaporation; 0 when it never empties
	ExpectedDays       float64
	WorstDays          float64
	Empties            bool    // false: nothing evaporates at the expected rate, or not within 1e7 h
	LevelFallMMPerDay  Spread  // in the return chamber once it is empty
	SalinityRisePerDay Spread  // on the first day once it is empty
	RunDryH            float64 // from empty until the return pump draws air, worst evaporation
	SalinityAtRunDry   float64
	RunsDry            bool
	HighSalinityH      float64 // from empty until the high harm limit, worst evaporation
	SalinityHighFirst  bool    // the high harm limit comes before the return pump draws air
}

// EnduranceResult is what a top-off does in each room, for the trip, and when it fails.
type EnduranceResult struct {
	Rooms     []RoomResult // usual, coldest, warmest
	WorstRoom string       // the room with the largest high estimate
	Trip      Trip
	Run       PumpRun
	Stuck     StuckResult
	Siphon    SiphonResult
	DrainDown DrainDown
	Size      ReservoirSize
}

// Trip is the reservoir against the days away, in the worst room.
type Trip struct {
	NeedL      float64 // at the high evaporation with the reserve: the smallest sufficient content
	ExpectedL  float64 // at the expected evaporation of the usual room, no reserve
	Sufficient bool    // whether the content is at least NeedL
	ShortL     float64 // what is missing; 0 when sufficient
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
		reason string
	}{
		{in.Sump.ReturnIntakeMM >= in.Sump.WaterLineMM, []string{"return_intake_mm", "sump_water_line_mm"}, "the return pump's intake must lie below the water line, or the pump draws air from the start"},
		{in.Pump.FlowLPerH > in.Pump.PipeMaxLPerH, []string{"pump_l_h", "pipe_max_l_h"}, "the pump cannot deliver more than its pipe lets through; give the flow measured at the hose's end"},
		{in.Reservoir.ContentL > in.Reservoir.SizeL, []string{"reservoir_content_l", "reservoir_l"}, "the reservoir cannot hold more than its size"},
		{in.Reservoir.WaterLineMM < in.Reservoir.FloorMM || in.Reservoir.ContentL > 0 && in.Reservoir.WaterLineMM == in.Reservoir.FloorMM, []string{"reservoir_water_line_mm", "reservoir_floor_mm"}, "the water line of a reservoir with water in it must lie above its floor"},
		{float64(in.Salinity) <= in.HarmLowPSU || float64(in.Salinity) >= in.HarmHighPSU, []string{"salinity_psu", "harm_low_psu", "harm_high_psu"}, "the salinity to hold must lie between the low and the high harm limit"},
		{in.Coldest.Air.Temp > in.Usual.Air.Temp || in.Usual.Air.Temp > in.Warmest.Air.Temp, []string{"coldest_c", "room_c", "warmest_c"}, "the coldest room must not be warmer than the usual one, nor the usual one than the warmest"},
	} {
		if c.bad {
			return &calc.ConflictError{Params: c.params, Reason: c.reason}
		}
	}
	return nil
}

// Endurance returns how long a reservoir lasts in each room, what follows when
// it is empty, what a pump that never stops does, and the sizes between which a
// reservoir is both enough and harmless.
//
//	days  = content / evaporation
//	need  = days away · high evaporation · (1 + reserve)
//	fall  = evaporation / area of the return chamber           [mm/day]
//	rise  = S V / (V - evaporation) - S                        on the first day
//	stuck = StuckPump at the low evaporation of all rooms
//
// Evaporation is the published correlations' spread, or a measurement moved
// with the room by both. Worst means the high estimate for running out and the
// low one for a pump that never stops.
// Accuracy: that of the evaporation; the rest is bookkeeping of water and salt.
// Errors: *calc.RangeError; *calc.ConflictError naming the fields of what is impossible together.
// Source: [Derived], [ASHRAEApplications], [SmithLofJones1998], [Shah2014].
func Endurance(in EnduranceInput) (EnduranceResult, error) {
	var r EnduranceResult
	if err := in.check(); err != nil {
		return r, err
	}
	calibration, err := in.calibration()
	if err != nil {
		return r, err
	}
	least, most := math.Inf(1), -1.0
	for _, x := range []struct {
		name string
		room Room
	}{{"usual", in.Usual}, {"coldest", in.Coldest}, {"warmest", in.Warmest}} {
		room, err := in.room(x.name, x.room, calibration)
		if err != nil {
			return EnduranceResult{}, err
		}
		r.Rooms = append(r.Rooms, room)
		least = math.Min(least, room.LitresPerDay.Low)
		if room.LitresPerDay.High > most {
			most, r.WorstRoom = room.LitresPerDay.High, x.name
		}
	}
	r.Trip = in.trip(r.Rooms[0].LitresPerDay.Expected, most)
	r.Run = in.pumpRun(r.Rooms[0].LitresPerDay.Expected, most)
	r.Stuck = in.stuck(least)
	r.Siphon = in.siphon()
	r.DrainDown = in.drainDown()
	r.Size = in.reservoirSize(least, most, r.Trip.NeedL)
	return r, nil
}

func (in EnduranceInput) surfaces(room Room, water quantity.Celsius) []evaporation.Surface {
	var all []evaporation.Surface
	for _, s := range in.Surfaces {
		all = append(all, evaporation.Surface{
			AreaM2: s.AreaM2, LidFactor: s.LidFactor, Salinity: in.Salinity, Water: water,
			Air: room.Air, AirSpeedMS: room.AirSpeedMS,
		})
	}
	return all
}

func (in EnduranceInput) calibration() (*evaporation.Calibration, error) {
	if in.Measured == nil {
		return nil, nil
	}
	m := in.Measured
	c, err := evaporation.Calibrate(evaporation.Measurement{
		LitresPerDay: m.LitresPerDay, Surfaces: in.surfaces(m.Room, m.Water), UncertaintyPercent: m.UncertaintyPercent,
	})
	if err != nil {
		return nil, err
	}
	return &c, nil
}

func (in EnduranceInput) room(name string, room Room, calibration *evaporation.Calibration) (RoomResult, error) {
	r := RoomResult{Room: name}
	var rate evaporation.Range
	for _, s := range in.surfaces(room, in.Water) {
		var e evaporation.Range
		var err error
		if calibration != nil {
			e, err = calibration.Scaled(s)
		} else {
			e, err = evaporation.Estimate(s)
		}
		if err != nil {
			return r, err
		}
		rate = rate.Plus(e)
	}
	r.Condensing = rate.Condensing
	r.LitresPerDay = Spread{evaporation.LitresPerDay(rate.Low), evaporation.LitresPerDay(rate.Expected), evaporation.LitresPerDay(rate.High)}

	days := func(litresPerDay float64) (float64, bool) {
		if litresPerDay <= 0 {
			return 0, false
		}
		h, ok := bounded(quantity.HoursPerDay * in.Reservoir.ContentL / litresPerDay)
		return h / quantity.HoursPerDay, ok
	}
	r.BestDays, _ = days(r.LitresPerDay.Low) // 0 stands for never, as documented
	r.ExpectedDays, r.Empties = days(r.LitresPerDay.Expected)
	r.WorstDays, _ = days(r.LitresPerDay.High)

	area := in.Sump.ReturnChamberAreaM2
	r.LevelFallMMPerDay = Spread{r.LitresPerDay.Low / area, r.LitresPerDay.Expected / area, r.LitresPerDay.High / area}
	dry := func(litresPerDay float64) DryDown {
		return DryDown{
			VolumeL: in.VolumeL, Salinity: float64(in.Salinity), EvaporationLPerDay: litresPerDay,
			ChamberAreaM2: area, DropMM: in.Sump.WaterLineMM - in.Sump.ReturnIntakeMM,
		}
	}
	rise := func(litresPerDay float64) (float64, error) {
		if litresPerDay >= in.VolumeL {
			return 0, &calc.ConflictError{Params: []string{"volume_l", "surface_length_mm", "surface_width_mm"}, Reason: "the whole system would evaporate within a day; check its volume and its surfaces"}
		}
		return float64(in.Salinity) * litresPerDay / (in.VolumeL - litresPerDay), nil // S V/(V - E) - S without the difference
	}
	var err error
	if r.SalinityRisePerDay.Low, err = rise(r.LitresPerDay.Low); err != nil {
		return r, err
	}
	if r.SalinityRisePerDay.Expected, err = rise(r.LitresPerDay.Expected); err != nil {
		return r, err
	}
	if r.SalinityRisePerDay.High, err = rise(r.LitresPerDay.High); err != nil {
		return r, err
	}
	worst := dry(r.LitresPerDay.High)
	if r.RunDryH, r.SalinityAtRunDry, r.RunsDry, err = worst.TimeToIntake(); err != nil {
		return r, err
	}
	r.HighSalinityH, r.SalinityHighFirst, err = worst.TimeToSalinity(in.HarmHighPSU)
	return r, err
}

func (in EnduranceInput) trip(usualLPerDay, worstLPerDay float64) Trip {
	t := Trip{
		NeedL:     in.DaysAway * worstLPerDay * (1 + in.ReservePercent/quantity.PerCent),
		ExpectedL: in.DaysAway * usualLPerDay,
	}
	t.ShortL = math.Max(0, t.NeedL-in.Reservoir.ContentL)
	t.Sufficient = t.ShortL == 0
	return t
}
