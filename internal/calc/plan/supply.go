package plan

import (
	"fmt"
	"math"
	"slices"

	"saltwright/internal/calc/text"
)

// ResidualCurrentDevice opens all circuits behind it when current leaks from one of them.
type ResidualCurrentDevice struct{ ID string }

// Strip is an outlet strip.
type Strip struct {
	ID           string
	Supply       string   // a circuit or another strip
	RatingA      *float64 // nil: whatever hangs on it is taken not to be too much
	BackAfterMin *float64 // how long after its supply it comes back; nil: at once
}

// BackupKind is what carries a supply while mains are out.
type BackupKind string

// The kinds of backup.
const (
	Battery   BackupKind = "battery"
	Generator BackupKind = "generator"
)

// BackupStart is how a backup comes in.
type BackupStart string

// How a backup may come in.
const (
	ByItself BackupStart = "by_itself"
	ByHand   BackupStart = "by_hand" // never, while nobody is there
)

// Backup carries named supplies while what they hang on is dead.
type Backup struct {
	ID         string
	Kind       BackupKind
	Supplies   []string // strips or circuits
	Hours      *float64 // a battery's over the whole load, a generator's fuel
	CapacityWh *float64 // a battery's, in place of the hours
	Starts     BackupStart
	DelayMin   float64
}

const (
	usualVoltageV = 230.0 // common practice, no source
	longestH      = 720.0 // of a battery without a load to speak of
)

// clone returns a supply with lists of its own.
func (w Power) clone() Power {
	w.Circuits, w.ResidualCurrentDevices = slices.Clone(w.Circuits), slices.Clone(w.ResidualCurrentDevices)
	w.Strips, w.Backups = slices.Clone(w.Strips), slices.Clone(w.Backups)
	return w
}

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

// LoadW returns what hangs on a supply of a completed plan, all of it running.
//
// Accuracy: labels state powers to some 10 %. Errors: none. Source: [Derived].
func (p Plan) LoadW(supply string) float64 {
	sum := 0.0
	add := func(on *string, powerW float64) {
		if on != nil && slices.Contains(p.Power.Above(*on), supply) {
			sum += powerW
		}
	}
	for _, e := range p.Heaters {
		add(e.Circuit, e.PowerW)
	}
	for _, e := range p.Chillers {
		add(e.Circuit, e.PowerW)
	}
	for _, e := range p.Fans {
		add(e.Circuit, e.PowerW)
	}
	for _, e := range p.Pumps {
		add(e.Circuit, e.PowerW)
	}
	for _, e := range p.TopOffPumps {
		add(e.Circuit, e.PowerW)
	}
	for _, e := range p.Lights {
		add(e.Circuit, e.PowerW)
	}
	for _, e := range p.RoomDevices {
		add(e.Circuit, e.PowerW)
	}
	return sum
}

// drawing is an element that draws power, with the two members that say where from.
type drawing struct {
	path            string
	circuit, supply **string
}

// drawingOf returns whatever draws power, in the order of the document.
func drawingOf(p *Plan) []drawing {
	var all []drawing
	add := func(list string, i int, circuit, supply **string) {
		all = append(all, drawing{fmt.Sprintf("%s[%d]", list, i), circuit, supply})
	}
	for i := range p.Heaters {
		add("heaters", i, &p.Heaters[i].Circuit, &p.Heaters[i].Supply)
	}
	for i := range p.Chillers {
		add("chillers", i, &p.Chillers[i].Circuit, &p.Chillers[i].Supply)
	}
	for i := range p.Fans {
		add("fans", i, &p.Fans[i].Circuit, &p.Fans[i].Supply)
	}
	for i := range p.Pumps {
		add("pumps", i, &p.Pumps[i].Circuit, &p.Pumps[i].Supply)
	}
	for i := range p.TopOffPumps {
		add("top_off_pumps", i, &p.TopOffPumps[i].Circuit, &p.TopOffPumps[i].Supply)
	}
	for i := range p.Lights {
		add("lights", i, &p.Lights[i].Circuit, &p.Lights[i].Supply)
	}
	for i := range p.Controls {
		add("controls", i, &p.Controls[i].Circuit, &p.Controls[i].Supply)
	}
	for i := range p.Alarms {
		add("alarms", i, &p.Alarms[i].Circuit, &p.Alarms[i].Supply)
	}
	for i := range p.RoomDevices {
		add("room_devices", i, &p.RoomDevices[i].Circuit, &p.RoomDevices[i].Supply)
	}
	return all
}

// supplyElements adds the supply tree, which hangs on no circuit itself, to the elements of a plan.
func supplyElements(all []element, p *Plan) []element {
	w := &p.Power
	all = listed(all, "power.residual_current_devices", w.ResidualCurrentDevices,
		func(e *ResidualCurrentDevice) (*string, **string) { return &e.ID, nil })
	all = listed(all, "power.strips", w.Strips, func(e *Strip) (*string, **string) { return &e.ID, nil })
	return listed(all, "power.backups", w.Backups, func(e *Backup) (*string, **string) { return &e.ID, nil })
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

// supply gives each element that names a supply its circuit by the old name, and states the voltage where a rating
// asks for it.
func (c *completion) supply() {
	for _, e := range drawingOf(c.p) {
		if *e.supply != nil {
			*e.circuit = *e.supply
		}
	}
	rated := false
	w := &c.p.Power
	for i := range w.Circuits {
		x := &w.Circuits[i]
		rated = rated || x.BreakerA != nil
		x.GroundFault = x.GroundFault || x.ResidualCurrentDevice != nil
	}
	for _, x := range w.Strips {
		rated = rated || x.RatingA != nil
	}
	if rated {
		assume(c, &w.VoltageV, usualVoltageV, "power.voltage_v", "V", WhyCommonPractice,
			text.Of("assumed_plan_voltage", nil))
	}
}

// backups gives each battery its hours over the whole load that hangs on its supplies.
func (c *completion) backups() {
	for i := range c.p.Power.Backups {
		x := &c.p.Power.Backups[i]
		if x.CapacityWh == nil {
			continue
		}
		load := 0.0
		for _, id := range x.Supplies {
			load += c.p.LoadW(id)
		}
		hours := longestH
		if load > 0 {
			hours = math.Min(longestH, *x.CapacityWh/load)
		}
		assume(c, &x.Hours, hours, fmt.Sprintf("power.backups[%d].hours", i), "h", WhyDerived,
			text.Of("assumed_plan_battery_hours", text.Params{"power": load}))
		x.CapacityWh = nil // the hours say it
	}
}
