package audit

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

// Harmless tells whether its whole content may arrive at once.
//
// Errors: none. Source: [Derived].
func (c Container) Harmless() bool { return c.HoldsL <= c.LargestL }

// Lasts tells whether it lasts the absence.
//
// Errors: none. Source: [Derived].
func (c Container) Lasts() bool { return c.HoldsL >= c.SmallestL*(1-1e-9) }
