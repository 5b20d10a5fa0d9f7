package water

import (
	"context"
	"fmt"

	"saltwright/internal/answer/envelope"
	"saltwright/internal/calc"
	"saltwright/internal/calc/hydraulics"
	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/text"
	"saltwright/internal/calc/topoff"
	"saltwright/internal/catalogue"
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
	DrainL         float64 `json:"drain_l"`
	SiphonL        float64 `json:"siphon_l"`
	RiseMM         float64 `json:"rise_mm"`
	LevelMM        float64 `json:"level_mm"`
	MarginMM       float64 `json:"margin_mm"`
	FreeL          float64 `json:"free_l"`
	SpareL         float64 `json:"spare_l"`
	Overflows      bool    `json:"overflows"`
	KeepsMargin    bool    `json:"keeps_margin"`
	HighestRunMM   float64 `json:"highest_water_line_mm"`
	DeepestDropMM  float64 `json:"deepest_drop_mm"`
	SiphonPossible bool    `json:"siphon_possible"`
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
	return drainBackResponse(d)
}

// DrainBack is where the sump's level ends when the return pump stops.
func DrainBack(_ context.Context, r drainBackRequest) (envelope.Answer[drainBackResponse], error) {
	d, err := topoff.DrainBack(r.input())
	if err != nil {
		return envelope.Answer[drainBackResponse]{}, err
	}
	a := envelope.Answer[drainBackResponse]{
		Result: newDrainBackResponse(d), Cautions: []envelope.Caution{envelope.MainsNearWater, envelope.HeavyWater},
		Sources: []string{"Derived"},
		Summary: func(u catalogue.Units) string {
			s := fmt.Sprintf("When the return stops, %s run down and the sump rises by %s",
				catalogue.Number(d.DrainL, "L", u), catalogue.Number(d.RiseMM, "mm", u))
			if d.Overflows {
				s += fmt.Sprintf(": %s end on the floor.", catalogue.Number(-d.SpareL, "L", u))
			} else {
				s += fmt.Sprintf(", to %s under its rim.", catalogue.Number(d.MarginMM, "mm", u))
			}
			if !d.KeepsMargin {
				s += fmt.Sprintf(" Run the sump no higher than %s, or let the return line take in air no deeper than "+
					"%s under the running level.", catalogue.Number(d.HighestRunMM, "mm", u),
					catalogue.Number(d.DeepestDropMM, "mm", u))
			}
			return s + " Try it: switch the return off with a towel at hand, and do it again every month."
		},
	}
	if d.SiphonPossible {
		a.Warnings = append(a.Warnings, envelope.Warning{Code: "reservoir_siphon", Pointer: "#/hose_end_mm",
			Message: fmt.Sprintf("The reservoir's water stands above its hose's end: once started it siphons %.1f L "+
				"by itself. End the hose above the reservoir's water, or break the siphon with a hole above the "+
				"water line.", d.SiphonL)})
	}
	if d.Overflows {
		a.Warnings = append(a.Warnings, envelope.Warning{Code: "sump_overflows", Pointer: "#/sump_water_line_mm",
			Message: "The sump cannot hold what runs down. A check valve leaks in time and does not count."})
	}
	return a, nil
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
			Reason: text.Plain("give at least two points of the pump's curve and one pipe")}
	}
	f, err := hydraulics.ReturnFlow(r.input())
	if err != nil {
		return envelope.Answer[returnFlowResponse]{}, err
	}
	a := envelope.Answer[returnFlowResponse]{
		Result: newReturnFlowResponse(f, r.PumpW), Cautions: []envelope.Caution{envelope.MainsNearWater},
		Sources: []string{"CengelCimbala2006", "Churchill1977", "FritschButland1984", "Sharqawy2010"},
		Summary: func(u catalogue.Units) string {
			return fmt.Sprintf("The pump brings %s against %s: %s of lift and %s lost in the pipe. That turns the "+
				"display over %.1f times an hour, at %.0f %% of the curve's largest flow.",
				catalogue.Number(f.FlowLH, "L/h", u), catalogue.Number(f.HeadM, "m", u),
				catalogue.Number(r.LiftM, "m", u),
				catalogue.Number(f.DynamicM, "m", u), f.Turnovers, 100*f.ShareOfMost)
		},
	}
	if f.MostVelocity > hydraulics.FastWaterMS {
		a.Warnings = append(a.Warnings, envelope.Warning{Code: "fast_water", Pointer: "#/pipes",
			Message: fmt.Sprintf("The water runs at %.1f m/s in its narrowest pipe, which is noisy and wasteful: use "+
				"a wider one.", f.MostVelocity)})
	}
	if r.PumpW > 0 && f.HydraulicW > r.PumpW {
		a.Warnings = append(a.Warnings, envelope.Warning{Code: "more_than_its_power", Pointer: "#/pump_w",
			Message: "The curve gives the water more power than the pump draws; check the curve's units."})
	}
	return a, nil
}
