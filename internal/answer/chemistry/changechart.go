package chemistry

import (
	"math"

	"saltwright/internal/answer/picture"
	"saltwright/internal/calc/mixing"
	"saltwright/internal/calc/text"
	"saltwright/internal/catalogue"
	"saltwright/internal/chart"
)

// changeChart draws how much of the old water is left by single changes, and by exchanging as much continuously.
func changeChart(u catalogue.Reader, title text.Text, in mixing.ChangeInput, c mixing.ChangeResult) chart.Chart {
	r := picture.For(u)
	const most = 40
	every := (in.Changes + most - 1) / most
	var counts, single, continuous []float64
	rows := [][]string{}
	for n := 0; ; n = min(n+every, in.Changes) {
		left, flow := math.Pow(1-c.Share, float64(n)), math.Exp(-c.Share*float64(n))
		counts, single, continuous = append(counts, float64(n)), append(single, 100*left), append(continuous, 100*flow)
		if n%(5*every) == 0 || n == in.Changes {
			rows = append(rows, []string{r.Number("number", float64(n)), r.Number("share", left),
				r.Number("share", flow)})
		}
		if n == in.Changes {
			break
		}
	}
	changes := text.Of("chart_changes", nil)
	by, flowing := text.Of("old_water_left_figure", nil), text.Of("old_water_left_continuous_figure", nil)
	return chart.Chart{
		Code: "old_water_left", Title: r.Say(title),
		Sentence: r.Say(text.Of("old_water_left_sentence", text.Params{"left": c.LeftBySeries,
			"continuous": c.LeftByContinuous})),
		X: chart.Until(r.Say(changes), "", float64(in.Changes)), Y: r.FromZero(by, "percent", 100),
		Series: []chart.Series{r.Line(by, chart.Step, "percent", counts, single),
			r.Line(flowing, chart.Line, "percent", counts, continuous)},
		Bands: []chart.Band{}, Spans: []chart.Span{}, Marks: []chart.Mark{},
		Table: picture.Table([]string{r.Say(changes), r.Say(by), r.Say(flowing)}, rows...),
	}
}
