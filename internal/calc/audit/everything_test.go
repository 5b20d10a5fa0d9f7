package audit

import (
	"context"
	"fmt"
	"math/rand/v2"
	"reflect"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/sim"
)

// everything draws a plan with parts of every kind at once: supply tree with backups and an order of coming back,
// boxes, contactors, several sensors on one task, room devices, leaks, plumbing, skimmers, heights, an eye on the
// lamp, ways and persons.
func everything(r *rand.Rand) plan.Plan {
	for {
		p := broad(r)
		if p.Sump == nil || len(p.Boxes) == 0 || len(p.Contactors) == 0 || len(p.RoomDevices) == 0 ||
			len(p.Leaks) == 0 ||
			len(p.Power.Strips) == 0 ||
			len(p.Persons) == 0 {
			continue
		}
		geared(r, &p)
		started(r, &p)
		return p
	}
}

// started draws how devices start: on circuits whose breakers open at once at few amperes, and some of them later.
func started(r *rand.Rand, p *plan.Plan) {
	for i := range p.Power.Circuits {
		if r.IntN(3) > 0 {
			p.Power.Circuits[i].BreakerA = ptr([]float64{1.5, 3, 6}[r.IntN(3)])
			p.Power.Circuits[i].BreakerType = ptr([]plan.BreakerType{plan.TypeB, plan.TypeC}[r.IntN(2)])
		}
	}
	start := func(id string) {
		x := plan.Start{Element: id, InrushTimes: 1 + 7*r.Float64(), InrushS: []float64{0.3, 40}[r.IntN(2)]}
		if r.IntN(2) == 0 {
			x.BackAfterMin = ptr([]float64{0.5, 20}[r.IntN(2)])
		}
		p.Power.Starts = append(p.Power.Starts, x)
	}
	for _, x := range p.Heaters {
		start(x.ID)
	}
	for _, x := range p.Pumps {
		start(x.ID)
	}
	for _, x := range p.Skimmers {
		start(x.ID)
	}
	for _, x := range p.Chillers {
		start(x.ID)
	}
}

// lists are the names of the lists of a plan, and how long each is.
func lists(p plan.Plan) map[string]int {
	out := map[string]int{}
	add := func(of any) {
		v := reflect.ValueOf(of)
		for i := range v.NumField() {
			if v.Field(i).Kind() == reflect.Slice {
				out[v.Type().Field(i).Name] += v.Field(i).Len()
			}
		}
	}
	add(p)
	add(p.Power)
	return out
}

// The audit of plans with parts of every kind says of each fault what the plain simulator says that follows it by
// itself in every room, with nothing shared and nothing traced.
func TestPlansOfEverythingEndAsRunsInFull(t *testing.T) {
	draw := rand.New(rand.NewPCG(16, 27)) // fixed seed
	plans := 10
	if testing.Short() {
		plans = 2
	}
	ran, verdicts, kinds, held := 0, map[Verdict]int{}, map[string]int{}, map[string]int{}
	for n := range plans {
		p := everything(draw)
		st, err := newStudy(context.Background(), p)
		require.NoError(t, err, "plan %d", n)
		for name, length := range lists(p) {
			held[name] += length
		}
		for i, f := range st.faults {
			var reports []FaultReport
			for r := range st.rooms {
				rm := &st.rooms[r]
				injections := st.injections([]int{i}, r)
				start, err := st.startWith(context.Background(), rm, driftsOf(injections))
				require.NoError(t, err)
				course, err := sim.Run(context.Background(), rm.system, start, injections,
					st.report.HorizonH*secondsPerHour)
				require.NoError(t, err)
				require.Less(t, course.Balance.WorstRelative(), 1e-9, "plan %d, %s", n, f.ID)
				reports = append(reports, rm.judge(st.p, f, newOutcome(rm.system, course)))
				ran++
			}
			known := st.report.Faults[i]
			known.Endings = nil // of all rooms; held by TestPairsAgreeWithBruteForce
			verdicts[known.Verdict]++
			kinds[f.Kind]++
			sameButForRounding(t, worstOf(reports), known, closeness(p), fmt.Sprintf("plan %d, %s", n, f.ID))
		}
	}
	t.Logf("%d plans, %d runs, %v, kinds of faults %v", plans, ran, verdicts, kinds)
	if testing.Short() {
		return // too few plans to hold all
	}
	for _, v := range []Verdict{Held, Rescued, Harmed, Lost} {
		assert.Positive(t, verdicts[v], "%s, or the test says little", v)
	}
	for name, length := range held {
		switch name {
		case "DosingPumps", "ChangePumps", "CarbonDioxide", "ProofTests": // what is dissolved has its own
		default:
			assert.Positive(t, length, "no plan has any of %s", name)
		}
	}
}
