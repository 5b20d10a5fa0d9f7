package water

import (
	"math"

	"saltwright/internal/answer/picture"
	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/text"
	"saltwright/internal/calc/topoff"
	"saltwright/internal/catalogue"
	"saltwright/internal/chart"
)

// reservoirChart draws a reservoir that empties: in the usual room as expected, and in the room that empties it
// fastest.
func reservoirChart(u catalogue.Reader, e topoff.EnduranceResult, contentL, daysAway float64) chart.Chart {
	r := picture.For(u)
	usual, worst := e.Rooms[0], e.Rooms[0]
	for _, x := range e.Rooms {
		if x.Room == e.WorstRoom {
			worst = x
		}
	}
	const longest = 3.0 // times the days away: what lasts longer leaves the picture
	endD := daysAway * 1.2
	if usual.Empties {
		endD = min(max(endD, usual.ExpectedDays), daysAway*longest)
	}
	left := func(litresD, day float64) float64 { return max(0, contentL-litresD*day) }
	course := func(label text.Text, litresD float64) chart.Series {
		days := []float64{0, endD}
		if emptyD := contentL / litresD; litresD > 0 && emptyD < endD {
			days = []float64{0, emptyD, endD}
		}
		litres := make([]float64, len(days))
		for i, d := range days {
			litres[i] = left(litresD, d)
		}
		return r.Line(label, chart.Line, "volume", days, litres)
	}
	rows := [][]string{}
	for d := 0.0; d <= math.Ceil(daysAway); d += max(1, math.Ceil(daysAway/14)) {
		rows = append(rows, []string{r.Number("duration", d*quantity.HoursPerDay),
			r.Number("volume", left(usual.LitresPerDay.Expected, d)),
			r.Number("volume", left(worst.LitresPerDay.High, d))})
	}
	expected, most := text.Of("chart_usual_room", nil), text.Of("chart_worst_room", nil)
	title := text.Of("reservoir_enough", text.Params{"away": daysAway})
	if !e.Trip.Sufficient {
		title = text.Of("reservoir_short", text.Params{"away": daysAway, "missing": e.Trip.ShortL})
	}
	return chart.Chart{
		Code: "reservoir", Title: r.Say(title),
		Sentence: r.Say(text.Of("reservoir_sentence", text.Params{"content": contentL,
			"usual": usual.LitresPerDay.Expected, "most": worst.LitresPerDay.High})),
		X:      chart.Until(r.Say(text.Of("chart_days", nil)), "", endD),
		Y:      r.FromZero(text.Of("chart_left_in_the_reservoir", nil), "volume", contentL),
		Series: []chart.Series{course(expected, usual.LitresPerDay.Expected), course(most, worst.LitresPerDay.High)},
		Bands:  []chart.Band{}, Spans: []chart.Span{},
		Marks: []chart.Mark{{Name: r.Say(text.Of("chart_back_home", nil)), X: chart.Rounded(daysAway)}},
		Table: picture.Table([]string{r.Say(text.Of("chart_after", nil)), r.Say(expected), r.Say(most)}, rows...),
	}
}
