package light

import (
	"saltwright/internal/answer/picture"
	"saltwright/internal/calc/light"
	"saltwright/internal/calc/text"
	"saltwright/internal/catalogue"
	"saltwright/internal/chart"
)

// acclimationChart draws the settings week by week: each stays until the next.
func acclimationChart(u catalogue.Reader, c light.AcclimationResult) chart.Chart {
	r := picture.For(u)
	const daysPerWeek = 7
	label := text.Of("chart_light_a_day", nil)
	var weeks, dli []float64
	rows := [][]string{}
	every := len(c.Steps)/52 + 1 // a table that can be read
	for i, s := range c.Steps {
		weeks, dli = append(weeks, float64(s.Day)/daysPerWeek), append(dli, s.DLI)
		if i%every == 0 || i == len(c.Steps)-1 {
			rows = append(rows, []string{r.Say(text.Of("chart_day_number", text.Params{"day": s.Day})),
				r.Number("light_integral", s.DLI), r.Number("percent", s.ScalePercent)})
		}
	}
	last := len(dli) - 1
	return chart.Chart{
		Code: "acclimation",
		Title: r.Say(text.Of("acclimation_title",
			text.Params{"start": dli[0], "goal": dli[last], "count": c.Weeks})),
		Sentence: r.Say(text.Of("acclimation_sentence", text.Params{"rise": c.RisePerWeek})),
		X:        chart.Until(r.Say(text.Of("chart_weeks", nil)), "", weeks[last]),
		Y:        r.FromZero(label, "light_integral", dli...),
		Series:   []chart.Series{r.Line(label, chart.Step, "light_integral", weeks, dli)},
		Bands:    []chart.Band{}, Spans: []chart.Span{}, Marks: []chart.Mark{},
		Table: picture.Table([]string{r.Say(text.Of("chart_day", nil)), r.Say(label),
			r.Say(text.Of("chart_of_the_programme", nil))}, rows...),
	}
}
