package bot

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"saltwright/clients/reading"
)

// Understand reads a text and says what the reply will do, without asking the service.
func Understand(text string) Understanding { return read(text).Understanding() }

// NamesTopic reports whether a word names a topic.
func NamesTopic(word string) bool {
	t := read(word).Topic
	return t != nil && t.Operation != "" && !strings.Contains(strings.TrimSpace(word), " ")
}

// The score from which a topic is taken for meant, and what numbers add to it. Tuned on the corpus.
const (
	leastTopic      = 3.0
	perNumber       = 0.6
	perUnusedNumber = -0.7
	perMissing      = -0.2
)

// read understands a text: every topic reads all of it, and the one that explains most is taken. It never guesses: a
// part with two possible meanings is reported as a trouble. Only the first 2000 bytes are read.
func read(text string) *Question {
	h := hear(text)
	var best *Question
	for _, t := range topics {
		cues := 0.0
		for c, weight := range t.Cues {
			if h.concepts[c] {
				cues += weight
			}
		}
		if cues < leastTopic || !t.needed(h.concepts) {
			continue
		}
		q := newQuestion(h, t)
		if t.Kind == "" {
			q.fill()
		}
		q.score += cues
		if best == nil || q.score > best.score {
			best = q
		}
	}
	if best == nil {
		best = newQuestion(h, nil)
		best.Kind = Silent
		if h.asks || len(h.numbers) > 0 {
			best.Kind = AsksBack
			best.nameUnused(nil)
		}
	}
	return best
}

func newQuestion(h *heard, t *Topic) *Question {
	q := &Question{
		Topic: t, Values: map[string]Stated{}, Words: map[string]string{}, Derived: map[string]Stated{},
		Loads: map[string]float64{}, system: systemOf(h.numbers), lexicon: h.lexicon, heard: h,
	}
	q.US = q.system == reading.US
	if t != nil {
		q.Kind = t.Kind
	}
	return q
}

// systemOf returns the system of most numbers; in a tie, the first number decides.
func systemOf(numbers []number) reading.System {
	balance, first := 0, reading.AnySystem
	for _, n := range numbers {
		for _, q := range n.Group {
			if q.Unit == nil || q.Unit.System == reading.AnySystem {
				continue
			}
			if first == reading.AnySystem {
				first = q.Unit.System
			}
			if q.Unit.System == reading.US {
				balance++
			} else {
				balance--
			}
		}
	}
	switch {
	case balance > 0:
		return reading.US
	case balance < 0:
		return reading.Metric
	}
	return first
}

// fill assigns every number to a member, and says what is missing, unclear and not used.
func (q *Question) fill() {
	used := map[int]bool{} // tokens of numbers
	q.fillBoxes(used)
	q.fillWords()
	q.fillDose(used)
	q.fillRanges(used)
	q.fillMembers(used)
	q.fillSpecial(used)
	q.fillHoursOfLight(used)
	q.checkVolume(used)
	q.shapeFromVolume(used)
	q.findMissing()
	q.score += perNumber*float64(len(used)) + perMissing*float64(len(q.Missing))
	for _, n := range q.heard.numbers {
		if !used[n.token] {
			q.score += perUnusedNumber
		}
	}
	q.nameUnused(used)
	q.Troubles = append(q.Troubles, q.heard.reading.Troubles...)
	q.Kind = Answers
	if q.Topic.Page || len(q.Missing) > 0 || len(q.Troubles) > 0 {
		q.Kind = AsksBack
	}
}

