package power

import (
	"fmt"
	"sort"

	"saltwright/internal/calc/evaporation"
	"saltwright/internal/calc/heat"
	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/seawater"
)

// Path is how one vessel's temperature goes in one room.
type Path struct {
	Room         string
	Vessel       string // display or sump
	TauH         float64
	EquilibriumC float64
	EndC         float64 // at the end of the outage
	LowComfortH  *float64
	LowHarmH     *float64
	HighComfortH *float64
	HighHarmH    *float64
	CoveredLowH  *float64 // to the low harm limit with the vessel covered; nil: never, or a lid is on already
}

// Moment is the state at an hour, usual room, expected.
type Moment struct {
	Hour           float64
	DisplayC       float64
	SumpC          float64 // the display's without a sump
	OxygenMgL      float64
	WorstOxygenMgL float64
	BatteryOn      bool
}

// Action is what to do and by when.
type Action struct {
	Hour     float64
	Code     string
	Sentence string
}

// OutageResult is how long the tank endures.
type OutageResult struct {
	SaturationMgL float64
	Paths         []Path
	Oxygen        []OxygenCase // best, expected, worst
	BatteryH      float64      // how long the battery feeds its set; 0 without one
	Moments       []Moment
	Actions       []Action // in the order of time
	FirstHarm     string   // what does harm first within the outage, worst case: oxygen, cold or heat; empty: nothing
	FirstHarmH    float64
	SafeH         float64 // FirstHarmH, or the whole outage when nothing does harm
}

// Endure returns how temperature and oxygen go without mains, and what to do in which hour.
//
//	display and sump part ways as the return stops: C dT/dt = -U (T - Teq), each on its own
//	dO/dt = -D + k (A/V) (Osat - O), k stirred while the battery lasts, then still
//	battery: hours = label · usable · efficiency / (load · share of the time)
//
//	D  demand  [mg/(L h)];  k  exchange velocity  [cm/h];  V/A  mean depth of the display
//	Osat  saturation at the water's temperature and the air pressure of the usual room  [mg/L]
//
// Cooling takes the high evaporation, warming the low. Oxygen has three views: demand halved
// and doubled, exchange times and over 1.5. None begins below the comfortable oxygen.
// Accuracy: temperature as heat.LeftAlone; oxygen a factor of two in time, no better.
// Errors: *calc.RangeError; *calc.ConflictError when limits are out of order or the battery feeds nothing.
// Source: [Derived], [GarciaGordon1992], [BensonKrause1984], [ColeCaraco1998], [CommonPractice].
func Endure(in OutageInput) (OutageResult, error) {
	var r OutageResult
	if err := in.check(); err != nil {
		return r, err
	}
	o2, err := seawater.OxygenSaturation(
		in.System.Salinity, quantity.Celsius(in.WaterC), in.Rooms[0].Air.Air.Pressure,
	)
	if err != nil {
		return r, err
	}
	r.SaturationMgL = o2
	if b := in.Battery; b != nil {
		r.BatteryH = b.CapacityWh * b.UsableShare * b.Efficiency / (b.LoadW * b.OnPercent / quantity.PerCent)
	}
	for _, room := range in.Rooms {
		for _, v := range in.vessels() {
			p, err := in.path(room, v)
			if err != nil {
				return r, err
			}
			r.Paths = append(r.Paths, p)
		}
	}
	curves := in.curves(r.SaturationMgL, r.BatteryH)
	for _, c := range curves {
		r.Oxygen = append(r.Oxygen, c.result(in))
	}
	if err := in.moments(&r, curves); err != nil {
		return r, err
	}
	in.harm(&r)
	r.SafeH = in.DurationH
	if r.FirstHarm != "" {
		r.SafeH = r.FirstHarmH
	}
	in.actions(&r)
	return r, nil
}

type vessel struct {
	name   string
	system heat.System
}

// vessels returns display and sump as systems of their own, without gains.
func (in OutageInput) vessels() []vessel {
	alone := func(v heat.Vessel, litres float64) heat.System {
		return heat.System{
			Display: v, VolumeL: litres, Salinity: in.System.Salinity, Calibration: in.System.Calibration,
			Correction: in.System.Correction,
		}
	}
	out := []vessel{{"display", alone(in.System.Display, in.DisplayL)}}
	if in.System.Sump != nil {
		out = append(out, vessel{"sump", alone(*in.System.Sump, in.SumpL)})
	}
	return out
}

func (in OutageInput) path(room Room, v vessel) (Path, error) {
	p := Path{Room: room.Name, Vessel: v.name}
	air := float64(room.Air.Air.Temp)
	towards, e := in.HarmLowC, heat.EvaporationHigh
	a, err := in.approach(v.system, room, e, towards)
	if err != nil {
		return p, err
	}
	if a.EquilibriumC > in.WaterC { // it warms
		towards, e = in.HarmHighC, heat.EvaporationLow
		if a, err = in.approach(v.system, room, e, towards); err != nil {
			return p, err
		}
	}
	p.TauH, p.EquilibriumC = a.TauH, a.EquilibriumC
	if p.EndC, err = a.At(in.DurationH); err != nil {
		return p, err
	}
	for _, x := range []struct {
		into **float64
		at   float64
		cold bool
	}{
		{&p.LowComfortH, in.ComfortLowC, true}, {&p.LowHarmH, in.HarmLowC, true},
		{&p.HighComfortH, in.ComfortHighC, false}, {&p.HighHarmH, in.HarmHighC, false},
	} {
		if h, ok, err := a.TimeTo(x.at); err != nil {
			return p, err
		} else if ok {
			*x.into = &h
		} else if (x.cold && in.WaterC < x.at) || (!x.cold && in.WaterC > x.at) {
			h := 0.0 // it begins beyond
			*x.into = &h
		}
	}
	if v.system.Display.Lid == evaporation.LidClosed || air >= in.WaterC {
		return p, nil
	}
	covered := v.system
	covered.Display.Lid = evaporation.LidClosed
	c, err := in.approach(covered, room, heat.EvaporationHigh, in.HarmLowC)
	if err != nil {
		return p, err
	}
	if h, ok, err := c.TimeTo(in.HarmLowC); err == nil && ok {
		p.CoveredLowH = &h
	}
	return p, nil
}

