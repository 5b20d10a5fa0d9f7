// Package units writes numbers of the contract in the units that people read. Its table is generated.
package units

// Unit is one unit of the contract.
type Unit struct {
	Metric string // as people write it: °C for degC; empty for a pure number
	US     string // as readers in the US write it: °F; empty where they use the metric unit

	times, over, offset float64 // a number in the US unit is metric · times / over + offset, each exact by definition
}

// ToUS returns a number in the US unit; the same number where there is none.
func (u Unit) ToUS(metric float64) float64 {
	if u.US == "" {
		return metric
	}
	return metric*u.times/u.over + u.offset
}

// FromUS returns a number in the contract's unit.
func (u Unit) FromUS(number float64) float64 {
	if u.US == "" {
		return number
	}
	return (number - u.offset) * u.over / u.times
}

// For returns what a reader is told for a number in the contract's unit: the number in that reader's unit, and how the
// unit is written.
func (u Unit) For(us bool, metric float64) (number float64, written string) {
	if !us || u.US == "" {
		return metric, u.Metric
	}
	return u.ToUS(metric), u.US
}
