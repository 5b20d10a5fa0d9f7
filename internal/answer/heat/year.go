package heat

import (
	"context"
	"fmt"

	"saltwright/internal/answer/envelope"
	"saltwright/internal/answer/tank"
	"saltwright/internal/calc"
	"saltwright/internal/calc/heat"
	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/text"
	"saltwright/internal/calc/year"
	"saltwright/internal/catalogue"
	"saltwright/internal/chart"
)

type roomMonth struct {
	RoomC     float64 `json:"room_c"`
	RHPercent float64 `json:"rh_percent"`
}

type annualBalanceRequest struct {
	tank.Request
	SetpointC      float64     `json:"setpoint_c"`
	Months         []roomMonth `json:"months"`
	Hemisphere     string      `json:"hemisphere"`
	ColdWeekK      float64     `json:"cold_week_k"`
	WarmWeekK      float64     `json:"warm_week_k"`
	ChillerCOP     *float64    `json:"chiller_cop,omitempty"`
	HighestWaterC  float64     `json:"highest_water_c"`
	ReservoirL     float64     `json:"reservoir_l"`
	OtherW         float64     `json:"other_w"`
	PricePerKWh    float64     `json:"price_per_kwh"`
	PricePerM3     float64     `json:"price_per_m3"`
	WaterChangePct float64     `json:"water_change_percent"`
}

type annualMonth struct {
	Month         int     `json:"month"`
	RoomC         float64 `json:"room_c"`
	WaterC        float64 `json:"water_c"`
	TooWarm       bool    `json:"too_warm"`
	HeatingW      float64 `json:"heating_w"`
	CoolingW      float64 `json:"cooling_w"`
	HeaterKWh     float64 `json:"heater_kwh"`
	ChillerKWh    float64 `json:"chiller_kwh"`
	EvapLowLD     float64 `json:"evaporation_low_l_d"`
	EvaporationLD float64 `json:"evaporation_l_d"`
	EvapHighLD    float64 `json:"evaporation_high_l_d"`
	TopOffL       float64 `json:"top_off_l"`
}

type worstWeek struct {
	Month int     `json:"month"`
	RoomC float64 `json:"room_c"`
}

type worstHeatWeek struct {
	worstWeek
	PowerW float64 `json:"power_w"`
}

type worstEvaporationWeek struct {
	worstWeek
	LitresD float64 `json:"litres_d"`
}

type annualBalanceResponse struct {
	Months        []annualMonth        `json:"months"`
	Heater        worstHeatWeek        `json:"heater_week"`
	Cooling       worstHeatWeek        `json:"cooling_week"`
	Evaporation   worstEvaporationWeek `json:"evaporation_week"`
	ReservoirDays *float64             `json:"reservoir_days,omitempty"`
	WarmestWaterC float64              `json:"warmest_water_c"`
	WarmestMonth  int                  `json:"warmest_month"`
	HeaterKWh     float64              `json:"heater_kwh"`
	ChillerKWh    float64              `json:"chiller_kwh"`
	OtherKWh      float64              `json:"other_kwh"`
	TopOffL       float64              `json:"top_off_l"`
	ChangesL      float64              `json:"water_changes_l"`
	EnergyCost    float64              `json:"energy_cost"`
	WaterCost     float64              `json:"water_cost"`
}

func (r annualBalanceRequest) input() (year.Input, []envelope.Assumption, error) {
	in := year.Input{
		SetpointC: r.SetpointC, ColdWeekK: r.ColdWeekK, WarmWeekK: r.WarmWeekK, ReservoirL: r.ReservoirL,
		OtherW:      r.OtherW,
		PricePerKWh: r.PricePerKWh, PricePerM3: r.PricePerM3, HighestHoldC: r.HighestWaterC,
		WaterChangePct: r.WaterChangePct,
	}
	if r.ChillerCOP != nil {
		in.ChillerCOP = *r.ChillerCOP
	}
	var err error
	if in.System, err = r.System(); err != nil {
		return in, nil, err
	}
	var assumed []envelope.Assumption
	for i := range in.Months {
		var month roomMonth
		switch len(r.Months) {
		case quantity.MonthsPerYear:
			month = r.Months[i]
		case 0:
			typical, err := year.Typical(i, r.Hemisphere == "south")
			if err != nil {
				return in, nil, err
			}
			month = roomMonth{RoomC: typical.TempC, RHPercent: typical.RHPercent}
			note := text.Of("assumed_month_of_a_temperate_home",
				text.Params{"month": monthOf(i + 1), "hemisphere": r.Hemisphere})
			assumed = append(assumed,
				envelope.Assumption{Pointer: fmt.Sprintf("#/months/%d/room_c", i), Value: month.RoomC, Unit: "degC",
					Why: "common_practice", Source: "CommonPractice", Note: note},
				envelope.Assumption{Pointer: fmt.Sprintf("#/months/%d/rh_percent", i), Value: month.RHPercent,
					Unit: "%", Why: "common_practice", Source: "CommonPractice", Note: note})
		default:
			return in, nil, &calc.ConflictError{Params: []string{"months"},
				Reason: text.Of("months_not_twelve", text.Params{"months": float64(len(r.Months))})}
		}
		air, err := tank.Air(month.RoomC, month.RHPercent, r.AltitudeM)
		if err != nil {
			return in, nil, err
		}
		in.Months[i].Air, in.Months[i].AirSpeedMS = air, r.AirSpeedMS
	}
	return in, assumed, nil
}

