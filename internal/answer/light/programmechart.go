package light

import (
	"saltwright/internal/answer/picture"
	"saltwright/internal/calc/light"
	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/text"
	"saltwright/internal/catalogue"
	"saltwright/internal/chart"
)

// programmeChart draws the light of all lamps over a day; as a share of full light where no strength is known.
func programmeChart(u catalogue.Reader, title text.Text, in light.ScoreInput, s light.ScoreResult) chart.Chart {
	to := picture.For(u)
	const perHour = 4
	kind, label := "light_flux", text.Of("chart_light", nil)
	if s.DLI == nil {
		kind, label = "percent", text.Of("chart_share_of_full_light", nil)
	}
	var hours, levels []float64
	rows := [][]string{}
	for i := range int(quantity.HoursPerDay)*perHour + 1 {
		hour, level := float64(i)/perHour, 0.0
		for _, c := range in.Channels {
			now := c.Schedule.At(hour)
			switch {
			case s.DLI == nil:
				level = max(level, now)
			case c.PeakPPFD != nil:
				level += *c.PeakPPFD * now / quantity.PerCent
			}
		}
		hours, levels = append(hours, hour), append(levels, level)
		if i%perHour == 0 {
			rows = append(rows, []string{light.Clock(hour), to.Number(kind, level)})
		}
	}
	return chart.Chart{
		Code: "light_programme", Title: to.Say(title),
		Sentence: to.Say(text.Of("light_programme_sentence", nil)),
		X:        chart.Clock(to.Say(text.Of("chart_time_of_day", nil))), Y: to.FromZero(label, kind, levels...),
		Series: []chart.Series{to.Line(text.Of("chart_your_tank", nil), chart.Line, kind, hours, levels)},
		Bands:  []chart.Band{}, Spans: []chart.Span{}, Marks: []chart.Mark{},
		Table: picture.Table([]string{to.Say(text.Of("chart_time_of_day", nil)), to.Say(label)}, rows...),
	}
}
