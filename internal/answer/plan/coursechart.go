package plan

import (
	"cmp"
	"slices"

	"saltwright/internal/answer/picture"
	"saltwright/internal/calc/audit"
	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/sim"
	"saltwright/internal/calc/text"
	"saltwright/internal/chart"
)

// mostCourses is how many runs are drawn of an audit.
const mostCourses = 8

// courseCharts draws runs; one that no quantity of the water tells anything about has no picture.
func courseCharts(r picture.Reader, runs []audit.Timeline) []chart.Chart {
	out := []chart.Chart{}
	for _, t := range runs {
		if w, ok := watchedIn(t); ok {
			out = append(out, courseChart(r, t, w))
		}
	}
	return out
}

// watched is the quantity that a fault is drawn by.
type watched struct {
	name          string // of the catalogue
	label         text.Text
	of            func(s sim.Sample) float64
	comfort, harm *float64 // on the side that the run leads to; nil: none
	otherComfort  *float64 // the far edge of the comfort band
	upwards       bool     // harm lies above
	allowedH      *float64 // how long the limit may be passed before it counts
}

func watchedIn(t audit.Timeline) (watched, bool) {
	l := t.Limits
	temperature := watched{name: "temperature", label: text.Of("chart_temperature", nil),
		of: func(s sim.Sample) float64 { return s.TempC }, allowedH: l.HarmTempAfterH}
	salinity := watched{name: "salinity", label: text.Of("chart_salinity", nil),
		of: func(s sim.Sample) float64 { return s.Salinity }, allowedH: l.HarmSalinityAfterH}
	switch t.Fault.Ends() {
	case "overheated":
		temperature.comfort, temperature.otherComfort = l.ComfortHighC, l.ComfortLowC
		temperature.harm, temperature.upwards = l.HarmHighC, true
		return temperature, true
	case "chilled":
		temperature.comfort, temperature.otherComfort, temperature.harm = l.ComfortLowC, l.ComfortHighC, l.HarmLowC
		return temperature, true
	case "concentrated":
		salinity.comfort, salinity.otherComfort = l.ComfortHighPSU, l.ComfortLowPSU
		salinity.harm, salinity.upwards = l.HarmHighPSU, true
		return salinity, true
	case "diluted":
		salinity.comfort, salinity.otherComfort, salinity.harm = l.ComfortLowPSU, l.ComfortHighPSU, l.HarmLowPSU
		return salinity, true
	case "temperature_shock": // the course itself shows how steep it is
		temperature.comfort, temperature.otherComfort, temperature.upwards = l.ComfortHighC, l.ComfortLowC, true
		temperature.allowedH = nil
		return temperature, true
	case "salinity_shock":
		salinity.comfort, salinity.otherComfort, salinity.upwards = l.ComfortHighPSU, l.ComfortLowPSU, true
		salinity.allowedH = nil
		return salinity, true
	case "sump_hot":
		return watched{name: "temperature", label: text.Of("chart_sump_temperature", nil),
			of:      func(s sim.Sample) float64 { return s.SumpC },
			comfort: l.ComfortSumpC, harm: l.HarmSumpC, upwards: true}, true
	case "airless":
		return watched{name: "oxygen", label: text.Of("chart_oxygen", nil), allowedH: l.HarmOxygenAfterH,
			of:      func(s sim.Sample) float64 { return s.OxygenMgL },
			comfort: l.ComfortOxygenMgL, harm: l.HarmOxygenMgL}, true
	case "flooded":
		return watched{name: "volume", label: text.Of("chart_on_the_floor", nil), harm: l.HarmSpillL, upwards: true,
			of: func(s sim.Sample) float64 { return s.SpilledL }}, true
	case "alkalinity_low", "alkalinity_high", "ph_low", "ph_high", "dissolving", "falling_out", "magnesium_low",
		"magnesium_high":
		return dissolvedIn(t.Fault.Ends(), l), true
	case "run_dry", "heater_dry":
		return watched{name: "length", label: text.Of("chart_level", nil),
			of: func(s sim.Sample) float64 { return s.LevelMM }}, true
	}
	return unharmed(t)
}

// unharmed is what a fault without harm is drawn by, where it acts on the water at all: pumps and what skims or airs on
// the oxygen, what foams wet on the salinity, since top-off replaces it, and a cup without its stop on the floor.
func unharmed(t audit.Timeline) (watched, bool) {
	f, l := t.Fault, t.Limits
	if f.EndsH() != nil {
		return watched{}, false
	}
	switch {
	case f.Fault.Mode == "foams_wet":
		return watched{name: "salinity", label: text.Of("chart_salinity", nil), comfort: l.ComfortLowPSU,
			otherComfort: l.ComfortHighPSU, harm: l.HarmLowPSU,
			of: func(s sim.Sample) float64 { return s.Salinity }}, true
	case f.Fault.Mode == "stop_fails":
		return watched{name: "volume", label: text.Of("chart_on_the_floor", nil), harm: l.HarmSpillL, upwards: true,
			of: func(s sim.Sample) float64 { return s.SpilledL }}, true
	case f.Fault.Kind == "pump" || f.Fault.Kind == "skimmer":
		return watched{name: "oxygen", label: text.Of("chart_oxygen", nil), comfort: l.ComfortOxygenMgL,
			harm: l.HarmOxygenMgL, of: func(s sim.Sample) float64 { return s.OxygenMgL }}, true
	}
	return watched{}, false
}

