package light

import (
	"saltwright/internal/answer/picture"
	"saltwright/internal/calc/light"
	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/text"
	"saltwright/internal/catalogue"
	"saltwright/internal/chart"
)

// dayChart draws a tank's day of light beside a natural one: at the depth that was asked about, noon at 12:00.
func dayChart(u catalogue.Reader, day light.Day, in light.ScoreInput, s light.ScoreResult,
	d light.Daylight) chart.Chart {
	to := picture.For(u)
	left := 1.0 // of the light over the surface
	if d.DLI > 0 {
		left = d.DepthDLI / d.DLI
	}
	const perHour = 4
	var hours, tank, nature []float64
	rows := [][]string{}
	for i := range int(quantity.HoursPerDay)*perHour + 1 {
		hour := float64(i) / perHour
		flux := 0.0
		for _, c := range in.Channels {
			if c.PeakPPFD != nil {
				flux += *c.PeakPPFD * c.Schedule.At(hour) / 100
			}
		}
		hours, tank = append(hours, hour), append(tank, flux)
		nature = append(nature, left*d.PPFDAt(day.LatitudeDeg, hour))
		if i%perHour == 0 {
			rows = append(rows, []string{light.Clock(hour), to.Number("light_flux", flux),
				to.Number("light_flux", nature[i])})
		}
	}
	yours, natural := text.Of("chart_your_tank", nil), text.Of("chart_natural_day", nil)
	return chart.Chart{
		Code: "day_of_light",
		Title: to.Say(text.Of("day_of_light_title",
			text.Params{"lit": s.PhotoperiodH, "natural": d.DayLengthH})),
		Sentence: to.Say(text.Of("day_of_light_sentence",
			text.Params{"tank": *s.DLI, "natural": d.DepthDLI, "depth": day.DepthM})),
		X: chart.Clock(to.Say(text.Of("chart_time_of_day", nil))),
		Y: to.FromZero(text.Of("chart_light", nil), "light_flux", append(tank, nature...)...),
		Series: []chart.Series{to.Line(yours, chart.Line, "light_flux", hours, tank),
			to.Line(natural, chart.Line, "light_flux", hours, nature)},
		Bands: []chart.Band{}, Spans: []chart.Span{}, Marks: []chart.Mark{},
		Table: picture.Table([]string{to.Say(text.Of("chart_time_of_day", nil)), to.Say(yours), to.Say(natural)},
			rows...),
	}
}
