// Package topoff holds how long the fresh-water top-off of a tank lasts, what
// happens once it is empty, and what a pump that never stops can do.
package topoff

import (
	"math"

	"saltwright/internal/calc"
	"saltwright/internal/calc/evaporation"
	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/text"
)

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
	r.LitresPerDay = Spread{
		evaporation.LitresPerDay(rate.Low), evaporation.LitresPerDay(rate.Expected),
		evaporation.LitresPerDay(rate.High),
	}

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
			return 0, &calc.ConflictError{
				Params: []string{"volume_l", "surface_length_mm", "surface_width_mm"},
				Reason: text.Of("topoff_evaporates_in_a_day", nil),
			}
		}
		// S V/(V - E) - S without the difference
		return float64(in.Salinity) * litresPerDay / (in.VolumeL - litresPerDay), nil
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