// dissolvedIn is the quantity of what is dissolved that a kind of harm is drawn by.
func dissolvedIn(kind string, l plan.Limits) watched {
	alkalinity := watched{name: "alkalinity", label: text.Of("chart_alkalinity", nil),
		of: func(s sim.Sample) float64 { return s.AlkalinityDKH }, comfort: l.ComfortLowDKH,
		otherComfort: l.ComfortHighDKH, harm: l.HarmLowDKH}
	pH := watched{name: "ph", label: text.Of("chart_ph", nil), of: func(s sim.Sample) float64 { return s.PH },
		comfort: l.ComfortLowPH, otherComfort: l.ComfortHighPH, harm: l.HarmLowPH}
	saturation := watched{name: "saturation", label: text.Of("chart_aragonite", nil),
		of: func(s sim.Sample) float64 { return s.Aragonite }, comfort: l.ComfortLowAragonite,
		otherComfort: l.ComfortHighAragonite, harm: l.HarmLowAragonite}
	magnesium := watched{name: "dissolved", label: text.Of("chart_magnesium", nil),
		of: func(s sim.Sample) float64 { return s.MagnesiumMgL }, comfort: l.ComfortLowMagnesiumMgL,
		otherComfort: l.ComfortHighMagnesiumMgL, harm: l.HarmLowMagnesiumMgL}
	w, harmHigh := alkalinity, l.HarmHighDKH
	switch kind {
	case "magnesium_low", "magnesium_high":
		w, harmHigh = magnesium, l.HarmHighMagnesiumMgL
	case "ph_low", "ph_high":
		w, harmHigh = pH, l.HarmHighPH
	case "dissolving", "falling_out":
		w, harmHigh = saturation, l.HarmHighAragonite
	}
	w.allowedH = l.HarmChemistryAfterH
	if kind == "alkalinity_high" || kind == "ph_high" || kind == "falling_out" ||
		kind == "magnesium_high" {
		w.comfort, w.otherComfort, w.harm, w.upwards = w.otherComfort, w.comfort, harmHigh, true
	}
	return w
}

// valueAt is the quantity at an hour, straight between two samples.
func (w watched) valueAt(samples []sim.Sample, hour float64) float64 {
	const secondsPerHour = 3600
	at := hour * secondsPerHour
	i, _ := slices.BinarySearchFunc(samples, at, func(s sim.Sample, at float64) int { return cmp.Compare(s.AtS, at) })
	switch {
	case i == 0:
		return w.of(samples[0])
	case i == len(samples):
		return w.of(samples[i-1])
	}
	a, b := samples[i-1], samples[i]
	if b.AtS == a.AtS {
		return w.of(b)
	}
	return w.of(a) + (w.of(b)-w.of(a))*(at-a.AtS)/(b.AtS-a.AtS)
}

// moment is one mark of a course.
type moment struct {
	label text.Text
	hour  float64
}

func momentsOf(t audit.Timeline) []moment {
	out := []moment{{text.Of("chart_fault", nil), 0}}
	if a := t.Fault.Alarm; a != nil {
		out = append(out, moment{text.Of("chart_alarm", nil), a.RaisedH}, moment{text.Of("chart_help", nil), a.ActH})
	}
	if h := t.Fault.HarmH; h != nil {
		out = append(out, moment{text.Of("chart_harm", nil), *h})
	}
	if h := t.Fault.LossH; h != nil {
		out = append(out, moment{text.Of("chart_loss", nil), *h})
	}
	out = slices.DeleteFunc(out, func(m moment) bool { return m.hour > t.HoursH })
	slices.SortStableFunc(out, func(a, b moment) int { return cmp.Compare(a.hour, b.hour) })
	return out
}

