package sim

import (
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Timelines against plain counting: random ones that turn at whole seconds within twenty, asked in the middle of each
// second. What follows from each is written down anew, second by second.

const counting = 20

// randomTurns turns at some whole seconds from 1 on.
func randomTurns(r *rand.Rand) timeline {
	t := always(r.IntN(2) == 0)
	for at := 1 + r.IntN(6); at < counting; at += 1 + r.IntN(6) {
		t.turns = append(t.turns, float64(at))
	}
	return t
}

// each lists what a timeline is in the middle of each second.
func (t timeline) each() []bool {
	out := make([]bool, counting)
	for k := range out {
		n := 0
		for _, at := range t.turns {
			if at < float64(k)+0.5 {
				n++
			}
		}
		out[k] = t.first != (n%2 == 1)
	}
	return out
}

// aBitLater is a timeline a quarter of a second later, so that nothing turns together with it.
func aBitLater(t timeline) timeline {
	t.turns = slices.Clone(t.turns)
	for i := range t.turns {
		t.turns[i] += 0.25
	}
	return t
}

// assertCounted wants a timeline whose turns ascend and that is what has been counted.
func assertCounted(t *testing.T, want []bool, got timeline, says string, of ...any) {
	t.Helper()
	require.True(t, slices.IsSorted(got.turns), "%s of %v: %v", says, of, got)
	require.Equal(t, want, got.each(), "%s of %v: %v", says, of, got)
}

// beganAt is the second in which what is at second k began, 0 where it was so from the start on.
func beganAt(list []bool, k int) int {
	for k > 0 && list[k-1] == list[k] {
		k--
	}
	return k
}

func TestTimelinesAgreeWithCounting(t *testing.T) {
	r := rand.New(rand.NewPCG(27, 11)) // fixed seed
	for range 3000 {
		a, b := randomTurns(r), randomTurns(r)
		one, two := a.each(), b.each()
		both, latch, late := make([]bool, counting), make([]bool, counting), make([]bool, counting)
		long, bridged := make([]bool, counting), make([]bool, counting)
		seconds := 1 + r.IntN(5)
		gap := []float64{float64(r.IntN(3)), float64(1 + r.IntN(5)), float64(4 + r.IntN(3)), float64(6 + r.IntN(5))}
		carriers := [][2]float64{{gap[0], gap[1]}, {gap[2], gap[3]}}
		for k := range counting {
			both[k] = one[k] && two[k]
			latch[k] = two[k] && (one[k] || k > 0 && latch[k-1])
			began := beganAt(one, k)
			late[k] = one[k] && (k-began >= seconds || began == 0 && a.first)
			long[k] = one[k] && k-began >= seconds
			since := float64(k-began) + 0.5
			bridged[k] = one[k] || gap[0] <= since && since < gap[1] || gap[2] <= since && since < gap[3]
		}
		assertCounted(t, both, a.and(b), "both", a, b)
		assertCounted(t, latch, a.until(aBitLater(b)), "a latch", a, b)
		assertCounted(t, late, a.later(float64(seconds)), "later", a, seconds)
		assertCounted(t, long, a.longer(float64(seconds), counting), "long", a, seconds)
		assertCounted(t, bridged, a.carried(carriers), "carried", a, carriers)
		assertCounted(t, one, a.later(0), "not later", a)
		assertCounted(t, one, a.carried(nil), "not carried", a)
		for k := range counting {
			assert.Equal(t, one[k], a.at(float64(k)), "%v at %d", a, k)
			assert.Equal(t, one[k], a.at(float64(k)+0.5), "%v at %d and a half", a, k)
		}
		assert.Equal(t, one[counting-1], a.last())
		until := r.IntN(counting)
		cut := slices.Clone(one)
		for k := range cut {
			cut[k] = one[min(k, until)]
		}
		assertCounted(t, cut, a.upTo(float64(until)), "up to", a, until)
	}
}

func TestSpellsAgreeWithCounting(t *testing.T) {
	r := rand.New(rand.NewPCG(27, 12))
	for range 3000 {
		a := randomTurns(r)
		one := a.each()
		// The first spell that lasts longer than so many seconds, or up to the end.
		seconds, lasts := 1+r.IntN(6), Never
		for k := 0; k < counting && lasts == Never; k++ {
			began := beganAt(one, k)
			if one[k] && k-began >= seconds {
				lasts = float64(began + seconds)
			}
		}
		if last := counting - 1; lasts == Never && one[last] && beganAt(one, last)+seconds == counting {
			lasts = counting
		}
		require.InDelta(t, lasts, a.lasting(float64(seconds), counting), 0, "%v for %d s", a, seconds)
		// The first spell from one instant on, up to another.
		from := r.IntN(counting)
		end := from + r.IntN(counting-from)
		begins, ends, found := a.next(float64(from), float64(end))
		first := from
		for first < end && !one[first] {
			first++
		}
		require.Equal(t, first < end, found, "%v from %d to %d", a, from, end)
		if found {
			last := first
			for last < end && one[last] {
				last++
			}
			require.Equal(t, []float64{float64(first), float64(last)}, []float64{begins, ends}, "%v from %d", a, from)
		}
		// More than n starts within so many seconds: from the start that makes them too many until the first of them is
		// so long ago.
		n, within := 1+r.IntN(2), 3+r.IntN(8)
		var starts []int
		for k := range counting {
			if k > 0 && one[k] && !one[k-1] {
				starts = append(starts, k)
			}
		}
		often := make([]bool, counting)
		for k := range often {
			for i := n; i < len(starts); i++ {
				often[k] = often[k] || starts[i] <= k && k < starts[i-n]+within
			}
		}
		assertCounted(t, often, a.moreStarts(n, float64(within)), "often", a, n, within)
	}
}

func TestVotesAgreeWithCounting(t *testing.T) {
	r := rand.New(rand.NewPCG(27, 13))
	for range 1000 {
		list := make([]timeline, 1+r.IntN(4))
		yes := make([]int, counting)
		for i := range list {
			list[i] = randomTurns(r)
			for k, is := range list[i].each() {
				if is {
					yes[k]++
				}
			}
		}
		for share, enough := range map[Share]func(yes int) bool{
			Each:         func(yes int) bool { return yes == len(list) },
			One:          func(yes int) bool { return yes > 0 },
			MoreThanHalf: func(yes int) bool { return float64(yes) > float64(len(list))/2 },
		} {
			want := make([]bool, counting)
			for k := range want {
				want[k] = enough(yes[k])
			}
			assertCounted(t, want, counted(list, func(yes int) bool { return share.carried(yes, len(list)) }), "vote",
				share, list)
		}
	}
}

// Turns at one instant: power comes before what it feeds, so that a switch that closes as its power goes has never
// closed, and one that opens as its power comes neither.
func TestTurnsAtOneInstant(t *testing.T) {
	power := timeline{first: true, turns: []float64{5}}
	closes := timeline{turns: []float64{5}}
	assert.Empty(t, closes.and(power).turns)
	comes := timeline{turns: []float64{5}}
	opens := timeline{first: true, turns: []float64{5}}
	assert.Equal(t, []float64{5, 5}, opens.and(comes).turns, "a moment of no length")
	assert.InDelta(t, 5, opens.and(comes).lasting(0, 9), 0, "which will do where none is asked for")
	assert.Equal(t, Never, opens.and(comes).lasting(1, 9))
	assert.Equal(t, Never, always(false).lasting(0, 9))
	assert.InDelta(t, 0, always(true).lasting(0, 9), 0)
	assert.InDelta(t, 9, always(true).lasting(9, 9), 0)
	assert.Equal(t, Never, always(true).lasting(9.1, 9))
}

// A battery that begins after another has ended, named the other way about, and a generator that would begin only after
// it has stopped, which carries nothing.
func TestCarriersBeginInOrder(t *testing.T) {
	s := &System{OutageS: 100, Circuits: []Circuit{{ID: "a"}}, Sources: []Source{
		{Circuits: []int{0}, FromS: 50, ToS: 70}, {Circuits: []int{0}, FromS: 10, ToS: 30},
		{Circuits: []int{0}, FromS: 90, ToS: 90}}}
	f := newFaultState(s, []Injection{{Fault: MainsLost}})
	assert.Equal(t, [][2]float64{{10, 30}, {50, 70}}, f.carriers(s, 0))
	assert.Equal(t, timeline{turns: []float64{10, 30, 50, 70, 100}}, f.supplies(s, nil)[0])
	assert.Equal(t, timeline{turns: []float64{10, 20}}, f.supplies(s, []float64{20})[0], "it opens meanwhile")
}