func (q *Question) fillBoxes(used map[int]bool) {
	var volumes []float64
	for _, n := range q.heard.numbers {
		if one := n.Group[0]; len(n.Group) == 1 && one.Unit != nil && one.Unit.Dimension == reading.Volume {
			volumes = append(volumes, one.InContractUnit())
		}
	}
	var claims []number
	var scores [][]float64
	for _, n := range q.heard.numbers {
		if len(n.Group) < 2 || n.Range || len(claims) == mostAtOnce {
			continue
		}
		n.Group = slices.Clone(n.Group)
		if u := boxUnit(n.Group, volumes, q.system); n.Group[0].Unit == nil && u != nil {
			for i := range n.Group {
				n.Group[i].Unit = u
			}
		}
		row := make([]float64, len(q.Topic.Boxes))
		for i, b := range q.Topic.Boxes {
			row[i] = q.heard.role(n.token, b.Roles)
			if b.Roles == nil {
				row[i] = anyScore + 3
			}
			if len(n.Group) < len(b.Members) || len(n.Group) > len(b.Members)+1 {
				row[i] = 0
			}
		}
		claims, scores = append(claims, n), append(scores, row)
	}
	for i, which := range assign(scores).members {
		n := claims[i]
		if which < 0 {
			continue
		}
		used[n.token] = true
		if slices.ContainsFunc(n.Group, func(q reading.Quantity) bool {
			return q.Unit == nil || q.Unit.Dimension != reading.Length
		}) {
			q.doubt(n.Text, "lengths_without_unit")
			continue
		}
		for k, m := range q.Topic.Boxes[which].Members {
			q.Values[m] = Stated{n.Group[k], n.Text}
		}
		if len(n.Group) > len(q.Topic.Boxes[which].Members) {
			q.Unused = append(q.Unused, n.Group[len(n.Group)-1].String())
		}
	}
}

// fillRanges takes the two ends of a change, or the coldest and the warmest room.
func (q *Question) fillRanges(used map[int]bool) {
	for _, n := range q.heard.numbers {
		if !n.Range {
			continue
		}
		for _, pair := range q.Topic.Ranges {
			if first := q.Topic.member(pair[0]); first != nil && first.takes(n.Group[0].Unit) {
				q.Values[pair[0]], q.Values[pair[1]] = Stated{n.Group[0], n.Text}, Stated{n.Group[1], n.Text}
				used[n.token] = true
			}
		}
		for _, m := range q.Topic.Members {
			if !used[n.token] && m.takes(n.Group[0].Unit) {
				used[n.token] = true
				q.doubt(n.Text, "range")
			}
		}
	}
}

// fillMembers gives each single number the member that explains all of them best.
func (q *Question) fillMembers(used map[int]bool) {
	members := slices.Clone(q.Topic.Members)
	for _, b := range q.Topic.Boxes {
		for i, edge := range b.Edges {
			members = append(members, Member{Member: b.Members[i], Unit: "mm", Roles: []string{edge}})
		}
	}
	members = slices.DeleteFunc(members, func(m Member) bool { _, done := q.Values[m.Member]; return done })
	var claims []claim
	for _, n := range q.heard.numbers {
		if len(n.Group) == 1 && !used[n.token] && len(claims) < mostAtOnce {
			claims = append(claims, claim{n.Group[0], n.token, n.Text, n.Count, n.Relation})
		}
	}
	scores := make([][]float64, len(claims))
	for i := range claims {
		for _, m := range members {
			scores[i] = append(scores[i], q.heard.scoreFor(q.Topic, m, &claims[i], q.system))
		}
	}
	for i, which := range assign(scores).members {
		if which < 0 {
			continue
		}
		c, m := claims[i], members[which]
		if c.Unit == nil && reading.DimensionOf(m.Unit) == reading.Temperature {
			c.Unit = temperatureUnit(c.Value, q.system)
		}
		q.Values[m.Member] = Stated{c.Quantity, c.said}
		used[c.at] = true
		if c.count > 1 && m.Member == "heaters.0.power_w" {
			q.Values["heaters"] = Stated{reading.Quantity{Value: float64(c.count)}, c.said}
		}
	}
	q.fillLastOfItsKind(claims, members, used)
	times := q.heard.clockTimes()
	for _, m := range q.Topic.Members {
		if m.Unit == "clock" && len(times) > 0 {
			q.Values[m.Member] = Stated{reading.Quantity{Text: times[0]}, times[0]}
			times = times[1:]
		}
	}
}

