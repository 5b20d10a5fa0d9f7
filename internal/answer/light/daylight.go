package light

import (
	"context"
	"fmt"

	"saltwright/internal/answer/envelope"
	"saltwright/internal/calc/light"
	"saltwright/internal/catalogue"
	"saltwright/internal/chart"
)

type daylightRequest struct {
	LatitudeDeg float64         `json:"latitude_deg"`
	Year        int             `json:"year"`
	Month       int             `json:"month"`
	Day         int             `json:"day"`
	DepthM      float64         `json:"depth_m"`
	WaterType   light.WaterType `json:"water_type"`
	Attenuation *float64        `json:"attenuation_per_m,omitempty"`
}

type daylightResponse struct {
	DayLengthH     float64 `json:"day_length_h"`
	Sunrise        string  `json:"sunrise_solar"`
	Sunset         string  `json:"sunset_solar"`
	NoonElevation  float64 `json:"noon_elevation_deg"`
	DeclinationDeg float64 `json:"declination_deg"`
	NoonWM2        float64 `json:"noon_irradiance_w_m2"`
	EnergyMJ       float64 `json:"energy_mj_m2_d"`
	NoonPPFD       float64 `json:"noon_ppfd"`
	DLI            float64 `json:"dli_mol_m2_d"`
	DLILow         float64 `json:"dli_low_mol_m2_d"`
	DLIHigh        float64 `json:"dli_high_mol_m2_d"`
	DepthDLI       float64 `json:"depth_dli_mol_m2_d"`
	DepthNoonPPFD  float64 `json:"depth_noon_ppfd"`
}

func (r daylightRequest) input() light.Day {
	return light.Day{LatitudeDeg: r.LatitudeDeg, Year: r.Year, Month: r.Month, Day: r.Day, DepthM: r.DepthM,
		Underwater: light.Underwater{Type: r.WaterType, AttenuationPerM: r.Attenuation}}
}

func newDaylightResponse(d light.Daylight) daylightResponse {
	return daylightResponse{
		DayLengthH: d.DayLengthH, Sunrise: light.Clock(d.SunriseHour), Sunset: light.Clock(d.SunsetHour),
		NoonElevation: d.NoonElevation, DeclinationDeg: d.DeclinationDeg,
		NoonWM2: d.NoonIrradiance, EnergyMJ: d.EnergyMJ, NoonPPFD: d.NoonPPFD, DLI: d.DLI, DLILow: d.DLILow,
		DLIHigh: d.DLIHigh, DepthDLI: d.DepthDLI, DepthNoonPPFD: d.DepthNoonPPFD,
	}
}

// Daylight is a clear day's light at a latitude.
func Daylight(_ context.Context, r daylightRequest) (envelope.Answer[daylightResponse], error) {
	d, err := light.NaturalDay(r.input())
	if err != nil {
		return envelope.Answer[daylightResponse]{}, err
	}
	return envelope.Answer[daylightResponse]{
		Result: newDaylightResponse(d),
		Warnings: []envelope.Warning{{Code: "clear_sky", Message: "This is a day without a cloud. Over a year clouds " +
			"take a third of it or more, by common practice."}},
		Summary: func(catalogue.Units) string {
			s := fmt.Sprintf("On %d-%02d-%02d at latitude %g° the day is %.2f h long; under a clear sky it brings "+
				"%.0f mol/m² (%.0f to %.0f) and up to %.0f µmol/(m² s)",
				r.Year, r.Month, r.Day, r.LatitudeDeg, d.DayLengthH, d.DLI, d.DLILow, d.DLIHigh, d.NoonPPFD)
			if r.DepthM > 0 {
				return s + fmt.Sprintf(", of which %.1f mol/m² and %.0f µmol/(m² s) are left at %g m.", d.DepthDLI,
					d.DepthNoonPPFD, r.DepthM)
			}
			return s + "."
		},
	}, nil
}

type lightComparisonRequest struct {
	daylightRequest
	Channels         []lightChannel `json:"channels"`
	MoonlightPercent float64        `json:"moonlight_percent"`
}

