package heat

import (
	"saltwright/internal/answer/picture"
	"saltwright/internal/calc/heat"
	"saltwright/internal/calc/text"
	"saltwright/internal/catalogue"
	"saltwright/internal/chart"
)

// way is one way that heat leaves the water by.
type way struct {
	label text.Text
	watts float64
}

// lossesChart draws the ways that heat leaves the water by, each surface and the evaporation.
func lossesChart(u catalogue.Reader, b heat.BalanceResult) chart.Chart {
	r := picture.For(u)
	ways := []way{{text.Of("chart_evaporation", nil), b.LatentW.Expected}}
	for _, v := range b.Vessels {
		for _, s := range v.Dry.Surfaces {
			label := text.Of("chart_surface", text.Params{"vessel": v.Vessel, "surface": string(s.Surface)})
			ways = append(ways, way{label, s.W})
		}
	}
	names, values, rows, largest := []string{}, []float64{}, [][]string{}, ways[0]
	s := chart.Series{Name: r.Say(text.Of("chart_heat_lost", nil)), Drawn: chart.Bars}
	for i, w := range ways {
		names, values = append(names, r.Say(w.label)), append(values, w.watts)
		written := r.Number("power", w.watts)
		rows = append(rows, []string{names[i], written})
		s.Points = append(s.Points, chart.Point{X: r.In("power", w.watts), Y: float64(i), Text: written})
		if w.watts > largest.watts {
			largest = w
		}
	}
	total := text.Of("losses_sentence", text.Params{"dry": b.DryW, "evaporation": b.LatentW.Expected})
	return chart.Chart{
		Code:     "heat_losses",
		Title:    r.Say(text.Of("losses_title", text.Params{"way": largest.label, "power": largest.watts})),
		Sentence: r.Say(total), X: r.FromZero(text.Of("chart_heat_lost", nil), "power", values...),
		Y: chart.Named("", names...), Series: []chart.Series{s},
		Bands: []chart.Band{}, Spans: []chart.Span{}, Marks: []chart.Mark{},
		Table: picture.Table([]string{r.Say(text.Of("chart_way", nil)), s.Name}, rows...),
	}
}
