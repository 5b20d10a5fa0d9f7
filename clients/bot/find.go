package bot

import (
	"slices"
	"strings"
)

// wordsOf joins the words, so that names of two words are found; numbers are a "#".
func wordsOf(pieces []piece) string {
	var out strings.Builder
	for _, p := range pieces {
		switch {
		case p.word != "":
			out.WriteString(" " + p.word)
		case p.group != nil:
			out.WriteString(" #")
		}
	}
	return out.String() + " "
}

func (q *Question) findTopic(pieces []piece) {
	words := wordsOf(pieces)
	first := len(words)
	for _, t := range topics {
		for _, w := range t.Words {
			at := strings.Index(words, " "+w+" ")
			if at < 0 {
				continue
			}
			if !slices.Contains(q.Several, t) {
				q.Several = append(q.Several, t)
			}
			if at < first {
				q.Topic, first = t, at
			}
		}
	}
	switch {
	case first == 0 || len(q.Several) == 1: // named at the very beginning, or the only one
		q.Several = nil
	case len(q.Several) > 1:
		q.Several, q.Topic = strongTopics(q.Several, hasVolume(pieces))
	}
	if q.Topic == nil && len(q.Several) == 0 {
		q.Topic = topicOfReading(pieces)
		q.Nearest = nearest(words)
	}
}

// strongTopics drops topics whose words are also said of other questions: salinity and salt.
// Of these two a volume makes it a mix.
func strongTopics(several []*Topic, volume bool) ([]*Topic, *Topic) {
	var strong []*Topic
	for _, t := range several {
		if t.Operation != "postSalinityConversion" && t.Operation != "postSaltMix" {
			strong = append(strong, t)
		}
	}
	if len(strong) == 0 {
		if volume {
			return nil, topicOf("postSaltMix")
		}
		return nil, topicOf("postSalinityConversion")
	}
	if len(strong) == 1 {
		return nil, strong[0]
	}
	return strong, nil
}

// topicOfReading is the conversion where all that was said is one reading, such as 53 mS/cm at 25 C.
func topicOfReading(pieces []piece) *Topic {
	readings := 0
	for _, p := range pieces {
		for _, one := range p.group {
			if one.Unit == nil || scales[one.Unit.Dimension] == "" && one.Unit.Dimension != Temperature {
				return nil
			}
			if scales[one.Unit.Dimension] != "" {
				readings++
			}
		}
	}
	if readings != 1 {
		return nil
	}
	return topicOf("postSalinityConversion")
}

func hasVolume(pieces []piece) bool {
	return slices.ContainsFunc(pieces, func(p piece) bool {
		return slices.ContainsFunc(
			p.group, func(q Quantity) bool { return q.Unit != nil && q.Unit.Dimension == Volume },
		)
	})
}

func topicOf(operation string) *Topic {
	for _, t := range topics {
		if t.Operation == operation {
			return t
		}
	}
	return nil
}

// nearest is the topic with a word at most two letters away from one of the first words.
func nearest(words string) *Topic {
	var best *Topic
	least := 3
	for _, word := range firstOf(strings.Fields(words), 8) {
		for _, t := range topics {
			for _, w := range t.Words {
				if d := distance(word, w); len(w) >= 5 && d < least {
					best, least = t, d
				}
			}
		}
	}
	return best
}

func firstOf(list []string, n int) []string { return list[:min(n, len(list))] }

// distance is the number of letters to insert, remove or change; words longer than 20 letters are far from all.
func distance(a, b string) int {
	if len(a) > 20 {
		return len(a)
	}
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := range len(a) {
		diagonal := row[0]
		row[0] = i + 1
		for j := range len(b) {
			change := diagonal
			if a[i] != b[j] {
				change++
			}
			diagonal = row[j+1]
			row[j+1] = min(change, row[j+1]+1, row[j]+1)
		}
	}
	return row[len(b)]
}
