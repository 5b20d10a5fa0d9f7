package heat

import (
	"context"
	"fmt"
	"math"

	"saltwright/internal/answer/envelope"
	"saltwright/internal/answer/tank"
	"saltwright/internal/calc"
	"saltwright/internal/calc/calibration"
	"saltwright/internal/calc/heat"
	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/text"
	"saltwright/internal/catalogue"
	"saltwright/internal/chart"
)

type measuredEvaporation struct {
	LitresD            float64  `json:"l_d"`
	RoomC              float64  `json:"room_c"`
	RHPercent          *float64 `json:"rh_percent,omitempty"`
	WaterC             float64  `json:"water_c"`
	UncertaintyPercent float64  `json:"uncertainty_percent"`
}

type measuredDuty struct {
	HeaterW            float64  `json:"heater_w"`
	Share              float64  `json:"share"`
	RoomC              float64  `json:"room_c"`
	RHPercent          *float64 `json:"rh_percent,omitempty"`
	WaterC             float64  `json:"water_c"`
	UncertaintyPercent float64  `json:"uncertainty_percent"`
}

type coolDownPoint struct {
	Hour   float64 `json:"hour"`
	WaterC float64 `json:"water_c"`
}

type measuredCoolDown struct {
	RoomC     float64         `json:"room_c"`
	RHPercent *float64        `json:"rh_percent,omitempty"`
	Gains     heat.GainsOn    `json:"gains"`
	Points    []coolDownPoint `json:"points"`
}

type calibrationRoom struct {
	Name      string   `json:"name"`
	RoomC     float64  `json:"room_c"`
	RHPercent *float64 `json:"rh_percent,omitempty"`
}

type calibrationRequest struct {
	tank.Measures
	SetpointC   float64              `json:"setpoint_c"`
	Evaporation *measuredEvaporation `json:"evaporation,omitempty"`
	Duty        *measuredDuty        `json:"duty,omitempty"`
	CoolDown    *measuredCoolDown    `json:"cool_down,omitempty"`
	Rooms       []calibrationRoom    `json:"rooms"`
}

type fittedFactor struct {
	Factor        float64 `json:"factor"`
	StandardError float64 `json:"standard_error"`
	Half95        float64 `json:"half_width_95"`
	From          string  `json:"from"`
}

type fittedResidual struct {
	Hour      float64 `json:"hour"`
	MeasuredC float64 `json:"measured_c"`
	ModelC    float64 `json:"model_c"`
	ResidualK float64 `json:"residual_k"`
}

type predictedRoom struct {
	Name                string   `json:"name"`
	HeatingW            float64  `json:"heating_w"`
	HeatingErrorW       float64  `json:"heating_standard_error_w"`
	HeatingBeforeW      float64  `json:"heating_before_w"`
	EvaporationLD       float64  `json:"evaporation_l_d"`
	EvaporationBeforeLD float64  `json:"evaporation_before_l_d"`
	TimeConstantH       float64  `json:"time_constant_h"`
	UnheatedC           *float64 `json:"unheated_c,omitempty"`
}

type calibrationResponse struct {
	DryLoss       fittedFactor     `json:"dry_loss"`
	Evaporation   fittedFactor     `json:"evaporation"`
	Residuals     []fittedResidual `json:"residuals"`
	ResidualK     *float64         `json:"residual_k,omitempty"`
	TimeConstantH *float64         `json:"time_constant_h,omitempty"`
	Disagreement  *float64         `json:"disagreement,omitempty"`
	Rooms         []predictedRoom  `json:"rooms"`
}

// air returns a room of the tank's own humidity where its own is not said.
func (r calibrationRequest) air(roomC float64, rh *float64) (heat.Surroundings, error) {
	t := r.Measures
	if rh != nil {
		t.RHPercent = *rh
	}
	return t.Surroundings(roomC)
}