func newAnnualBalanceResponse(y year.Result) annualBalanceResponse {
	out := annualBalanceResponse{
		Months:        []annualMonth{},
		Heater:        worstHeatWeek{worstWeek{y.Heater.Month, y.Heater.AirC}, y.Heater.Value},
		Cooling:       worstHeatWeek{worstWeek{y.Cooling.Month, y.Cooling.AirC}, y.Cooling.Value},
		Evaporation:   worstEvaporationWeek{worstWeek{y.Evaporation.Month, y.Evaporation.AirC}, y.Evaporation.Value},
		ReservoirDays: unlessNone(y.ReservoirDays), WarmestWaterC: y.WarmestWaterC, WarmestMonth: y.WarmestMonth,
		HeaterKWh: y.HeaterKWh, ChillerKWh: y.ChillerKWh, OtherKWh: y.OtherKWh,
		TopOffL: quantity.LitresPerCubicMetre * y.TopOffM3, ChangesL: quantity.LitresPerCubicMetre * y.ChangesM3,
		EnergyCost: y.EnergyCost, WaterCost: y.WaterCost,
	}
	for _, m := range y.Months {
		out.Months = append(out.Months, annualMonth{
			Month: m.Month, RoomC: m.AirC, WaterC: m.WaterC, TooWarm: m.TooWarm, HeatingW: m.HeatingW,
			CoolingW: m.CoolingW, HeaterKWh: m.HeaterKWh, ChillerKWh: m.ChillerKWh,
			EvapLowLD: m.EvaporationLD.Low, EvaporationLD: m.EvaporationLD.Expected, EvapHighLD: m.EvaporationLD.High,
			TopOffL: m.TopOffL,
		})
	}
	return out
}

// monthOf returns the word of a month, 1 … 12.
func monthOf(month int) string { return year.MonthWords[month-1] }

// AnnualBalance is a tank's year.
func AnnualBalance(_ context.Context, r annualBalanceRequest) (envelope.Answer[annualBalanceResponse], error) {
	in, assumed, err := r.input()
	if err != nil {
		return envelope.Answer[annualBalanceResponse]{}, err
	}
	y, err := year.Run(in)
	if err != nil {
		return envelope.Answer[annualBalanceResponse]{}, err
	}
	var exposures []heat.Exposure
	for i, m := range y.Months {
		exposures = append(exposures, heat.Exposure{Water: quantity.Celsius(m.WaterC), Room: in.Months[i]})
	}
	reached, err := tank.FarthestFilms(in.System, exposures)
	if err != nil {
		return envelope.Answer[annualBalanceResponse]{}, err
	}
	a := envelope.Answer[annualBalanceResponse]{
		Result: newAnnualBalanceResponse(y), Assumptions: assumed, Headline: yearHeadline(r, y), Reached: reached,
		Details: text.Sentences(yearDetails(r, y)...), KeyFigures: yearFigures(y), Actions: yearActions(r, y),
		Cautions: []envelope.Caution{envelope.MainsNearWater}, Sources: tank.Sources, Note: tank.Note,
		Charts: func(u catalogue.Reader) ([]chart.Chart, error) { return yearCharts(u, y), nil },
	}
	if r.tooWarm(y) {
		a.Warnings = append(a.Warnings, envelope.Warn(text.Of("too_warm_in_summer", text.Params{
			"water": y.WarmestWaterC, "month": monthOf(y.WarmestMonth)}), "#/highest_water_c"))
	}
	return a, nil
}

