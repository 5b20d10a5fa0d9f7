package audit

import (
	"context"
	"slices"
	"sort"

	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/text"
)

// Setting is one value to set.
type Setting struct {
	Element string
	What    text.Text
	Value   float64
	Unit    string
	Why     text.Text
}

// Threshold is one alarm with what it is there for.
type Threshold struct {
	Alarm, Sensor, When string
	ThresholdC          *float64
	FromAt, ToAt        *plan.ClockTime // nil: all day
	DelayMin            float64
	Path                string
	Paths               []Path   // all of them
	Beats               []string // faults whose harm it beats
	TightestH           *float64 // least time to spare of them
}

// Path is one way of an alarm.
type Path struct {
	ID       string // of a router, modem or siren, or the alarm's own path
	Kind     string // audible, network or cellular
	Supply   *string
	BatteryH float64
	Reaches  []string // ids of persons; none: whoever the attendance speaks of
}

// Trial is something to try by hand.
type Trial struct {
	Element string
	Do      text.Text
	Expect  text.Text
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
	set := func(element, what string, value float64, unit string, why text.Text) {
		h.Settings = append(h.Settings, Setting{element, text.Of(what, nil), value, unit, why})
	}
	for _, c := range p.Controls {
		outputs := text.Params{"outputs": c.Outputs}
		if c.SetpointC != nil {
			set(c.ID, "setting_setpoint", *c.SetpointC, "degC", text.Of("why_setpoint", outputs))
			set(c.ID, "setting_hysteresis", c.HysteresisK, "K", text.Of("why_hysteresis", nil))
		}
		if c.RunLimitMin != nil {
			set(c.ID, "setting_run_limit", *c.RunLimitMin, "min", text.Of("why_run_limit", nil))
		}
		if c.ThresholdC != nil {
			set(c.ID, "setting_cuts_at", *c.ThresholdC, "degC", text.Of("why_cuts_at", outputs))
		}
		if c.SetpointPH != nil {
			set(c.ID, "setting_opens_above_ph", *c.SetpointPH, "1", text.Of("why_opens_above_ph", outputs))
		}
		if c.ThresholdPH != nil {
			set(c.ID, "setting_cuts_at_ph", *c.ThresholdPH, "1", text.Of("why_cuts_at", outputs))
		}
		if c.ThresholdPSU != nil {
			set(c.ID, "setting_cuts_at_salinity", *c.ThresholdPSU, "1", text.Of("why_cuts_at", outputs))
		}
	}
	for _, a := range p.Alarms {
		watched := text.Params{"watched": a.Watches}
		if a.DifferK != nil {
			set(a.ID, "setting_difference", *a.DifferK, "K",
				text.Of("why_difference", text.Params{"sensors": a.Sensors}))
		}
		if a.RunsMin != nil {
			set(a.ID, "setting_longest_run", *a.RunsMin, "min", text.Of("why_longest_run", watched))
		}
		if a.Starts != nil {
			set(a.ID, "setting_most_starts", float64(*a.Starts), "1", text.Of("why_most_starts", watched))
		}
		if a.WithinH != nil {
			set(a.ID, "setting_watched_hours", *a.WithinH, "h", text.Of("why_watched_hours", watched))
		}
	}
	thermostat := func(id string, markC *float64) {
		if markC != nil {
			set(id, "setting_own_thermostat", *markC, "degC", text.Of("why_own_thermostat", nil))
		}
	}
	for _, x := range p.Heaters {
		thermostat(x.ID, x.ThermostatC)
	}
	for _, x := range p.Chillers {
		thermostat(x.ID, x.ThermostatC)
	}
	h.gear(set)
	h.order(set)
	h.dosingSettings()
	if p.Sump != nil {
		set("sump", "setting_water_line", p.Sump.WaterLevelMM, "mm", text.Of("why_water_line",
			text.Params{"free": h.Report.Tank.FreeSumpL, "drains": h.Report.Tank.DrainBackL}))
	}
}

// order says what comes back how long after its supply.
func (h *HandOver) order(set func(element, what string, value float64, unit string, why text.Text)) {
	w := h.Report.Plan.Power
	back := func(id string, minutes *float64) {
		if minutes != nil {
			set(id, "setting_back_after", *minutes, "min", text.Of("why_back_after", nil))
		}
	}
	for _, x := range w.Circuits {
		back(x.ID, x.BackAfterMin)
	}
	for _, x := range w.Strips {
		back(x.ID, x.BackAfterMin)
	}
	for _, x := range w.Starts {
		back(x.Element, x.BackAfterMin)
	}
}

// gear says where heaters hang and how often cups want emptying.
func (h *HandOver) gear(set func(element, what string, value float64, unit string, why text.Text)) {
	for _, x := range h.Report.Plan.Heaters {
		if x.HeightMM != nil && *x.HeightMM < 0 {
			set(x.ID, "setting_under_water", -*x.HeightMM, "mm", text.Of("why_under_water", nil))
		}
	}
	for _, x := range h.Report.Plan.Skimmers {
		set(x.ID, "setting_cup_lasts", x.CupL/x.SkimmateLDay*quantity.HoursPerDay, "h",
			text.Of("why_cup_lasts", text.Params{"volume": x.CupL}))
	}
}

