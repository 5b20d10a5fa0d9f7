package draft

import (
	"saltwright/internal/calc"
	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/text"
)

// Input is a tank, its rooms, its people and what may be bought.
type Input struct {
	Name           string
	Livestock      plan.Livestock
	Display        plan.Vessel
	WithSump       *bool // nil: as large displays usually have one
	Room           plan.Room
	LightsW        *float64 // nil: what is usual for the display; below 0.1 W: no lights
	LookEveryH     float64
	DaysAway       float64
	ResponseH      float64 // from alarm to hands on the tank
	LongestOutageH float64
	Budget         Budget
}

// Budget is what may be bought.
type Budget struct {
	Heaters  int
	Circuits int
	Battery  bool // circuits may have a battery
	Cellular bool // alarms may travel by a path of their own
}

// Bound is the least and the most that a member may be.
type Bound struct {
	Param    string
	Min, Max float64
	Unit     string
	of       func(Input) float64
}

// Bounds are what Draft takes, none of it more than a plan takes.
var Bounds = []Bound{
	{"look_every_h", 1, 720, "h", func(in Input) float64 { return in.LookEveryH }},
	{"days_away", 0.5, 60, "d", func(in Input) float64 { return in.DaysAway }},
	{"response_h", 0.1, 168, "h", func(in Input) float64 { return in.ResponseH }},
	{"longest_outage_h", 0.1, 240, "h", func(in Input) float64 { return in.LongestOutageH }},
	{"lights_w", 0, 20000, "W", func(in Input) float64 { return *in.LightsW }},
	{"budget.heaters", 1, 4, "1", func(in Input) float64 { return float64(in.Budget.Heaters) }},
	{"budget.circuits", 1, 2, "1", func(in Input) float64 { return float64(in.Budget.Circuits) }},
}

const (
	sumpFromL   = 100.0 // a display this large usually has a sump; common practice, no source
	lightsWPerL = 0.4   // common practice, no source
	lightsMostW = 20000.0
	leastLightW = 0.1 // a plan takes no smaller lamp
	hoursPerDay = 24
)

// completed fills what was left open, and says with what.
func (in Input) completed() (Input, []plan.Assumption) {
	var assumed []plan.Assumption
	note := func(param string, value any, unit string, note text.Text) {
		assumed = append(assumed, plan.Assumption{
			Param: param, Value: value, Unit: unit, Why: plan.WhyCommonPractice, Source: "CommonPractice",
			Note: note,
		})
	}
	litres := in.Display.InnerL()
	if in.WithSump == nil {
		in.WithSump = new(litres >= sumpFromL)
		note("with_sump", *in.WithSump, "", text.Of("assumed_draft_sump", text.Params{"least": sumpFromL}))
	}
	if in.LightsW == nil {
		in.LightsW = new(min(lightsWPerL*litres, lightsMostW))
		note("lights_w", *in.LightsW, "W", text.Of("assumed_draft_lights", text.Params{"power": lightsWPerL}))
	}
	return in, assumed
}

func (in Input) check() error {
	for _, b := range Bounds {
		if err := calc.CheckRange(b.Param, b.of(in), b.Min, b.Max, b.Unit); err != nil {
			return err
		}
	}
	return nil
}
