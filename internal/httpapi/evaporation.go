package httpapi

import (
	"context"
	"fmt"

	"saltwright/internal/calc"
	"saltwright/internal/calc/evaporation"
	"saltwright/internal/calc/quantity"
)

type evaporationRequest struct {
	LengthMM    float64 `json:"length_mm"`
	WidthMM     float64 `json:"width_mm"`
	WaterC      float64 `json:"water_c"`
	SalinityPSU float64 `json:"salinity_psu"`
	RoomC       float64 `json:"room_c"`
	RHPercent   float64 `json:"rh_percent"`
	AirSpeedMS  float64 `json:"air_speed_m_s"`
	AltitudeM   float64 `json:"altitude_m"`
	Lid         string  `json:"lid"`
	measuredEvaporationFactor
}

// measuredEvaporationFactor is what the calibration found on this very tank.
type measuredEvaporationFactor struct {
	EvapFactor  *float64 `json:"evaporation_factor,omitempty"`
	EvapPercent *float64 `json:"evaporation_uncertainty_percent,omitempty"`
}

// given returns the factor and its uncertainty as a ratio; 0 when nothing was measured.
func (m measuredEvaporationFactor) given() (factor, ratio float64, err error) {
	switch {
	case m.EvapFactor == nil && m.EvapPercent != nil:
		return 0, 0, &calc.ConflictError{
			Params: []string{"evaporation_uncertainty_percent", "evaporation_factor"},
			Reason: "an uncertainty needs the factor that it belongs to; give evaporation_factor too, as the calibration finds it",
		}
	case m.EvapFactor == nil:
		return 0, 0, nil
	case m.EvapPercent != nil:
		ratio = *m.EvapPercent / 100
	}
	return *m.EvapFactor, ratio, nil
}

type evaporationResponse struct {
	LowLD       float64 `json:"low_l_d"`
	ExpectedLD  float64 `json:"expected_l_d"`
	HighLD      float64 `json:"high_l_d"`
	ExpectedKgH float64 `json:"expected_kg_h"`
	LatentW     float64 `json:"latent_w"`
	Condensing  bool    `json:"condensing"`
}

func (r evaporationRequest) input() (evaporation.Surface, error) {
	air, err := airOf(r.RoomC, r.RHPercent, r.AltitudeM)
	if err != nil {
		return evaporation.Surface{}, err
	}
	lid, err := evaporation.LidFactor(evaporation.Lid(r.Lid))
	if err != nil {
		return evaporation.Surface{}, err
	}
	return evaporation.Surface{
		AreaM2: r.LengthMM * r.WidthMM / (mmPerM * mmPerM), Salinity: quantity.PracticalSalinity(r.SalinityPSU),
		Water: quantity.Celsius(r.WaterC), Air: air, AirSpeedMS: r.AirSpeedMS, LidFactor: lid,
	}, nil
}

func newEvaporationResponse(e evaporation.Range) evaporationResponse {
	return evaporationResponse{
		LowLD: evaporation.LitresPerDay(e.Low), ExpectedLD: evaporation.LitresPerDay(e.Expected), HighLD: evaporation.LitresPerDay(e.High),
		ExpectedKgH: e.Expected, LatentW: e.Watts(e.Expected), Condensing: e.Condensing,
	}
}

var evaporationRename = map[string]string{"evaporation_uncertainty_ratio": "evaporation_uncertainty_percent"}

var evaporationSources = []string{"ASHRAEApplications", "Shah2014", "SmithLofJones1998"}

// evaporate is what a free surface loses.
func evaporate(_ context.Context, r evaporationRequest) (answer[evaporationResponse], error) {
	in, err := r.input()
	if err != nil {
		return answer[evaporationResponse]{}, err
	}
	e, err := evaporation.Estimate(in)
	if err != nil {
		return answer[evaporationResponse]{}, err
	}
	factor, ratio, err := r.given()
	if err != nil {
		return answer[evaporationResponse]{}, err
	}
	if factor > 0 {
		if e, err = e.Times(factor, ratio); err != nil {
			return answer[evaporationResponse]{}, err
		}
	}
	out := newEvaporationResponse(e)
	return answer[evaporationResponse]{
		Result: out, Sources: evaporationSources, Warnings: evaporationWarnings(e),
		Summary: func(u units) string {
			if e.Condensing {
				return "The air is wetter than the water's surface: nothing evaporates, water condenses on the tank."
			}
			doubt := "depending on the correlation"
			if factor > 0 {
				doubt = "by your measurement"
			}
			return fmt.Sprintf("About %s evaporate a day (%s to %s, %s), which takes %s of heat out of the water.",
				text(out.ExpectedLD, "L", u), text(out.LowLD, "L", u), text(out.HighLD, "L", u), doubt, text(out.LatentW, "W", u))
		},
	}, nil
}

// wideSpread is the ratio of high to low beyond which the spread is pointed out.
const wideSpread = 2.0

func evaporationWarnings(e evaporation.Range) []warning {
	var out []warning
	if e.Condensing {
		out = append(out, warning{Code: "condensing", Message: "The air is wetter than the water's surface; the correlations are for evaporation only."})
	}
	if e.Low > 0 && e.High/e.Low > wideSpread {
		out = append(out, warning{Code: "wide_spread", Message: fmt.Sprintf("The published correlations differ by a factor of %.1f here: note how much you top up for a few days and use that.", e.High/e.Low)})
	}
	return out
}
