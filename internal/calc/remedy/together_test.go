package remedy

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// searched searches a world of changes that do not depend on each other.
func searched(t *testing.T, n int, score func(set []int) Score) Found {
	t.Helper()
	f, err := Search(context.Background(), n, score(nil), 1000,
		func(_ context.Context, set []int, _ func(Score) bool) (Score, error) { return score(set), nil })
	require.NoError(t, err)
	return f
}

// Five changes remove all twelve faults, three or two each. The sixth removes seven, some of each, so that whoever
// takes it, as the best alone, needs all six.
func TestFiveTogetherAreFoundWhereTheBestAloneMisleads(t *testing.T) {
	c := cover{0b111, 0b111000, 0b11000000, 0b1100000000, 0b110000000000, 0b010101011011}
	f := searched(t, len(c), c.score)
	require.Len(t, f.Sets, 1)
	assert.Equal(t, []int{0, 1, 2, 3, 4}, f.Sets[0].Changes)
}

// Where nothing cures no more than five are put together.
func TestNoMoreThanFiveGrowTogether(t *testing.T) {
	c := cover{1, 2, 4, 8, 16, 32, 64}
	f := searched(t, len(c), c.score)
	require.NotNil(t, f.Best)
	assert.Equal(t, []int{0, 1, 2, 3, 4}, f.Best.Changes)
}

// The best pair removes eight faults, two more changes one each, and what the first of the pair does as well: it is
// dropped.
func TestTheBestDropsWhatOthersDo(t *testing.T) {
	c := cover{0b1111, 0b11110000, 0b100000011, 0b1000001100}
	f := searched(t, len(c), c.score)
	require.NotNil(t, f.Best)
	assert.Equal(t, []int{1, 2, 3}, f.Best.Changes)
	assert.Equal(t, 2, f.Best.Lost)
}

// Each of three changes with each of three others cures: three sets are enough to choose from.
func TestThreeSetsAreEnough(t *testing.T) {
	c := cover{0b111111, 0b111111, 0b111111, 0b111111000000, 0b111111000000, 0b111111000000}
	f := searched(t, len(c), c.score)
	assert.Len(t, f.Sets, 3)
	assert.Equal(t, len(c)+3, f.Audits)
}

// Two changes leave nothing harmed, but a rescue with little time; with the third it has time, which is told first.
func TestASearchGoesOnForTime(t *testing.T) {
	score := func(set []int) Score {
		s := Score{Unsound: map[string]bool{"a": true, "b": true}, Left: map[string]bool{"a": true, "b": true,
			"c": true},
			Lost: 2, Thin: 1, Per100: 3, Events: 1}
		for _, i := range set {
			id := string(rune('a' + i))
			delete(s.Left, id)
			if s.Per100--; s.Unsound[id] {
				delete(s.Unsound, id)
				s.Lost--
			} else {
				s.Thin = 0
			}
		}
		return s
	}
	f := searched(t, 3, score)
	require.Len(t, f.Sets, 2)
	assert.Equal(t, []int{0, 1, 2}, f.Sets[0].Changes)
	assert.Equal(t, []int{0, 1}, f.Sets[1].Changes)
}

// Which sets are followed to their end: those that may still cure, or leave less than the best so far.
func TestWhatMayStillBeBetter(t *testing.T) {
	left := map[string]bool{"a": true}
	x := search{}
	assert.True(t, x.promises(Score{Unsound: left, Per100: 9}), "there is no best yet")
	x.found.Best = &Set{Per100: 5}
	assert.True(t, x.promises(Score{Unsound: left, Per100: 4}))
	assert.False(t, x.promises(Score{Unsound: left, Per100: 5}))
	assert.True(t, x.promises(Score{Per100: 9}), "it cures")
	assert.False(t, x.promises(Score{Per100: 1, Worse: true}))
}

// Of 91 changes there are 4095 pairs, of which the first 4000 are weighed: the first change with each of the others,
// the second with each that follows, and so on.
func TestSoManyPairsAreWeighed(t *testing.T) {
	var pairs [][]int
	for a := range 91 {
		for b := a + 1; b < 91; b++ {
			pairs = append(pairs, []int{a, b})
		}
	}
	// Only the two of a pair help, each against one fault.
	first := func(pair []int) []int {
		singles := make([]Score, 91)
		for i := range singles {
			singles[i].Left = map[string]bool{"x": true, "y": true}
		}
		delete(singles[pair[0]].Left, "x")
		delete(singles[pair[1]].Left, "y")
		return promising(singles, Score{Left: map[string]bool{"x": true, "y": true}}, 2)[0]
	}
	assert.Equal(t, pairs[mostPromises-1], first(pairs[mostPromises-1]))
	assert.NotEqual(t, pairs[mostPromises], first(pairs[mostPromises]))
}
