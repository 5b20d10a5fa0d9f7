package power

import (
	"math"

	"saltwright/internal/answer/picture"
	"saltwright/internal/calc/power"
	"saltwright/internal/calc/text"
	"saltwright/internal/catalogue"
	"saltwright/internal/chart"
)

// outageCharts draws an outage hour by hour: oxygen, and the temperature of the display.
func outageCharts(u catalogue.Reader, in power.OutageInput, o power.OutageResult) []chart.Chart {
	r := picture.For(u)
	times := r.Until(text.Of("chart_hours", nil), text.Of("chart_days", nil), in.DurationH)
	var xs, oxygen, worst, display []float64
	oxygenRows, displayRows := [][]string{}, [][]string{}
	rows := max(1, len(o.Moments)/24+1) // a table that can be read
	for i, m := range o.Moments {
		xs, display = append(xs, times.At(m.Hour)), append(display, m.DisplayC)
		oxygen, worst = append(oxygen, m.OxygenMgL), append(worst, m.WorstOxygenMgL)
		if i%rows == 0 {
			oxygenRows = append(oxygenRows, []string{r.Number("duration", m.Hour), r.Number("oxygen", m.OxygenMgL),
				r.Number("oxygen", m.WorstOxygenMgL)})
			displayRows = append(displayRows,
				[]string{r.Number("duration", m.Hour), r.Number("temperature", m.DisplayC)})
		}
	}
	after := r.Say(text.Of("chart_after", nil))
	expected, cautious := text.Of("chart_expected", nil), text.Of("chart_worst_view", nil)
	gas := chart.Chart{
		Code: "outage_oxygen", Title: r.Say(oxygenTitle(o)), Sentence: r.Say(text.Of("outage_oxygen_sentence", nil)),
		X: times.Axis,
		Y: r.FromZero(text.Of("chart_oxygen", nil), "oxygen", append(oxygen, in.Oxygen.ComfortMgL)...),
		Series: []chart.Series{r.Line(expected, chart.Line, "oxygen", xs, oxygen),
			r.Line(cautious, chart.Line, "oxygen", xs, worst)},
		Bands: []chart.Band{}, Spans: []chart.Span{}, Marks: harmMarks(r, times, o),
		Table: picture.Table([]string{after, r.Say(expected), r.Say(cautious)}, oxygenRows...),
	}
	gas.Bands = bands(r, gas.Y, "oxygen", in.Oxygen.ComfortMgL, in.Oxygen.HarmMgL)
	warmth := chart.Chart{
		Code: "outage_temperature", Title: r.Say(temperatureTitle(o)),
		Sentence: r.Say(text.Of("outage_temperature_sentence",
			text.Params{"start": in.WaterC, "tends": o.Paths[0].EquilibriumC})),
		X: times.Axis, Marks: []chart.Mark{}, Spans: []chart.Span{},
		Series: []chart.Series{r.Line(text.Of("chart_display", nil), chart.Line, "temperature", xs, display)},
		Table:  picture.Table([]string{after, r.Say(text.Of("chart_display", nil))}, displayRows...),
	}
	warmth.Y = r.Around(text.Of("chart_temperature", nil), "temperature",
		append(display, in.HarmLowC, in.HarmHighC)...)
	low, high := r.In("temperature", in.HarmLowC), r.In("temperature", in.HarmHighC)
	harm := r.Say(text.Of("chart_harm", nil))
	warmth.Bands = within(warmth.Y,
		chart.Band{Kind: chart.Comfort, Name: r.Say(text.Of("chart_comfort", nil)),
			From: r.In("temperature", in.ComfortLowC), To: r.In("temperature", in.ComfortHighC)},
		chart.Band{Kind: chart.Harm, Name: harm, From: warmth.Y.Min, To: low},
		chart.Band{Kind: chart.Harm, Name: harm, From: high, To: warmth.Y.Max})
	return []chart.Chart{gas, warmth}
}

// within keeps of bands what lies on an axis.
func within(y chart.Axis, list ...chart.Band) []chart.Band {
	out := []chart.Band{}
	for _, b := range list {
		if b.From, b.To = max(b.From, y.Min), min(b.To, y.Max); b.From < b.To {
			out = append(out, b)
		}
	}
	return out
}

// bands are comfort above one number and harm below another.
func bands(r picture.Reader, y chart.Axis, name string, comfort, harm float64) []chart.Band {
	good, bad := r.Say(text.Of("chart_comfort", nil)), r.Say(text.Of("chart_harm", nil))
	return within(y, chart.Band{Kind: chart.Comfort, Name: good, From: r.In(name, comfort), To: y.Max},
		chart.Band{Kind: chart.Harm, Name: bad, From: y.Min, To: r.In(name, harm)})
}

func oxygenTitle(o power.OutageResult) text.Text {
	worst := o.Oxygen[2].HarmH
	switch expected := o.Oxygen[1].HarmH; {
	case worst == nil:
		return text.Of("outage_oxygen_lasts", nil)
	case expected == nil:
		return text.Of("outage_oxygen_at_worst", text.Params{"worst": *worst})
	default:
		return text.Of("outage_oxygen_harms", text.Params{"worst": *worst, "expected": *expected})
	}
}

// temperatureTitle is the first harm to the display in any room.
func temperatureTitle(o power.OutageResult) text.Text {
	said, soonest := text.Of("outage_temperature_lasts", nil), math.Inf(1)
	for _, p := range o.Paths {
		if p.Vessel != "display" {
			continue
		}
		if h := p.LowHarmH; h != nil && *h < soonest {
			said, soonest = text.Of("outage_cold", text.Params{"room": p.Room, "time": *h}), *h
		}
		if h := p.HighHarmH; h != nil && *h < soonest {
			said, soonest = text.Of("outage_heat", text.Params{"room": p.Room, "time": *h}), *h
		}
	}
	return said
}

// harmMarks are the hours at which oxygen does harm, as expected and at worst.
func harmMarks(r picture.Reader, times picture.Times, o power.OutageResult) []chart.Mark {
	out := []chart.Mark{}
	add := func(label text.Text, hour *float64) {
		if hour != nil && times.At(*hour) <= times.Axis.Max {
			out = append(out, chart.Mark{Name: r.Say(label), X: times.At(*hour)})
		}
	}
	add(text.Of("chart_harm_worst", nil), o.Oxygen[2].HarmH)
	add(text.Of("chart_harm_expected", nil), o.Oxygen[1].HarmH)
	return out
}
