package plan

// Contactor is one switch with several contacts: controls drive its coil, in series where there are several, and its
// contacts stand in the supply of every device that it feeds. They weld, or stay open, for all of them.
type Contactor struct {
	ID      string
	Outputs []string
	Circuit *string // of its coil
	Supply  *string // a strip or a circuit; Circuit is its old name
}
