package heat

import (
	"saltwright/internal/answer/picture"
	"saltwright/internal/calc/heat"
	"saltwright/internal/calc/text"
	"saltwright/internal/catalogue"
	"saltwright/internal/chart"
)

// chillerChart draws the heat to remove beside the power to buy, and what the chiller draws and gives off.
func chillerChart(u catalogue.Reader, title text.Text, c heat.ChillerResult) chart.Chart {
	r := picture.For(u)
	names, values, rows := []string{}, []float64{}, [][]string{}
	powers := chart.Series{Name: r.Say(text.Of("chart_power", nil)), Drawn: chart.Bars, Points: []chart.Point{}}
	for i, one := range []struct {
		label text.Text
		watts float64
	}{
		{text.Of("chart_heat_to_remove", nil), c.NeededW}, {text.Of("chiller_recommended_figure", nil), c.ChosenW},
		{text.Of("chiller_draws_figure", nil), c.ElectricW}, {text.Of("chart_heat_into_the_room", nil), c.RejectedW},
	} {
		written := r.Number("power", one.watts)
		names, values = append(names, r.Say(one.label)), append(values, one.watts)
		rows = append(rows, []string{names[i], written})
		powers.Points = append(powers.Points, chart.Point{X: r.In("power", one.watts), Y: float64(i), Text: written})
	}
	return chart.Chart{
		Code: "chiller_powers", Title: r.Say(title), Sentence: r.Say(text.Of("chiller_powers_sentence", nil)),
		X: r.FromZero(text.Of("chart_power", nil), "power", values...), Y: chart.Named("", names...),
		Series: []chart.Series{powers}, Bands: []chart.Band{}, Spans: []chart.Span{}, Marks: []chart.Mark{},
		Table: picture.Table([]string{r.Say(text.Of("chart_what", nil)), r.Say(text.Of("chart_power", nil))}, rows...),
	}
}