func (r calibrationRequest) input() (calibration.Input, error) {
	in := calibration.Input{SetpointC: r.SetpointC}
	var err error
	if in.System, err = r.System(); err != nil {
		return in, err
	}
	if m := r.Evaporation; m != nil {
		in.Evaporation = &calibration.Evaporation{LitresPerDay: m.LitresD, WaterC: m.WaterC,
			UncertaintyPercent: m.UncertaintyPercent}
		if in.Evaporation.Room, err = r.air(m.RoomC, m.RHPercent); err != nil {
			return in, calc.Within("evaporation.", err)
		}
	}
	if m := r.Duty; m != nil {
		in.Duty = &calibration.Duty{HeaterW: m.HeaterW, Share: m.Share, WaterC: m.WaterC,
			UncertaintyPercent: m.UncertaintyPercent}
		if in.Duty.Room, err = r.air(m.RoomC, m.RHPercent); err != nil {
			return in, calc.Within("duty.", err)
		}
	}
	if m := r.CoolDown; m != nil {
		in.CoolDown = &calibration.CoolDown{Gains: m.Gains}
		if in.CoolDown.Room, err = r.air(m.RoomC, m.RHPercent); err != nil {
			return in, calc.Within("cool_down.", err)
		}
		for _, p := range m.Points {
			in.CoolDown.Points = append(in.CoolDown.Points, calibration.Point(p))
		}
	}
	for i, x := range r.Rooms {
		air, err := r.air(x.RoomC, x.RHPercent)
		if err != nil {
			return in, calc.Within(fmt.Sprintf("rooms[%d].", i), err)
		}
		in.Rooms = append(in.Rooms, calibration.Room{Name: x.Name, Air: air})
	}
	return in, nil
}

func newCalibrationResponse(c calibration.Result) calibrationResponse {
	out := calibrationResponse{
		DryLoss: fittedFactor(c.Dry), Evaporation: fittedFactor(c.Evaporation), Residuals: []fittedResidual{},
		TimeConstantH: unlessNone(c.MeasuredTauH), Disagreement: unlessNone(c.DutyAndCoolDownK),
		Rooms: []predictedRoom{},
	}
	if len(c.Residuals) > 0 {
		out.ResidualK = &c.ResidualK
	}
	for _, x := range c.Residuals {
		out.Residuals = append(out.Residuals, fittedResidual{Hour: x.Hour, MeasuredC: x.MeasuredC, ModelC: x.ModelC,
			ResidualK: x.MeasuredC - x.ModelC})
	}
	for _, p := range c.Predictions {
		room := predictedRoom{
			Name: p.Name, HeatingW: p.HeatingW, HeatingErrorW: p.HeatingStandardError, HeatingBeforeW: p.HeatingBeforeW,
			EvaporationLD: p.EvaporationLD, EvaporationBeforeLD: p.EvaporationBeforeLD, TimeConstantH: p.TimeConstantH,
		}
		if p.Settles {
			room.UnheatedC = &p.UnheatedC
		}
		out.Rooms = append(out.Rooms, room)
	}
	return out
}

// Calibrate fits the heat model to what a keeper measured.
func Calibrate(_ context.Context, r calibrationRequest) (envelope.Answer[calibrationResponse], error) {
	in, err := r.input()
	if err != nil {
		return envelope.Answer[calibrationResponse]{}, err
	}
	c, err := calibration.Calibrate(in)
	if err != nil {
		return envelope.Answer[calibrationResponse]{}, err
	}
	reached, err := tank.FarthestFilms(in.System, exposuresOf(in))
	if err != nil {
		return envelope.Answer[calibrationResponse]{}, err
	}
	a := envelope.Answer[calibrationResponse]{
		Result: newCalibrationResponse(c), Headline: calibrationHeadline(c), Reached: reached,
		Details: text.Sentences(calibrationDetails(c)...), KeyFigures: calibrationFigures(c),
		Actions: []text.Text{text.Of("calibration_send_factors",
			text.Params{"dry": c.Dry.Factor, "evaporation": c.Evaporation.Factor})},
		Sources: tank.Sources, Note: tank.Note,
		Charts: func(u catalogue.Reader) ([]chart.Chart, error) { return coolDownCharts(u, c), nil },
	}
	if r.CoolDown != nil || r.Duty != nil {
		a.Cautions = []envelope.Caution{envelope.HotGlass}
	}
	if wide := c.Dry.Half95 / c.Dry.Factor; wide > calibration.WideInterval {
		a.Warnings = append(a.Warnings, envelope.Warn(text.Of("wide_interval", text.Params{"share": wide}), ""))
	}
	if apart := math.Abs(c.DutyAndCoolDownK); apart > calibration.FarApart {
		a.Warnings = append(a.Warnings,
			envelope.Warn(text.Of("measurements_disagree", text.Params{"times": apart}), ""))
	}
	return a, nil
}

