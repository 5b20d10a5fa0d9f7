package sim

import (
	"cmp"
	"math"
	"slices"

	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/quantity"
)

// The rule by which too great a load opens a circuit: sooner than a breaker to IEC 60898 must, which stands 1.13 times
// its rating for an hour and opens within an hour at 1.45 times and within a minute at 2.55 times. Cautious, no source.
const (
	farAbove       = 1.45
	opensSlowlyS   = 3600.0
	opensQuicklyS  = 60.0
	loadToleranceW = 1e-6
)

// load is what hangs on it and runs, W; a lamp counts in full while it gives any light.
func (x *rated) load(r *run) float64 {
	sum := 0.0
	for _, i := range x.devices {
		if r.on[i] && (r.s.Devices[i].Kind != Light || r.gives(i)) {
			sum += r.s.Devices[i].ElectricW
		}
	}
	return sum
}

func (x *rated) opensAfter(loadW float64) float64 {
	if loadW > farAbove*x.ratingW {
		return opensQuicklyS
	}
	return opensSlowlyS
}

// connect finds when circuits are live as far as that is known from the start.
func (r *run) connect() {
	if len(r.w.rated) > 0 || r.w.mayBreak {
		r.course.opened = make([]float64, len(r.s.Circuits))
		r.overSince = make([]float64, len(r.w.rated))
		for i := range r.course.opened {
			r.course.opened[i] = Never
		}
		for k := range r.overSince {
			r.overSince[k] = Never
		}
	}
	r.supply = r.f.supplies(r.s, r.course.opened)
}

// overload opens circuits whose load has been too great for long enough, and those of heaters that broke; changed when
// one did.
func (r *run) overload() (changed bool) {
	for k := range r.w.rated {
		x := &r.w.rated[k]
		load := x.load(r)
		switch {
		case x.atOnceW > 0 && r.starting != nil && r.course.opened[x.circuit] == Never &&
			x.startLoad(r) > x.atOnceW+loadToleranceW:
			r.course.opened[x.circuit], changed = r.t, true
		case load <= x.ratingW+loadToleranceW:
			r.overSince[k] = Never
		case r.overSince[k] == Never:
			r.overSince[k] = r.t
		case r.t-r.overSince[k] >= x.opensAfter(load)-timeTolerance && r.course.opened[x.circuit] == Never:
			r.course.opened[x.circuit], changed = r.t, true
		}
	}
	if changed = changed || r.broke; changed {
		r.supply, r.broke = r.f.supplies(r.s, r.course.opened), false
	}
	return changed
}

// supplies returns when each circuit is live; nil: always.
//
//	opened  when each opened for too great a load, or Never; nil: none did
func (f *faultState) supplies(s *System, opened []float64) []timeline {
	cut := func(at float64) bool { return at != Never }
	if !f.mainsLost && !slices.Contains(f.circuitLost, true) && !slices.ContainsFunc(opened, cut) {
		return nil
	}
	mains := always(true)
	if f.mainsLost {
		mains = timeline{first: false, turns: []float64{s.OutageS}}
	}
	out := make([]timeline, len(s.Circuits))
	for i := range s.Circuits {
		c := &s.Circuits[i]
		above := mains
		if c.Feeder > 0 {
			above = out[c.Feeder-1]
		}
		if f.circuitLost[i] {
			out[i] = always(false)
			continue
		}
		out[i] = above.later(c.BackS).carried(f.carriers(s, i))
		if opened != nil && cut(opened[i]) {
			out[i] = out[i].and(timeline{first: true, turns: []float64{opened[i]}})
		}
	}
	return out
}

// carriers returns from when to when after its supply has gone a circuit is carried, s, in the order in which they
// begin.
func (f *faultState) carriers(s *System, circuit int) [][2]float64 {
	var list [][2]float64
	if b := s.Circuits[circuit].BackupS; b > 0 {
		list = append(list, [2]float64{0, b})
	}
	for k, x := range s.Sources {
		if !f.sourceDead[k] && slices.Contains(x.Circuits, circuit) && x.ToS > x.FromS {
			list = append(list, [2]float64{x.FromS, x.ToS})
		}
	}
	slices.SortFunc(list, func(a, b [2]float64) int { return cmp.Compare(a[0], b[0]) })
	return list
}

// later returns it with each coming back put off.
func (t timeline) later(seconds float64) timeline {
	if seconds == 0 || len(t.turns) == 0 {
		return t
	}
	out, yes := always(t.first), t.first
	for i, at := range t.turns {
		yes = !yes
		if !yes {
			out.set(false, at)
			continue
		}
		if back := at + seconds; i+1 == len(t.turns) || back < t.turns[i+1] {
			out.set(true, back)
		}
	}
	return out
}

