// Package spelling finds the name that somebody may have meant.
package spelling

import "slices"

const (
	mostEdits   = 2
	longestName = 64 // a longer one is no slip of the keys
)

// Nearest returns the known name that is at most two edits away from a given one, or "". Of several as
// near it is the first in the order of the alphabet.
// One edit inserts, removes or replaces a character or swaps neighbours (optimal string alignment).
func Nearest(name string, known []string) string {
	if len(name) > longestName {
		return ""
	}
	best, least := "", mostEdits+1
	for _, k := range slices.Sorted(slices.Values(known)) {
		if d := edits(name, k, least); d < least {
			best, least = k, d
		}
	}
	return best
}

// edits returns the number of single-character edits between two names
// (neighbouring letters swapped count as one), or limit when it is no less.
func edits(a, b string, limit int) int {
	if len(a)-len(b) >= limit || len(b)-len(a) >= limit {
		return limit
	}
	var before, last []int
	now := make([]int, len(b)+1)
	for j := range now {
		now[j] = j
	}
	for i := 1; i <= len(a); i++ {
		before, last, now = last, now, make([]int, len(b)+1)
		now[0] = i
		for j := 1; j <= len(b); j++ {
			cost := 1
			if a[i-1] == b[j-1] {
				cost = 0
			}
			now[j] = min(last[j]+1, now[j-1]+1, last[j-1]+cost)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				now[j] = min(now[j], before[j-2]+1)
			}
		}
	}
	return min(now[len(b)], limit)
}