// tooWarm tells whether the warmest week is beyond what is accepted and nothing cools.
func (r annualBalanceRequest) tooWarm(y year.Result) bool {
	return y.WarmestWaterC > r.HighestWaterC && r.ChillerCOP == nil
}

// leastKWh is the energy of a year that is said: less would be rounded to nothing.
const leastKWh = 0.5

func yearHeadline(r annualBalanceRequest, y year.Result) text.Text {
	switch {
	case r.tooWarm(y):
		return text.Of("year_too_warm", text.Params{"water": y.WarmestWaterC, "month": monthOf(y.WarmestMonth),
			"high": r.HighestWaterC})
	case y.ChillerKWh >= leastKWh:
		return text.Of("year_takes_heating_and_cooling",
			text.Params{"heating": y.HeaterKWh, "cooling": y.ChillerKWh})
	case y.HeaterKWh < leastKWh:
		return text.Of("year_takes_no_heating", text.Params{"water": y.WarmestWaterC})
	case r.ChillerCOP != nil && y.Cooling.Value >= nothingW:
		return text.Of("year_cools_some_weeks", text.Params{"heating": y.HeaterKWh})
	}
	return text.Of("year_takes_heating", text.Params{"heating": y.HeaterKWh, "water": y.WarmestWaterC})
}

func yearDetails(r annualBalanceRequest, y year.Result) []text.Text {
	var out []text.Text
	if r.tooWarm(y) && y.HeaterKWh >= leastKWh {
		out = append(out, text.Of("year_heating", text.Params{"heating": y.HeaterKWh}))
	}
	if y.Heater.Value >= nothingW {
		out = append(out, text.Of("year_worst_heating",
			text.Params{"month": monthOf(y.Heater.Month), "power": y.Heater.Value}))
	}
	if y.Cooling.Value >= nothingW {
		out = append(out, text.Of("year_worst_cooling",
			text.Params{"month": monthOf(y.Cooling.Month), "power": y.Cooling.Value}))
	}
	out = append(out, text.Of("year_top_off", text.Params{"top_off": quantity.LitresPerCubicMetre * y.TopOffM3,
		"month": monthOf(y.Evaporation.Month), "most": y.Evaporation.Value}))
	if y.ReservoirDays > 0 {
		out = append(out, text.Of("year_reservoir", text.Params{"time": y.ReservoirDays}))
	}
	if r.PricePerKWh > 0 {
		out = append(out, text.Of("year_energy_cost", text.Params{"cost": y.EnergyCost}))
	}
	if r.PricePerM3 > 0 {
		out = append(out, text.Of("year_water_cost", text.Params{"cost": y.WaterCost}))
	}
	return out
}

func yearFigures(y year.Result) []envelope.KeyFigure {
	out := []envelope.KeyFigure{
		{Label: text.Of("year_heating_figure", nil), Value: y.HeaterKWh, Quantity: "energy"},
		{Label: text.Of("year_top_off_figure", nil), Value: quantity.LitresPerCubicMetre * y.TopOffM3,
			Quantity: "volume"},
		{Label: text.Of("year_warmest_figure", nil), Value: y.WarmestWaterC, Quantity: "temperature"},
	}
	if y.ChillerKWh >= leastKWh {
		out = append(out, envelope.KeyFigure{Label: text.Of("year_cooling_figure", nil), Value: y.ChillerKWh,
			Quantity: "energy"})
	}
	if y.EnergyCost > 0 {
		out = append(out, envelope.KeyFigure{Label: text.Of("year_cost_figure", nil), Value: y.EnergyCost,
			Quantity: "money"})
	}
	return out
}

func yearActions(r annualBalanceRequest, y year.Result) []text.Text {
	var out []text.Text
	if r.tooWarm(y) && y.Cooling.Value >= nothingW {
		out = append(out, text.Of("year_plan_cooling",
			text.Params{"power": y.Cooling.Value, "month": monthOf(y.Cooling.Month)}))
	}
	if y.Heater.Value >= nothingW {
		out = append(out, text.Of("year_size_heater", text.Params{"power": y.Heater.Value}))
	}
	if y.ReservoirDays > 0 {
		out = append(out, text.Of("year_refill", text.Params{"month": monthOf(y.Evaporation.Month),
			"time": y.ReservoirDays}))
	}
	return out
}