func courseChart(r picture.Reader, t audit.Timeline, w watched) chart.Chart {
	times := r.Until(text.Of("chart_hours_after_fault", nil), text.Of("chart_days_after_fault", nil), t.HoursH)
	c := chart.Chart{
		Code: "fault_course", Subject: t.Fault.Fault.ID,
		Title: r.Say(courseTitle(t)), Sentence: r.Say(courseSentence(t, w)), X: times.Axis,
		Marks: []chart.Mark{}, Bands: []chart.Band{}, Spans: []chart.Span{},
	}
	c.Series = courseSeries(r, t, w, times)
	var values []float64
	for _, s := range t.Samples {
		values = append(values, w.of(s))
	}
	for _, edge := range []*float64{w.comfort, w.harm} {
		if edge != nil {
			values = append(values, *edge)
		}
	}
	c.Y = r.Around(w.label, w.name, values...)
	c.Bands = courseBands(r, w, c.Y)
	rows := [][]string{}
	row := func(m moment) {
		rows = append(rows, []string{r.Say(m.label), r.Number("duration", m.hour),
			r.Number(w.name, w.valueAt(t.Samples, m.hour))})
	}
	for _, m := range momentsOf(t) {
		c.Marks = append(c.Marks, chart.Mark{Name: r.Say(m.label), X: times.At(m.hour)})
		row(m)
	}
	row(moment{text.Of("chart_end", nil), t.HoursH})
	c.Table = picture.Table([]string{r.Say(text.Of("chart_moment", nil)), r.Say(text.Of("chart_after", nil)),
		r.Say(w.label)}, rows...)
	if h := t.Fault.HarmH; h != nil && w.harm != nil && w.allowedH != nil && *w.allowedH > 0 {
		c.Spans = append(c.Spans, chart.Span{
			Name: r.Say(text.Of("chart_allowed", text.Params{"time": *w.allowedH})),
			From: times.At(max(0, *h-*w.allowedH)), To: times.At(*h), Y: r.In(w.name, *w.harm)})
	}
	return c
}

// courseSeries is what happens until help comes, and what would have followed without.
func courseSeries(r picture.Reader, t audit.Timeline, w watched, times picture.Times) []chart.Series {
	helpH := t.HoursH
	if a := t.Fault.Alarm; a != nil {
		helpH = min(helpH, a.ActH)
	}
	const secondsPerHour = 3600
	var hours [2][]float64
	for _, s := range t.Samples {
		h := s.AtS / secondsPerHour
		if h < helpH {
			hours[0] = append(hours[0], h)
		} else if h > helpH {
			hours[1] = append(hours[1], h)
		}
	}
	series := func(label text.Text, drawn chart.Drawn, hours []float64) chart.Series {
		var xs, values []float64
		for _, h := range hours {
			xs, values = append(xs, times.At(h)), append(values, w.valueAt(t.Samples, h))
		}
		return r.Line(label, drawn, w.name, xs, values)
	}
	out := []chart.Series{series(w.label, chart.Line, append(hours[0], helpH))}
	if helpH < t.HoursH {
		without := append([]float64{helpH}, hours[1]...)
		out = append(out, series(text.Of("chart_without_help", nil), chart.Dashed, without))
	}
	return out
}

// courseBands shades comfort, and harm on the side that the run leads to.
func courseBands(r picture.Reader, w watched, y chart.Axis) []chart.Band {
	out := []chart.Band{}
	add := func(kind string, label text.Text, from, to float64) {
		if from, to = max(from, y.Min), min(to, y.Max); from < to {
			out = append(out, chart.Band{Kind: kind, Name: r.Say(label), From: from, To: to})
		}
	}
	if w.comfort != nil {
		edge, other := r.In(w.name, *w.comfort), y.Max
		if w.upwards {
			other = y.Min
		}
		if w.otherComfort != nil {
			other = r.In(w.name, *w.otherComfort)
		}
		add(chart.Comfort, text.Of("chart_comfort", nil), min(edge, other), max(edge, other))
	}
	if w.harm != nil {
		edge := r.In(w.name, *w.harm)
		if w.upwards {
			add(chart.Harm, text.Of("chart_harm", nil), edge, y.Max)
		} else {
			add(chart.Harm, text.Of("chart_harm", nil), y.Min, edge)
		}
	}
	return out
}

func courseTitle(t audit.Timeline) text.Text {
	f := t.Fault
	if f.EndsH() == nil {
		return text.Of("course_held", text.Params{"fault": f.Fault.Sentence, "time": t.HoursH})
	}
	end := *f.EndsH()
	switch {
	case f.MarginH == nil:
		return text.Of("course_unseen", text.Params{"fault": f.Fault.Sentence, "harm": end})
	case *f.MarginH < 0:
		return text.Of("course_too_late",
			text.Params{"fault": f.Fault.Sentence, "harm": end, "late": f.Alarm.ActH - end})
	}
	return text.Of("course_rescued", text.Params{"fault": f.Fault.Sentence, "spare": *f.MarginH})
}

// courseSentence says the course in words.
func courseSentence(t audit.Timeline, w watched) text.Text {
	out := []text.Text{text.Of("course_room", text.Params{"room": string(t.Fault.Room), "time": t.HoursH})}
	if a := t.Fault.Alarm; a != nil {
		out = append(out, text.Of("course_alarm", text.Params{"alarm": a.RaisedH, "help": a.ActH}))
	}
	if h := t.Fault.HarmH; h != nil {
		out = append(out, text.Of("course_harm", text.Params{"harm": *h}))
	}
	return text.Sentences(out...)
}
