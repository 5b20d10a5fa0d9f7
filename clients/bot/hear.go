package bot

import (
	"strings"

	"saltwright/clients/reading"
)

// heard is a text with the concepts that it names.
type heard struct {
	reading  reading.Reading
	tokens   []token
	spans    []span
	lexicon  *lexicon
	numbers  []number
	concepts map[string]bool
	asks     bool // it ends a sentence with a question mark
}

// number is one quantity, range or box of a text.
type number struct {
	reading.Piece
	token int
}

// ownership is how much a word speaks for a language: 1 where no other has it, a half where two have.
func (l *lexicon) ownership(word string) float64 {
	if !l.words[word] {
		return 0
	}
	having := 0
	for _, one := range lexicons {
		if one.words[word] {
			having++
		}
	}
	return 1 / float64(having)
}

// hear takes a text apart and finds its language: the one most of whose words it uses. English words are understood in
// every language.
func hear(text string) *heard {
	h := &heard{reading: reading.Read(text), concepts: map[string]bool{}, asks: strings.Contains(text, "?")}
	h.tokens = tokensOf(h.reading)
	best := -1.0
	for _, l := range lexicons {
		score := 0.0
		for _, t := range h.tokens {
			if t.word != "" && l.common[t.word] {
				score++
			}
			score += 0.5 * l.ownership(t.word)
		}
		score += 0.5 * float64(len(l.spansIn(h.tokens)))
		if score > best {
			best, h.lexicon = score, l
		}
	}
	h.correct()
	h.spans = h.lexicon.spansIn(h.tokens)
	if h.lexicon != lexicons[0] {
		for _, s := range lexicons[0].spansIn(h.tokens) {
			if s.to > s.from+1 || !h.lexicon.common[h.tokens[s.from].word] { // the German ich is no disease
				h.spans = append(h.spans, s)
			}
		}
	}
	h.absorb()
	for _, s := range h.spans {
		h.concepts[s.concept] = true
	}
	for i, t := range h.tokens {
		if t.number {
			h.numbers = append(h.numbers, number{h.reading.Pieces[t.piece], i})
		}
	}
	h.gallonsByG()
	h.noteNumbers()
	return h
}

// correct replaces words that no language knows by the nearest that this one knows.
func (h *heard) correct() {
	for i, t := range h.tokens {
		known := t.word == ""
		for _, l := range lexicons {
			known = known || l.knows(t.word)
		}
		if known {
			continue
		}
		if w := h.lexicon.nearest(t.word); w != "" {
			h.tokens[i].word = w
		}
	}
}

// absorb drops the concept room beside one that says which room temperature: the summer room.
func (h *heard) absorb() {
	kept := h.spans[:0:0]
	for _, s := range h.spans {
		beside := false
		for _, o := range h.spans {
			if s.concept == "room" && (o.concept == "coldest" || o.concept == "warmest") {
				beside = beside || s.to <= o.from && h.between(s.to, o.from) == 0 ||
					o.to <= s.from && h.between(o.to, s.from) <= 3*wordBetween
			}
		}
		if !beside {
			kept = append(kept, s)
		}
	}
	h.spans = kept
}

func (h *heard) between(from, to int) float64 {
	cost := 0.0
	for _, t := range h.tokens[from:to] {
		cost += t.cost
	}
	return cost
}

// kindsOfNumbers are concepts that numbers name by their dimension.
var kindsOfNumbers = map[reading.Dimension]string{
	reading.Conductivity: "#conductivity", reading.Alkalinity: "#alkalinity", reading.Current: "#amperes",
	reading.Volume: "#volume", reading.Power: "#watts", reading.Percent: "#percent",
	reading.Temperature: "#temperature", reading.Practical: "#salinity", reading.SpecificGravity: "#salinity",
	reading.Absolute: "#salinity", reading.Concentration: "#salinity",
}

func (h *heard) noteNumbers() {
	salinities := 0
	for _, n := range h.numbers {
		h.concepts["#range"] = h.concepts["#range"] || n.Range
		if len(n.Group) > 1 && !n.Range {
			h.concepts["#box"] = true
			continue
		}
		for _, q := range n.Group {
			if q.Unit != nil && kindsOfNumbers[q.Unit.Dimension] != "" {
				h.concepts[kindsOfNumbers[q.Unit.Dimension]] = true
			}
			if q.Unit != nil && (q.Unit.Dimension == reading.Practical || q.Unit.Dimension == reading.SpecificGravity) {
				salinities++
			}
		}
	}
	h.concepts["#two_salinities"] = salinities > 1
	words := 0
	for _, t := range h.tokens {
		if t.word != "" {
			words++
		}
	}
	h.concepts["#short"] = words <= 3
	h.concepts["#clock"] = len(h.clockTimes()) > 0
}

// leastTank is the smallest number before a g that English writers mean as gallons of a tank: 65g. Beside fish it is
// their weight. Common practice, no source.
const leastTank = 5

func (h *heard) gallonsByG() {
	if h.lexicon != lexicons[0] {
		return
	}
	grams, gallons := reading.UnitOf("g"), reading.UnitOf("gal")
	for i, n := range h.numbers {
		one := n.Group[0]
		if len(n.Group) == 1 && one.Unit == grams && one.Value >= leastTank && h.role(n.token, []string{"fish"}) == 0 {
			one.Unit = gallons
			h.numbers[i].Group = []reading.Quantity{one}
		}
	}
}

// clockTimes are the times of day in a text, as the contract writes them: 21:00.
func (h *heard) clockTimes() []string {
	var out []string
	for _, p := range h.reading.Pieces {
		if clock := clockTime(p); clock != "" {
			out = append(out, clock)
		}
	}
	return out
}

// role scores how clearly one of some concepts names the number at a token: up to 12, and 0 where none is near.
func (h *heard) role(at int, roles []string) float64 {
	best := 0.0
	for _, s := range h.spans {
		for _, role := range roles {
			if s.concept != role {
				continue
			}
			score := 0.0
			if s.to <= at {
				score = 10 - h.between(s.to, at)
			} else if s.from > at {
				score = 9 - h.between(at+1, s.from)
				if at > 0 && articles[h.tokens[at-1].word] {
					score += 2.5
				}
			}
			best = max(best, score)
		}
	}
	return best
}

// articles before a number say that its noun follows: a 64F room.
var articles = map[string]bool{"a": true, "an": true, "the": true, "my": true, "our": true}
