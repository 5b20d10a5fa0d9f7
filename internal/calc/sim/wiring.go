package sim

// wiring lists who is connected to whom, so that no event has to look through all relays.
type wiring struct {
	fromControl [][]int      // relays of each control
	ontoControl [][]int      // relays in the supply of each control
	ontoDevice  [][]int      // relays in the supply of each device
	watched     []Comparator // of the system, then two per limit
}

func newWiring(s *System) *wiring {
	w := &wiring{
		fromControl: make([][]int, len(s.Controls)), ontoControl: make([][]int, len(s.Controls)), ontoDevice: make([][]int, len(s.Devices)),
		watched: append([]Comparator(nil), s.Comparators...),
	}
	for j, r := range s.Relays {
		w.fromControl[r.Control] = append(w.fromControl[r.Control], j)
		if r.Device >= 0 {
			w.ontoDevice[r.Device] = append(w.ontoDevice[r.Device], j)
		}
		if r.Target >= 0 {
			w.ontoControl[r.Target] = append(w.ontoControl[r.Target], j)
		}
	}
	for k := range LimitKinds {
		comfort, harm := limitComparators(s.Limits[k], k)
		w.watched = append(w.watched, comfort, harm)
	}
	return w
}
