package water

import (
	"saltwright/internal/answer/picture"
	"saltwright/internal/calc/instrument"
	"saltwright/internal/calc/mixing"
	"saltwright/internal/calc/text"
	"saltwright/internal/catalogue"
	"saltwright/internal/chart"
)

// readingChart draws what an instrument shows beside the range that holds the true salinity.
func readingChart(u catalogue.Reader, title text.Text, i instrument.Result) chart.Chart {
	r := picture.For(u)
	low := r.In("salinity", i.Low95)
	span := r.Say(text.Of("chart_salinity_from_to", text.Params{"low": i.Low95, "high": i.High95}))
	names := []string{r.Say(text.Of("instrument_likely_figure", nil)), r.Say(text.Of("instrument_face_figure", nil))}
	shown := r.Number("salinity", i.FaceValuePSU)
	sure, face := r.Say(text.Of("chart_certain_range", nil)), names[1]
	return chart.Chart{
		Code: "instrument_range", Title: r.Say(title),
		Sentence: r.Say(text.Of("instrument_range_sentence", nil)),
		X:        r.Around(text.Of("chart_salinity", nil), "salinity", i.Low95, i.High95, i.FaceValuePSU),
		Y:        chart.Named("", names...),
		Series: []chart.Series{
			{Name: sure, Drawn: chart.Bars, Points: []chart.Point{
				{X: r.In("salinity", i.High95), Y: 0, From: &low, Text: span}}},
			{Name: face, Drawn: chart.Dots, Points: []chart.Point{{X: r.In("salinity", i.FaceValuePSU), Y: 1}}},
		},
		Bands: []chart.Band{}, Spans: []chart.Span{}, Marks: []chart.Mark{},
		Table: picture.Table([]string{r.Say(text.Of("chart_what", nil)), r.Say(text.Of("chart_salinity", nil))},
			[]string{sure, span}, []string{face, shown}),
	}
}

// adjustmentChart draws the salinity from the first change of water to a day after the last.
func adjustmentChart(u catalogue.Reader, title text.Text, from float64, m mixing.AdjustResult) chart.Chart {
	r := picture.For(u)
	label := text.Of("chart_salinity", nil)
	days, levels := []float64{0}, []float64{from}
	rows := [][]string{}
	for _, s := range m.Steps {
		days, levels = append(days, s.Day), append(levels, s.Salinity)
		rows = append(rows, []string{r.Number("duration_days", s.Day), r.Number("volume", s.ChangeL),
			r.Number("salinity", s.Salinity)})
	}
	end := m.Steps[len(m.Steps)-1].Day + 1
	days, levels = append(days, end), append(levels, levels[len(levels)-1])
	return chart.Chart{
		Code: "salinity_steps", Title: r.Say(title), Sentence: r.Say(text.Of("salinity_steps_sentence", nil)),
		X: chart.Until(r.Say(text.Of("chart_days", nil)), "", end), Y: r.Around(label, "salinity", levels...),
		Series: []chart.Series{r.Line(label, chart.Step, "salinity", days, levels)},
		Bands:  []chart.Band{}, Spans: []chart.Span{}, Marks: []chart.Mark{},
		Table: picture.Table([]string{r.Say(text.Of("chart_day", nil)), r.Say(text.Of("adjust_each_figure", nil)),
			r.Say(label)}, rows...),
	}
}
