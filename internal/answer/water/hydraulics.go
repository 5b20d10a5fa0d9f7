package water

import (
	"context"

	"saltwright/internal/answer/envelope"
	"saltwright/internal/calc"
	"saltwright/internal/calc/hydraulics"
	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/text"
	"saltwright/internal/calc/topoff"
)

type drainBackRequest struct {
	DisplayLengthMM  float64  `json:"display_length_mm"`
	DisplayWidthMM   float64  `json:"display_width_mm"`
	WeirDropMM       float64  `json:"weir_drop_mm"`
	NozzleDropMM     float64  `json:"nozzle_drop_mm"`
	PlumbingL        float64  `json:"plumbing_l"`
	SumpLengthMM     float64  `json:"sump_length_mm"`
	SumpWidthMM      float64  `json:"sump_width_mm"`
	SumpWaterLineMM  float64  `json:"sump_water_line_mm"`
	SumpRimMM        float64  `json:"sump_rim_mm"`
	DisplacedL       float64  `json:"displaced_l"`
	MarginMM         float64  `json:"margin_mm"`
	HighLevelMM      float64  `json:"high_level_mm"`
	ReservoirL       *float64 `json:"reservoir_content_l,omitempty"`
	ReservoirFloorMM float64  `json:"reservoir_floor_mm"`
	ReservoirLineMM  float64  `json:"reservoir_water_line_mm"`
	HoseEndMM        float64  `json:"hose_end_mm"`
	SiphonBreak      bool     `json:"siphon_break"`
}

type drainBackResponse struct {
	DrainL         float64  `json:"drain_l"`
	SiphonL        *float64 `json:"siphon_l,omitempty"`
	RiseMM         float64  `json:"rise_mm"`
	LevelMM        float64  `json:"level_mm"`
	MarginMM       float64  `json:"margin_mm"`
	FreeL          float64  `json:"free_l"`
	SpareL         float64  `json:"spare_l"`
	Overflows      bool     `json:"overflows"`
	KeepsMargin    bool     `json:"keeps_margin"`
	HighestRunMM   *float64 `json:"highest_water_line_mm,omitempty"`
	DeepestDropMM  *float64 `json:"deepest_drop_mm,omitempty"`
	SiphonPossible bool     `json:"siphon_possible"`
}

func (r drainBackRequest) input() topoff.DrainBackInput {
	const mm2PerM2 = quantity.SquareMMPerSquareMetre
	in := topoff.DrainBackInput{
		BackSiphon: topoff.BackSiphonInput{DisplayAreaM2: r.DisplayLengthMM * r.DisplayWidthMM / mm2PerM2,
			WeirDropMM: r.WeirDropMM, NozzleDropMM: r.NozzleDropMM, PlumbingL: r.PlumbingL},
		SumpAreaM2: r.SumpLengthMM * r.SumpWidthMM / mm2PerM2, RunningMM: r.SumpWaterLineMM, RimMM: r.SumpRimMM,
		DisplacedL: r.DisplacedL,
		MarginMM:   r.MarginMM, TopOffMissedMM: r.HighLevelMM,
	}
	if r.ReservoirL != nil {
		in.Reservoir = &topoff.Reservoir{
			ContentL: *r.ReservoirL, FloorMM: r.ReservoirFloorMM, WaterLineMM: r.ReservoirLineMM,
			HoseEndMM: r.HoseEndMM, SiphonBreak: r.SiphonBreak,
		}
	}
	return in
}

func newDrainBackResponse(d topoff.DrainBackResult) drainBackResponse {
	return drainBackResponse{
		DrainL: d.DrainL, SiphonL: onlyIf(d.SiphonPossible, d.SiphonL), RiseMM: d.RiseMM, LevelMM: d.LevelMM,
		MarginMM: d.MarginMM, FreeL: d.FreeL, SpareL: d.SpareL, Overflows: d.Overflows, KeepsMargin: d.KeepsMargin,
		HighestRunMM:   onlyIf(d.HighestRunMM > 0, d.HighestRunMM),
		DeepestDropMM:  onlyIf(d.DeepestDropMM > 0, d.DeepestDropMM),
		SiphonPossible: d.SiphonPossible,
	}
}

