package heat

import (
	"math"

	"saltwright/internal/calc"
	"saltwright/internal/calc/evaporation"
	"saltwright/internal/calc/moistair"
	"saltwright/internal/calc/numeric"
	"saltwright/internal/calc/quantity"
)

// vapourGasConstant is that of water vapour, J/(kg K). Source: [ASHRAEFundamentals2017].
const vapourGasConstant = 461.52

// DampRH is the relative humidity of a room above which its walls may grow mould. Source: [CommonPractice].
const DampRH = 0.65

// CoolingFanInput is a fan over the water in a room that its vapour moistens.
type CoolingFanInput struct {
	Fan         FanInput
	TargetC     float64 // the water is not to get warmer than this, 0 … 40 °C
	RoomM3      float64 // 1 … 1e5 m3
	AirChangesH float64 // outdoor air changes an hour, 0.01 … 50
	FanW        float64 // electric, 0 … 1000 W; counted as heat of the room, not of the water
}

// CoolingFanResult is what the fan does once the room has become as moist as it makes it.
type CoolingFanResult struct {
	Fan          FanResult // in that room
	RHAfter      float64   // relative humidity of the room with the fan, 0 … 1
	AddedKgH     float64   // vapour that the fan adds to the room
	Saturates    bool      // the room would reach 100 %: water runs down walls and windows
	GainedK      float64   // WithoutC - WithC; 0 when one of them does not settle
	Holds        bool      // the water stays at or below the target
	Impossible   bool      // the target is at or below the wet bulb: no fan of any size holds it
	RemainingW   float64   // to remove by other means to hold the target; 0 when it holds
	SpeedNeeded  float64   // air speed at which it would hold; 0 when none up to 3 m/s does
	WithoutHolds bool      // the water stays at the target without a fan
	EnergyKWhD   float64   // of the fan itself
}

// CoolingFan returns what moving air over the water brings, in a room that gets moister by it.
//
//	e1 = e0 + G Rv T / (n V),  G = evaporation with the fan - without, solved for e1
//
//	e0, e1  vapour pressure of the room before and with the fan  [Pa]
//	G       vapour the fan adds                                  [kg/s]
//	n V     outdoor air                                          [m3/s]
//
// The stated humidity is the room's with the water uncooled in it. The room's
// temperature is held by whatever holds it. Accuracy: as Fan; the room is well mixed.
// Errors: *calc.RangeError; *calc.ConflictError as Fan.
// Source: [Derived] (conservation of vapour), [ASHRAEFundamentals2017], [ASHRAEApplications].
func CoolingFan(in CoolingFanInput) (CoolingFanResult, error) {
	var r CoolingFanResult
	for _, c := range []struct {
		param           string
		value, min, max float64
		unit            string
	}{
		{"water_c", in.TargetC, minWaterC, maxWaterC, "degC"},
		{"room_m3", in.RoomM3, 1, 1e5, "m3"},
		{"air_changes_h", in.AirChangesH, 0.01, 50, "1/h"},
		{"fan_w", in.FanW, 0, 1000, "W"},
	} {
		if err := calc.CheckRange(c.param, c.value, c.min, c.max, c.unit); err != nil {
			return r, err
		}
	}
	if err := in.Fan.check(); err != nil {
		return r, err
	}
	gains, err := in.Fan.System.gainsW(in.Fan.Gains)
	if err != nil {
		return r, err
	}
	quiet := in.Fan.Room
	without, err := in.settled(quiet, quiet.AirSpeedMS, gains)
	if err != nil {
		return r, err
	}
	rh, saturates, err := in.moistened(without, gains)
	if err != nil {
		return r, err
	}
	r.RHAfter, r.Saturates = rh, saturates
	blown := in.Fan
	blown.Room.Air.RelativeHumidity = rh
	if r.Fan, err = Fan(blown); err != nil {
		return r, err
	}
	if r.Fan.WithoutC, err = in.Fan.System.settles(quiet, quiet.AirSpeedMS, gains, EvaporationExpected); err != nil {
		r.Fan.WithoutC, r.Fan.WithoutOK = 0, false
	}
	with, err := in.settled(blown.Room, in.Fan.FanSpeedMS, gains)
	if err != nil {
		return r, err
	}
	r.AddedKgH = with - without
	r.Fan.ExtraLitresPerDay = evaporation.LitresPerDay(r.AddedKgH)
	if r.Fan.WithoutOK && r.Fan.WithOK {
		r.GainedK = r.Fan.WithoutC - r.Fan.WithC
	}
	r.WithoutHolds = r.Fan.WithoutOK && r.Fan.WithoutC <= in.TargetC
	r.Holds = r.Fan.WithOK && r.Fan.WithC <= in.TargetC
	r.Impossible = in.TargetC <= r.Fan.WetBulbC && !r.WithoutHolds
	r.EnergyKWhD = in.FanW * quantity.HoursPerDay / quantity.WattsPerKilowatt
	if r.Holds {
		return r, nil
	}
	at, err := in.Fan.System.losses(in.TargetC, blown.Room, in.Fan.FanSpeedMS)
	if err != nil {
		return r, err
	}
	r.RemainingW = math.Max(0, gains-at.totalW(EvaporationExpected))
	if !r.Impossible {
		r.SpeedNeeded = in.speedFor(blown.Room, gains)
	}
	return r, nil
}

