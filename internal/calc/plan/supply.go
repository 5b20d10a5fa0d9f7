package plan

import (
	"fmt"
	"slices"

	"saltwright/internal/calc/text"
)

// feeds tells whether an id is that of a circuit or a strip.
func (w Power) feeds(id string) bool {
	return slices.ContainsFunc(w.Circuits, func(x Circuit) bool { return x.ID == id }) ||
		slices.ContainsFunc(w.Strips, func(x Strip) bool { return x.ID == id })
}

// Feeder returns what a strip, a circuit or a residual-current device hangs on; empty: mains.
//
// Errors: none. Source: [Derived].
func (w Power) Feeder(id string) string {
	for _, x := range w.Strips {
		if x.ID == id {
			return x.Supply
		}
	}
	for _, x := range w.Circuits {
		if x.ID == id && x.ResidualCurrentDevice != nil {
			return *x.ResidualCurrentDevice
		}
	}
	return ""
}

// Above returns a supply and all that it hangs on, from itself up to mains.
//
// Errors: none. Source: [Derived].
func (w Power) Above(id string) []string {
	var out []string
	for id != "" && !slices.Contains(out, id) {
		out = append(out, id)
		id = w.Feeder(id)
	}
	return out
}

// Behind returns the residual-current device that a supply of a completed plan lies behind; empty: none.
//
// Errors: none. Source: [Derived].
func (w Power) Behind(supply string) string {
	above := w.Above(supply)
	for _, x := range w.ResidualCurrentDevices {
		if slices.Contains(above, x.ID) {
			return x.ID
		}
	}
	return ""
}

// Load is what an element of a completed plan draws, and from where.
type Load struct {
	ID, Supply string
	PowerW     float64
}

// Loads returns whatever draws more than a trace.
//
// Accuracy: labels state powers to some 10 %. Errors: none. Source: [Derived].
func (p Plan) Loads() []Load {
	var out []Load
	add := func(id string, on *string, powerW float64) {
		if on != nil {
			out = append(out, Load{id, *on, powerW})
		}
	}
	for _, e := range p.Heaters {
		add(e.ID, e.Circuit, e.PowerW)
	}
	for _, e := range p.Chillers {
		add(e.ID, e.Circuit, e.PowerW)
	}
	for _, e := range p.Fans {
		add(e.ID, e.Circuit, e.PowerW)
	}
	for _, e := range p.Pumps {
		add(e.ID, e.Circuit, e.PowerW)
	}
	for _, e := range p.TopOffPumps {
		add(e.ID, e.Circuit, e.PowerW)
	}
	for _, e := range p.Lights {
		add(e.ID, e.Circuit, e.PowerW)
	}
	for _, e := range p.Skimmers {
		add(e.ID, e.Circuit, e.PowerW)
	}
	for _, e := range p.DosingPumps {
		add(e.ID, e.Circuit, e.PowerW)
	}
	for _, e := range p.ChangePumps {
		add(e.ID, e.Circuit, e.PowerW)
	}
	for _, e := range p.CarbonDioxide {
		add(e.ID, e.Circuit, e.PowerW)
	}
	for _, e := range p.RoomDevices {
		add(e.ID, e.Circuit, e.PowerW)
	}
	return out
}

// LoadW returns what hangs on a supply of a completed plan, all of it running.
//
// Accuracy: labels state powers to some 10 %. Errors: none. Source: [Derived].
func (p Plan) LoadW(supply string) float64 {
	sum := 0.0
	for _, x := range p.Loads() {
		if slices.Contains(p.Power.Above(x.Supply), supply) {
			sum += x.PowerW
		}
	}
	return sum
}

// supply refuses a supply tree that cannot be built.
func (c *checker) supply() {
	w := c.p.Power
	for _, e := range drawingOf(&c.p) {
		switch {
		case *e.supply == nil:
		case !w.feeds(**e.supply):
			c.unknown(**e.supply, e.path+".supply", "supply")
		case *e.circuit != nil && **e.circuit != **e.supply:
			c.conflict(text.Of("plan_circuit_and_supply_differ", nil), e.path+".circuit", e.path+".supply")
		}
	}
	devices := map[string]bool{}
	for _, x := range w.ResidualCurrentDevices {
		devices[x.ID] = true
	}
	for i, x := range w.Circuits {
		if d := x.ResidualCurrentDevice; d != nil && !devices[*d] {
			c.unknown(*d, fmt.Sprintf("power.circuits[%d].residual_current_device", i), "residual_current_device")
		}
	}
	for i, x := range w.Strips {
		at := fmt.Sprintf("power.strips[%d].supply", i)
		if !w.feeds(x.Supply) {
			c.unknown(x.Supply, at, "supply")
			continue
		}
		if above := w.Above(x.Supply); slices.Contains(above, x.ID) {
			c.conflict(text.Of("plan_strips_in_a_circle", text.Params{"id": x.ID}), at)
		}
	}
	for i, x := range w.Backups {
		c.backup(x, fmt.Sprintf("power.backups[%d]", i))
	}
}

func (c *checker) backup(x Backup, at string) {
	for k, id := range x.Supplies {
		if !c.p.Power.feeds(id) {
			c.unknown(id, fmt.Sprintf("%s.supplies[%d]", at, k), "supply")
		}
	}
	switch {
	case x.Hours != nil && x.CapacityWh != nil, x.Hours == nil && x.CapacityWh == nil:
		c.conflict(text.Of("plan_backup_hours_or_charge", nil), at+".hours", at+".capacity_wh")
	case x.Kind == Generator && x.CapacityWh != nil:
		c.conflict(text.Of("plan_generator_has_no_charge", nil), at+".capacity_wh", at+".kind")
	case x.Kind == Battery && x.Starts == ByHand:
		c.conflict(text.Of("plan_battery_comes_in_by_itself", nil), at+".starts", at+".kind")
	}
}
