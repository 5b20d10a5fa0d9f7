// Package heat answers questions of heating and cooling.
package heat

import (
	"context"
	"fmt"

	"saltwright/internal/answer/envelope"
	"saltwright/internal/answer/tank"
	"saltwright/internal/calc/heat"
	"saltwright/internal/calc/quantity"
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
		Warnings: tank.BalanceWarnings(b.Flows, damp), Reached: reached,
		Charts: func(u catalogue.Units) ([]chart.Chart, error) {
			return []chart.Chart{lossesChart(u, b)}, nil
		},
		Summary: func(u catalogue.Units) string {
			action := "needs " + catalogue.Number(b.NetW.Expected, "W", u) + " of heating"
			if b.NetW.Expected < 0 {
				action = "needs " + catalogue.Number(-b.NetW.Expected, "W", u) + " of cooling"
			}
			return fmt.Sprintf("At %s in a room of %s the tank loses %s through walls and surface and %s by "+
				"evaporation, gains %s from pumps and lights, and %s to stay there.",
				catalogue.Number(r.WaterC, "degC", u), catalogue.Number(r.RoomC, "degC", u),
				catalogue.Number(b.DryW, "W", u),
				catalogue.Number(b.LatentW.Expected, "W", u), catalogue.Number(b.GainsW, "W", u), action)
		},
	}, nil
}