func (h *HandOver) thresholds() {
	w := writer{p: h.Report.Plan}
	for _, a := range h.Report.Plan.Alarms {
		listens := a.Watches
		if ids := a.Reads(); len(ids) > 0 {
			listens = ids[0] // the first of several
		}
		t := Threshold{Alarm: a.ID, Sensor: listens, When: string(a.When), ThresholdC: a.ThresholdC,
			FromAt: a.FromAt, ToAt: a.ToAt, DelayMin: a.DelayMin, Path: w.pathOf(a), Paths: w.pathsOf(a)}
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

// pathOf is the sort of path by which an alarm goes furthest.
func (w *writer) pathOf(a plan.Alarm) string {
	switch ways := w.p.Ways(a); {
	case slices.ContainsFunc(w.p.Modems, func(x plan.Modem) bool { return slices.Contains(ways, x.ID) }):
		return string(plan.CellularPath)
	case len(a.Paths) > 0 && w.onlyHeard(a):
		return string(plan.AudiblePath)
	case len(a.Paths) > 0:
		return string(plan.NetworkPath)
	}
	return string(a.Path)
}

// pathsOf lists every way of an alarm with whom it reaches.
func (w *writer) pathsOf(a plan.Alarm) []Path {
	var out []Path
	for _, way := range w.p.Ways(a) {
		x := Path{ID: way, Kind: string(plan.NetworkPath)}
		x.Supply, x.BatteryH = w.wayFeed(way)
		siren := func(s plan.Siren) bool { return s.ID == way }
		switch {
		case w.isMobile(way):
			x.Kind = string(plan.CellularPath)
		case way == string(plan.AudiblePath) || slices.ContainsFunc(w.p.Sirens, siren):
			x.Kind = string(plan.AudiblePath)
		}
		for _, p := range w.p.Persons {
			if p.CountedOn() && slices.Contains(p.ReachedBy, way) {
				x.Reaches = append(x.Reaches, p.ID)
			}
		}
		out = append(out, x)
	}
	return out
}

// trial is how to try the element of a fault.
func (f Fault) trial() Trial {
	do := f.try.doWith
	if do == nil {
		do = element(f.Element)
	}
	return Trial{Element: f.Element, Do: text.Of(f.try.do, do), Expect: text.Of(f.try.expect, f.try.expectWith),
		Faults: []string{f.ID}}
}

func (h *HandOver) gather(wanted func(FaultReport) bool) []Trial {
	var out []Trial
	for _, f := range h.Report.Faults {
		if !wanted(f) {
			continue
		}
		t := f.Fault.trial()
		same := func(x Trial) bool { return x.Do.String() == t.Do.String() }
		if i := slices.IndexFunc(out, same); i >= 0 {
			out[i].Faults = append(out[i].Faults, f.Fault.ID)
			continue
		}
		out = append(out, t)
	}
	sort.SliceStable(out, func(a, b int) bool { return len(out[a].Faults) > len(out[b].Faults) })
	return out
}

// commission tries everything once.
func (h *HandOver) commission() {
	h.Commission = h.gather(func(FaultReport) bool { return true })
	h.tryStarts()
}

// upkeep are the tests of parts that give notice before they fail: a look each month is worth more than to see it
// happen.
var upkeep = []*test{
	clearOverflow, freeLine, lookForSalt, feelStrip, wetPlug, followContacts, unplugBox, warmProbe, readClock,
	pullBackup, pressButton, watchRoom, lookAtHeater, timeFlow, emptyCup, liftStop, coverSensor, runOn,
}

// monthly tries what would wait unseen, the alarms that stand between a fault and the tank, and what gives notice.
func (h *HandOver) monthly() {
	saves := map[string]bool{}
	for _, t := range h.Thresholds {
		if len(t.Beats) > 0 {
			saves[t.Alarm] = true
		}
	}
	h.Monthly = h.gather(func(f FaultReport) bool {
		return f.Hidden || saves[f.Fault.Element] || slices.Contains(upkeep, f.Fault.try)
	})
}

// dosingSettings are the programmes of pumps and valves with clocks of their own.
func (h *HandOver) dosingSettings() {
	p := h.Report.Plan
	set := func(id string, d *plan.Doses) {
		if d != nil {
			h.Settings = append(h.Settings, Setting{id, text.Of("setting_run_seconds", nil), d.RunS, "s",
				text.Of("why_run_seconds", text.Params{"count": d.ADay})})
		}
	}
	for _, x := range p.DosingPumps {
		set(x.ID, x.Doses)
	}
	for _, x := range p.ChangePumps {
		set(x.ID, x.Doses)
	}
	for _, x := range p.CarbonDioxide {
		set(x.ID, x.Doses)
	}
}

// tryStarts adds a trial for each circuit on which something starts hard and nothing fails by that: the figures may be
// wrong, and trying it costs a minute.
func (h *HandOver) tryStarts() {
	p := h.Report.Plan
	for _, c := range p.Power.Circuits {
		if c.BreakerA == nil || !p.StartsHard(c.ID) {
			continue
		}
		if _, opens := tripsAtReturn(p, c.ID); opens == 0 {
			h.Commission = append(h.Commission, Trial{
				Element: c.ID, Do: text.Of(letAllStart.do, element(c.ID)), Expect: text.Of(letAllStart.expect, nil),
				Faults: []string{}})
		}
	}
}
