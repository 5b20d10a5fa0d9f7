package heat

import (
	"context"
	"fmt"
	"math"
	"strings"

	"saltwright/internal/answer/envelope"
	"saltwright/internal/answer/tank"
	"saltwright/internal/calc"
	"saltwright/internal/calc/calibration"
	"saltwright/internal/calc/heat"
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
	ResidualK     float64          `json:"residual_k"`
	TimeConstantH float64          `json:"time_constant_h"`
	Disagreement  float64          `json:"disagreement"`
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
		ResidualK:     c.ResidualK,
		TimeConstantH: c.MeasuredTauH, Disagreement: c.DutyAndCoolDownK, Rooms: []predictedRoom{},
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
	a := envelope.Answer[calibrationResponse]{
		Result: newCalibrationResponse(c), Cautions: []envelope.Caution{envelope.HotGlass},
		Sources: tank.Sources, Note: tank.Note,
		Charts: func(u catalogue.Units) ([]chart.Chart, error) { return coolDownCharts(u, c), nil },
		Summary: func(u catalogue.Units) string {
			var b strings.Builder
			fmt.Fprintf(&b, "By your measurements this tank loses %.2f (± %.2f) times the dry heat of the model and "+
				"evaporates %.2f (± %.2f) times its expected water.",
				c.Dry.Factor, c.Dry.Half95, c.Evaporation.Factor, c.Evaporation.Half95)
			if len(c.Residuals) > 0 {
				fmt.Fprintf(&b, " The cool-down fits to %s with a time constant of %.0f h.",
					catalogue.Number(c.ResidualK, "K", u), c.MeasuredTauH)
			}
			for _, p := range c.Predictions {
				fmt.Fprintf(&b, " %s: %s of heating (the model alone said %s), %s evaporated a day.", p.Name,
					catalogue.Number(p.HeatingW, "W", u), catalogue.Number(p.HeatingBeforeW, "W", u),
					catalogue.Number(p.EvaporationLD, "L", u))
			}
			b.WriteString(" Send the factors as dry_loss_factor and evaporation_factor with any other question about " +
				"this tank.")
			return b.String()
		},
	}
	if c.Dry.Factor > 0 && c.Dry.Half95/c.Dry.Factor > calibration.WideInterval {
		a.Warnings = append(a.Warnings, envelope.Warning{Code: "wide_interval",
			Message: fmt.Sprintf("The thermal factor is known to ± %.0f %% only: measure longer, or with a larger "+
				"difference to the room.", 100*c.Dry.Half95/c.Dry.Factor)})
	}
	if math.Abs(c.DutyAndCoolDownK) > calibration.FarApart {
		a.Warnings = append(a.Warnings, envelope.Warning{Code: "measurements_disagree",
			Message: fmt.Sprintf("Duty and cool-down are %.1f of their errors apart: one of them was taken in another "+
				"room, or with other devices on, than stated.", c.DutyAndCoolDownK)})
	}
	return a, nil
}