// carried returns it with its gaps bridged where something carries.
func (t timeline) carried(carriers [][2]float64) timeline {
	if len(carriers) == 0 || t.first && len(t.turns) == 0 {
		return t
	}
	out := timeline{first: t.first, turns: make([]float64, 0, len(t.turns)+2*len(carriers))}
	set := func(yes bool, at float64) {
		if at <= 0 {
			out.first = yes
			return
		}
		out.set(yes, at)
	}
	yes, from := t.first, 0.0
	for i := 0; i <= len(t.turns); i++ {
		until := math.Inf(1)
		if i < len(t.turns) {
			until = t.turns[i]
		}
		if yes {
			set(true, from)
		} else {
			now := from
			for _, c := range carriers {
				begins, ends := max(now, from+c[0]), min(until, from+c[1])
				if begins >= ends {
					continue
				}
				if begins > now {
					set(false, now)
				}
				set(true, begins)
				now = ends
			}
			if now < until {
				set(false, now)
			}
		}
		yes, from = !yes, until
	}
	return out
}

// carried tells whether anything carries a circuit, or what it hangs on, without mains.
func (s *System) carried(circuit int) bool {
	for k := range s.Circuits {
		if !s.hangsOn(circuit, k) {
			continue
		}
		carries := func(x Source) bool { return slices.Contains(x.Circuits, k) }
		if s.Circuits[k].BackupS > 0 || slices.ContainsFunc(s.Sources, carries) {
			return true
		}
	}
	return false
}

// carriesBelow tells whether anything carries a circuit that hangs on this one, which then notices its loss.
func (s *System) carriesBelow(circuit int) bool {
	for k := range s.Circuits {
		if k != circuit && s.hangsOn(k, circuit) && s.carried(k) {
			return true
		}
	}
	return false
}

// spread passes the loss of a circuit on to what hangs on it and has nothing to carry it, forgets sources that nothing
// will ask for, and returns the circuits that are live whatever happens.
func (f *faultState) spread(s *System) (sure []bool) {
	sure = make([]bool, len(s.Circuits))
	asked := f.mainsLost
	for i := range s.Circuits {
		c := &s.Circuits[i]
		opens := c.RatingW > 0 || s.mayBreak(i)
		asked = asked || f.circuitLost[i] || opens
		sure[i] = !f.mainsLost && !f.circuitLost[i] && !opens
		if c.Feeder > 0 {
			sure[i] = sure[i] && sure[c.Feeder-1]
			if f.circuitLost[c.Feeder-1] && len(f.carriers(s, i)) == 0 {
				f.circuitLost[i], sure[i] = true, false
			}
		}
	}
	if !asked {
		clear(f.sourceDead)
	}
	return sure
}

// power turns the supply tree into circuits, each after what it hangs on.
func (c *compiler) power() error {
	c.circ = map[string]int{}
	w := c.p.Power
	add := func(x Circuit, feeder string) {
		if feeder != "" {
			x.Feeder = c.circ[feeder] + 1
		}
		c.circ[x.ID] = len(c.s.Circuits)
		c.s.Circuits = append(c.s.Circuits, x)
	}
	rating := func(amperes *float64) float64 {
		if amperes == nil {
			return 0
		}
		return *amperes * *w.VoltageV
	}
	atOnce := func(x plan.Circuit) float64 {
		if amperes, ok := x.AtOnceA(); ok {
			return amperes * *w.VoltageV
		}
		return 0
	}
	for _, x := range w.ResidualCurrentDevices {
		add(Circuit{ID: x.ID}, "")
	}
	for _, x := range w.Circuits {
		add(Circuit{ID: x.ID, BackupS: x.BackupH * quantity.SecondsPerHour, RatingW: rating(x.BreakerA),
			BackS: backS(x.BackAfterMin), AtOnceW: atOnce(x)}, w.Feeder(x.ID))
	}
	for left := w.Strips; len(left) > 0; {
		var waits []plan.Strip // for one that hangs on a strip still to come
		for _, x := range left {
			if _, known := c.circ[x.Supply]; !known {
				waits = append(waits, x)
				continue
			}
			add(Circuit{ID: x.ID, RatingW: rating(x.RatingA),
				BackS: backS(x.BackAfterMin)}, x.Supply)
		}
		left = waits
	}
	for _, x := range w.Backups {
		source := Source{ID: x.ID, FromS: x.DelayMin * quantity.SecondsPerMinute}
		if x.Starts != plan.ByHand { // nobody is there
			source.ToS = source.FromS + *x.Hours*quantity.SecondsPerHour
		}
		for _, id := range x.Supplies {
			source.Circuits = append(source.Circuits, c.circ[id])
		}
		c.s.Sources = append(c.s.Sources, source)
	}
	c.ways()
	return nil
}
