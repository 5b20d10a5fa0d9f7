package webdocs

import (
	"cmp"
	"encoding/json"
	"html/template"
	"math"
	"slices"
	"strconv"

	"saltwright/internal/catalogue"
	"saltwright/internal/chart"
	"saltwright/internal/drawing"
	"saltwright/internal/phrase"
)

// course is how one failure goes: what happens when, and the water all the while.
type course struct {
	Sentence, Heading string
	Moments           []moment
	NoHelp            []string
	Chart             *chart.Chart
	Samples           []sample // every so often, for the bar that plays them
	HoursText         string
	chosen            *drawing.Now
}

// moment is one thing that happens.
type moment struct {
	At, Time, Word, Kind, Text, Values string
	State, StateWord                   string
	Lit                                []string      // parts that the alarm comes to
	Picture                            template.HTML // of the moments that matter most
	Chosen                             bool
}

// Raises tells whether an alarm is raised here.
func (m moment) Raises() bool { return len(m.Lit) > 0 }

// sample is the tank at an hour, as the drawing shows it, in the reader's units.
type sample struct {
	AtH       float64 `json:"h"`
	Time      string  `json:"t"`
	Display   string  `json:"d"`
	DisplayMM float64 `json:"dm"`
	Sump      string  `json:"s"`
	SumpMM    float64 `json:"sm"`
	Spilled   string  `json:"f"`
}

// pictured are the moments with a picture of their own, for paper and for readers without motion.
var pictured = []string{"fault", "alarm", "help", "harm", "loss", "end"}

// courseOf tells a failure's course in the reader's units.
func courseOf(
	v *phrase.Voice, m *drawing.Model, f *auditedFault, t *toldCourse, us bool, atHour string,
) *course {
	speaker := speakerOf(v, us)
	at := func(h float64) string { return speaker.Number(h, "duration", "h") }
	c := &course{Sentence: capital(f.Sentence) + ".", Heading: v.Say("course_in_" + t.Room), HoursText: at(t.Hours)}
	for _, n := range f.NoHelp {
		c.NoHelp = append(c.NoHelp, n.Sentence)
	}
	for _, h := range t.hours() {
		c.Samples = append(c.Samples, t.sample(v, speaker, m.HasSump(), h))
	}
	chosenH := t.worst()
	if h, err := strconv.ParseFloat(atHour, 64); err == nil && h >= 0 {
		chosenH = h
	}
	state := drawing.Held
	frame := drawing.Frame{Failed: f.Element}
	var lit, litNow []string
	for _, x := range t.Moments {
		one := moment{At: strconv.FormatFloat(x.AtH, 'f', -1, 64), Time: at(x.AtH), Word: v.Say("moment_" + x.Kind),
			Kind: x.Kind, Text: x.Sentence}
		switch x.Kind {
		case "alarm":
			one.Lit, frame.Alarmed = m.Heard(x.Element, true), true
		case "alarm_unheard":
			if x.Why == "only_in_room" || x.Why == "network_down" { // it was raised
				one.Lit = m.Heard(x.Element, false)
			}
		case "help":
			if frame.Helped = true; state == drawing.Held {
				state = drawing.Rescued
			}
		case "harm":
			if state != drawing.Lost {
				state = drawing.Harmed
			}
		case "loss":
			state = drawing.Lost
		}
		if f.Verdict == "rescued" && (x.Kind == "harm" || x.Kind == "loss") {
			one.Word = v.Say("moment_without_help")
		}
		now := c.nearest(x.AtH)
		one.Values, one.State, one.StateWord = now.Display, string(state), stateWord(v, string(state))
		if lit = append(lit, one.Lit...); x.AtH <= chosenH {
			litNow = slices.Clone(lit)
		}
		if slices.Contains(pictured, x.Kind) {
			frame.Name, frame.Text, frame.State = one.Word, one.Text, state
			frame.LevelMM, frame.Spilled = now.DisplayMM, now.Spilled != ""
			one.Picture = m.Frame(frame)
		}
		one.Chosen = x.AtH == chosenH
		c.Moments = append(c.Moments, one)
	}
	now := c.nearest(chosenH)
	c.chosen = &drawing.Now{DisplayMM: now.DisplayMM, SumpMM: now.SumpMM, Display: now.Display, Sump: now.Sump,
		Spilled: now.Spilled, Lit: litNow}
	return c
}

// mostSamples are about as many as a bar has places on a wide screen.
const mostSamples = 120

// hours are when the bar has a place: evenly, and at every moment.
func (t *toldCourse) hours() []float64 {
	var out []float64
	every := 1 + (len(t.AtH)-1)/mostSamples
	for i, h := range t.AtH {
		if i%every == 0 || i == len(t.AtH)-1 {
			out = append(out, h)
		}
	}
	for _, m := range t.Moments {
		out = append(out, m.AtH)
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// sample is the tank at an hour, straight between two of the samples told; a level that steps has stepped.
func (t *toldCourse) sample(
	v *phrase.Voice, speaker *catalogue.Speaker, hasSump bool, hour float64,
) sample {
	next, _ := slices.BinarySearch(t.AtH, hour)
	next = min(next, len(t.AtH)-1)
	before, share := max(0, next-1), 0.0
	if next > before {
		share = (hour - t.AtH[before]) / (t.AtH[next] - t.AtH[before])
	}
	between := func(list []float64) float64 { return list[before] + (list[next]-list[before])*share }
	const visible = 0.5 // mm
	level := func(mm float64) string {
		switch {
		case mm >= visible:
			return "+" + speaker.Number(mm, "length", "mm")
		case mm <= -visible:
			return "−" + speaker.Number(-mm, "length", "mm")
		}
		return ""
	}
	out := sample{AtH: hour, Time: speaker.Number(hour, "duration", "h"), DisplayMM: tenths(t.DisplayMM[next]),
		Display: speaker.Number(between(t.TempC), "temperature", "degC")}
	if text := level(t.DisplayMM[next]); text != "" {
		out.Display += ", " + text
	}
	if hasSump {
		out.SumpMM, out.Sump = tenths(t.LevelMM[next]), level(t.LevelMM[next])
	}
	const visibleL = 0.05
	if litres := between(t.SpilledL); litres >= visibleL {
		out.Spilled = v.Say("on_the_floor", "amount", speaker.Number(litres, "volume", "L"))
	}
	return out
}

func tenths(x float64) float64 { return math.Round(x*10) / 10 }

// worst is the hour at which harm or loss comes, or the end.
func (t *toldCourse) worst() float64 {
	out := t.Hours
	for _, kind := range []string{"harm", "loss"} {
		for _, x := range t.Moments {
			if x.Kind == kind {
				out = x.AtH
				break
			}
		}
	}
	return out
}

// nearest is the sample that is nearest to an hour.
func (c *course) nearest(hour float64) sample {
	i, _ := slices.BinarySearchFunc(c.Samples, hour, func(s sample, h float64) int { return cmp.Compare(s.AtH, h) })
	if i > 0 && (i == len(c.Samples) || hour-c.Samples[i-1].AtH < c.Samples[i].AtH-hour) {
		i--
	}
	return c.Samples[i]
}

// now is the moment that the drawing shows.
func (c *course) now() *drawing.Now {
	if c == nil {
		return nil
	}
	return c.chosen
}

// Script is what the bar plays.
func (c *course) Script() (template.JS, error) {
	raw, err := json.Marshal(c.Samples)
	return template.JS(raw), err // #nosec G203 -- json.Marshal escapes what could end a script
}
