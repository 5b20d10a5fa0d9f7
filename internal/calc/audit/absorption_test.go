package audit

import (
	"math/rand/v2"
	"slices"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/reliability"
)

// The audit's minimal cut sets are those of reliability.Minimal, which is held by the fault trees of NUREG-0492: of
// random singles and pairs, added in any order and in several rooms, both keep the same.
func TestAbsorptionIsThatOfTheHandbook(t *testing.T) {
	random := rand.New(rand.NewPCG(61, 25))
	absorbed := 0
	for range 500 {
		const faults = 9
		response := 4.0
		st := &study{p: plan.Plan{Attendance: plan.Attendance{ResponseH: &response}}}
		for i := range faults {
			st.faults = append(st.faults, Fault{ID: strconv.Itoa(i)})
		}
		sets := newCutSets()
		var all [][]int
		for range 1 + random.IntN(25) {
			set := []int{random.IntN(faults)}
			if other := random.IntN(faults); random.IntN(4) > 0 && other != set[0] {
				set = append(set, other)
				slices.Sort(set)
			}
			all = append(all, set)
			sets.add([]harm{{loss: "chilled", harmH: random.Float64(), lost: true}}, set, RoomName("usual"))
		}
		lost, rescued := sets.list(st)
		require.Empty(t, rescued)
		var got [][]int
		for _, s := range lost {
			got = append(got, s.index)
		}
		want := reliability.Minimal(all)
		absorbed += len(all) - len(want)
		require.ElementsMatch(t, want, got, "%v", all)
	}
	assert.Greater(t, absorbed, 500, "sets absorbed")
}
