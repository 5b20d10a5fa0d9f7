package sim

import "math"

// differs returns when an alarm's sensors disagree: temperatures by more than it allows, switches at all. One without a
// signal has no reading to compare.
func (v *witness) differs(a *Alarm) timeline {
	var well []Reader
	for _, x := range a.Differ {
		if !v.f.sensor[x.Sensor].lost {
			well = append(well, x)
		}
	}
	if a.DifferK == 0 {
		said := make([]timeline, len(well))
		for k, x := range well {
			said[k] = v.reads(x.Condition, false)
		}
		return counted(said, func(yes int) bool { return yes > 0 && yes < len(well) })
	}
	var pairs []timeline
	for i := range well {
		for j := range i {
			pairs = append(pairs, v.apart(&well[i], &well[j], a.DifferK))
		}
	}
	return counted(pairs, func(yes int) bool { return yes > 0 })
}

// apart returns when two readings of one temperature are further apart than some kelvins.
func (v *witness) apart(a, b *Reader, kelvins float64) timeline {
	f, g := v.f.sensor[a.Sensor], v.f.sensor[b.Sensor]
	switch {
	case f.fixed && g.fixed:
		return always(math.Abs(f.value-g.value) > kelvins)
	case g.fixed:
		f, g = g, f
	case !f.fixed:
		return always(math.Abs(f.offset-g.offset) > kelvins)
	}
	// The first stands still: the second, which follows the water, is too high or too low for it.
	high := Comparator{Quantity: a.Quantity, Low: f.value + kelvins - readingBandK, High: f.value + kelvins}
	low := Comparator{Quantity: a.Quantity, Low: f.value - kelvins, High: f.value - kelvins + readingBandK}
	said := func(q *Comparator, before bool) timeline {
		return v.compared(q, q.compare(v.start.value(q), before, g), true, math.Inf(1))
	}
	return counted([]timeline{said(&high, false), said(&low, true).not()}, func(yes int) bool { return yes > 0 })
}