// fillLastOfItsKind gives the only number that is left of a kind to the only member that still takes it, where people
// often state that one: nothing else can be meant.
func (q *Question) fillLastOfItsKind(claims []claim, members []Member, used map[int]bool) {
	for _, m := range members {
		_, done := q.Values[m.Member]
		if !m.Required && !m.Likely || done {
			continue
		}
		left, others := 0, 0
		var last claim
		for _, c := range claims {
			if !used[c.at] && c.Unit != nil && m.takes(c.Unit) {
				left, last = left+1, c
			}
		}
		for _, o := range members {
			if _, taken := q.Values[o.Member]; !taken && !o.Special && o.Member != m.Member && left > 0 &&
				o.takes(last.Unit) {
				others++
			}
		}
		if value := last.In(m.Unit); left == 1 && others == 0 && (m.From == m.To || value >= m.From && value <= m.To) {
			q.Values[m.Member] = Stated{last.Quantity, last.said}
			used[last.at] = true
		}
	}
}

// fillWords takes the members that are words: the last part of the concept is the value.
func (q *Question) fillWords() {
	for member, concepts := range q.Topic.Words {
		for _, c := range concepts {
			if q.heard.concepts[c] {
				q.Words[member] = strings.TrimPrefix(c, member+"_")
			}
		}
		if q.Words[member] == "" && q.heard.concepts[member] {
			q.Missing = append(q.Missing, member)
		}
	}
	for _, member := range q.Topic.RequiredWords {
		if q.Words[member] == "" {
			q.Missing = append(q.Missing, member)
		}
	}
}

// fillSpecial does what a topic's table asks for beyond roles.
func (q *Question) fillSpecial(used map[int]bool) {
	for concept, values := range q.Topic.Implied {
		for member, text := range values {
			if _, done := q.Values[member]; !done && q.heard.concepts[concept] {
				q.Values[member] = Stated{reading.Read(text).Pieces[0].Group[0], text}
			}
		}
	}
	for percent, pair := range q.Topic.Share {
		part, isPart := q.Values[pair[0]]
		if _, known := q.Values[pair[1]]; isPart && !known { // of the only volume that is said
			if _, shared := q.Values[percent]; shared {
				q.Values[pair[1]] = part
				delete(q.Values, pair[0])
			}
		}
		p, ok := q.Values[percent]
		_, done := q.Values[pair[0]]
		if whole, known := q.Values[pair[1]]; ok && known && !done {
			part := whole
			part.Value *= p.Value / 100
			part.Said = p.Said + " × " + whole.Said
			q.Values[pair[0]] = part
		}
		delete(q.Values, percent)
	}
	if pair := q.Topic.Smaller; pair != nil {
		small, one := q.Values[pair[0]]
		large, both := q.Values[pair[1]]
		if one && both && small.InContractUnit() > large.InContractUnit() {
			q.Values[pair[0]], q.Values[pair[1]] = large, small
		}
	}
	if scale := q.scale(); scale != "" {
		q.Words[scaleMember] = scale
	}
	if q.Topic.member("reading") != nil {
		if _, ok := q.Values["reading"]; ok {
			q.Words[scaleMember] = q.Topic.Fixed[scaleMember]
		}
	}
	if lat, ok := q.Values["latitude_deg"]; ok && q.heard.concepts["south"] && lat.Value > 0 {
		lat.Value = -lat.Value
		q.Values["latitude_deg"] = lat
	}
	if _, counted := q.Values["heaters"]; !counted && q.heard.concepts["two_heaters"] && q.Topic.Name == "plan-audit" {
		q.Values["heaters"] = Stated{reading.Quantity{Value: 2}, "two heaters"}
	}
	for _, n := range q.heard.numbers {
		q.addLoad(n, used)
		one := n.Group[0]
		if q.Topic.Sizes && !used[n.token] && one.Unit != nil && one.Unit.Dimension == reading.Power {
			if watts := one.InContractUnit(); !slices.Contains(q.Sizes, watts) {
				q.Sizes = append(q.Sizes, watts)
			}
			used[n.token] = true
		}
	}
	slices.Sort(q.Sizes)
}

