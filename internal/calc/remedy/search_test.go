package remedy

import (
	"context"
	"errors"
	"fmt"
	"math"
	"math/bits"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// cover is a world in which each change removes some of twelve faults, whatever the others do.
type cover []uint16

const coverFaults = 12

func (c cover) score(set []int) Score {
	left := uint16(1<<coverFaults - 1)
	for _, i := range set {
		left &^= c[i]
	}
	s := Score{Unsound: map[string]bool{}, Left: map[string]bool{}, Per100: float64(bits.OnesCount16(left)), Events: 1}
	for f := range coverFaults {
		if left&(1<<f) != 0 {
			s.Unsound[fmt.Sprint(f)], s.Left[fmt.Sprint(f)] = true, true
		}
	}
	s.Lost = len(s.Unsound)
	return s
}

// smallest counts by trying all sets.
func (c cover) smallest() int {
	least := mostTogether + 1
	for mask := range 1 << len(c) {
		var set []int
		for i := range c {
			if mask&(1<<i) != 0 {
				set = append(set, i)
			}
		}
		if size := len(set); size < least && len(c.score(set).Unsound) == 0 {
			least = size
		}
	}
	return least
}

// Where changes do not depend on each other the search is the minimum set cover; trying all sets is the check.
func TestSearchFindsTheSmallestSets(t *testing.T) {
	random := rand.New(rand.NewPCG(4, 2))
	sizes := map[int]int{}
	for range 800 {
		c := make(cover, 3+random.IntN(7))
		for i := range c {
			for range 1 + random.IntN(14) {
				c[i] |= 1 << random.IntN(coverFaults)
			}
		}
		calls := 0
		f, err := Search(context.Background(), len(c), c.score(nil), 1000,
			func(_ context.Context, set []int, _ func(Score) bool) (Score, error) {
				calls++
				return c.score(set), nil
			})
		require.NoError(t, err)
		require.Equal(t, calls, f.Audits)
		require.Len(t, f.Next, len(c))
		want := c.smallest()
		sizes[want]++
		if want > mostTogether {
			require.Empty(t, f.Sets)
			require.NotNil(t, f.Best)
			continue
		}
		require.NotEmpty(t, f.Sets)
		require.Nil(t, f.Best)
		for _, s := range f.Sets {
			require.Len(t, s.Changes, want)
			require.True(t, s.Sound)
			require.Empty(t, c.score(s.Changes).Lost)
		}
		for i := 1; i < len(f.Next); i++ {
			require.LessOrEqual(t, f.Next[i-1].Per100, f.Next[i].Per100)
		}
	}
	for size := 2; size <= 4; size++ {
		assert.Greater(t, sizes[size], 10, "cases of size %d", size)
	}
}

// Changes that are equally good but for the last bit keep the order of the candidates.
func TestTiesAreNotDecidedByRounding(t *testing.T) {
	losses := []float64{3.1, math.Nextafter(3.1, 0), math.Nextafter(3.1, 4), 3.1 - 1e-5, 2}
	f, err := Search(context.Background(), len(losses), Score{}, 1000,
		func(_ context.Context, set []int, _ func(Score) bool) (Score, error) {
			return Score{Per100: losses[set[0]]}, nil
		})
	require.NoError(t, err)
	var order []int
	for _, s := range f.Next {
		order = append(order, s.Changes[0])
	}
	assert.Equal(t, []int{4, 3, 0, 1, 2}, order)
}

func TestSearchKeepsItsBudgetAndReportsErrors(t *testing.T) {
	c := cover{1, 2, 4, 8, 16}
	try := func(_ context.Context, set []int, _ func(Score) bool) (Score, error) { return c.score(set), nil }
	f, err := Search(context.Background(), len(c), c.score(nil), len(c)+3, try)
	require.NoError(t, err)
	assert.True(t, f.LeftOut)
	assert.Equal(t, len(c)+3, f.Audits)
	require.NotNil(t, f.Best)
	assert.Len(t, f.Best.Changes, 2)

	f, err = Search(context.Background(), len(c), c.score(nil), 2, try)
	require.NoError(t, err)
	assert.True(t, f.LeftOut)
	assert.Len(t, f.Next, 2, "even single changes end with the budget")
	assert.Empty(t, f.Sets)

	for failAt := 1; failAt <= len(c)+2; failAt++ {
		calls := 0
		_, err := Search(context.Background(), len(c), c.score(nil), len(c)+3,
			func(_ context.Context, set []int, _ func(Score) bool) (Score, error) {
				if calls++; calls == failAt {
					return Score{}, errors.New("no")
				}
				return c.score(set), nil
			})
		assert.EqualError(t, err, "no", "call %d", failAt)
	}
}

// What a search follows of a set of changes: the part that ended badly before, and the rest only where that may pay.
func TestOnlyWhatPromisesIsFollowedWhole(t *testing.T) {
	c := cover{1, 2, 0}
	whole := map[string]bool{}
	f, err := Search(context.Background(), len(c), c.score(nil), 1000,
		func(_ context.Context, set []int, goOn func(Score) bool) (Score, error) {
			s := c.score(set)
			s.Idle = s.Per100 == coverFaults
			if s.Part = !goOn(s); !s.Part {
				whole[fmt.Sprint(set)] = true
			}
			return s, nil
		})
	require.NoError(t, err)
	assert.Len(t, f.Next, 2, "what helps nothing is not told")
	assert.Equal(t, map[string]bool{"[0]": true, "[1]": true, "[0 1]": true}, whole)
	require.NotNil(t, f.Best)
	assert.Equal(t, []int{0, 1}, f.Best.Changes)
}

// Where nothing cures, the best set takes in what the promises of fixed sizes have not reached, and drops what it does
// not need: five changes remove eleven of twelve faults, three more are of no use.
func TestTheBestSetGrowsAndDropsWhatItDoesNotNeed(t *testing.T) {
	c := cover{0b111, 0, 0b111000, 0, 0b110000000, 0, 0b11000000000, 0b1000000}
	f, err := Search(context.Background(), len(c), c.score(nil), 1000,
		func(_ context.Context, set []int, _ func(Score) bool) (Score, error) { return c.score(set), nil })
	require.NoError(t, err)
	require.NotNil(t, f.Best)
	assert.Equal(t, []int{0, 2, 4, 6, 7}, f.Best.Changes)
	assert.Equal(t, 1, f.Best.Lost)
}

// A set that holds another is told only where it leaves more time to help.
func TestASetThatHoldsAnotherIsNotNeeded(t *testing.T) {
	kept := needed([]Set{{Changes: []int{1, 4}}, {Changes: []int{2}, Thin: 1}, {Changes: []int{1, 3, 4}},
		{Changes: []int{2, 5}, Thin: 1}, {Changes: []int{4}, Thin: 2}})
	assert.Equal(t, []Set{{Changes: []int{1, 4}}, {Changes: []int{2}, Thin: 1}, {Changes: []int{4}, Thin: 2}}, kept)
}
