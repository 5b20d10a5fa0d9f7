package remedy

import (
	"math"
	"slices"

	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/text"
)

// The values of backups; all of them common practice, no source.
const (
	generatorDelayMin = 1.0
	leastBackupH      = 1.0
)

// backups carry all circuits through an outage that kills, one battery or one generator for all of them.
func (c *candidates) backups() {
	if !c.has("airless", "chilled", "overheated") || !c.unsound["mains.lost"] && !c.unsound["mains.blinks"] {
		return
	}
	circuits := ids(c.p.Power.Circuits, func(x plan.Circuit) string { return x.ID })
	hours := math.Max(leastBackupH, c.p.Power.LongestOutageH)
	carried := func(kind plan.BackupKind, delayMin float64) func(p *plan.Plan) {
		return func(p *plan.Plan) {
			if len(p.Power.Circuits) == 0 { // the assumed one has to be named to be carried
				for _, id := range circuits {
					p.Power.Circuits = append(p.Power.Circuits, plan.Circuit{ID: id})
				}
			}
			p.Power.Backups = append(p.Power.Backups, plan.Backup{
				ID: plan.FreeID(*p, string(kind)), Kind: kind, Supplies: slices.Clone(circuits), Hours: &hours,
				Starts: plan.ByItself, DelayMin: delayMin,
			})
		}
	}
	said := text.Params{"circuits": circuits, "time": hours}
	if len(circuits) > 1 || len(c.sent.Power.Circuits) == 0 {
		c.add("battery", text.Of("remedy_battery_for_all", said), carried(plan.Battery, 0))
	}
	c.add("generator", text.Of("remedy_generator", said), carried(plan.Generator, generatorDelayMin))
}
