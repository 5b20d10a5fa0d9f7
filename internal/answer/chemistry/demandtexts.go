package chemistry

import (
	"saltwright/internal/answer/envelope"
	"saltwright/internal/answer/picture"
	"saltwright/internal/calc/dosing"
	"saltwright/internal/calc/text"
	"saltwright/internal/catalogue"
	"saltwright/internal/chart"
)

// unitADay is the unit of a demand in answers.
func (d demand) unitADay() string {
	if d.Raised == string(dosing.Alkalinity) {
		return "dKH/d"
	}
	return "mg/(L d)"
}

func (d demand) amount(x float64) text.Amount { return text.Amount{Value: x, Unit: d.unitADay()} }

func millilitres(litres float64) float64 { return 1000 * litres }

// headline speaks of the first level that was followed, or of the first container that is too large.
func (c consumptionResponse) headline() text.Text {
	d := c.Demands[0]
	for _, p := range c.Programmes {
		if !p.Harmless {
			return text.Of("demand_container_too_large", text.Params{"raised": p.Raise, "demand": d.amount(d.ADay),
				"first": d.Raised, "largest": millilitres(*p.LargestL)})
		}
	}
	switch {
	case d.ADay <= 0:
		return text.Of("demand_none", text.Params{"raised": d.Raised})
	case !d.Sure:
		return text.Of("demand_unsure", text.Params{"raised": d.Raised, "demand": d.amount(d.ADay)})
	}
	return text.Of("demand_sure", text.Params{"raised": d.Raised, "demand": d.amount(d.ADay)})
}

func (c consumptionResponse) details() text.Text {
	var said []text.Text
	for i, d := range c.Demands {
		if i > 0 {
			said = append(said, text.Of("demand_of", text.Params{"raised": d.Raised, "demand": d.amount(d.ADay)}))
		}
		said = append(said, text.Of("demand_between", text.Params{"raised": d.Raised, "low": d.amount(d.Low),
			"high": d.amount(d.High)}))
		if len(d.LeftOut) > 0 {
			said = append(said, text.Of("demand_left_out", text.Params{"raised": d.Raised, "days": d.LeftOut,
				"count": len(d.LeftOut)}))
		}
	}
	if c.Ratio != "" {
		params := text.Params{"ratio": *c.PerDKH, "skeletons": *c.BySkeletons}
		switch c.Ratio {
		case "of_skeletons":
			said = append(said, text.Of("demand_ratio_of_skeletons", params))
		case "more_calcium":
			said = append(said, text.Of("demand_more_calcium", params))
		default:
			said = append(said, text.Of("demand_more_alkalinity", params))
		}
	}
	for _, p := range c.Programmes {
		said = append(said, text.Of("demand_programme", text.Params{"raised": p.Raise, "volume": p.MLADose,
			"run": p.RunS, "count": p.DosesADay, "time": p.ContainerDays}))
	}
	return text.Sentences(said...)
}

func (c consumptionResponse) figures() []envelope.KeyFigure {
	var out []envelope.KeyFigure
	names := map[string]text.Text{
		string(dosing.Alkalinity): text.Of("demand_alkalinity_figure", nil),
		string(dosing.Calcium):    text.Of("demand_calcium_figure", nil),
		string(dosing.Magnesium):  text.Of("demand_magnesium_figure", nil),
	}
	for _, d := range c.Demands {
		quantity := "dissolved_a_day"
		if d.Raised == string(dosing.Alkalinity) {
			quantity = "alkalinity_a_day"
		}
		out = append(out, envelope.KeyFigure{Label: names[d.Raised], Value: d.ADay, Quantity: quantity})
	}
	const most = 5
	for _, p := range c.Programmes {
		if len(out) < most {
			out = append(out, envelope.KeyFigure{Label: text.Of("demand_container_figure",
				text.Params{"raised": p.Raise}), Value: p.ContainerDays, Quantity: "duration_days"})
		}
	}
	return out
}

func (c consumptionResponse) actions() []text.Text {
	var out []text.Text
	for _, p := range c.Programmes {
		if !p.Harmless {
			out = append(out, text.Of("demand_smaller_container", text.Params{"raised": p.Raise,
				"largest": millilitres(*p.LargestL)}))
		}
	}
	for _, d := range c.Demands {
		if d.More != nil {
			out = append(out, text.Of("demand_measure_more", text.Params{"raised": d.Raised, "count": *d.More}))
		}
	}
	if len(c.Programmes) > 0 {
		out = append(out, text.Of("demand_start_low", nil), text.Of("demand_calibrate_pumps", nil))
	}
	return append(out, text.Of("demand_measure_same_hour", nil))
}

func (r consumptionRequest) cautions() []envelope.Caution {
	if len(r.pumps()) == 0 {
		return nil
	}
	return []envelope.Caution{envelope.CausticPowders, envelope.TwoStocks}
}

// chart draws the readings of a level and the line through them.
func (f followed) chart(u catalogue.Reader, title text.Text) chart.Chart {
	r := picture.For(u)
	var days, values []float64
	rows := [][]string{}
	first := f.readings[0].Day
	for _, x := range f.readings {
		first = min(first, x.Day)
	}
	last := first
	for i, x := range f.readings {
		last = max(last, x.Day)
		days, values = append(days, x.Day-first), append(values, x.Value)
		rows = append(rows, []string{f.at[i], r.Number(f.quantity, x.Value),
			r.Number(f.quantity, f.trend.Start+f.trend.ADay*(x.Day-first))})
	}
	measured := text.Of("demand_measured", text.Params{"raised": string(f.raise)})
	line := text.Of("demand_line", nil)
	ends := []float64{f.trend.Start, f.trend.Start + f.trend.ADay*(last-first)}
	return chart.Chart{
		Code: "demand", Title: r.Say(title),
		Sentence: r.Say(text.Of("demand_sentence", text.Params{"sent": float64(len(f.readings)),
			"used": float64(f.trend.Used)})),
		X: chart.Until(r.Say(text.Of("chart_days", nil)), "", last-first),
		Y: r.Around(measured, f.quantity, append(values, ends...)...),
		Series: []chart.Series{r.Line(measured, chart.Dots, f.quantity, days, values),
			r.Line(line, chart.Line, f.quantity, []float64{0, last - first}, ends)},
		Bands: []chart.Band{}, Spans: []chart.Span{}, Marks: []chart.Mark{},
		Table: picture.Table([]string{r.Say(text.Of("chart_day", nil)), r.Say(measured), r.Say(line)}, rows...),
	}
}
