// Package heat answers questions of heating and cooling.
package heat

import (
	"context"

	"saltwright/internal/answer/envelope"
	"saltwright/internal/answer/tank"
	"saltwright/internal/calc/evaporation"
	"saltwright/internal/calc/heat"
	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/text"
	"saltwright/internal/catalogue"
	"saltwright/internal/chart"
)

type heatBalanceRequest struct {
	tank.Request
	WaterC float64      `json:"water_c"`
	RoomC  float64      `json:"room_c"`
	Gains  heat.GainsOn `json:"gains"`
}

type surfaceLoss struct {
	Vessel  string  `json:"vessel"`
	Surface string  `json:"surface"`
	AreaM2  float64 `json:"area_m2"`
	FaceC   float64 `json:"face_c"`
	LossW   float64 `json:"loss_w"`
	Wet     bool    `json:"below_dew_point"`
}

type heatBalanceResponse struct {
	Surfaces       []surfaceLoss `json:"surfaces"`
	DryW           float64       `json:"dry_w"`
	LatentLowW     float64       `json:"latent_low_w"`
	LatentW        float64       `json:"latent_w"`
	LatentHighW    float64       `json:"latent_high_w"`
	GainsW         float64       `json:"gains_w"`
	NetLowW        float64       `json:"net_low_w"`
	NetW           float64       `json:"net_w"`
	NetHighW       float64       `json:"net_high_w"`
	EnergyKWhD     float64       `json:"energy_kwh_d"`
	EvaporationLD  float64       `json:"evaporation_l_d"`
	VolumeL        float64       `json:"volume_l"`
	DryUAWK        float64       `json:"dry_ua_w_k"`
	UAWK           float64       `json:"ua_w_k"`
	HeatCapacityKJ float64       `json:"heat_capacity_kj_k"`
	TimeConstantH  float64       `json:"time_constant_h"`
	DewPointC      *float64      `json:"dew_point_c,omitempty"`
	Condensing     bool          `json:"condensing"`
}

func (r heatBalanceRequest) input() (heat.BalanceInput, error) {
	system, err := r.System()
	if err != nil {
		return heat.BalanceInput{}, err
	}
	room, err := r.Surroundings(r.RoomC)
	if err != nil {
		return heat.BalanceInput{}, err
	}
	return heat.BalanceInput{System: system, Water: quantity.Celsius(r.WaterC), Room: room, Gains: r.Gains}, nil
}

func newHeatBalanceResponse(b heat.BalanceResult, volumeL float64, damp tank.Damp) heatBalanceResponse {
	out := heatBalanceResponse{
		Surfaces: []surfaceLoss{}, DryW: b.DryW, LatentLowW: b.LatentW.Low, LatentW: b.LatentW.Expected,
		LatentHighW: b.LatentW.High,
		GainsW:      b.GainsW, NetLowW: b.NetW.Low, NetW: b.NetW.Expected, NetHighW: b.NetW.High,
		EnergyKWhD:    b.EnergyKWhPerDay,
		EvaporationLD: b.EvaporatedLPerDay.Expected, VolumeL: volumeL, DryUAWK: b.DrySlopeWPerK, UAWK: b.UAWPerK,
		HeatCapacityKJ: b.HeatCapacityJPerK / quantity.JoulesPerKilojoule, TimeConstantH: b.TimeConstantH,
		DewPointC: damp.DewPointC, Condensing: b.Evaporation.Condensing,
	}
	for _, v := range b.Vessels {
		for _, s := range v.Dry.Surfaces {
			out.Surfaces = append(out.Surfaces, surfaceLoss{Vessel: v.Vessel, Surface: string(s.Surface),
				AreaM2: s.AreaM2, FaceC: s.FaceC, LossW: s.W,
				Wet: damp.DewPointC != nil && s.FaceC < *damp.DewPointC})
		}
	}
	return out
}

