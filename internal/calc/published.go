package calc

// Published is the range of one quantity for which the source of a relation publishes it. Each package lists its own
// beside its formulas; what a relation accepts beyond it is an extension of ours, and an answer that leaves it says so.
type Published struct {
	Relation  string // package and function, for instance seawater.HeatCapacity
	Of        string // what it gives: a word of the catalogue's list published
	Quantity  string // what the relation takes, for instance water_c
	Unit      string
	Low, High float64
	Source    string // key of the bibliography
}

// Holds tells whether a value lies inside the published range, its ends included.
//
// Accuracy: exact. Errors: none; NaN is outside. Source: [Derived].
func (p Published) Holds(value float64) bool { return value >= p.Low && value <= p.High }
