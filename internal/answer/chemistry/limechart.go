package chemistry

import (
	"saltwright/internal/answer/picture"
	"saltwright/internal/calc/carbonate"
	"saltwright/internal/calc/text"
	"saltwright/internal/catalogue"
	"saltwright/internal/chart"
)

// limeChart draws the pH that a probe shows when more and more of the lime water has arrived at once.
func limeChart(u catalogue.Reader, title text.Text, in carbonate.LimeInput, l carbonate.LimeResult) (chart.Chart,
	error) {
	r := picture.For(u)
	const steps = 20
	volumes, values := []float64{0}, []float64{l.Now.PHNBS}
	rows := [][]string{{r.Number("volume", 0), r.Number("ph", l.Now.PHNBS), r.Number("saturation",
		l.Now.OmegaAragonite)}}
	for i := 1; i <= steps; i++ {
		at := in
		at.ReservoirL = in.ReservoirL * float64(i) / steps
		if at.ReservoirL < 0.01 { // less than a reservoir may hold
			continue
		}
		some, err := carbonate.LimeWater(at)
		if err != nil {
			return chart.Chart{}, err
		}
		volumes = append(volumes, r.In("volume", at.ReservoirL))
		values = append(values, some.AllAtOnce.PHNBS)
		if i%5 == 0 {
			rows = append(rows, []string{r.Number("volume", at.ReservoirL), r.Number("ph", some.AllAtOnce.PHNBS),
				r.Number("saturation", some.AllAtOnce.OmegaAragonite)})
		}
	}
	probe, arrived := text.Of("chart_ph_on_a_probe", nil), text.Of("chart_lime_water_arrived", nil)
	marks := []chart.Mark{}
	if l.LargestHarmlessL > 0 && l.LargestHarmlessL < in.ReservoirL {
		marks = append(marks, chart.Mark{Name: r.Say(text.Of("chart_falls_out", nil)),
			X: r.In("volume", l.LargestHarmlessL)})
	}
	return chart.Chart{
		Code: "lime_at_once", Title: r.Say(title),
		Sentence: r.Say(text.Of("lime_at_once_sentence", text.Params{"first": l.Now.PHNBS,
			"last": l.AllAtOnce.PHNBS})),
		X: chart.Until(r.Say(arrived), r.Unit("volume"), r.In("volume", in.ReservoirL)),
		Y: r.Around(probe, "ph", values...), Series: []chart.Series{r.Line(probe, chart.Line, "ph", volumes, values)},
		Bands: []chart.Band{}, Spans: []chart.Span{}, Marks: marks,
		Table: picture.Table([]string{r.Say(arrived), r.Say(probe),
			r.Say(text.Of("saturation_of_aragonite_figure", nil))}, rows...),
	}, nil
}
