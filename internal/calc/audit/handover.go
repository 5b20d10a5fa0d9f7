package audit

import (
	"context"
	"fmt"
	"slices"
	"sort"
	"strings"

	"saltwright/internal/calc/plan"
)

// Setting is one value to set.
type Setting struct {
	Element string
	What    string
	Value   float64
	Unit    string
	Why     string
}

// Threshold is one alarm with what it is there for.
type Threshold struct {
	Alarm, Sensor, When string
	ThresholdC          *float64
	DelayMin            float64
	Path                string
	Beats               []string // faults whose harm it beats
	TightestH           *float64 // least time to spare of them
}

// Trial is something to try by hand.
type Trial struct {
	Element string
	Do      string
	Expect  string
	Faults  []string // what it would show
}

// HandOver is what goes with a finished tank.
type HandOver struct {
	Report     Report
	Settings   []Setting
	Thresholds []Threshold
	Commission []Trial // once, before livestock
	Monthly    []Trial // for what nothing else reveals
}

// Hand returns what to set, what to try before livestock comes and what to try every month, each from the audit of
// the
// plan.
//
// Accuracy: as Single. Errors: as Single. Source: [Derived], [IEC60812].
func Hand(ctx context.Context, in plan.Plan) (HandOver, error) {
	r, err := Single(ctx, in)
	if err != nil {
		return HandOver{}, err
	}
	return handOver(r), nil
}

func handOver(r Report) HandOver {
	h := HandOver{Report: r}
	h.settings()
	h.thresholds()
	h.commission()
	h.monthly()
	return h
}

func (h *HandOver) settings() {
	p := h.Report.Plan
	set := func(element, what string, value float64, unit, why string) {
		h.Settings = append(h.Settings, Setting{element, what, value, unit, why})
	}
	for _, c := range p.Controls {
		if c.SetpointC != nil {
			set(c.ID, "set-point", *c.SetpointC, "degC", "holds "+strings.Join(c.Outputs, ", "))
			set(c.ID, "hysteresis", c.HysteresisK, "K", "from off to on")
		}
		if c.RunLimitMin != nil {
			set(c.ID, "run limit", *c.RunLimitMin, "min", "cuts a call that goes on longer, as a stuck sensor's does")
		}
		if c.ThresholdC != nil {
			set(c.ID, "cuts at", *c.ThresholdC, "degC", "a second line behind "+strings.Join(c.Outputs, ", "))
		}
	}
	for _, x := range p.Heaters {
		if x.ThermostatC != nil {
			set(x.ID, "own thermostat", *x.ThermostatC, "degC", "takes over when what switches it sticks")
		}
	}
	for _, x := range p.Chillers {
		if x.ThermostatC != nil {
			set(x.ID, "own thermostat", *x.ThermostatC, "degC", "takes over when what switches it sticks")
		}
	}
	if p.Sump != nil {
		set("sump", "running water line", p.Sump.WaterLevelMM, "mm", fmt.Sprintf("leaves %.0f L for the %.0f L that "+
			"run "+
			"down when the return stops", h.Report.Tank.FreeSumpL, h.Report.Tank.DrainBackL))
	}
}

func (h *HandOver) thresholds() {
	for _, a := range h.Report.Plan.Alarms {
		t := Threshold{Alarm: a.ID, Sensor: a.Sensor, When: string(a.When), ThresholdC: a.ThresholdC,
			DelayMin: a.DelayMin,
			Path:     string(a.Path)}
		for _, f := range h.Report.Faults {
			if f.Verdict == Rescued && f.Alarm != nil && f.Alarm.ID == a.ID {
				t.Beats = append(t.Beats, f.Fault.ID)
				if t.TightestH == nil || *f.MarginH < *t.TightestH {
					t.TightestH = f.MarginH
				}
			}
		}
		h.Thresholds = append(h.Thresholds, t)
	}
}

func (h *HandOver) gather(wanted func(FaultReport) bool) []Trial {
	var out []Trial
	for _, f := range h.Report.Faults {
		if !wanted(f) {
			continue
		}
		t := Trial{
			Element: f.Fault.Element, Faults: []string{f.Fault.ID},
			Do:     strings.ReplaceAll(f.Fault.try.do, "{element}", f.Fault.Element),
			Expect: strings.ReplaceAll(f.Fault.try.expect, "{element}", f.Fault.Element),
		}
		if i := slices.IndexFunc(out, func(x Trial) bool { return x.Do == t.Do }); i >= 0 {
			out[i].Faults = append(out[i].Faults, f.Fault.ID)
			continue
		}
		out = append(out, t)
	}
	sort.SliceStable(out, func(a, b int) bool { return len(out[a].Faults) > len(out[b].Faults) })
	return out
}

// commission tries everything once.
func (h *HandOver) commission() { h.Commission = h.gather(func(FaultReport) bool { return true }) }

// monthly tries what would wait unseen, and the alarms that stand between a fault and the tank.
func (h *HandOver) monthly() {
	saves := map[string]bool{}
	for _, t := range h.Thresholds {
		if len(t.Beats) > 0 {
			saves[t.Alarm] = true
		}
	}
	h.Monthly = h.gather(func(f FaultReport) bool { return f.Hidden || saves[f.Fault.Element] })
}
