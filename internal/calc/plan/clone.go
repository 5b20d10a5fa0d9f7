package plan

import "slices"

// Clone returns a plan with lists and a sump of its own: setting a member of the copy, or adding to its
// lists, leaves the original alone. What pointers of single members point to is shared; set the pointer.
//
// Accuracy: exact. Errors: none. Source: [Derived].
func (p Plan) Clone() Plan {
	p.Heaters, p.Chillers, p.Fans = slices.Clone(p.Heaters), slices.Clone(p.Chillers), slices.Clone(p.Fans)
	p.Pumps, p.TopOffPumps, p.Reservoirs = slices.Clone(p.Pumps), slices.Clone(p.TopOffPumps),
		slices.Clone(p.Reservoirs)
	p.Lights, p.Sensors, p.Controls = slices.Clone(p.Lights), slices.Clone(p.Sensors), slices.Clone(p.Controls)
	p.Alarms, p.ProofTests = slices.Clone(p.Alarms), slices.Clone(p.ProofTests)
	p.Contactors, p.Boxes = slices.Clone(p.Contactors), slices.Clone(p.Boxes)
	p.Routers, p.Modems = slices.Clone(p.Routers), slices.Clone(p.Modems)
	p.Sirens, p.Persons = slices.Clone(p.Sirens), slices.Clone(p.Persons)
	w := &p.Power
	w.Circuits, w.ResidualCurrentDevices = slices.Clone(w.Circuits), slices.Clone(w.ResidualCurrentDevices)
	w.Strips, w.Backups, w.Starts = slices.Clone(w.Strips), slices.Clone(w.Backups), slices.Clone(w.Starts)
	p.Overflows, p.ReturnLines = slices.Clone(p.Overflows), slices.Clone(p.ReturnLines)
	p.RoomDevices, p.Leaks, p.Skimmers = slices.Clone(p.RoomDevices), slices.Clone(p.Leaks), slices.Clone(p.Skimmers)
	p.DosingPumps, p.ChangePumps = slices.Clone(p.DosingPumps), slices.Clone(p.ChangePumps)
	p.CarbonDioxide = slices.Clone(p.CarbonDioxide)
	if p.Chemistry != nil {
		p.Chemistry = new(*p.Chemistry)
	}
	if p.Sump != nil {
		sump := *p.Sump
		p.Sump = &sump
	}
	return p
}
