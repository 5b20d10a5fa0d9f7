package sim

// flowShare is the share of the return flow that clogged pumps leave: of all return pumps, running or not.
func (f *faultState) flowShare(s *System) float64 {
	share := 1.0
	for i, clogged := range f.clogged {
		if clogged {
			share -= s.Devices[i].Clogs.Return * (1 - s.Devices[i].Clogs.Left)
		}
	}
	return share
}

// moves is the share of the gas exchange of moving water that a running device gives.
//
// Transfer by a weaker stream is taken to be on the straight line between still and moving water. It grows steeply at
// first and then less, so that this is cautious.
func (r *run) moves(i int) float64 {
	d := &r.s.Devices[i]
	switch {
	case d.Kind == Skimmer && (r.f.airBlocked[i] || d.Skim.Node == Sump): // the return that brings it up gives more
		return 0
	case d.Kind == Skimmer:
		return d.Skim.Airs
	case d.Kind == CirculationPump:
		if r.f.clogged[i] {
			return d.Clogs.Left
		}
		return 1
	}
	return 0
}