// addLoad takes a power for the load beside it, in a question about a circuit.
func (q *Question) addLoad(n number, used map[int]bool) {
	if q.Topic.Loads == nil || n.Group[0].Unit == nil || n.Group[0].Unit.Dimension != reading.Power {
		return
	}
	which, most := "other", 0.0
	for concept, load := range q.Topic.Loads {
		if s := q.heard.role(n.token, []string{concept}); s > most {
			which, most = load, s
		}
	}
	q.Loads[which] += n.Group[0].InContractUnit() * float64(max(n.Count, 1))
	used[n.token] = true
}

// checkVolume compares a volume with the lengths: when they differ, one of them is wrong, and nobody but the person
// knows which.
func (q *Question) checkVolume(used map[int]bool) {
	for _, b := range q.Topic.Boxes {
		if b.Roles != nil || len(b.Members) != 3 {
			continue
		}
		litres := 1.0
		for _, m := range b.Members {
			edge, ok := q.Values[m]
			if !ok {
				return
			}
			litres *= edge.InContractUnit() / 100
		}
		for _, n := range q.heard.numbers {
			one := n.Group[0]
			if len(n.Group) > 1 || used[n.token] || one.Unit == nil || one.Unit.Dimension != reading.Volume {
				continue
			}
			if !agrees(litres, one.InContractUnit()) {
				q.doubt(n.Text, "volume_disagrees:"+one.Unit.RoundedFrom(litres, math.Round).String())
				for _, m := range b.Members {
					delete(q.Values, m)
				}
			}
			used[n.token] = true
		}
	}
}

func (q *Question) findMissing() {
	has := func(m string) bool { _, ok := q.Values[m]; return ok }
	cold, isCold := q.Values["coldest_c"]
	warm, isWarm := q.Values["warmest_c"]
	if q.Topic.member("room_c") != nil && !has("room_c") && isCold && isWarm && cold.Unit == warm.Unit {
		middle := cold
		middle.Value = (cold.Value + warm.Value) / 2
		q.Derived["room_c"] = middle
	}
	for member, from := range q.Topic.StandIn {
		if v, ok := q.Values[from]; ok && !has(member) {
			q.Derived[member] = v
		}
	}
	need := func(m string) {
		if _, derived := q.Derived[m]; !has(m) && !derived && !slices.Contains(q.Missing, m) {
			q.Missing = append(q.Missing, m)
		}
	}
	for _, b := range q.Topic.Boxes {
		if stated := slices.ContainsFunc(b.Members, has); b.Required || stated {
			for _, m := range b.Members {
				need(m)
			}
		}
	}
	for _, m := range q.Topic.Members {
		if m.Required {
			need(m.Member)
		}
	}
	boxed := len(q.Topic.Boxes) > 0 && has(q.Topic.Boxes[0].Members[0])
	for _, m := range q.Topic.Required {
		if m != "display.volume_l" || !boxed {
			need(m)
		}
	}
	if scale := q.scale(); scale == scales[reading.Conductivity] || scale == uncorrected {
		need("sample_c")
	}
	if q.Topic.Loads != nil && len(q.Loads) == 0 {
		q.Missing = append(q.Missing, "loads")
	}
}

// notActedOn are concepts that matter to an answer where its topic does not take them.
var notActedOn = []string{"fan", "alarm", "calibrated"}

// nameUnused names every number that no member took, and what was said that the topic does not act on.
func (q *Question) nameUnused(used map[int]bool) {
	for _, n := range q.heard.numbers {
		if !used[n.token] {
			q.Unused = append(q.Unused, n.Text)
		}
	}
	if q.Topic == nil {
		return
	}
	for _, concept := range notActedOn {
		if _, cue := q.Topic.Cues[concept]; !cue && q.heard.concepts[concept] {
			for _, s := range q.heard.spans {
				if s.concept == concept {
					q.Unused = append(q.Unused, q.heard.tokens[s.from].word)
					break
				}
			}
		}
	}
}

// countText writes a number of things.
func countText(n float64) string { return strconv.FormatFloat(n, 'f', -1, 64) }
