package bot

import (
	"slices"

	"saltwright/clients/reading"
)

// fillers may stand between a number and the word that names it.
var fillers = []string{
	"of", "is", "at", "to", "it", "its", "the", "a", "an", "about", "around", "be", "temp", "temperature", "temps",
	"size", "stays", "my", "our", "approx", "in",
}

// labelOf finds the word that names the number at i among the labels of candidates: the one on its left or, failing
// that, the one on its right, unless that names the next number. When left and right disagree there is no name.
func labelOf(pieces []piece, i int, candidates [][]string) (which int, word string) {
	left, leftAt := nearestLabel(pieces, i, -1, candidates)
	right, rightAt := nearestLabel(pieces, i, +1, candidates)
	if right >= 0 && namesTheNext(pieces, i, rightAt, right, candidates) {
		right = -1
	}
	if left >= 0 && right >= 0 && startsTheNext(pieces, i, rightAt, candidates) {
		right = -1
	}
	if right >= 0 && i > 0 && slices.Contains([]string{"a", "an", "the", "my", "our"}, pieces[i-1].Word) {
		left = -1 // "in a 64F room": the number stands before its noun
	}
	switch {
	case left >= 0 && (right < 0 || right == left):
		return left, pieces[leftAt].Word
	case left >= 0 || right < 0:
		return -1, ""
	}
	word = pieces[rightAt].Word
	for at := rightAt; at < len(pieces) && indexNamed(pieces[at], candidates) == right; at++ {
		pieces[at].used = true
	}
	return right, word
}

// indexNamed returns the first candidate that a word names, or -1.
func indexNamed(p piece, candidates [][]string) int {
	if p.used || p.Word == "" {
		return -1
	}
	return slices.IndexFunc(candidates, func(labels []string) bool { return slices.Contains(labels, p.Word) })
}

// nearestLabel finds the name nearest to the number at i, going by step and skipping fillers.
func nearestLabel(pieces []piece, i, step int, candidates [][]string) (which, at int) {
	for at = i + step; at >= 0 && at < len(pieces) && pieces[at].Word != ""; at += step {
		if c := indexNamed(pieces[at], candidates); c >= 0 {
			return c, at
		}
		if !slices.Contains(fillers, pieces[at].Word) && (step < 0 || pieces[at].Word != "for") {
			break
		}
	}
	return -1, -1
}

// namesTheNext reports whether the name at rightAt belongs to the next number of the same kind:
// in "room 64F keep 78F" keep does; in "64F room 78F tank" room does not.
func namesTheNext(pieces []piece, i, rightAt, right int, candidates [][]string) bool {
	others := false
	for at := rightAt; at < len(pieces) && !pieces[at].Ends && pieces[at].Word != "and"; at++ {
		if c := indexNamed(pieces[at], candidates); c >= 0 && c != right {
			others = true // the next number has a name of its own
		}
		if pieces[at].Group == nil {
			continue
		}
		if !sameKind(pieces[i], pieces[at]) {
			return false
		}
		next, _ := nearestLabel(pieces, at, +1, candidates)
		return !others && next < 0
	}
	return false
}

// startsTheNext reports whether the next number of the same kind has a name on its left,
// as the one at i has: in "summer room 86F room 77F" the second room is the next one's.
func startsTheNext(pieces []piece, i, rightAt int, candidates [][]string) bool {
	for at := rightAt; at < len(pieces) && !pieces[at].Ends; at++ {
		if pieces[at].Group != nil {
			left, _ := nearestLabel(pieces, at, -1, candidates)
			return left >= 0 && sameKind(pieces[i], pieces[at])
		}
	}
	return false
}

func sameKind(a, b piece) bool {
	dimension := func(p piece) reading.Dimension {
		if u := p.Group[len(p.Group)-1].Unit; u != nil {
			return u.Dimension
		}
		return ""
	}
	return dimension(a) == dimension(b)
}
