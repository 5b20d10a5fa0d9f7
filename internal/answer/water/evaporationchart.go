package water

import (
	"saltwright/internal/answer/picture"
	"saltwright/internal/calc/evaporation"
	"saltwright/internal/calc/text"
	"saltwright/internal/catalogue"
	"saltwright/internal/chart"
)

// evaporationChart draws a surface in drier and in wetter air than there is here, with its spread.
func evaporationChart(u catalogue.Reader, rhPercent float64, here evaporation.Range,
	at func(rhPercent float64) (evaporation.Range, error)) ([]chart.Chart, error) {
	to := picture.For(u)
	const driest, wettest, step = 20.0, 90.0, 10.0
	var humidities, least, expected, most []float64
	rows := [][]string{}
	for rh := driest; rh <= wettest; rh += step {
		e, err := at(rh)
		if err != nil {
			return nil, err
		}
		humidities = append(humidities, rh)
		litres := [3]float64{}
		for i, kg := range [3]float64{e.Low, e.Expected, e.High} {
			litres[i] = evaporation.LitresPerDay(kg)
		}
		least, expected, most = append(least, litres[0]), append(expected, litres[1]), append(most, litres[2])
		rows = append(rows, []string{to.Number("percent", rh), to.Number("volume_a_day", litres[0]),
			to.Number("volume_a_day", litres[1]), to.Number("volume_a_day", litres[2])})
	}
	line := func(label text.Text, values []float64) chart.Series {
		return to.Line(label, chart.Line, "volume_a_day", humidities, values)
	}
	c := chart.Chart{
		Code: "evaporation", Sentence: to.Say(text.Of("evaporation_doubt", nil)),
		Title: to.Say(text.Of("evaporation_title", text.Params{
			"expected": evaporation.LitresPerDay(here.Expected), "low": evaporation.LitresPerDay(here.Low),
			"high": evaporation.LitresPerDay(here.High)})),
		X: chart.Around(to.Say(text.Of("chart_humidity", nil)), to.Unit("percent"), driest, wettest),
		Y: to.FromZero(text.Of("chart_evaporation", nil), "volume_a_day", append(most, least...)...),
		Series: []chart.Series{line(text.Of("chart_expected", nil), expected), line(text.Of("chart_least", nil), least),
			line(text.Of("chart_most", nil), most)},
		Bands: []chart.Band{}, Spans: []chart.Span{}, Marks: []chart.Mark{},
		Table: picture.Table([]string{to.Say(text.Of("chart_humidity", nil)), to.Say(text.Of("chart_least", nil)),
			to.Say(text.Of("chart_expected", nil)), to.Say(text.Of("chart_most", nil))}, rows...),
	}
	if rhPercent >= c.X.Min && rhPercent <= c.X.Max {
		c.Marks = append(c.Marks, chart.Mark{Name: to.Say(text.Of("chart_this_room", nil)), X: rhPercent})
	}
	return []chart.Chart{c}, nil
}
