// Package units writes numbers of the contract in the units that people read. Its table is generated.
package units

// Unit is one unit of the contract.
type Unit struct {
	Metric string // as people write it: °C for degC; empty for a pure number
	US     string // as readers in the US write it: °F; empty where they use the metric unit

	times, over, offset float64 // a number in the US unit is metric · times / over + offset, each exact by definition
}

// ToUS converts a number to the US unit; it returns the same number where there is none.
func (u Unit) ToUS(metric float64) float64 {
	if u.US == "" {
		return metric
	}
	return metric*u.times/u.over + u.offset
}

// FromUS converts a number in the US unit to the contract's.
func (u Unit) FromUS(number float64) float64 {
	if u.US == "" {
		return number
	}
	return (number - u.offset) * u.over / u.times
}

// For returns a number of the contract as a reader in the US, or a metric one, is shown it: in that reader's unit, with
// the text of the unit.
func (u Unit) For(us bool, metric float64) (number float64, written string) {
	if !us || u.US == "" {
		return metric, u.Metric
	}
	return u.ToUS(metric), u.US
}
