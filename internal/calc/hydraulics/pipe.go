// Package hydraulics holds the flow that a return pump brings through its pipe.
package hydraulics

import (
	"math"

	"saltwright/internal/calc"
	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/seawater"
	"saltwright/internal/calc/text"
)

const (
	gravity = 9.80665 // m/s2, standard. Source: [BIPM2019].
)

// Roughness of new pipe and hose, mm. Source: [CengelCimbala2006].
const SmoothPlasticMM = 0.0015

// Fitting is what turns, splits or hinders the flow.
type Fitting string

// Fittings with a tabulated loss.
const (
	SharpEntrance  Fitting = "sharp_entrance"
	RoundEntrance  Fitting = "rounded_entrance"
	Exit           Fitting = "exit"
	Elbow90        Fitting = "elbow_90"
	SmoothBend90   Fitting = "smooth_bend_90"
	Elbow45        Fitting = "elbow_45"
	TeeRun         Fitting = "tee_run"
	TeeBranch      Fitting = "tee_branch"
	Union          Fitting = "union"
	BallValve      Fitting = "ball_valve_open"
	GateValve      Fitting = "gate_valve_open"
	SwingCheck     Fitting = "swing_check_valve"
	lossOfVelocity         = 1.0 // turbulent flow into a tank
)

// loss is the coefficient K of each, on the velocity head in the pipe. Source: [CengelCimbala2006] table 8-4.
var loss = map[Fitting]float64{
	SharpEntrance: 0.5, RoundEntrance: 0.03, Exit: lossOfVelocity, Elbow90: 0.9, SmoothBend90: 0.3, Elbow45: 0.4,
	TeeRun: 0.9, TeeBranch: 2.0, Union: 0.08, BallValve: 0.05, GateValve: 0.2, SwingCheck: 2.0,
}

// Fittings are all with a tabulated loss, in the order of an answer.
var Fittings = []Fitting{
	SharpEntrance, RoundEntrance, Exit, Elbow90, SmoothBend90, Elbow45, TeeRun, TeeBranch, Union, BallValve,
	GateValve,
	SwingCheck,
}

// FrictionFactor returns the Darcy friction factor of a round pipe at every Reynolds number.
//
//	f = 8 [(8/Re)^12 + 1/(A + B)^1.5]^(1/12)
//	A = [-2.457 ln((7/Re)^0.9 + 0.27 e/D)]^16,  B = (37530/Re)^16
//
//	reynolds   Re, above 0                      [1]  valid 1e-3 … 1e9
//	roughness  e/D                              [1]  valid 0 … 0.05
//
// Accuracy: 64/Re where laminar; within 3 % of Colebrook and White where turbulent. It bridges
// 2000 … 4000, where no flow is sure, without a step. Errors: *calc.RangeError. Source: [Churchill1977].
func FrictionFactor(reynolds, roughness float64) (float64, error) {
	if err := calc.CheckRange("reynolds", reynolds, 1e-3, 1e9, "1"); err != nil {
		return 0, err
	}
	if err := calc.CheckRange("relative_roughness", roughness, 0, 0.05, "1"); err != nil {
		return 0, err
	}
	a := math.Pow(-2.457*math.Log(math.Pow(7/reynolds, 0.9)+0.27*roughness), 16)
	b := math.Pow(37530/reynolds, 16)
	return 8 * math.Pow(math.Pow(8/reynolds, 12)+1/math.Pow(a+b, 1.5), 1.0/12), nil
}

// Pipe is one length of one bore with what is in it.
type Pipe struct {
	InnerMM     float64 // 3 … 500 mm
	LengthM     float64 // 0 … 500 m
	RoughnessMM float64 // 0 … 1 mm
	Fittings    []Count // with a tabulated loss
	ExtraK      float64 // of whatever else, 0 … 1000
}

// Count is how many of a fitting.
type Count struct {
	Fitting Fitting
	Number  int // 0 … 200
}

// Flow is one pipe at one flow.
type Flow struct {
	VelocityMS    float64
	Reynolds      float64
	Friction      float64 // Darcy factor; 0 without flow
	FrictionM     float64 // head lost along the pipe
	FittingsM     float64 // head lost in fittings
	K             float64 // all fittings together
	VelocityHeadM float64
}

// TotalM returns the head a pipe takes.
//
// Accuracy: exact sum. Errors: none. Source: [Derived].
func (f Flow) TotalM() float64 { return f.FrictionM + f.FittingsM }

// Water is what flows.
type Water struct {
	Salinity quantity.PracticalSalinity // 0 … 45
	Temp     quantity.Celsius           // 0 … 40 °C
}

func (w Water) kinematicViscosity() (float64, error) {
	mu, err := seawater.Viscosity(w.Salinity, w.Temp)
	if err != nil {
		return 0, err
	}
	rho, err := seawater.Density(w.Salinity, w.Temp)
	return mu / rho, err
}

func (p Pipe) check() error {
	for _, c := range []struct {
		param           string
		value, min, max float64
		unit            string
	}{
		{"inner_mm", p.InnerMM, 3, 500, "mm"}, {"length_m", p.LengthM, 0, 500, "m"},
		{"roughness_mm", p.RoughnessMM, 0, 1, "mm"},
		{"extra_k", p.ExtraK, 0, 1000, "1"},
	} {
		if err := calc.CheckRange(c.param, c.value, c.min, c.max, c.unit); err != nil {
			return err
		}
	}
	for _, f := range p.Fittings {
		if _, ok := loss[f.Fitting]; !ok {
			return &calc.ConflictError{
				Params: []string{"fittings"},
				Reason: text.Of("flow_fitting_unknown", text.Params{"fitting": string(f.Fitting)}),
			}
		}
		if err := calc.CheckRange("fittings", float64(f.Number), 0, 200, "1"); err != nil {
			return err
		}
	}
	return nil
}

// flow returns velocity and head losses of one pipe at a flow, by the water's kinematic viscosity.
//
//	h = (f L/D + Σ K) v²/(2 g)
func (p Pipe) flow(nu, litresPerHour float64) (Flow, error) {
	var r Flow
	d := p.InnerMM / quantity.MillimetresPerMetre
	for _, f := range p.Fittings {
		r.K += float64(f.Number) * loss[f.Fitting]
	}
	r.K += p.ExtraK
	r.VelocityMS = litresPerHour / quantity.LitresPerCubicMetre / quantity.SecondsPerHour / (math.Pi / 4 * d * d)
	r.Reynolds = r.VelocityMS * d / nu
	const still = 1e-3 // Reynolds number below which nothing flows that matters
	if r.Reynolds < still {
		return r, nil
	}
	var err error
	if r.Friction, err = FrictionFactor(r.Reynolds, math.Min(p.RoughnessMM/p.InnerMM, 0.05)); err != nil {
		return r, err
	}
	r.VelocityHeadM = r.VelocityMS * r.VelocityMS / (2 * gravity)
	r.FrictionM = r.Friction * p.LengthM / d * r.VelocityHeadM
	r.FittingsM = r.K * r.VelocityHeadM
	return r, nil
}
