package heat

import (
	"slices"

	"saltwright/internal/answer/picture"
	"saltwright/internal/calc/heat"
	"saltwright/internal/calc/text"
	"saltwright/internal/catalogue"
	"saltwright/internal/chart"
)

// rangesChart draws how large each heater may be if there are one to four of them.
func rangesChart(u catalogue.Reader, title text.Text, s heat.SizingResult, responseH float64) chart.Chart {
	r := picture.For(u)
	names, values, rows := []string{}, []float64{}, [][]string{}
	safe := chart.Series{Name: r.Say(text.Of("chart_safe_for_good", nil)), Drawn: chart.Bars, Points: []chart.Point{}}
	reaction := chart.Series{Name: r.Say(text.Of("chart_safe_until_help", text.Params{"time": responseH})),
		Drawn: chart.Bars, Points: []chart.Point{}}
	bar := func(s *chart.Series, row int, low, high float64) string {
		from := r.In("power", low)
		written := r.Say(text.Of("chart_from_to", text.Params{"low": low, "high": high}))
		s.Points = append(s.Points, chart.Point{X: r.In("power", high), Y: float64(row), From: &from, Text: written})
		values = append(values, high)
		return written
	}
	apart := chart.Series{Name: r.Say(text.Of("chart_no_size_is_safe", nil)), Drawn: chart.Bars,
		Points: []chart.Point{}}
	none := r.Say(text.Of("chart_no_size", nil))
	for i, w := range s.Windows {
		names = append(names, r.Say(text.Of("chart_heaters", text.Params{"count": w.Heaters})))
		row := []string{names[i], none, none}
		if w.Exists {
			row[1] = bar(&safe, i, w.PMinW, w.EquilibriumMaxW)
		}
		if w.ExistsByReaction {
			row[2] = bar(&reaction, i, w.PMinW, w.ReactionMaxW)
		}
		if w.OneDeadHolds && !w.Exists && !w.ExistsByReaction {
			most := max(w.EquilibriumMaxW, w.ReactionMaxW)
			from := r.In("power", most)
			gap := text.Params{"need": w.PMinW, "most": most}
			row[1] = r.Say(text.Of("chart_needs_but_safe_to", gap))
			apart.Points = append(apart.Points,
				chart.Point{X: r.In("power", w.PMinW), Y: float64(i), From: &from, Text: row[1]})
			values = append(values, w.PMinW)
		}
		rows = append(rows, row)
	}
	drawn := slices.DeleteFunc([]chart.Series{safe, reaction, apart},
		func(s chart.Series) bool { return len(s.Points) == 0 })
	return chart.Chart{
		Code: "heater_ranges", Title: r.Say(title), Sentence: r.Say(text.Of("ranges_sentence", nil)),
		X: r.FromZero(text.Of("chart_power_of_each", nil), "power", append(values, s.RecommendedW)...),
		Y: chart.Named("", names...), Series: drawn,
		Bands: []chart.Band{}, Spans: []chart.Span{}, Marks: []chart.Mark{},
		Table: picture.Table([]string{r.Say(text.Of("chart_number_of_heaters", nil)), safe.Name, reaction.Name},
			rows...),
	}
}