type lightComparisonResponse struct {
	PhotoperiodH float64          `json:"photoperiod_h"`
	DarkH        float64          `json:"dark_h"`
	LongestLitH  float64          `json:"longest_lit_h"`
	DLI          float64          `json:"dli_mol_m2_d"`
	PeakPPFD     float64          `json:"peak_ppfd"`
	DayShare     float64          `json:"day_share"`
	SurfaceShare float64          `json:"surface_share"`
	DepthShare   float64          `json:"depth_share"`
	SameDepthM   *float64         `json:"same_depth_m,omitempty"`
	Nature       daylightResponse `json:"nature"`
}

func (r lightComparisonRequest) input() (light.ScoreInput, light.Day, error) {
	in, err := lightScoreRequest{Channels: r.Channels, Livestock: "mixed_reef",
		MoonlightPercent: r.MoonlightPercent}.input()
	return in, r.daylightRequest.input(), err
}

// CompareLight holds a tank's day of light against a natural one.
func CompareLight(_ context.Context, r lightComparisonRequest) (envelope.Answer[lightComparisonResponse], error) {
	in, day, err := r.input()
	if err != nil {
		return envelope.Answer[lightComparisonResponse]{}, err
	}
	s, err := light.Score(in)
	if err != nil {
		return envelope.Answer[lightComparisonResponse]{}, err
	}
	if err := needPPFD(s); err != nil {
		return envelope.Answer[lightComparisonResponse]{}, err
	}
	d, err := light.NaturalDay(day)
	if err != nil {
		return envelope.Answer[lightComparisonResponse]{}, err
	}
	out, err := newLightComparisonResponse(in, s, d, day.Underwater)
	if err != nil {
		return envelope.Answer[lightComparisonResponse]{}, err
	}
	a := envelope.Answer[lightComparisonResponse]{
		Charts: func(u catalogue.Units) ([]chart.Chart, error) {
			return []chart.Chart{dayChart(u, day, in, s, d)}, nil
		},
		Result: out,
		Summary: func(u catalogue.Units) string {
			text := fmt.Sprintf("The tank has %.1f h of light where the natural day at latitude %g° has %.1f h, and "+
				"%.1f mol/m² a day, %.0f %% of a clear day over the sea.",
				s.PhotoperiodH, r.LatitudeDeg, d.DayLengthH, *s.DLI, 100*out.SurfaceShare)
			if out.SameDepthM != nil {
				text += fmt.Sprintf(" A reef under a clear sky has as much at about %.0f m, in the water you stated.",
					*out.SameDepthM)
			}
			return text
		},
	}
	if d.DayLengthH > 0 && s.PhotoperiodH > d.DayLengthH+1 {
		a.Warnings = append(a.Warnings, envelope.Warning{Code: "longer_than_nature", Pointer: "#/channels",
			Message: fmt.Sprintf("The tank's day is %.1f h longer than the natural one.", s.PhotoperiodH-d.DayLengthH)})
	}
	return a, nil
}

func newLightComparisonResponse(in light.ScoreInput, s light.ScoreResult, d light.Daylight,
	u light.Underwater) (lightComparisonResponse, error) {
	out := lightComparisonResponse{
		PhotoperiodH: s.PhotoperiodH, DarkH: s.DarkH, LongestLitH: s.LongestLitH, DLI: *s.DLI,
		Nature: newDaylightResponse(d),
	}
	out.PeakPPFD, _ = light.PeakPPFD(in.Channels) // known, or there were no light integral
	share := func(a, b float64) float64 {
		const dark = 1e-3 // h, or mol/(m2 d)
		if b < dark {
			return 0
		}
		return a / b
	}
	out.DayShare, out.SurfaceShare, out.DepthShare = share(s.PhotoperiodH, d.DayLengthH), share(*s.DLI, d.DLI),
		share(*s.DLI, d.DepthDLI)
	z, ok, err := d.DepthOf(u, *s.DLI)
	if ok {
		out.SameDepthM = &z
	}
	return out, err
}
