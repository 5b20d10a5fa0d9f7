package bot

import "saltwright/clients/reading"

// levels are what a dose may raise: the member that holds the level now, the contract's unit of it, the largest number
// that is a rise and no level, and the level from which such a rise is reckoned, on which the dose hardly depends. The
// last two are common practice, no source.
var levels = map[string]struct {
	now, unit    string
	rise, assume float64
}{
	"alkalinity": {"alkalinity", "dKH", 4, 7},
	"calcium":    {"calcium_mg_l", "mg/L", 150, 380},
	"magnesium":  {"magnesium_mg_l", "mg/L", 400, 1200},
}

const (
	raiseMember  = "raise"
	targetMember = "target"
)

// fillDose takes the level now and the one to reach, whose unit depends on what is raised. A number without a unit has
// that unit; of two that nothing tells apart, the first is the level now.
func (q *Question) fillDose(used map[int]bool) {
	level, ok := levels[q.Words[raiseMember]]
	if q.Topic.member(targetMember) == nil || !ok {
		return
	}
	type found struct {
		Stated
		at     int
		wanted float64
	}
	var all []found
	for _, n := range q.heard.numbers {
		one := n.Group[0]
		fits := one.Unit == nil || one.Unit.Dimension == reading.DimensionOf(level.unit)
		if used[n.token] || !fits || len(n.Group) > 2 || len(n.Group) == 2 && !n.Range {
			continue
		}
		wanted := q.heard.role(n.token, []string{"to"}) - q.heard.role(n.token, []string{"now", raiseMember})
		for _, g := range n.Group {
			if g.Unit == nil {
				g.Unit = reading.UnitOf(level.unit)
			}
			all = append(all, found{Stated{g, n.Text}, n.token, wanted})
		}
	}
	switch {
	case len(all) == 1 && all[0].Value <= level.rise && q.heard.concepts["raise"]:
		now, target := all[0].Stated, all[0].Stated
		now.Value, target.Value = level.assume, level.assume+all[0].Value
		q.Derived[level.now], q.Derived[targetMember] = now, target
	case len(all) == 1 && all[0].wanted > 0:
		q.Values[targetMember] = all[0].Stated
	case len(all) == 1:
		q.Values[level.now] = all[0].Stated
	case len(all) == 2 && all[0].wanted <= all[1].wanted:
		q.Values[level.now], q.Values[targetMember] = all[0].Stated, all[1].Stated
	case len(all) == 2:
		q.Values[level.now], q.Values[targetMember] = all[1].Stated, all[0].Stated
	default:
		all = nil
	}
	for _, f := range all {
		used[f.at] = true
	}
	if _, derived := q.Derived[level.now]; !derived && !q.anyStated([]string{level.now}) {
		q.Missing = append(q.Missing, level.now)
	}
}