// DrainBack is where the sump's level ends when the return pump stops.
func DrainBack(_ context.Context, r drainBackRequest) (envelope.Answer[drainBackResponse], error) {
	d, err := topoff.DrainBack(r.input())
	if err != nil {
		return envelope.Answer[drainBackResponse]{}, err
	}
	a := envelope.Answer[drainBackResponse]{
		Result: newDrainBackResponse(d), Cautions: []envelope.Caution{envelope.MainsNearWater, envelope.HeavyWater},
		Sources:    []string{"Derived"},
		Headline:   drainHeadline(d),
		Details:    text.Of("drain_rise", text.Params{"drain": d.DrainL, "rise": d.RiseMM}),
		KeyFigures: drainFigures(d), Actions: drainActions(d),
	}
	if d.SiphonPossible {
		a.Warnings = append(a.Warnings, envelope.Warn(text.Of("reservoir_siphon", text.Params{"siphon": d.SiphonL}),
			"#/hose_end_mm"))
	}
	if d.Overflows {
		a.Warnings = append(a.Warnings, envelope.Warn(text.Of("sump_overflows", nil), "#/sump_water_line_mm"))
	}
	return a, nil
}

func drainHeadline(d topoff.DrainBackResult) text.Text {
	switch {
	case d.Overflows:
		return text.Of("drain_overflows", text.Params{"spill": -d.SpareL})
	case !d.KeepsMargin:
		return text.Of("drain_margin_too_small", text.Params{"margin": d.MarginMM})
	}
	return text.Of("drain_fits", text.Params{"margin": d.MarginMM})
}

func drainFigures(d topoff.DrainBackResult) []envelope.KeyFigure {
	out := []envelope.KeyFigure{
		{Label: text.Of("drain_down_figure", nil), Value: d.DrainL, Quantity: "volume"},
		{Label: text.Of("drain_rise_figure", nil), Value: d.RiseMM, Quantity: "length"},
	}
	if d.Overflows {
		out = append(out, envelope.KeyFigure{Label: text.Of("drain_spill_figure", nil), Value: -d.SpareL,
			Quantity: "volume"})
	} else {
		out = append(out, envelope.KeyFigure{Label: text.Of("drain_margin_figure", nil), Value: d.MarginMM,
			Quantity: "length"})
	}
	if d.HighestRunMM > 0 {
		out = append(out, envelope.KeyFigure{Label: text.Of("drain_highest_line_figure", nil), Value: d.HighestRunMM,
			Quantity: "length"})
	}
	return out
}

func drainActions(d topoff.DrainBackResult) []text.Text {
	var out []text.Text
	switch {
	case d.KeepsMargin && d.HighestRunMM > 0:
		out = append(out, text.Of("drain_mark_line", text.Params{"line": d.HighestRunMM}))
	case d.KeepsMargin:
	case d.HighestRunMM == 0 && d.DeepestDropMM == 0:
		out = append(out, text.Of("drain_larger_sump", nil))
	default:
		if d.HighestRunMM > 0 {
			out = append(out, text.Of("drain_run_lower", text.Params{"line": d.HighestRunMM}))
		}
		if d.DeepestDropMM > 0 {
			out = append(out, text.Of("drain_raise_air_hole", text.Params{"drop": d.DeepestDropMM}))
		}
	}
	if d.SiphonPossible {
		out = append(out, text.Of("siphon_end_hose_higher", nil))
	}
	return append(out, text.Of("drain_try_it", nil))
}

type curvePoint struct {
	FlowLH float64 `json:"flow_l_h"`
	HeadM  float64 `json:"head_m"`
}

type fittingCount struct {
	Fitting string `json:"fitting"`
	Number  int    `json:"number"`
}

type returnPipe struct {
	InnerMM     float64        `json:"inner_mm"`
	LengthM     float64        `json:"length_m"`
	RoughnessMM float64        `json:"roughness_mm"`
	Fittings    []fittingCount `json:"fittings"`
	ExtraK      float64        `json:"extra_k"`
}

type returnFlowRequest struct {
	Curve       []curvePoint `json:"curve"`
	LiftM       float64      `json:"lift_m"`
	Pipes       []returnPipe `json:"pipes"`
	DisplayL    float64      `json:"display_l"`
	SalinityPSU float64      `json:"salinity_psu"`
	WaterC      float64      `json:"water_c"`
	PumpW       float64      `json:"pump_w"`
}

type pipeFlow struct {
	VelocityMS float64 `json:"velocity_m_s"`
	Reynolds   float64 `json:"reynolds"`
	Friction   float64 `json:"friction_factor"`
	FrictionM  float64 `json:"friction_m"`
	FittingsM  float64 `json:"fittings_m"`
	K          float64 `json:"fittings_k"`
}

type returnFlowResponse struct {
	FlowLH      float64    `json:"flow_l_h"`
	HeadM       float64    `json:"head_m"`
	DynamicM    float64    `json:"dynamic_m"`
	ShutOffM    float64    `json:"shut_off_m"`
	Turnovers   float64    `json:"turnovers_h"`
	ShareOfMost float64    `json:"share_of_most"`
	HydraulicW  float64    `json:"hydraulic_w"`
	Efficiency  *float64   `json:"efficiency,omitempty"`
	Pipes       []pipeFlow `json:"pipes"`
}

