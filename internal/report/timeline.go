package report

import (
	"bytes"
	"fmt"
	"html/template"
	"image/color"
	"strings"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgsvg"

	"saltwright/internal/calc/audit"
	"saltwright/internal/figure"
)

// Figures draws runs. Errors: a run that cannot be drawn, which is a fault of ours.
func Figures(runs []audit.Timeline) ([]figure.Figure, error) {
	out := make([]figure.Figure, len(runs))
	for i, t := range runs {
		var err error
		if out[i], err = drawTimeline(t); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// quantity is what a fault is drawn by.
type quantity struct {
	name             string
	of               func(i int) float64
	comfort, limit   *float64
	comfortL, limitL *float64 // the lower ones, where there are two sides
}

func shown(t audit.Timeline) quantity {
	l, s := t.Limits, t.Samples
	switch t.Fault.Ends() {
	case "diluted", "concentrated":
		return quantity{
			"salinity", func(i int) float64 { return s[i].Salinity },
			l.ComfortHighPSU, l.HarmHighPSU, l.ComfortLowPSU, l.HarmLowPSU,
		}
	case "flooded", "run_dry":
		return quantity{name: "level, mm", of: func(i int) float64 { return s[i].LevelMM }}
	case "airless":
		return quantity{
			name: "oxygen, mg/L", of: func(i int) float64 { return s[i].OxygenMgL },
			comfortL: l.ComfortOxygenMgL, limitL: l.HarmOxygenMgL,
		}
	}
	return quantity{
		"temperature, °C", func(i int) float64 { return s[i].TempC },
		l.ComfortHighC, l.HarmHighC, l.ComfortLowC, l.HarmLowC,
	}
}

// drawTimeline makes the figure of one run: the quantity as a full line, the comfort band's edge dotted, the harm limit
// dashed, and the hours of harm, alarm and response as marked uprights. Nothing in it needs colour.
func drawTimeline(t audit.Timeline) (figure.Figure, error) {
	q := shown(t)
	p := plot.New()
	p.BackgroundColor = color.Transparent
	p.X.Label.Text, p.Y.Label.Text = "hours after the fault", q.name
	p.X.Min, p.X.Max = 0, t.HoursH
	line := make(plotter.XYs, 0, len(t.Samples))
	low, high := q.of(0), q.of(0)
	for i, s := range t.Samples {
		line = append(line, plotter.XY{X: s.AtS / 3600, Y: q.of(i)})
		low, high = min(low, q.of(i)), max(high, q.of(i))
	}
	course, err := plotter.NewLine(line)
	if err != nil {
		return figure.Figure{}, fmt.Errorf("report: %w", err)
	}
	course.Width = vg.Points(1.6)
	p.Add(course)
	level := func(y *float64, dashes ...vg.Length) error {
		if y == nil {
			return nil
		}
		l, err := plotter.NewLine(plotter.XYs{{X: 0, Y: *y}, {X: t.HoursH, Y: *y}})
		if err != nil {
			return fmt.Errorf("report: %w", err)
		}
		l.Dashes = dashes
		p.Add(l)
		return nil
	}
	// Only the side it is heading for, so that the course fills the figure.
	up := high-q.of(0) >= q.of(0)-low
	comfort, limit := q.comfortL, q.limitL
	if up && q.limit != nil {
		comfort, limit = q.comfort, q.limit
	}
	if err := level(comfort, vg.Points(1), vg.Points(3)); err != nil {
		return figure.Figure{}, err
	}
	if err := level(limit, vg.Points(6), vg.Points(3)); err != nil {
		return figure.Figure{}, err
	}
	for _, y := range []*float64{comfort, limit} {
		if y != nil {
			low, high = min(low, *y), max(high, *y)
		}
	}
	margin := max(0.08*(high-low), 0.1)
	p.Y.Min, p.Y.Max = low-margin, high+2.5*margin
	var marks []string
	upright := func(h float64, name string, rank float64) error {
		if h < 0 || h > t.HoursH {
			return nil
		}
		l, err := plotter.NewLine(plotter.XYs{{X: h, Y: p.Y.Min}, {X: h, Y: p.Y.Max}})
		if err != nil {
			return fmt.Errorf("report: %w", err)
		}
		l.Dashes = []vg.Length{vg.Points(2), vg.Points(2)}
		label, err := plotter.NewLabels(plotter.XYLabels{
			XYs: plotter.XYs{{X: h, Y: p.Y.Max - rank*margin}}, Labels: []string{" " + name},
		})
		if err != nil {
			return fmt.Errorf("report: %w", err)
		}
		p.Add(l, label)
		marks = append(marks, fmt.Sprintf("%s at %.1f h", name, h))
		return nil
	}
	if a := t.Fault.Alarm; a != nil {
		if err := upright(a.RaisedH, "alarm", 0.8); err != nil {
			return figure.Figure{}, err
		}
		if err := upright(a.ActH, "response", 1.6); err != nil {
			return figure.Figure{}, err
		}
	}
	if t.Fault.HarmH != nil {
		if err := upright(*t.Fault.HarmH, "harm", 2.4); err != nil {
			return figure.Figure{}, err
		}
	}
	if t.Fault.Verdict == audit.Lost && t.Fault.LossH != nil {
		if err := upright(*t.Fault.LossH, "loss", 3.2); err != nil {
			return figure.Figure{}, err
		}
	}
	canvas := vgsvg.New(16*vg.Centimeter, 6*vg.Centimeter)
	p.Draw(draw.Crop(draw.New(canvas), 0, -vg.Points(8), 0, 0)) // room for half of the last number
	var out bytes.Buffer
	if _, err := canvas.WriteTo(&out); err != nil {
		return figure.Figure{}, fmt.Errorf("report: %w", err)
	}
	caption := fmt.Sprintf("If %s: %s in the %s room; %s. "+
		"Full line %s, dotted the edge of comfort, dashed the harm limit.",
		t.Fault.Fault.Sentence, t.Fault.Verdict, t.Fault.Room, strings.Join(marks, ", "), q.name)
	svg, err := themed(out.String(), caption)
	return figure.Figure{Caption: caption, SVG: template.HTML(svg)}, err // only what draws, texts escaped
}
