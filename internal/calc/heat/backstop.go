package heat

import (
	"math"

	"saltwright/internal/calc"
	"saltwright/internal/calc/text"
)

// UsualBackstopK is how far a heater's own thermostat is usually set above the outside controller, K; 2 degF.
// Source: [CommonPractice].
const UsualBackstopK = 1.1

// BackstopInput is an outside controller in series with a heater's own thermostat.
type BackstopInput struct {
	SetpointC            float64 // of the controller; it switches off at SetpointC + HysteresisK/2
	HysteresisK          float64 // whole width of the band, above 0, at most 5 K
	ThermostatC          float64 // mark of the heater's own thermostat
	ThermostatToleranceK float64 // how far the thermostat may be off its mark, either way, 0 … 5 K
	HarmHighC            float64 // temperature that must not be passed
}

// BackstopVerdict says how the thermostat stands to the controller.
type BackstopVerdict string

// The verdicts.
const (
	// the controller switches, the thermostat takes over before harm
	BackstopFits       BackstopVerdict = "fits"
	BackstopInterferes BackstopVerdict = "interferes" // the thermostat may switch before the controller
	BackstopTooFar     BackstopVerdict = "too_far"    // it may open only beyond the harm limit
	BackstopBoth       BackstopVerdict = "both"       // either, depending on which way it is off its mark
)

// BackstopResult is the verdict and the band to choose from.
type BackstopResult struct {
	Verdict       BackstopVerdict
	SwitchOffC    float64 // of the controller
	BandExists    bool    // false: tolerance and harm limit leave no room
	BandLowC      float64 // lowest mark that never interferes
	BandHighC     float64 // highest mark that still opens at the harm limit
	RecommendedC  float64 // the usual 1.1 K above the setpoint, moved into the band; 0 without one
	UsualFits     bool    // whether 1.1 K above the setpoint lies in the band
	WorstOpeningC float64 // where the thermostat may open at the latest
}

// Backstop returns whether a heater's own thermostat lets the outside controller
// switch and still opens before harm when the controller's relay welds shut.
//
//	off + tolerance <= mark <= harm limit - tolerance
//
//	off   setpoint + hysteresis/2 of the controller  [°C]
//	mark  setting of the thermostat                  [°C]
//
// Accuracy: exact for the tolerance given; the water's overshoot after opening is not in it.
// Errors: *calc.RangeError; *calc.ConflictError when the controller itself
// switches off beyond the harm limit.
// Source: [Derived]; 1.1 K is [CommonPractice].
func Backstop(in BackstopInput) (BackstopResult, error) {
	var r BackstopResult
	for _, c := range []struct {
		param           string
		value, min, max float64
		unit            string
	}{
		{"setpoint_c", in.SetpointC, minWaterC, maxWaterC, "degC"},
		{"hysteresis_k", in.HysteresisK, 1e-3, 5, "K"},
		{"thermostat_c", in.ThermostatC, minWaterC, 60, "degC"},
		{"thermostat_tolerance_k", in.ThermostatToleranceK, 0, 5, "K"},
		{"harm_high_c", in.HarmHighC, minWaterC, maxWaterC, "degC"},
	} {
		if err := calc.CheckRange(c.param, c.value, c.min, c.max, c.unit); err != nil {
			return r, err
		}
	}
	off := in.SetpointC + in.HysteresisK/2
	if off >= in.HarmHighC {
		return r, &calc.ConflictError{
			Params: []string{"setpoint_c", "hysteresis_k", "harm_high_c"},
			Reason: text.Of("control_switches_beyond_harm",
				text.Params{"off": off, "high": in.HarmHighC}),
		}
	}
	r.SwitchOffC = off
	r.BandLowC, r.BandHighC = off+in.ThermostatToleranceK, in.HarmHighC-in.ThermostatToleranceK
	r.WorstOpeningC = in.ThermostatC + in.ThermostatToleranceK
	interferes, tooFar := in.ThermostatC < r.BandLowC, in.ThermostatC > r.BandHighC
	switch {
	case interferes && tooFar:
		r.Verdict = BackstopBoth
	case interferes:
		r.Verdict = BackstopInterferes
	case tooFar:
		r.Verdict = BackstopTooFar
	default:
		r.Verdict = BackstopFits
	}
	if r.BandLowC <= r.BandHighC {
		r.BandExists = true
		usual := in.SetpointC + UsualBackstopK
		r.RecommendedC = math.Min(math.Max(usual, r.BandLowC), r.BandHighC)
		r.UsualFits = r.RecommendedC == usual
	}
	return r, nil
}
