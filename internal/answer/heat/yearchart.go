package heat

import (
	"saltwright/internal/answer/picture"
	"saltwright/internal/calc/text"
	"saltwright/internal/calc/year"
	"saltwright/internal/catalogue"
	"saltwright/internal/chart"
)

// yearCharts draws twelve months: the energy for heat and cold, and the water that evaporates.
func yearCharts(u catalogue.Reader, y year.Result) []chart.Chart {
	r := picture.For(u)
	var names []string
	var energy, water []float64
	heater := chart.Series{Name: r.Say(text.Of("chart_heating", nil)), Drawn: chart.Bars}
	chiller := chart.Series{Name: r.Say(text.Of("chart_cooling", nil)), Drawn: chart.Bars}
	least := chart.Series{Name: r.Say(text.Of("chart_least", nil)), Drawn: chart.Line}
	expected := chart.Series{Name: r.Say(text.Of("chart_expected", nil)), Drawn: chart.Line}
	most := chart.Series{Name: r.Say(text.Of("chart_most", nil)), Drawn: chart.Line}
	energyRows, waterRows := [][]string{}, [][]string{}
	for i, m := range y.Months {
		names = append(names, r.Say(text.Of("chart_month", text.Params{"month": monthWords[m.Month-1]})))
		at := func(s *chart.Series, name string, value float64) string {
			s.Points = append(s.Points, chart.Point{X: float64(i), Y: r.In(name, value)})
			return r.Number(name, value)
		}
		energyRows = append(energyRows, []string{names[i], at(&heater, "energy", m.HeaterKWh),
			at(&chiller, "energy", m.ChillerKWh)})
		e := m.EvaporationLD
		waterRows = append(waterRows, []string{names[i], at(&least, "volume_a_day", e.Low),
			at(&expected, "volume_a_day", e.Expected), at(&most, "volume_a_day", e.High)})
		energy, water = append(energy, m.HeaterKWh, m.ChillerKWh), append(water, e.High)
	}
	energies := []chart.Series{heater}
	if y.ChillerKWh > 0 {
		energies = append(energies, chiller)
	}
	months, month := chart.Named("", names...), r.Say(text.Of("chart_month_of_the_year", nil))
	return []chart.Chart{{
		Code: "year_energy", X: months, Y: r.FromZero(text.Of("chart_energy_a_month", nil), "energy", energy...),
		Title: r.Say(text.Of("year_energy_title",
			text.Params{"energy": y.HeaterKWh, "month": monthWords[y.Heater.Month-1]})),
		Sentence: r.Say(text.Of("year_energy_sentence", text.Params{"heating": y.HeaterKWh, "cooling": y.ChillerKWh})),
		Series:   energies, Bands: []chart.Band{}, Spans: []chart.Span{}, Marks: []chart.Mark{},
		Table: picture.Table([]string{month, heater.Name, chiller.Name}, energyRows...),
	}, {
		Code: "year_evaporation", X: months,
		Y: r.FromZero(text.Of("chart_evaporation", nil), "volume_a_day", water...),
		Title: r.Say(text.Of("year_evaporation_title",
			text.Params{"water": y.Evaporation.Value, "month": monthWords[y.Evaporation.Month-1]})),
		Sentence: r.Say(text.Of("evaporation_doubt", nil)),
		Series:   []chart.Series{expected, least, most},
		Bands:    []chart.Band{}, Spans: []chart.Span{}, Marks: []chart.Mark{},
		Table: picture.Table([]string{month, least.Name, expected.Name, most.Name}, waterRows...),
	}}
}

// monthWords are the months as the catalogue knows them.
var monthWords = []string{"january", "february", "march", "april", "may", "june", "july", "august", "september",
	"october", "november", "december"}
