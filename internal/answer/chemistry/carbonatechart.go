package chemistry

import (
	"saltwright/internal/answer/picture"
	"saltwright/internal/calc/carbonate"
	"saltwright/internal/calc/text"
	"saltwright/internal/catalogue"
	"saltwright/internal/chart"
)

// airChart draws what pH a probe would show in this water, by the carbon dioxide of the air that it stands in.
func airChart(u catalogue.Reader, title text.Text, in carbonate.Input, s carbonate.State, airPPM float64) (chart.Chart,
	error) {
	r := picture.For(u)
	const from, steps = 300.0, 40
	to := min(max(2000, 1.2*airPPM), 20000)
	perPPM := s.PCO2 / airPPM
	var shares, values []float64
	rows := [][]string{}
	for i := range steps + 1 {
		share := from + (to-from)*float64(i)/steps
		pressure := share * perPPM
		at := in
		at.AlkalinityKg, at.PCO2Microatm, at.CarbonKg, at.PHTotal = &s.Alkalinity, &pressure, nil, nil
		water, err := carbonate.Solve(at)
		if err != nil {
			return chart.Chart{}, err
		}
		shares, values = append(shares, share), append(values, water.PHNBS)
		if i%10 == 0 {
			rows = append(rows, []string{r.Number("gas_share", share), r.Number("ph", water.PHNBS),
				r.Number("saturation", water.OmegaAragonite)})
		}
	}
	share, probe := text.Of("chart_carbon_dioxide_of_the_air", nil), text.Of("chart_ph_on_a_probe", nil)
	marks := []chart.Mark{}
	if airPPM >= from && airPPM <= to {
		marks = append(marks, chart.Mark{Name: r.Say(text.Of("chart_this_water", nil)), X: chart.Rounded(airPPM)})
	}
	return chart.Chart{
		Code: "carbonate_air", Title: r.Say(title),
		Sentence: r.Say(text.Of("carbonate_air_sentence", text.Params{"first": values[0], "last": values[steps],
			"from": from, "to": to})),
		X: r.Around(share, "gas_share", from, to), Y: r.Around(probe, "ph", append(values, s.PHNBS)...),
		Series: []chart.Series{r.Line(probe, chart.Line, "ph", shares, values)},
		Bands:  []chart.Band{}, Spans: []chart.Span{}, Marks: marks,
		Table: picture.Table([]string{r.Say(share), r.Say(probe),
			r.Say(text.Of("saturation_of_aragonite_figure", nil))}, rows...),
	}, nil
}
