// Package year holds what a tank takes over twelve months of its room.
package year

import (
	"fmt"
	"math"

	"saltwright/internal/calc"
	"saltwright/internal/calc/evaporation"
	"saltwright/internal/calc/heat"
	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/text"
)

const (
	months = 12
)

// Days of each month, February with 28.25.
var Days = [months]float64{31, 28.25, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31}

// TypicalRoom is a month of a heated, not cooled home in a temperate climate.
type TypicalRoom struct{ TempC, RHPercent float64 }

// NorthernHome is such a home north of the equator, January first; common practice, no source.
var NorthernHome = [months]TypicalRoom{
	{20, 40}, {20, 40}, {20.5, 42}, {21, 45}, {22, 50}, {23.5, 55}, {25, 55}, {25, 55}, {23, 55}, {21.5, 50},
	{20.5, 45}, {20, 40},
}

// Typical returns the typical home's room in a month.
//
//	month  0 is January … 11
//
// South of the equator it is half a year later.
// Accuracy: none is known; a thermometer in the room is better.
// Errors: *calc.RangeError. Source: [CommonPractice].
func Typical(month int, southern bool) (TypicalRoom, error) {
	if err := calc.CheckRange("month", float64(month), 0, months-1, "1"); err != nil {
		return TypicalRoom{}, err
	}
	if southern {
		month = (month + months/2) % months
	}
	return NorthernHome[month], nil
}

// Input is a tank, twelve rooms and what things cost.
type Input struct {
	System      heat.System
	SetpointC   float64                   // 0 … 40 °C
	Months      [months]heat.Surroundings // mean of each month, January first
	ColdWeekK   float64                   // how much colder than its month the coldest week is, 0 … 15 K
	WarmWeekK   float64                   // how much warmer the warmest is, 0 … 15 K
	ChillerCOP  float64                   // 0: no chiller, the water gets warmer; else 0.5 … 10
	ReservoirL  float64                   // of the top-off, 0: not asked for, up to 1e6 L
	OtherW      float64                   // mean electric power of everything but heater and chiller, 0 … 1e5 W
	PricePerKWh float64                   // 0 … 1000, in any currency
	PricePerM3  float64                   // of the fresh water, 0 … 1e5
	// water temperature that is still accepted without a chiller, SetpointC … 40 °C
	HighestHoldC   float64
	WaterChangePct float64 // of the volume a month by water changes, 0 … 200 %
}

// Month is what one month takes.
type Month struct {
	Month         int // 1 … 12
	AirC          float64
	WaterC        float64 // the setpoint, or above it when the room is warm and no chiller runs
	HeatingW      float64 // mean, expected evaporation
	CoolingW      float64 // mean; 0 without a chiller
	HeaterKWh     float64
	ChillerKWh    float64
	EvaporationLD evaporationSpread
	TopOffL       float64
	TooWarm       bool // WaterC is above HighestHoldC
}

type evaporationSpread = heat.Spread

// Week is the worst of a kind.
type Week struct {
	Month int     // in which it falls
	AirC  float64 // of that week
	Value float64 // W to heat, W to cool, or L/d evaporated
}

// Result is the year.
type Result struct {
	Months        []Month
	Heater        Week // most heating: continuous gains only, high evaporation
	Cooling       Week // most cooling to hold the setpoint: every gain, low evaporation; 0 when none is needed
	Evaporation   Week // most evaporation: high
	ReservoirDays float64
	HeaterKWh     float64
	ChillerKWh    float64
	OtherKWh      float64
	TopOffM3      float64
	ChangesM3     float64
	EnergyCost    float64
	WaterCost     float64
	WarmestWaterC float64 // in the warmest week, gains by their share of the day, low evaporation
	WarmestMonth  int
}

