package bot

import (
	"math"

	"saltwright/clients/reading"
)

// usualShape is how long, wide and deep a tank is of which only the volume is said, one beside the other: common
// practice, no source. The reply says so. 90 gal have 968 + 2904 in2 of surface and walls so, and 864 + 2772 in2 in a
// tank of 48x18x21 in, so that no heat is left out.
var usualShape = [...]float64{2, 1, 1}

// otherWater are concepts beside a volume that say it is not that of the tank.
var otherWater = []string{"sump", "chamber", "reservoir", "topoff", "water_change"}

// shapeFromVolume gives a tank the lengths that fit the only volume that is said, where no length is.
func (q *Question) shapeFromVolume(used map[int]bool) {
	for _, b := range q.Topic.Boxes {
		if !b.FromVolume || q.anyStated(b.Members) || q.lengthLeft(used) {
			continue
		}
		volume, at, found := q.onlyVolume(used)
		if !found {
			return
		}
		unit := reading.UnitOf("cm")
		if q.US {
			unit = reading.UnitOf("in")
		}
		depth := math.Cbrt(volume.InContractUnit()/(usualShape[0]*usualShape[1]*usualShape[2])) * 100 // mm
		for i, m := range b.Members {
			edge := unit.RoundedFrom(depth*usualShape[i], math.Round)
			edge.Value = math.Round(edge.Value)
			q.Derived[m] = Stated{edge, volume.Text}
		}
		used[at] = true
		q.volume = &volume
	}
}

func (q *Question) anyStated(members []string) bool {
	for _, m := range members {
		if _, stated := q.Values[m]; stated {
			return true
		}
	}
	return false
}

// lengthLeft reports whether a length is said that no member took: it may be one of the tank's.
func (q *Question) lengthLeft(used map[int]bool) bool {
	for _, n := range q.heard.numbers {
		unit := n.Group[0].Unit
		if !used[n.token] && (len(n.Group) > 1 && !n.Range || unit != nil && unit.Dimension == reading.Length) {
			return true
		}
	}
	return false
}

// onlyVolume is the volume of the tank, where one is said and no more.
func (q *Question) onlyVolume(used map[int]bool) (volume reading.Quantity, at int, found bool) {
	others := map[int]bool{}
	for _, concept := range otherWater {
		if n, named := q.heard.nearestTo(concept); named {
			others[n] = true
		}
	}
	for _, n := range q.heard.numbers {
		one := n.Group[0]
		if len(n.Group) > 1 || used[n.token] || one.Unit == nil || one.Unit.Dimension != reading.Volume ||
			others[n.token] || one.InContractUnit() < 1 {
			continue
		}
		if found {
			return reading.Quantity{}, 0, false
		}
		volume, at, found = one, n.token, true
	}
	return volume, at, found
}

// nearestTo is the token of the number that a concept names best.
func (h *heard) nearestTo(concept string) (at int, found bool) {
	best := 0.0
	for _, n := range h.numbers {
		if role := h.role(n.token, []string{concept}); role > best {
			best, at, found = role, n.token, true
		}
	}
	return at, found
}
