package bot

import (
	"slices"
	"strconv"
	"strings"

	"saltwright/clients/reading"
)

// Stated is what a question says about one member.
type Stated struct {
	reading.Quantity
	Said string // as written
}

// isClock tells a time of day from a number.
func (s Stated) isClock() bool { return s.Unit == nil && strings.Contains(s.Text, ":") }

// Question is what was read from a text.
type Question struct {
	Kind     Kind
	Topic    *Topic // nil when none was found
	Values   map[string]Stated
	Words    map[string]string // members that are words
	Loads    map[string]float64
	Sizes    []float64 // of heaters to choose from, in W
	Missing  []string  // members that the person must add
	Troubles []reading.Trouble
	Unused   []string // what was said and is not used
	US       bool     // the person writes US units
	Derived  map[string]Stated

	volume  *reading.Quantity // of the tank, where its lengths are derived from it
	system  reading.System
	lexicon *lexicon
	heard   *heard
	score   float64
}

// Complete reports whether the service can be asked.
func (q *Question) Complete() bool {
	return q.Kind == Answers && q.Topic != nil && q.Topic.Operation != ""
}

// Understanding is what a program wants to know of a question.
func (q *Question) Understanding() Understanding {
	u := Understanding{
		Kind: q.Kind, Values: map[string]reading.Quantity{}, Words: q.Words, Missing: q.Missing, Unused: q.Unused,
	}
	if q.Topic != nil {
		u.Topic = q.Topic.Name
	}
	for m, v := range q.Values {
		u.Values[m] = v.Quantity
	}
	return u
}

// doubt records a part of the text that is unclear, and the text that says why.
func (q *Question) doubt(part, why string) {
	q.Troubles = append(q.Troubles, reading.Trouble{Text: part, Why: why})
}

// scale returns the contract's name for the scale of the reading, which depends on its unit and the instrument; empty
// without a reading.
func (q *Question) scale() string {
	v, ok := q.Values[valueMember]
	switch {
	case !ok || v.Unit == nil:
		return ""
	case v.Unit.Dimension == reading.SpecificGravity && q.heard.concepts["hydrometer"]:
		return uncorrected
	case v.Unit.Dimension == reading.Practical && q.heard.concepts["refractometer"] && q.heard.concepts["brine"]:
		return "refractometer_brine_g_kg"
	case v.Unit.Dimension == reading.Practical && q.heard.concepts["refractometer"]:
		return "refractometer_seawater_psu"
	}
	return scales[v.Unit.Dimension]
}

// instrument names what measured the reading, where that changes its scale.
func (q *Question) instrument() string {
	switch q.scale() {
	case uncorrected:
		return "hydrometer"
	case "refractometer_seawater_psu":
		return "refractometer"
	case "refractometer_brine_g_kg":
		return "brine refractometer"
	}
	return ""
}

// members returns the members of the request by their names, with dots between levels.
func (q *Question) members() map[string]any {
	out := map[string]any{}
	for m, v := range q.Topic.Fixed {
		out[m] = v
	}
	for m, w := range q.Words {
		out[m] = w
		if n, err := strconv.Atoi(w); err == nil {
			out[m] = n
		}
	}
	for _, values := range []map[string]Stated{q.Derived, q.Values} {
		for m, v := range values {
			out[m] = q.contractValue(m, v)
		}
	}
	return out
}

func (q *Question) contractValue(member string, v Stated) any {
	if v.isClock() {
		return v.Text
	}
	unit := ""
	if m := q.Topic.member(member); m != nil && m.Unit != "level" {
		unit = m.Unit
	}
	return v.In(unit)
}

// nested makes a JSON object of members with dots, where a number between dots is a place in a list.
func nested(members map[string]any) map[string]any {
	out := map[string]any{}
	for name, v := range members {
		var into any = out
		parts := strings.Split(name, ".")
		for i, p := range parts {
			object, ok := into.(map[string]any)
			if !ok {
				break
			}
			if i == len(parts)-1 {
				object[p] = v
				break
			}
			if _, isPlace := object[p]; !isPlace {
				object[p] = map[string]any{}
			}
			into = object[p]
		}
	}
	return lists(out).(map[string]any)
}

// lists turns objects whose members are 0, 1, 2 … into lists.
func lists(v any) any {
	object, ok := v.(map[string]any)
	if !ok {
		return v
	}
	for k, one := range object {
		object[k] = lists(one)
	}
	var list []any
	for i := range len(object) {
		one, ok := object[strconv.Itoa(i)]
		if !ok {
			return object
		}
		list = append(list, one)
	}
	if len(list) == 0 {
		return object
	}
	return list
}

// ordered lists the stated members in the order of the topic.
func (q *Question) ordered() []string {
	var out []string
	add := func(m string) {
		if _, ok := q.Values[m]; ok && !slices.Contains(out, m) {
			out = append(out, m)
		}
	}
	for _, b := range q.Topic.Boxes {
		for _, m := range b.Members {
			add(m)
		}
	}
	for _, m := range q.Topic.Members {
		add(m.Member)
	}
	add("heaters")
	return out
}