// moistened returns the room's humidity that the fan's own vapour leads to, and whether the room would be full of it.
// At a water temperature the balance leaves gains - dry loss for evaporation, and that makes the room's
// humidity; the temperature is right when the model evaporates as much in that room. One root, not two nested.
func (in CoolingFanInput) moistened(without, gains float64) (rh float64, saturates bool, err error) {
	before := in.Fan.Room.Air.RelativeHumidity
	humidity := func(kgPerHour float64) (rh float64, full bool) {
		rh = before + in.humidityRise(kgPerHour-without)
		return math.Max(before, math.Min(rh, 1)), rh > 1
	}
	lossesAt := func(waterC, rh float64) (losses, error) {
		moist := in.Fan.Room
		moist.Air.RelativeHumidity = rh
		return in.Fan.System.losses(waterC, moist, in.Fan.FanSpeedMS)
	}
	var failed error
	at := func(waterC float64) (l losses, rh float64, full bool) {
		l, err := lossesAt(waterC, before)
		if err == nil {
			rh, full = humidity((gains - l.dryW) * quantity.SecondsPerHour / l.evaporation.LatentJPerKg)
			l, err = lossesAt(waterC, rh)
		}
		if err != nil && failed == nil {
			failed = err
		}
		return l, rh, full
	}
	c, rootErr := numeric.Root(func(waterC float64) float64 {
		l, _, _ := at(waterC)
		return l.totalW(EvaporationExpected) - gains
	}, minWaterC, maxWaterC, 1e-6)
	if failed == nil && rootErr == nil {
		_, rh, saturates = at(c)
		return rh, saturates, nil
	}
	if failed != nil {
		return 0, false, failed
	}
	// The water settles nowhere within range: take it at the temperature to hold.
	excess := func(rh float64) float64 {
		l, err := lossesAt(float64(in.Fan.Water), rh)
		if err != nil {
			failed = err
			return 0
		}
		next, _ := humidity(l.evaporation.Expected)
		return next - rh
	}
	if excess(before) <= 0 {
		return before, false, failed
	}
	if excess(1) >= 0 {
		return 1, true, failed
	}
	if rh, err = numeric.Root(excess, before, 1, 1e-6); failed != nil {
		return 0, false, failed
	}
	return rh, false, err
}

// settled returns the evaporation, kg/h, at the temperature that the water settles at.
func (in CoolingFanInput) settled(room Surroundings, speed, gains float64) (float64, error) {
	c, err := in.Fan.System.settles(room, speed, gains, EvaporationExpected)
	if err != nil { // it settles nowhere within range: take the temperature to hold
		c = float64(in.Fan.Water)
	}
	l, err := in.Fan.System.losses(c, room, speed)
	return l.evaporation.Expected, err
}

// humidityRise returns by how much vapour raises the room's relative humidity.
func (in CoolingFanInput) humidityRise(kgPerHour float64) float64 {
	saturation, err := moistair.SaturationPressure(in.Fan.Room.Air.Temp)
	if err != nil {
		return 0 // the balance before it refused such a room
	}
	pressure := kgPerHour / (in.AirChangesH * in.RoomM3) * vapourGasConstant * in.Fan.Room.Air.Temp.Kelvin()
	return pressure / float64(saturation)
}

// speedFor returns the air speed at which the water holds the target, 0 when none does.
func (in CoolingFanInput) speedFor(room Surroundings, gains float64) float64 {
	speed, err := numeric.Root(func(v float64) float64 {
		l, err := in.Fan.System.losses(in.TargetC, room, v)
		if err != nil {
			return math.NaN()
		}
		return l.totalW(EvaporationExpected) - gains
	}, room.AirSpeedMS, maxAirSpeedMS, 1e-5)
	if err != nil {
		return 0
	}
	return speed
}