func (in OutageInput) approach(s heat.System, room Room, e heat.Estimate, towards float64) (heat.Approach, error) {
	return heat.LeftAlone(heat.LeftAloneInput{
		System: s, Room: room.Air, Gains: heat.GainsNone, Evaporate: e, FromC: in.WaterC, TowardsC: towards,
	})
}

// hours at which the state is told.
var hours = []float64{0, 1, 2, 4, 6, 8, 12, 18, 24, 36, 48, 72, 96, 144, 192, 240}

func (in OutageInput) moments(r *OutageResult, curves []oxygenCurve) error {
	var approach []heat.Approach
	for _, p := range r.Paths {
		if p.Room == in.Rooms[0].Name {
			approach = append(approach, heat.Approach{FromC: in.WaterC, EquilibriumC: p.EquilibriumC, TauH: p.TauH})
		}
	}
	list := append([]float64(nil), hours...)
	list = append(list, in.DurationH)
	sort.Float64s(list)
	for i, h := range list {
		if h > in.DurationH || i > 0 && h == list[i-1] {
			continue
		}
		m := Moment{Hour: h, OxygenMgL: curves[1].at(h), WorstOxygenMgL: curves[2].at(h), BatteryOn: h < r.BatteryH}
		var err error
		if m.DisplayC, err = approach[0].At(h); err != nil {
			return err
		}
		m.SumpC = m.DisplayC
		if len(approach) > 1 {
			if m.SumpC, err = approach[1].At(h); err != nil {
				return err
			}
		}
		r.Moments = append(r.Moments, m)
	}
	return nil
}

func (in OutageInput) harm(r *OutageResult) {
	consider := func(h *float64, what string) {
		if h != nil && *h <= in.DurationH && (r.FirstHarm == "" || *h < r.FirstHarmH) {
			r.FirstHarm, r.FirstHarmH = what, *h
		}
	}
	consider(r.Oxygen[2].HarmH, "oxygen")
	for _, p := range r.Paths {
		if p.Vessel == "display" {
			consider(p.LowHarmH, "cold")
			consider(p.HighHarmH, "heat")
		}
	}
}

func (in OutageInput) actions(r *OutageResult) {
	add := func(hour float64, code, format string, args ...any) {
		if hour <= in.DurationH {
			r.Actions = append(r.Actions, Action{Hour: hour, Code: code, Sentence: fmt.Sprintf(format, args...)})
		}
	}
	earliest := func(pick func(Path) *float64) *float64 {
		var out *float64
		for _, p := range r.Paths {
			if h := pick(p); p.Vessel == "display" && h != nil && (out == nil || *h < *out) {
				out = h
			}
		}
		return out
	}
	add(
		0, "make_safe",
		"Keep hands out of the water until the mains are off at the plug; unplug heaters and whatever should not "+
			"start by itself, and feed nothing.",
	)
	if in.Battery != nil {
		add(0, "start_battery", "See that the battery feeds its set; by its figures it lasts %.1f h.", r.BatteryH)
		add(
			r.BatteryH, "battery_ends",
			"The battery is empty about now: have the next one, a generator outdoors, or a jug ready.",
		)
	} else {
		add(
			0, "stir",
			"Nothing stirs the water: scoop and pour with a jug for some minutes every half hour, or start a battery "+
				"air pump.",
		)
	}
	if h := r.Oxygen[2].ComfortH; h != nil {
		add(
			*h, "stir_more", "In the worst view the oxygen falls to %.1f mg/L about now: stir without pause.",
			in.Oxygen.ComfortMgL,
		)
	}
	if h := r.Oxygen[2].HarmH; h != nil {
		add(
			*h, "oxygen_harm",
			"In the worst view the oxygen does harm from now on: animals must be in stirred water by then.",
		)
	}
	if h := earliest(func(p Path) *float64 { return p.LowHarmH }); h != nil {
		const early = 0.25 // of the way: covering late saves little
		add(*h*early, "cover", "Cover the tank and wrap its sides, leaving a gap for air over the water.")
	}
	if h := earliest(func(p Path) *float64 { return p.LowComfortH }); h != nil {
		add(
			*h, "warm",
			"The display leaves its comfortable range in the coldest room: float closed bottles of warm, not "+
				"boiling, water in it.",
		)
	}
	if h := earliest(func(p Path) *float64 { return p.LowHarmH }); h != nil {
		add(*h, "cold_harm", "In the coldest room the cold does harm from now on.")
	}
	if h := earliest(func(p Path) *float64 { return p.HighComfortH }); h != nil {
		add(
			*h, "cool",
			"The display leaves its comfortable range in the warmest room: open the lid, float closed bottles of "+
				"cold water in it, shade the windows.",
		)
	}
	if h := earliest(func(p Path) *float64 { return p.HighHarmH }); h != nil {
		add(*h, "heat_harm", "In the warmest room the heat does harm from now on.")
	}
	add(
		in.DurationH, "restart",
		"When the mains return: look at the water lines, start the return pump, see that heaters are under water, "+
			"then plug them in.",
	)
	sort.SliceStable(r.Actions, func(a, b int) bool { return r.Actions[a].Hour < r.Actions[b].Hour })
}
