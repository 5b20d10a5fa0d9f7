package bot

import (
	"slices"
	"strings"

	"saltwright/clients/reading"
)

// wordsOf joins the words, so that names of two words can be found, with "#" for each number.
func wordsOf(pieces []piece) string {
	var out strings.Builder
	for _, p := range pieces {
		switch {
		case p.Word != "":
			out.WriteString(" " + p.Word)
		case p.Group != nil:
			out.WriteString(" #")
		}
	}
	return out.String() + " "
}

func (q *Question) findTopic(pieces []piece) {
	words := wordsOf(pieces)
	change := changesSalinity(words, pieces)
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
	if change {
		q.Topic, q.Several = topicOf(changeOperation), others(q.Several)
		if len(q.Several) > 0 {
			q.Several, q.Topic = append(q.Several, q.Topic), nil
		}
		return
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

// changesSalinity reports whether a question moves a salinity: it says so, or goes from one to another.
func changesSalinity(words string, pieces []piece) bool {
	salinity := slices.ContainsFunc([]string{"salinity", "salt", "salty", "sg"}, func(w string) bool {
		return strings.Contains(words, " "+w+" ")
	})
	for i, p := range pieces {
		for _, one := range p.Group {
			salinity = salinity || one.Unit != nil && scales[one.Unit.Dimension] != ""
		}
		if p.Range && i > 0 && pieces[i-1].Word == "from" && p.Group[0].Unit != nil &&
			scales[p.Group[0].Unit.Dimension] != "" {
			return true
		}
	}
	return salinity && slices.ContainsFunc(changes, func(w string) bool { return strings.Contains(words, " "+w+" ") })
}

// others drops the topics whose words are common in questions about a change.
func others(several []*Topic) []*Topic {
	return slices.DeleteFunc(several, func(t *Topic) bool {
		return t.Operation == "postSalinityConversion" || t.Operation == "postSaltMix"
	})
}

// strongTopics drops the topics whose words are common in other questions, which are salinity and salt. When only
// these two are left, a volume decides for the salt mix.
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

// topicOfReading returns the conversion when the text is one reading and nothing else, such as 53 mS/cm at 25 C.
func topicOfReading(pieces []piece) *Topic {
	readings := 0
	for _, p := range pieces {
		for _, one := range p.Group {
			if one.Unit == nil || scales[one.Unit.Dimension] == "" && one.Unit.Dimension != reading.Temperature {
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
			p.Group, func(q reading.Quantity) bool { return q.Unit != nil && q.Unit.Dimension == reading.Volume },
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

// nearest returns the topic with a word that differs by at most two letters from one of the first words.
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

// distance returns how many letters to insert, remove or change; a word of more than 20 letters is far from any other.
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
