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

// Hand returns what to set, what to try before livestock comes and what to try every month, each from the audit of the plan.
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
		set("sump", "running water line", p.Sump.WaterLevelMM, "mm", fmt.Sprintf("leaves %.0f L for the %.0f L that run down when the return stops", h.Report.Tank.FreeSumpL, h.Report.Tank.DrainBackL))
	}
}

func (h *HandOver) thresholds() {
	for _, a := range h.Report.Plan.Alarms {
		t := Threshold{Alarm: a.ID, Sensor: a.Sensor, When: string(a.When), ThresholdC: a.ThresholdC, DelayMin: a.DelayMin, Path: string(a.Path)}
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

// trial says how to try an element and what must happen, by kind.
func (h *HandOver) trial(f Fault) (Trial, bool) {
	p := h.Report.Plan
	t := Trial{Element: f.Element}
	switch f.Kind {
	case "heater", "chiller":
		if strings.HasPrefix(f.Mode, "thermostat") {
			t.Do = "With somebody beside it and a thermometer in the water, let " + f.Element + " run without its control, from cool water, until it switches off by itself."
			t.Expect = "It switches off within a kelvin of its mark. Stop it by hand if it goes on."
		} else {
			t.Do, t.Expect = "Call for "+f.Element+" for ten minutes.", "It draws power and the water beside it changes temperature."
		}
	case "sensor":
		i := slices.IndexFunc(p.Sensors, func(s plan.Sensor) bool { return s.ID == f.Element })
		if i < 0 {
			return t, false
		}
		switch p.Sensors[i].Kind {
		case plan.TemperatureKind:
			t.Do, t.Expect = "Hold "+f.Element+" and a thermometer you trust in the same water.", "They agree within half a kelvin."
		case plan.LevelKind:
			t.Do, t.Expect = "Lift and lower "+f.Element+" by hand, or cover and bare it.", "What it switches follows both ways; then clean it."
		case plan.FlowKind:
			t.Do, t.Expect = "Stop the return for a minute and start it again.", f.Element+" reports both."
		case plan.LeakKind:
			t.Do, t.Expect = "Touch "+f.Element+" with a wet cloth.", "Its alarm comes, and goes once it is dry."
		default:
			t.Do, t.Expect = "Switch the circuit that "+f.Element+" watches off and on.", "It reports both."
		}
	case "control":
		switch {
		case f.Mode == "blind":
			t.Do, t.Expect = "Bring the sensor of "+f.Element+" past its threshold (a cup of warm or cold water, a lifted float).", "It cuts what it guards, and lets it go again as planned."
		case strings.HasPrefix(f.Mode, "output_"):
			t.Do, t.Expect = "Let "+f.Element+" call and stop calling.", "Its output follows both ways; look at what it drives, not at its display."
		default:
			t.Do, t.Expect = "Raise and lower the set-point or the sensor of "+f.Element+" past its switching points.", "It switches on and off."
		}
	case "alarm":
		t.Do, t.Expect = "Raise "+f.Element+" on purpose, from its sensor on.", "The person who would come gets it, on the device they carry."
	case "network":
		t.Do, t.Expect = "Take the home network down for as long as an alarm needs.", "You notice that it is gone, or the alarm takes its other path."
	case "circuit":
		t.Do, t.Expect = "Open "+f.Element+" and close it again; press the test button of its ground-fault device.", "What should go dark goes dark, alarms come, and everything starts again by itself."
	case "mains":
		t.Do, t.Expect = "Open the main switch for five minutes.", "What has a battery goes on, alarms come, the sump holds what runs down, and everything starts again."
	case "pump":
		t.Do, t.Expect = "Stop "+f.Element+" and start it again.", "The sump holds what runs down; it starts by itself."
	case "top_off_pump", "reservoir":
		t.Do, t.Expect = "Take a litre out of the return chamber.", "Top-off brings it back and stops; the reservoir is full before you leave."
	case "light", "fan":
		t.Do, t.Expect = "Watch "+f.Element+" switch on and off once.", "It follows its programme."
	default:
		return t, false
	}
	return t, true
}

func (h *HandOver) gather(wanted func(FaultReport) bool) []Trial {
	var out []Trial
	for _, f := range h.Report.Faults {
		if !wanted(f) {
			continue
		}
		t, ok := h.trial(f.Fault)
		if !ok {
			continue
		}
		if i := slices.IndexFunc(out, func(x Trial) bool { return x.Do == t.Do }); i >= 0 {
			out[i].Faults = append(out[i].Faults, f.Fault.ID)
			continue
		}
		t.Faults = []string{f.Fault.ID}
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