// Run returns month by month what heating, cooling and top-off take, and the worst week of each.
//
//	heating = net, cooling = -net, at the setpoint, average gains, expected evaporation
//	without a chiller the water of a warm month stands where losses equal gains
//	worst week: the month's room moved by its week's offset
//
// Accuracy: as heat.Balance; months are steady, so that days that need both count as their mean.
// Errors: *calc.RangeError; *calc.ConflictError when the water of a month settles nowhere.
// Source: [Derived].
func Run(in Input) (Result, error) {
	var r Result
	if err := in.check(); err != nil {
		return r, err
	}
	for i := range in.Months {
		m, err := in.month(i)
		if err != nil {
			return Result{}, inMonth(err, i)
		}
		r.Months = append(r.Months, m)
		r.HeaterKWh += m.HeaterKWh
		r.ChillerKWh += m.ChillerKWh
		r.TopOffM3 += m.TopOffL / quantity.LitresPerCubicMetre
		if err := in.weeks(i, m, &r); err != nil {
			return Result{}, inMonth(err, i)
		}
	}
	if in.ReservoirL > 0 && r.Evaporation.Value > 0 {
		r.ReservoirDays = in.ReservoirL / r.Evaporation.Value
	}
	var days float64
	for _, d := range Days {
		days += d
	}
	r.OtherKWh = in.OtherW * days * quantity.HoursPerDay / quantity.WattsPerKilowatt
	r.ChangesM3 = in.System.VolumeL * in.WaterChangePct / 100 * months / quantity.LitresPerCubicMetre
	r.EnergyCost = (r.HeaterKWh + r.ChillerKWh + r.OtherKWh) * in.PricePerKWh
	r.WaterCost = (r.TopOffM3 + r.ChangesM3) * in.PricePerM3
	return r, nil
}

// MonthWords are the months in the order of the year, as the catalogue's words name them. Source: [Derived].
var MonthWords = [quantity.MonthsPerYear]string{"january", "february", "march", "april", "may", "june", "july",
	"august", "september", "october", "november", "december"}

func inMonth(err error, i int) error {
	if c, ok := err.(*calc.ConflictError); ok {
		return &calc.ConflictError{Params: c.Params,
			Reason: text.Of("in_month", text.Params{"month": MonthWords[i], "reason": c.Reason})}
	}
	if err == calc.ErrNoSolution {
		return &calc.ConflictError{Params: []string{"months"}, Reason: text.Of("month_settles_nowhere",
			text.Params{"month": MonthWords[i], "low": 0.0, "high": 40.0})}
	}
	return err
}

func (in Input) check() error {
	for _, c := range []struct {
		param           string
		value, min, max float64
		unit            string
	}{
		{"setpoint_c", in.SetpointC, 0, 40, "degC"}, {"cold_week_k", in.ColdWeekK, 0, 15, "K"},
		{"warm_week_k", in.WarmWeekK, 0, 15, "K"},
		{"chiller_cop", in.ChillerCOP, 0, 10, "1"}, {"reservoir_l", in.ReservoirL, 0, 1e6, "L"},
		{"other_w", in.OtherW, 0, 1e5, "W"},
		{"price_per_kwh", in.PricePerKWh, 0, 1000, "1/kWh"}, {"price_per_m3", in.PricePerM3, 0, 1e5, "1/m3"},
		{"highest_water_c", in.HighestHoldC, 0, 40, "degC"}, {"water_change_percent", in.WaterChangePct, 0, 200, "%"},
	} {
		if err := calc.CheckRange(c.param, c.value, c.min, c.max, c.unit); err != nil {
			return err
		}
	}
	if in.ChillerCOP != 0 && in.ChillerCOP < 0.5 {
		return &calc.RangeError{Param: "chiller_cop", Value: in.ChillerCOP, Min: 0.5, Max: 10, Unit: "1"}
	}
	for i, m := range in.Months {
		air := float64(m.Air.Temp)
		if air-in.ColdWeekK < heat.ColdestAirC || air+in.WarmWeekK > heat.WarmestAirC {
			return &calc.ConflictError{
				Params: []string{fmt.Sprintf("months[%d].room_c", i), "cold_week_k", "warm_week_k"},
				Reason: text.Of("weeks_out_of_range", text.Params{
					"low": float64(heat.ColdestAirC), "high": float64(heat.WarmestAirC)}),
			}
		}
	}
	if in.HighestHoldC < in.SetpointC {
		return &calc.ConflictError{
			Params: []string{"highest_water_c", "setpoint_c"},
			Reason: text.Of("highest_below_setpoint",
				text.Params{"highest": in.HighestHoldC, "setpoint": in.SetpointC}),
		}
	}
	return nil
}

