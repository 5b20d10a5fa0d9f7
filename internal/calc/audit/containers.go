package audit

import (
	"saltwright/internal/calc/numeric"
	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/sim"
	"saltwright/internal/calc/text"
)

// Container is what stands ready to be dosed, changed or topped off: the last limit of a pump that never stops.
type Container struct {
	Element string  // id of the pump, or of the reservoir of lime water
	HoldsL  float64 // that its pump can reach; grams of a bottle of gas
	// SmallestL lasts the longest absence.
	SmallestL float64
	// LargestL may arrive in the tank at once without passing a harm limit, before and after gas exchange. Where
	// no content does any harm it is the most that was tried: as much as the tank holds.
	LargestL float64
	Limit    string // the kind of harm that more would bring; empty: none
	Gas      bool   // in grams
}

// sentences are the codes of what is said of a container.
type sentences struct{ beyond, small, change, conflict string }

var (
	sayOfContainer = sentences{"container_beyond_harm", "container_too_small", "change_container",
		"change_container_conflict"}
	sayOfBottle = sentences{"container_beyond_harm_gas", "container_too_small_gas", "change_container_gas",
		"change_container_conflict_gas"}
)

// Harmless tells whether its whole content may arrive at once.
//
// Errors: none. Source: [Derived].
func (c Container) Harmless() bool { return c.HoldsL <= c.LargestL }

// Lasts tells whether it lasts the absence.
//
// Errors: none. Source: [Derived].
func (c Container) Lasts() bool { return c.HoldsL >= c.SmallestL*(1-1e-9) }

// containersOf sizes the containers of a completed plan; none where nothing is dosed or changed.
func containersOf(p plan.Plan) ([]Container, error) {
	if p.Chemistry == nil {
		return nil, nil
	}
	s, err := sim.Compile(p, p.Room.Usual)
	if err != nil {
		return nil, err
	}
	days := *p.Attendance.LongestAbsenceH / quantity.HoursPerDay
	aDay := map[string]float64{}
	use := func(id string, d *plan.Doses, perS float64) { aDay[id] = p.RunsS(id, d) * perS }
	for _, x := range p.DosingPumps {
		use(x.ID, x.Doses, x.FlowMLMin/1000/quantity.SecondsPerMinute)
	}
	for _, x := range p.ChangePumps {
		use(x.ID, x.Doses, x.FlowLH/quantity.SecondsPerHour)
	}
	for _, x := range p.CarbonDioxide {
		use(x.ID, x.Doses, x.FlowGH/quantity.SecondsPerHour)
	}
	var out []Container
	for i, r := range s.Reservoirs {
		if !r.Container && r.Holds.Meq == 0 {
			continue
		}
		c := Container{Element: r.ID, HoldsL: r.VolumeL, SmallestL: aDay[r.ID] * days, Gas: r.Gas}
		if !r.Container {
			c.SmallestL = p.EvaporationLD() * days
		}
		if err := c.largest(s, p.Limits, i); err != nil {
			return nil, err
		}
		out = append(out, c)
	}
	return out, nil
}

// largest finds how much may arrive at once.
func (c *Container) largest(s *sim.System, l plan.Limits, reservoir int) error {
	most := s.WholeL()
	if c.Gas {
		most = max(c.HoldsL, 1)
	}
	worst := func(amount float64) (over float64, kind sim.LimitKind) { return s.AfterAtOnce(reservoir, amount) }
	over, _ := worst(most)
	c.LargestL = most
	if over > 0 {
		at, err := numeric.Root(func(x float64) float64 { over, _ := worst(x); return over }, 0, most, 1e-6*most)
		if err != nil {
			return err
		}
		c.LargestL = at
		_, kind := worst(at * (1 + 1e-3))
		c.Limit = LossNames[kind]
	}
	return nil
}

// containers reports what would do harm if it all came at once, and what does not last.
func (w *writer) containers(list []Container) {
	for _, c := range list {
		say := sayOfContainer
		if c.Gas {
			say = sayOfBottle
		}
		if !c.Harmless() {
			change := text.Of(say.change, text.Params{"element": c.Element, "largest": c.LargestL})
			if c.SmallestL > c.LargestL {
				change = text.Of(say.conflict, text.Params{"element": c.Element, "largest": c.LargestL,
					"smallest": c.SmallestL})
			}
			w.add(Finding{Code: "container_beyond_harm", Severity: Weak, Elements: []string{c.Element},
				Message: text.Of(say.beyond, text.Params{"element": c.Element, "holds": c.HoldsL,
					"largest": c.LargestL, "kind": c.Limit}), Change: change})
		}
		if !c.Lasts() {
			w.add(Finding{Code: "container_too_small", Severity: Weak, Elements: []string{c.Element},
				Message: text.Of(say.small, text.Params{"element": c.Element, "holds": c.HoldsL,
					"smallest": c.SmallestL}),
				Change: text.Of("change_container_larger", text.Params{"element": c.Element})})
		}
	}
}