// HeatBalance is what a tank loses and gains at one water temperature.
func HeatBalance(_ context.Context, r heatBalanceRequest) (envelope.Answer[heatBalanceResponse], error) {
	in, err := r.input()
	if err != nil {
		return envelope.Answer[heatBalanceResponse]{}, err
	}
	b, err := heat.Balance(in)
	if err != nil {
		return envelope.Answer[heatBalanceResponse]{}, err
	}
	damp, err := tank.DampOf(in.Room.Air, b.Flows)
	if err != nil {
		return envelope.Answer[heatBalanceResponse]{}, err
	}
	reached, err := tank.Films(in.System, r.WaterC, in.Room)
	if err != nil {
		return envelope.Answer[heatBalanceResponse]{}, err
	}
	return envelope.Answer[heatBalanceResponse]{
		Result: newHeatBalanceResponse(b, in.System.VolumeL, damp), Sources: tank.Sources, Note: tank.Note,
		Warnings: tank.BalanceWarnings(b.Flows, damp), Reached: reached, Headline: balanceHeadline(r, b),
		Details: text.Sentences(balanceDetails(b)...), KeyFigures: balanceFigures(b), Actions: balanceActions(r, b),
		Charts: func(u catalogue.Reader) ([]chart.Chart, error) {
			return []chart.Chart{lossesChart(u, b)}, nil
		},
	}, nil
}

// nothingW is the power that is said to be none: a text would round it to 0 W.
const nothingW = 0.5

func balanceHeadline(r heatBalanceRequest, b heat.BalanceResult) text.Text {
	at := text.Params{"water": r.WaterC, "room": r.RoomC}
	switch net := b.NetW.Expected; {
	case net >= nothingW:
		at["power"] = net
		return text.Of("balance_needs_heating", at)
	case net <= -nothingW:
		at["power"] = -net
		return text.Of("balance_needs_cooling", at)
	}
	return text.Of("balance_needs_nothing", at)
}

func balanceDetails(b heat.BalanceResult) []text.Text {
	var out []text.Text
	say := func(power float64, leaves, comes string) {
		switch {
		case power >= nothingW:
			out = append(out, text.Of(leaves, text.Params{"power": power}))
		case power <= -nothingW:
			out = append(out, text.Of(comes, text.Params{"power": -power}))
		}
	}
	say(b.DryW, "balance_dry_leaves", "balance_dry_comes")
	say(b.LatentW.Expected, "balance_evaporation_takes", "balance_condensation_brings")
	if b.GainsW >= nothingW {
		out = append(out, text.Of("balance_gains", text.Params{"power": b.GainsW}))
	}
	switch low, high := b.NetW.Low, b.NetW.High; {
	case high-low < nothingW:
	case low >= 0:
		out = append(out, text.Of("balance_spread", text.Params{"low": low, "high": high}))
	case high <= 0:
		out = append(out, text.Of("balance_spread_of_cooling", text.Params{"low": -high, "high": -low}))
	default:
		out = append(out, text.Of("balance_spread_about_nothing", text.Params{"cooling": -low, "heating": high}))
	}
	return out
}

func balanceFigures(b heat.BalanceResult) []envelope.KeyFigure {
	power := func(w float64, label, opposite string) envelope.KeyFigure {
		if w <= -nothingW {
			w, label = -w, opposite
		}
		return envelope.KeyFigure{Label: text.Of(label, nil), Value: w, Quantity: "power"}
	}
	return []envelope.KeyFigure{
		power(b.NetW.Expected, "balance_heating_figure", "balance_cooling_figure"),
		power(b.DryW, "balance_dry_figure", "balance_dry_gained_figure"),
		power(b.LatentW.Expected, "balance_latent_figure", "balance_condensed_figure"),
		{Label: text.Of("balance_water_figure", nil), Value: b.EvaporatedLPerDay.Expected, Quantity: "volume_a_day"},
		{Label: text.Of("balance_time_figure", nil), Value: b.TimeConstantH, Quantity: "duration"},
	}
}

func balanceActions(r heatBalanceRequest, b heat.BalanceResult) []text.Text {
	var out []text.Text
	switch {
	case b.NetW.Expected >= nothingW:
		if r.Lid == evaporation.LidOpen && b.LatentW.Expected > b.DryW {
			out = append(out, text.Of("balance_consider_lid", nil))
		}
		out = append(out, text.Of("balance_size_heater", nil))
	case b.NetW.Expected <= -nothingW:
		out = append(out, text.Of("balance_size_cooling", nil))
	}
	if r.EvapFactor == nil && r.DryLossFactor == 1 {
		out = append(out, text.Of("take_three_readings", nil))
	}
	return out
}
