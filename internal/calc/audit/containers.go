package audit

import (
	"saltwright/internal/calc/numeric"
	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/sim"
	"saltwright/internal/calc/text"
)

// sentences are the codes of what is said of a container.
type sentences struct{ beyond, small, conflict string }

var (
	sayOfContainer = sentences{"container_beyond_harm", "container_too_small", "change_container_conflict"}
	sayOfBottle    = sentences{"container_beyond_harm_gas", "container_too_small_gas",
		"change_container_conflict_gas"}
)

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
	if over, kind := worst(0); over >= 0 { // whatever arrives
		c.LargestL, c.Limit = 0, LossNames[kind]
		return nil
	}
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

// containers reports what would do harm if it all came at once, and what does not last. Where no content does both no
// filling is an answer.
func (w *writer) containers(list []Container) {
	for _, c := range list {
		say := sayOfContainer
		if c.Gas {
			say = sayOfBottle
		}
		var change text.Text
		var less, more *Change
		switch {
		case c.LargestL == 0:
			w.add(Finding{Code: "container_beyond_harm", Severity: Weak, Elements: []string{c.Element},
				Message: text.Of("container_water_beyond", text.Params{"element": c.Element, "kind": c.Limit}),
				Change:  text.Of("change_water_first", text.Params{"element": c.Element})})
		case c.SmallestL > c.LargestL:
			change = text.Of(say.conflict, text.Params{"largest": c.LargestL, "smallest": c.SmallestL})
		case !c.Gas: // bottles come in the sizes that are sold
			less, more = c.filled("smaller_container", "remedy_smaller_container", c.mostFilledL()),
				c.filled("larger_container", "remedy_larger_container", c.leastFilledL())
		}
		if c.LargestL > 0 && !c.Harmless() {
			w.add(Finding{Code: "container_beyond_harm", Severity: Weak, Elements: []string{c.Element},
				Message: text.Of(say.beyond, text.Params{"element": c.Element, "holds": c.HoldsL,
					"largest": c.LargestL, "kind": c.Limit}), Change: change, Answer: less})
		}
		if !c.Lasts() {
			w.add(Finding{Code: "container_too_small", Severity: Weak, Elements: []string{c.Element},
				Message: text.Of(say.small, text.Params{"element": c.Element, "holds": c.HoldsL,
					"smallest": c.SmallestL}),
				Change: change, Answer: more})
		}
	}
}
