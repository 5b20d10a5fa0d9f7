package corpus

import (
	"fmt"
	"io"
	"maps"
	"slices"
	"text/tabwriter"

	"saltwright/clients/bot"
)

// Tally counts grades.
type Tally [Dangerous + 1]int

// Total is the number of questions.
func (t Tally) Total() int {
	total := 0
	for _, n := range t {
		total += n
	}
	return total
}

// Share returns the per cent of a set of grades, 0 without questions.
func (t Tally) Share(grades ...Grade) float64 {
	n := 0
	for _, g := range grades {
		n += t[g]
	}
	return 100 * float64(n) / float64(max(t.Total(), 1))
}

// Good is the per cent of right answers, useful questions and proper refusals.
func (t Tally) Good() float64 { return t.Share(Right, UsefulQuestion, ProperRefusal) }

// Wrong is the per cent of wrong and of dangerous replies.
func (t Tally) Wrong() float64 { return t.Share(Wrong, Dangerous) }

// Score is the tally of each half, by topic and by language.
type Score struct {
	Untouched, Tuned Half
	Failures         []Failure // of the tuned half only
}

// Half is the score of one half.
type Half struct {
	All        Tally
	ByTopic    map[string]Tally
	ByLanguage map[string]Tally
}

// Failure is a question with a reply that is not good.
type Failure struct {
	Question Question
	Got      bot.Understanding
	Grade    Grade
}

// ScoreOf grades all questions.
func ScoreOf(questions []Question, understand func(string) bot.Understanding) Score {
	newHalf := func() Half { return Half{ByTopic: map[string]Tally{}, ByLanguage: map[string]Tally{}} }
	s := Score{Untouched: newHalf(), Tuned: newHalf()}
	for _, q := range questions {
		u := understand(q.Text)
		grade := GradeOf(q, u)
		half := &s.Tuned
		if q.Untouched {
			half = &s.Untouched
		} else if !grade.Good() {
			s.Failures = append(s.Failures, Failure{q, u, grade})
		}
		half.add(q, grade)
	}
	return s
}

func (h *Half) add(q Question, g Grade) {
	topic := q.Topic
	if topic == "" {
		topic = string(q.Kind)
	}
	byTopic, byLanguage := h.ByTopic[topic], h.ByLanguage[q.Language]
	h.All[g]++
	byTopic[g]++
	byLanguage[g]++
	h.ByTopic[topic], h.ByLanguage[q.Language] = byTopic, byLanguage
}

// Write prints the score as a table.
func (s Score) Write(out io.Writer) error {
	w := tabwriter.NewWriter(out, 0, 0, 2, ' ', 0)
	for _, half := range []struct {
		name string
		Half
	}{{"untouched", s.Untouched}, {"tuned", s.Tuned}} {
		fmt.Fprintf(w, "%s\tquestions\tright\tuseful question\tproper refusal\tuseless\twrong\tdangerous\tgood\twrong\n",
			half.name)
		row := func(name string, t Tally) {
			fmt.Fprintf(w, "%s\t%d\t%d\t%d\t%d\t%d\t%d\t%d\t%.1f %%\t%.1f %%\n", name, t.Total(), t[Right],
				t[UsefulQuestion], t[ProperRefusal], t[Useless], t[Wrong], t[Dangerous], t.Good(), t.Wrong())
		}
		for _, by := range []map[string]Tally{half.ByTopic, half.ByLanguage} {
			for _, name := range slices.Sorted(maps.Keys(by)) {
				row(name, by[name])
			}
		}
		row("all", half.All)
		fmt.Fprintln(w)
	}
	return w.Flush()
}
