package light

import (
	"context"
	"fmt"
	"math"

	"saltwright/internal/answer/envelope"
	"saltwright/internal/calc/light"
	"saltwright/internal/calc/text"
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
		Result:   newDaylightResponse(d),
		Warnings: []envelope.Warning{envelope.Warn(text.Of("clear_sky", nil), "")},
		Headline: daylightHeadline(r, d), Details: daylightDetails(r, d), KeyFigures: daylightFigures(r, d),
		Actions: []text.Text{text.Of("daylight_use_as_a_limit", nil)},
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
	DayShare     *float64         `json:"day_share,omitempty"`
	SurfaceShare *float64         `json:"surface_share,omitempty"`
	DepthShare   *float64         `json:"depth_share,omitempty"`
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
		Charts: func(u catalogue.Reader) ([]chart.Chart, error) {
			return []chart.Chart{dayChart(u, day, in, s, d)}, nil
		},
		Result: out, Headline: comparisonHeadline(s, d, out),
		Details:    text.Sentences(text.Of("light_brings", text.Params{"light": *s.DLI}), sameDepth(out)),
		KeyFigures: comparisonFigures(out), Actions: comparisonActions(s, d),
	}
	if d.DayLengthH > 0 && s.PhotoperiodH > d.DayLengthH+1 {
		a.Warnings = append(a.Warnings, envelope.Warn(text.Of("longer_than_nature",
			text.Params{"longer": s.PhotoperiodH - d.DayLengthH}), "#/channels"))
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
	share := func(a, b float64) *float64 {
		const dark = 1e-3 // h, or mol/(m2 d)
		if b < dark {
			return nil
		}
		of := a / b
		return &of
	}
	out.DayShare, out.SurfaceShare, out.DepthShare = share(s.PhotoperiodH, d.DayLengthH), share(*s.DLI, d.DLI),
		share(*s.DLI, d.DepthDLI)
	z, ok, err := d.DepthOf(u, *s.DLI)
	if ok {
		out.SameDepthM = &z
	}
	return out, err
}

// place says where and when a natural day is.
func place(r daylightRequest) text.Text {
	side := "north"
	if r.LatitudeDeg < 0 {
		side = "south"
	}
	return text.Of("daylight_place", text.Params{"date": fmt.Sprintf("%d-%02d-%02d", r.Year, r.Month, r.Day),
		"latitude": math.Abs(r.LatitudeDeg), "side": side})
}

func daylightHeadline(r daylightRequest, d light.Daylight) text.Text {
	p := text.Params{"place": place(r)}
	if d.DayLengthH == 0 {
		return text.Of("daylight_polar_night", p)
	}
	p["length"], p["light"] = d.DayLengthH, d.DLI
	return text.Of("daylight_clear_day", p)
}

func daylightDetails(r daylightRequest, d light.Daylight) text.Text {
	if d.DayLengthH == 0 {
		return text.Text{}
	}
	said := text.Of("daylight_spread", text.Params{"low": d.DLILow, "high": d.DLIHigh, "noon": d.NoonPPFD})
	if r.DepthM == 0 {
		return said
	}
	return text.Sentences(said, text.Of("daylight_at_depth",
		text.Params{"depth": r.DepthM, "light": d.DepthDLI, "noon": d.DepthNoonPPFD}))
}

func daylightFigures(r daylightRequest, d light.Daylight) []envelope.KeyFigure {
	out := []envelope.KeyFigure{
		{Label: text.Of("daylight_length_figure", nil), Value: d.DayLengthH, Quantity: "hours_and_minutes"},
		{Label: text.Of("daylight_integral_figure", nil), Value: d.DLI, Quantity: "light_integral"},
		{Label: text.Of("daylight_noon_figure", nil), Value: d.NoonPPFD, Quantity: "light_flux"},
	}
	if r.DepthM > 0 {
		out = append(out, envelope.KeyFigure{Label: text.Of("daylight_depth_figure", nil), Value: d.DepthDLI,
			Quantity: "light_integral"})
	}
	return out
}

func comparisonHeadline(s light.ScoreResult, d light.Daylight, out lightComparisonResponse) text.Text {
	if out.SurfaceShare == nil {
		return text.Of("light_against_polar_night", text.Params{"lit": s.PhotoperiodH})
	}
	return text.Of("light_against_nature", text.Params{"share": *out.SurfaceShare, "lit": s.PhotoperiodH,
		"length": d.DayLengthH})
}

// sameDepth says how deep a reef gets as much light; nothing where none does.
func sameDepth(out lightComparisonResponse) text.Text {
	if out.SameDepthM == nil {
		return text.Text{}
	}
	return text.Of("light_same_depth", text.Params{"depth": *out.SameDepthM})
}

func comparisonFigures(out lightComparisonResponse) []envelope.KeyFigure {
	list := []envelope.KeyFigure{
		{Label: text.Of("light_lit_figure", nil), Value: out.PhotoperiodH, Quantity: "hours_and_minutes"},
		{Label: text.Of("daylight_length_figure", nil), Value: out.Nature.DayLengthH, Quantity: "hours_and_minutes"},
		{Label: text.Of("light_integral_figure", nil), Value: out.DLI, Quantity: "light_integral"},
		{Label: text.Of("daylight_integral_figure", nil), Value: out.Nature.DLI, Quantity: "light_integral"},
	}
	if out.SameDepthM != nil {
		list = append(list, envelope.KeyFigure{Label: text.Of("light_same_depth_figure", nil),
			Value: *out.SameDepthM, Quantity: "distance"})
	}
	return list
}

func comparisonActions(s light.ScoreResult, d light.Daylight) []text.Text {
	if d.DayLengthH > 0 && s.PhotoperiodH > d.DayLengthH+1 {
		return []text.Text{text.Of("light_shorten_to_nature", text.Params{"length": d.DayLengthH})}
	}
	return []text.Text{text.Of("light_choose_for_livestock", nil)}
}
