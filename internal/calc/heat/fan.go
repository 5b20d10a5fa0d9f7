package heat

import (
	"errors"

	"saltwright/internal/calc"
	"saltwright/internal/calc/evaporation"
	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/text"
)

// FanInput is a fan that blows over the free surfaces.
type FanInput struct {
	System     System
	Water      quantity.Celsius // temperature to hold, 0 … 40 °C
	Room       Surroundings     // without the fan
	Gains      GainsOn
	FanSpeedMS float64 // air speed over the water with it, above the room's, at most 3 m/s
}

// FanResult is what the fan does.
type FanResult struct {
	CoolingW          float64 // more heat leaves the water than without it, expected estimate
	ExtraLitresPerDay float64 // fresh water it costs, expected estimate
	WithoutC, WithC   float64 // temperatures the water settles at; 0 when the matching flag is false
	WithoutOK, WithOK bool    // whether it settles within 0 … 40 °C
	WetBulbC          float64 // no fan cools water below this; 0 where it lies below freezing
}

func (in FanInput) check() error {
	if err := in.System.check(); err != nil {
		return err
	}
	if err := checkClimate(in.Water, in.Room); err != nil {
		return err
	}
	if err := calc.CheckRange("fan_speed_m_s", in.FanSpeedMS, 0, maxAirSpeedMS, "m/s"); err != nil {
		return err
	}
	if in.FanSpeedMS <= in.Room.AirSpeedMS {
		return &calc.ConflictError{
			Params: []string{"fan_speed_m_s", "air_speed_m_s"},
			Reason: text.Plain("the fan must move the air faster than it moves without it"),
		}
	}
	return nil
}

// Fan returns the effect of moving the air over the water and what it costs in fresh water.
//
//	cooling = loss(T, fan) - loss(T, room air)
//
// Accuracy: that of the handbook's air-speed term; a factor of about 1.5.
// Errors: *calc.RangeError; *calc.ConflictError when the fan is not faster than the room's air.
// Source: [ASHRAEApplications], [Derived].
func Fan(in FanInput) (FanResult, error) {
	var r FanResult
	if err := in.check(); err != nil {
		return r, err
	}
	still, err := in.System.losses(float64(in.Water), in.Room, in.Room.AirSpeedMS)
	if err != nil {
		return r, err
	}
	blown, err := in.System.losses(float64(in.Water), in.Room, in.FanSpeedMS)
	if err != nil {
		return r, err
	}
	gains, err := in.System.gainsW(in.Gains)
	if err != nil {
		return r, err
	}
	wetBulb, err := in.Room.Air.WetBulb()
	if err != nil && !errors.Is(err, calc.ErrNoSolution) { // below freezing, where no tank is
		return r, err
	}
	r.WetBulbC = float64(wetBulb)
	r.CoolingW = blown.totalW(EvaporationExpected) - still.totalW(EvaporationExpected)
	r.ExtraLitresPerDay = evaporation.LitresPerDay(blown.evaporation.Expected - still.evaporation.Expected)
	settle := func(speed float64) (float64, bool) {
		c, err := in.System.settles(in.Room, speed, gains, EvaporationExpected)
		return c, err == nil // the inputs are checked; only a temperature outside the range is left
	}
	r.WithoutC, r.WithoutOK = settle(in.Room.AirSpeedMS)
	r.WithC, r.WithOK = settle(in.FanSpeedMS)
	return r, nil
}