// exposuresOf lists what was measured and what is predicted: the water, and the room around it.
func exposuresOf(in calibration.Input) []heat.Exposure {
	var out []heat.Exposure
	add := func(waterC float64, room heat.Surroundings) {
		out = append(out, heat.Exposure{Water: quantity.Celsius(waterC), Room: room})
	}
	if m := in.Evaporation; m != nil {
		add(m.WaterC, m.Room)
	}
	if m := in.Duty; m != nil {
		add(m.WaterC, m.Room)
	}
	if m := in.CoolDown; m != nil {
		for _, p := range m.Points {
			add(p.WaterC, m.Room)
		}
	}
	for _, x := range in.Rooms {
		add(in.SetpointC, x.Air)
	}
	return out
}

// assumed is where a factor comes from that nothing was measured for.
const assumed = "assumed"

func calibrationHeadline(c calibration.Result) text.Text {
	switch {
	case c.Dry.From == assumed:
		return text.Of("calibration_of_evaporation", text.Params{"evaporation": c.Evaporation.Factor})
	case c.Evaporation.From == c.Dry.From:
		return text.Of("calibration_of_heat", text.Params{"loss": c.Dry.Factor})
	}
	return text.Of("calibration_of_both",
		text.Params{"dry": c.Dry.Factor, "evaporation": c.Evaporation.Factor})
}

func calibrationDetails(c calibration.Result) []text.Text {
	var out []text.Text
	if c.Dry.From != assumed {
		out = append(out, text.Of("calibration_dry_factor",
			text.Params{"factor": text.Measured{Value: c.Dry.Factor, Uncertainty: c.Dry.Half95}}))
	}
	if c.Evaporation.From != assumed {
		out = append(out, text.Of("calibration_evaporation_factor",
			text.Params{"factor": text.Measured{Value: c.Evaporation.Factor, Uncertainty: c.Evaporation.Half95}}))
	}
	if len(c.Residuals) > 0 {
		out = append(out, text.Of("calibration_cool_down",
			text.Params{"difference": c.ResidualK, "time": c.MeasuredTauH}))
	}
	for _, p := range c.Predictions {
		out = append(out, calibrationRoomText(p))
	}
	return out
}

func calibrationRoomText(p calibration.Prediction) text.Text {
	params := text.Params{"name": p.Name, "power": p.HeatingW, "water": p.EvaporationLD}
	if p.HeatingW < 0 {
		params["power"] = -p.HeatingW
		return text.Of("calibration_room_needs_cooling", params)
	}
	return text.Of("calibration_room_needs_heating", params)
}

func calibrationFigures(c calibration.Result) []envelope.KeyFigure {
	out := []envelope.KeyFigure{
		{Label: text.Of("calibration_dry_figure", nil), Value: c.Dry.Factor, Quantity: "number"},
		{Label: text.Of("calibration_evaporation_figure", nil), Value: c.Evaporation.Factor, Quantity: "number"},
	}
	if c.MeasuredTauH > 0 {
		out = append(out, envelope.KeyFigure{Label: text.Of("balance_time_figure", nil), Value: c.MeasuredTauH,
			Quantity: "duration"})
	}
	return out
}
