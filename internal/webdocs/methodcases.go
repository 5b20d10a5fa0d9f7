package webdocs

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"saltwright/internal/chart"
	"saltwright/internal/methods"
	"saltwright/internal/phrase"
)

// comparison is a row of the table of comparisons, with the cases behind it.
type comparison struct {
	Name, Meaning                             string
	Cases                                     int
	Sound, Mean, Scatter, Least, Most, Inside string
	Each                                      []shownCase
	Sources                                   []string
}

type shownCase struct{ Name, Published, Calculated, Unit, Difference string }

// picturedCases is the picture of all comparisons of a page; without rows there is none.
type picturedCases struct {
	chart.Chart
	There bool
}

// comparisonsOf writes the comparisons of a subject as they are shown.
func comparisonsOf(v *phrase.Voice, said methods.Prose, measured []methods.Measured) []comparison {
	var out []comparison
	for _, m := range measured {
		c := comparison{Name: said.Measured[m.Code].Short, Meaning: said.Measured[m.Code].Long, Cases: m.Cases,
			Sound: strconv.Itoa(m.Sound), Mean: fromModel(v, m.Bias)}
		if m.File != "measured_cases.csv" {
			c.Sound = "" // of a calculation or a table there is nothing sound to be measured
		}
		if m.Cases > 1 {
			c.Scatter = strings.TrimPrefix(percent(v, 100*m.Scatter), "+")
			c.Least, c.Most = fromModel(v, m.Least), fromModel(v, m.Most)
		}
		if m.Inside != nil {
			c.Inside = strconv.Itoa(*m.Inside)
		}
		for _, one := range m.Shown {
			unit := one.Unit
			if unit == "1" {
				unit = ""
			}
			c.Each = append(c.Each, shownCase{one.Name, figure(v, one.Published), figure(v, one.Calculated), unit,
				fromModel(v, one.Published/one.Calculated)})
			if len(c.Sources) == 0 || c.Sources[len(c.Sources)-1] != one.Source {
				c.Sources = append(c.Sources, one.Source)
			}
		}
		out = append(out, c)
	}
	return out
}

// pictureOf draws every case that is shown by how far it lies from the model.
func pictureOf(v *phrase.Voice, said methods.Prose, measured []methods.Measured) picturedCases {
	if len(measured) == 0 {
		return picturedCases{}
	}
	var names []string
	series := chart.Series{Name: v.Say("method_published"), Drawn: chart.Dots}
	least, most, cases := math.Inf(1), math.Inf(-1), 0
	all := []float64{0}
	for row, m := range measured {
		names = append(names, said.Measured[m.Code].Short)
		for _, one := range m.Shown {
			off := chart.Rounded(100 * (one.Published/one.Calculated - 1))
			series.Points = append(series.Points, chart.Point{X: off, Y: float64(row)})
			all = append(all, off)
		}
		least, most, cases = min(least, m.Least), max(most, m.Most), cases+m.Cases
	}
	c := chart.Chart{Title: v.Say("method_verdict", "least", fromModel(v, least), "most", fromModel(v, most)),
		Sentence: v.Say("method_seen"), X: chart.Around(v.Say("method_axis"), "%", all...),
		Y: chart.Named("", names...), Series: []chart.Series{series},
		Marks: []chart.Mark{{Name: v.Say("method_model"), X: 0}}}
	if cases == 1 {
		c.Title = v.Say("method_verdict_one", "least", fromModel(v, least))
	}
	for i := range c.X.Ticks {
		c.X.Ticks[i].Text = decimal(v, c.X.Ticks[i].Text)
	}
	return picturedCases{c, true}
}

// fromModel is how far a ratio of published to calculated lies from one, in per cent to two digits.
func fromModel(v *phrase.Voice, ratio float64) string { return percent(v, 100*(ratio-1)) }

// percent writes a share of a hundred with its sign, to two digits; what is below a ten-thousandth is none.
func percent(v *phrase.Voice, x float64) string {
	const nothing = 1e-4
	if math.Abs(x) < nothing {
		return "0 %"
	}
	text := strconv.FormatFloat(math.Abs(x), 'f', max(0, 1-int(math.Floor(math.Log10(math.Abs(x))))), 64)
	sign := "+"
	if x < 0 {
		sign = "−"
	}
	return sign + decimal(v, text) + " %"
}

// figure writes a number to five digits.
func figure(v *phrase.Voice, x float64) string {
	return strings.Replace(decimal(v, fmt.Sprintf("%.5g", x)), "-", "−", 1)
}