func (in Input) balance(room heat.Surroundings, waterC float64, on heat.GainsOn) (heat.BalanceResult, error) {
	return heat.Balance(heat.BalanceInput{System: in.System, Water: quantity.Celsius(waterC), Room: room, Gains: on})
}

func (in Input) month(i int) (Month, error) {
	room := in.Months[i]
	m := Month{Month: i + 1, AirC: float64(room.Air.Temp), WaterC: in.SetpointC}
	b, err := in.balance(room, in.SetpointC, heat.GainsAverage)
	if err != nil {
		return m, err
	}
	switch {
	case b.NetW.Expected >= 0:
		m.HeatingW = b.NetW.Expected
	case in.ChillerCOP > 0:
		m.CoolingW = -b.NetW.Expected
	default:
		c, err := heat.Equilibrium(heat.EquilibriumInput{
			System: in.System, Room: room, Gains: heat.GainsAverage, Evaporate: heat.EvaporationExpected,
		})
		if err != nil {
			return m, err
		}
		m.WaterC = math.Max(in.SetpointC, float64(c))
		if b, err = in.balance(room, m.WaterC, heat.GainsAverage); err != nil {
			return m, err
		}
	}
	hours := Days[i] * quantity.HoursPerDay
	m.HeaterKWh = m.HeatingW * hours / quantity.WattsPerKilowatt
	if in.ChillerCOP > 0 {
		m.ChillerKWh = m.CoolingW / in.ChillerCOP * hours / quantity.WattsPerKilowatt
	}
	m.EvaporationLD = b.EvaporatedLPerDay
	m.TopOffL = b.EvaporatedLPerDay.Expected * Days[i]
	m.TooWarm = m.WaterC > in.HighestHoldC
	return m, nil
}

// weeks holds the month's coldest and warmest week against the worst so far.
func (in Input) weeks(i int, m Month, r *Result) error {
	cold, warm := in.Months[i], in.Months[i]
	cold.Air.Temp -= quantity.Celsius(in.ColdWeekK)
	warm.Air.Temp += quantity.Celsius(in.WarmWeekK)
	b, err := in.balance(cold, in.SetpointC, heat.GainsContinuous)
	if err != nil {
		return err
	}
	if w := math.Max(0, b.NetW.High); i == 0 || w > r.Heater.Value {
		r.Heater = Week{Month: i + 1, AirC: float64(cold.Air.Temp), Value: w}
	}
	dry := evaporation.LitresPerDay(b.Evaporation.High)
	b, err = in.balance(warm, in.SetpointC, heat.GainsAll)
	if err != nil {
		return err
	}
	if w := math.Max(0, -b.NetW.Low); i == 0 || w > r.Cooling.Value {
		r.Cooling = Week{Month: i + 1, AirC: float64(warm.Air.Temp), Value: w}
	}
	// Evaporation is worst in the colder week by its drier air, or in the warm one by warmer water.
	water := in.SetpointC
	if in.ChillerCOP == 0 {
		c, err := heat.Equilibrium(heat.EquilibriumInput{
			System: in.System, Room: warm, Gains: heat.GainsAverage, Evaporate: heat.EvaporationLow,
		})
		if err != nil {
			return err
		}
		water = math.Max(in.SetpointC, float64(c))
	}
	if i == 0 || water > r.WarmestWaterC {
		r.WarmestWaterC, r.WarmestMonth = water, i+1
	}
	if b, err = in.balance(warm, math.Max(water, m.WaterC), heat.GainsAverage); err != nil {
		return err
	}
	if i == 0 {
		r.Evaporation = Week{Month: 1, AirC: float64(cold.Air.Temp)} // nothing may evaporate all year
	}
	for _, x := range []struct{ air, litres float64 }{
		{float64(cold.Air.Temp), dry}, {float64(warm.Air.Temp), b.EvaporatedLPerDay.High},
	} {
		if x.litres > r.Evaporation.Value {
			r.Evaporation = Week{Month: i + 1, AirC: x.air, Value: x.litres}
		}
	}
	return nil
}
