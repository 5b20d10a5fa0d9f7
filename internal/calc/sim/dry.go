package sim

// standsDry tells whether no water covers a device, which breaks it if it would run: its heat is then lost for good.
func (r *run) standsDry(i int, wouldRun bool) bool {
	d := &r.s.Devices[i]
	if r.ranDry != nil && r.ranDry[i] != Never {
		return true
	}
	if r.comparators[d.Dry.Covered-1].state {
		return false
	}
	if wouldRun && (!d.Dry.CutsOut || r.f.cutOutDead[i]) {
		r.breakDry(i)
	}
	return true
}

// breakDry notes when a heater first ran dry, and opens what protects its circuit where its glass broke.
func (r *run) breakDry(i int) {
	if r.ranDry == nil {
		r.ranDry = make([]float64, len(r.s.Devices))
		for k := range r.ranDry {
			r.ranDry[k] = Never
		}
		r.course.ranDry = r.ranDry
	}
	r.ranDry[i] = r.t
	if k := r.s.Devices[i].Dry.Opens - 1; k >= 0 && r.course.opened[k] == Never {
		r.course.opened[k], r.broke = r.t, true
	}
}