func (r returnFlowRequest) input() hydraulics.ReturnInput {
	in := hydraulics.ReturnInput{
		LiftM: r.LiftM, DisplayL: r.DisplayL,
		Water: hydraulics.Water{Salinity: quantity.PracticalSalinity(r.SalinityPSU),
			Temp: quantity.Celsius(r.WaterC)},
	}
	for _, p := range r.Curve {
		in.Curve = append(in.Curve, hydraulics.CurvePoint(p))
	}
	for _, p := range r.Pipes {
		pipe := hydraulics.Pipe{InnerMM: p.InnerMM, LengthM: p.LengthM, RoughnessMM: p.RoughnessMM, ExtraK: p.ExtraK}
		for _, f := range p.Fittings {
			pipe.Fittings = append(pipe.Fittings, hydraulics.Count{Fitting: hydraulics.Fitting(f.Fitting),
				Number: f.Number})
		}
		in.Pipes = append(in.Pipes, pipe)
	}
	return in
}

func newReturnFlowResponse(f hydraulics.ReturnResult, pumpW float64) returnFlowResponse {
	out := returnFlowResponse{
		FlowLH: f.FlowLH, HeadM: f.HeadM, DynamicM: f.DynamicM, ShutOffM: f.ShutOffM, Turnovers: f.Turnovers,
		ShareOfMost: f.ShareOfMost, HydraulicW: f.HydraulicW, Pipes: []pipeFlow{},
	}
	if pumpW > 0 {
		e := f.HydraulicW / pumpW
		out.Efficiency = &e
	}
	for _, p := range f.Pipes {
		out.Pipes = append(out.Pipes, pipeFlow{VelocityMS: p.VelocityMS, Reynolds: p.Reynolds, Friction: p.Friction,
			FrictionM: p.FrictionM, FittingsM: p.FittingsM, K: p.K})
	}
	return out
}

// FlowBack is the flow a return pump brings through its pipe.
func FlowBack(_ context.Context, r returnFlowRequest) (envelope.Answer[returnFlowResponse], error) {
	if len(r.Curve) < 2 || len(r.Pipes) < 1 {
		return envelope.Answer[returnFlowResponse]{}, &calc.ConflictError{Params: []string{"curve", "pipes"},
			Reason: text.Of("flow_curve_and_pipe_needed", nil)}
	}
	f, err := hydraulics.ReturnFlow(r.input())
	if err != nil {
		return envelope.Answer[returnFlowResponse]{}, err
	}
	a := envelope.Answer[returnFlowResponse]{
		Result: newReturnFlowResponse(f, r.PumpW), Cautions: []envelope.Caution{envelope.MainsNearWater},
		Sources:  []string{"CengelCimbala2006", "Churchill1977", "FritschButland1984", "Sharqawy2010"},
		Headline: text.Of("flow_is", text.Params{"flow": f.FlowLH, "turnovers": f.Turnovers}),
		Details: text.Of("flow_against", text.Params{"head": f.HeadM, "lift": r.LiftM, "pipe": f.DynamicM,
			"share": f.ShareOfMost}),
		KeyFigures: flowFigures(f), Actions: flowActions(f),
	}
	if f.MostVelocity > hydraulics.FastWaterMS {
		a.Warnings = append(a.Warnings, envelope.Warn(text.Of("fast_water", text.Params{"speed": f.MostVelocity}),
			"#/pipes"))
	}
	if r.PumpW > 0 && f.HydraulicW > r.PumpW {
		a.Warnings = append(a.Warnings, envelope.Warn(text.Of("more_than_its_power", nil), "#/pump_w"))
	}
	return a, nil
}

func flowFigures(f hydraulics.ReturnResult) []envelope.KeyFigure {
	return []envelope.KeyFigure{
		{Label: text.Of("flow_figure", nil), Value: f.FlowLH, Quantity: "flow"},
		{Label: text.Of("flow_turnovers_figure", nil), Value: f.Turnovers, Quantity: "number"},
		{Label: text.Of("flow_head_figure", nil), Value: f.HeadM, Quantity: "distance"},
		{Label: text.Of("flow_speed_figure", nil), Value: f.MostVelocity, Quantity: "air_speed"},
	}
}

func flowActions(f hydraulics.ReturnResult) []text.Text {
	var out []text.Text
	if f.MostVelocity > hydraulics.FastWaterMS {
		out = append(out, text.Of("flow_wider_pipe", nil))
	}
	return append(out, text.Of("flow_measure", nil))
}
