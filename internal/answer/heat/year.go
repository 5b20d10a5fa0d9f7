package heat

import (
	"context"
	"fmt"
	"strings"

	"saltwright/internal/answer/envelope"
	"saltwright/internal/answer/tank"
	"saltwright/internal/calc"
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
	ReservoirDays float64              `json:"reservoir_days"`
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
			note := fmt.Sprintf("month %d of a heated home without cooling in a temperate climate, %s of the equator",
				i+1, r.Hemisphere)
			assumed = append(assumed,
				envelope.Assumption{Pointer: fmt.Sprintf("#/months/%d/room_c", i), Value: month.RoomC, Unit: "degC",
					Why: "common_practice", Source: "CommonPractice", Note: text.Plain(note)},
				envelope.Assumption{Pointer: fmt.Sprintf("#/months/%d/rh_percent", i), Value: month.RHPercent,
					Unit: "%", Why: "common_practice", Source: "CommonPractice", Note: text.Plain(note)})
		default:
			return in, nil, &calc.ConflictError{Params: []string{"months"},
				Reason: text.Plain("give all twelve months, January first, or none")}
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
		ReservoirDays: y.ReservoirDays, WarmestWaterC: y.WarmestWaterC, WarmestMonth: y.WarmestMonth,
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

var monthNames = []string{"January", "February", "March", "April", "May", "June", "July", "August", "September",
	"October", "November", "December"}

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
	a := envelope.Answer[annualBalanceResponse]{
		Result: newAnnualBalanceResponse(y), Assumptions: assumed,
		Cautions: []envelope.Caution{envelope.MainsNearWater}, Sources: tank.Sources, Note: tank.Note,
		Charts: func(u catalogue.Units) ([]chart.Chart, error) { return yearCharts(u, y), nil },
		Summary: func(u catalogue.Units) string {
			var b strings.Builder
			fmt.Fprintf(&b, "Over a year this tank takes %.0f kWh of heating", y.HeaterKWh)
			if y.ChillerKWh > 0 {
				fmt.Fprintf(&b, ", %.0f kWh for the chiller", y.ChillerKWh)
			}
			fmt.Fprintf(&b, " and %s of top-off. Heating is worst in %s (%s)",
				catalogue.Number(quantity.LitresPerCubicMetre*y.TopOffM3, "L", u), monthNames[y.Heater.Month-1],
				catalogue.Number(y.Heater.Value, "W", u))
			if y.Cooling.Value > 0 {
				fmt.Fprintf(&b, ", cooling in %s (%s to hold the set-point)", monthNames[y.Cooling.Month-1],
					catalogue.Number(y.Cooling.Value, "W", u))
			}
			fmt.Fprintf(&b, ", evaporation in %s (up to %s a day).", monthNames[y.Evaporation.Month-1],
				catalogue.Number(y.Evaporation.Value, "L", u))
			if y.ReservoirDays > 0 {
				fmt.Fprintf(&b, " The reservoir then lasts %.1f days.", y.ReservoirDays)
			}
			if r.PricePerKWh > 0 || r.PricePerM3 > 0 {
				fmt.Fprintf(&b, " At the prices given, energy costs %.2f and water %.2f a year.", y.EnergyCost,
					y.WaterCost)
			}
			return b.String()
		},
	}
	if y.WarmestWaterC > r.HighestWaterC && r.ChillerCOP == nil {
		a.Warnings = append(a.Warnings, envelope.Warning{Code: "too_warm_in_summer", Pointer: "#/highest_water_c",
			Message: fmt.Sprintf(
				"In the warmest week of %s the water would stand near %.1f °C: plan a fan or a chiller.",
				monthNames[y.WarmestMonth-1], y.WarmestWaterC)})
	}
	return a, nil
}
