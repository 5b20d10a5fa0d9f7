package chemistry

import (
	"saltwright/internal/answer/picture"
	"saltwright/internal/calc/carbonate"
	"saltwright/internal/calc/dosing"
	"saltwright/internal/calc/text"
	"saltwright/internal/catalogue"
	"saltwright/internal/chart"
)

// chart draws the saturation of aragonite right after the last dose of each day, beside the limit.
func (q doseQuestion) chart(u catalogue.Reader, title text.Text, d dosing.Result) chart.Chart {
	r := picture.For(u)
	days, omega := []float64{0}, []float64{d.Before.OmegaAragonite}
	rows := [][]string{{r.Say(text.Of("chart_day_number", text.Params{"day": 0})), r.Number(q.quantity,
		q.in.Now*q.perShown), r.Number("ph", d.Before.PHNBS), r.Number("saturation", d.Before.OmegaAragonite)}}
	for _, s := range d.Steps {
		days, omega = append(days, float64(s.Day)), append(omega, s.Peak.OmegaAragonite)
		rows = append(rows, []string{r.Say(text.Of("chart_day_number", text.Params{"day": s.Day})),
			r.Number(q.quantity, s.Level*q.perShown), r.Number("ph", s.Peak.PHNBS),
			r.Number("saturation", s.Peak.OmegaAragonite)})
	}
	saturation := text.Of("dose_saturation_after_figure", nil)
	y := r.FromZero(saturation, "saturation", append(omega, carbonate.FallsOut+1)...)
	return chart.Chart{
		Code: "dose_days", Title: r.Say(title),
		Sentence: r.Say(text.Of("dose_days_sentence", text.Params{"first": d.Before.OmegaAragonite,
			"most": d.Worst.OmegaAragonite})),
		X:      chart.Until(r.Say(text.Of("chart_days", nil)), "", float64(d.Days)),
		Y:      y,
		Series: []chart.Series{r.Line(saturation, chart.Line, "saturation", days, omega)},
		Bands: []chart.Band{{Kind: chart.Harm, Name: r.Say(text.Of("chart_falls_out", nil)),
			From: carbonate.FallsOut, To: y.Max}},
		Spans: []chart.Span{}, Marks: []chart.Mark{},
		Table: picture.Table([]string{r.Say(text.Of("chart_day", nil)),
			r.Say(text.Of("dose_level", text.Params{"raised": string(q.in.Raise)})),
			r.Say(text.Of("dose_ph_after_figure", nil)), r.Say(saturation)}, rows...),
	}
}
