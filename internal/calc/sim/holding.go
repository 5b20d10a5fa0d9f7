package sim

// Dissolved is what all water holds besides salt.
type Dissolved struct {
	Meq, CalciumMmol float64
	MagnesiumMmol    float64
	ExcessMmol       float64 // of carbon
}

func (s *System) dissolvedAtStart() Dissolved {
	c := s.Chemistry
	if c == nil {
		return Dissolved{}
	}
	volume := s.WholeL()
	return Dissolved{Meq: c.MeqL * volume, CalciumMmol: c.CalciumMmolL * volume,
		MagnesiumMmol: c.MagnesiumMmolL * volume}
}
