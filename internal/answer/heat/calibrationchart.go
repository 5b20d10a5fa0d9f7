package heat

import (
	"saltwright/internal/answer/picture"
	"saltwright/internal/calc/calibration"
	"saltwright/internal/calc/text"
	"saltwright/internal/catalogue"
	"saltwright/internal/chart"
)

// coolDownCharts draws how a cool-down went and how far the fitted model lies from it; none without a cool-down.
func coolDownCharts(u catalogue.Reader, c calibration.Result) []chart.Chart {
	if len(c.Residuals) == 0 {
		return []chart.Chart{}
	}
	r := picture.For(u)
	endH := c.Residuals[len(c.Residuals)-1].Hour
	times := r.Until(text.Of("chart_hours", nil), text.Of("chart_days", nil), endH)
	measured := chart.Series{Name: r.Say(text.Of("chart_measured", nil)), Drawn: chart.Dots}
	fitted := chart.Series{Name: r.Say(text.Of("chart_model", nil)), Drawn: chart.Line}
	left := chart.Series{Name: r.Say(text.Of("chart_residual", nil)), Drawn: chart.Dots}
	var temperatures, residuals []float64
	rows := [][]string{}
	for _, x := range c.Residuals {
		at := times.At(x.Hour)
		measured.Points = append(measured.Points, chart.Point{X: at, Y: r.In("temperature", x.MeasuredC)})
		fitted.Points = append(fitted.Points, chart.Point{X: at, Y: r.In("temperature", x.ModelC)})
		residual := x.MeasuredC - x.ModelC
		left.Points = append(left.Points, chart.Point{X: at, Y: r.In("temperature_difference", residual)})
		temperatures = append(temperatures, x.MeasuredC, x.ModelC)
		residuals = append(residuals, residual)
		rows = append(rows, []string{r.Number("duration", x.Hour), r.Number("temperature", x.MeasuredC),
			r.Number("temperature", x.ModelC)})
	}
	title := r.Say(text.Of("cool_down_title", text.Params{"difference": c.ResidualK}))
	table := picture.Table([]string{r.Say(text.Of("chart_after", nil)), measured.Name, fitted.Name}, rows...)
	none := chart.Chart{
		X: times.Axis, Bands: []chart.Band{}, Spans: []chart.Span{}, Marks: []chart.Mark{}, Table: table,
		Sentence: r.Say(text.Of("cool_down_sentence", text.Params{"time": c.MeasuredTauH})),
	}
	course, residual := none, none
	course.Code, course.Title, course.Series = "cool_down", title, []chart.Series{measured, fitted}
	course.Y = r.Around(text.Of("chart_temperature", nil), "temperature", temperatures...)
	residual.Code, residual.Series = "cool_down_residuals", []chart.Series{left}
	residual.Title = r.Say(text.Of("residuals_title", nil))
	residual.Y = r.FromZero(text.Of("chart_residual", nil), "temperature_difference", residuals...)
	return []chart.Chart{course, residual}
}
