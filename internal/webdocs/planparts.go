package webdocs

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"saltwright/clients/reading"
	"saltwright/internal/catalogue"
	"saltwright/internal/contract"
	"saltwright/internal/phrase"
	"saltwright/internal/unit"
)

// partGroup is one kind of part on the bench.
type partGroup struct {
	Title, One, Add string // one of them; where a new one is written, empty where there is but one
	Parts           []partLink
	Open            bool
}

type partLink struct {
	At, Name string
	Chosen   bool
}

// partForm is the form of one part.
type partForm struct {
	At, Title   string
	New, Delete bool
	First, More []planField
	Errors      []fault
	Open        bool
}

// planField is a field of a part: a member, or a member of an object in it.
type planField struct {
	field
	Ghost  string   // what is assumed where it is left empty
	Checks []option // of a list of ids
	member *contract.Member
	tokens []string
}

// mostFields are shown before the rest is folded.
const mostFields = 5

// about is the form of what belongs to no part.
const about = "about"

// refers is the table of members that name other elements, and the lists that hold these.
var refers = map[string][]string{
	"circuit": {"power/circuits"}, "network_circuit": {"power/circuits"},
	"supply": {"power/strips", "power/circuits"}, "supplies": {"power/strips", "power/circuits"},
	"residual_current_device": {"power/residual_current_devices"},
	"sensor":                  {"sensors"}, "sensors": {"sensors"}, "reservoir": {"reservoirs"},
	"watches": slices.Concat(devices, []string{"controls", "contactors"}),
	"outputs": slices.Concat(devices, []string{"contactors", "controls"}),
	"holds":   {"controls", "alarms", "sensors"}, "element": {everything},
}

// everything stands for all lists.
const everything = "*"

// devices are the lists of what draws power.
var devices = []string{"heaters", "chillers", "fans", "pumps", "top_off_pumps", "lights", "room_devices"}

// titleOf is what one of a kind of part is called, or several.
func titleOf(v *phrase.Voice, at string, count int) string {
	code := "group_" + strings.ReplaceAll(at, "/", "_")
	if !v.Has(code) {
		return capital(v.Contract(words(at[strings.LastIndex(at, "/")+1:])))
	}
	return v.Say(code, "count", count)
}

// several is a count of more than one.
const several = 2

// planSchema is the schema of a plan.
func (s *Site) planSchema() *contract.Schema { return s.contract.Operation("postPlanCheck").Body }

// partGroups lists what the plan has and may have, in the contract's order.
func (s *Site) partGroups(v *phrase.Voice, document plan, chosen string) []partGroup {
	var out []partGroup
	single := partGroup{Title: v.Say("tank_room_people"), Open: true}
	one := func(at string) {
		single.Parts = append(single.Parts, partLink{at, titleOf(v, at, 1), chosen == at})
	}
	one(about)
	var lists func(s *contract.Schema, from plan, prefix string)
	lists = func(s *contract.Schema, from plan, prefix string) {
		for _, m := range s.Members {
			at := prefix + m.Name
			switch {
			case m.Schema.Type == "object":
				if prefix == "" {
					one(at)
				}
				inner, _ := from[m.Name].(plan)
				lists(m.Schema, inner, at+"/")
			case m.Schema.Items != nil && m.Schema.Items.Type == "object" && prefix != "limits/":
				g := partGroup{Title: titleOf(v, at, several), One: titleOf(v, at, 1), Add: at + "/+"}
				items, _ := from[m.Name].([]any)
				for i, item := range items {
					e, _ := item.(plan)
					link := partLink{At: fmt.Sprintf("%s/%d", at, i), Name: nameOf(v, e, i)}
					link.Chosen = link.At == chosen
					g.Open = g.Open || link.Chosen
					g.Parts = append(g.Parts, link)
				}
				g.Open = g.Open || chosen == g.Add
				out = append(out, g)
			}
		}
	}
	lists(s.planSchema(), document, "")
	slices.SortStableFunc(out, func(a, b partGroup) int { return bit(len(a.Parts) == 0) - bit(len(b.Parts) == 0) })
	return append([]partGroup{single}, out...)
}

func bit(b bool) int {
	if b {
		return 1
	}
	return 0
}

// nameOf names an element: by its id, else by the first text in it.
func nameOf(v *phrase.Voice, e plan, i int) string {
	for _, member := range []string{"id", "element", "name"} {
		if s, ok := e[member].(string); ok && s != "" {
			return s
		}
	}
	return v.Say("part_number", "number", i+1)
}

// partOf is where the part stands that a pointer leads into.
func partOf(pointer string) string {
	tokens := strings.Split(strings.TrimPrefix(strings.TrimPrefix(pointer, "#"), "/"), "/")
	for i, t := range tokens {
		if _, err := strconv.Atoi(t); err == nil {
			return strings.Join(tokens[:i+1], "/")
		}
	}
	return tokens[0]
}

// find returns the schema of a part, its value, and whether the plan may have such a part.
func (s *Site) find(document plan, at string) (*contract.Schema, plan, bool) {
	if at == about {
		return s.planSchema(), document, true
	}
	schema, value := s.planSchema(), any(document)
	for token := range strings.SplitSeq(at, "/") {
		if schema.Items != nil {
			items, _ := value.([]any)
			i, err := strconv.Atoi(token)
			switch {
			case token == "+":
				schema, value = schema.Items, plan{}
				continue
			case err != nil || i < 0 || i >= len(items):
				return nil, nil, false
			}
			schema, value = schema.Items, items[i]
			continue
		}
		m := schema.Member(token)
		if m == nil {
			return nil, nil, false
		}
		inner, _ := value.(plan)
		schema, value = m.Schema, inner[token]
	}
	if schema.Type != "object" {
		return nil, nil, false
	}
	out, _ := value.(plan)
	return schema, out, true
}

// idAt is the id of a part.
func idAt(document plan, at string) string {
	value := any(document)
	for token := range strings.SplitSeq(at, "/") {
		switch v := value.(type) {
		case plan:
			value = v[token]
		case []any:
			i, err := strconv.Atoi(token)
			if err != nil || i < 0 || i >= len(v) {
				return ""
			}
			value = v[i]
		}
	}
	e, _ := value.(plan)
	id, _ := e["id"].(string)
	return id
}

// partFormOf makes the form of a part, or returns nil where there is no such part.
func (s *Site) partFormOf(v *phrase.Voice, document plan, at string, us bool) *partForm {
	schema, value, ok := s.find(document, at)
	if !ok {
		return nil
	}
	f := &partForm{At: at, Title: titleOf(v, at, 1), New: strings.HasSuffix(at, "/+")}
	if i := strings.LastIndex(at, "/"); i > 0 {
		f.Title = titleOf(v, at[:i], 1)
		f.Delete = !f.New
		if id, _ := value["id"].(string); id != "" {
			f.Title += " " + id
		}
	}
	if at == "sump" {
		f.Delete, f.New = value != nil, value == nil
	}
	all := s.fieldsOf(v, document, schema, value, nil, us, at == about, false)
	if f.New && len(all) > 0 && all[0].Name == "id" && all[0].Value == "" {
		all[0].Value = newID(document, at)
	}
	slices.SortStableFunc(all, func(a, b planField) int { return bit(!a.known()) - bit(!b.known()) })
	n := min(mostFields, len(all))
	for n < len(all) && all[n].Required {
		n++
	}
	f.First, f.More = all[:n], all[n:]
	return f
}

// known tells whether a field is asked first: it must be said, or was.
func (f *planField) known() bool { return f.Required || f.Value != "" || len(f.Checks) > 0 }

// newID proposes an id that no other element has.
func newID(document plan, at string) string {
	list := strings.TrimSuffix(at, "/+")
	base := strings.TrimSuffix(strings.ReplaceAll(list[strings.LastIndex(list, "/")+1:], "_", "-"), "s")
	if list == "boxes" {
		base = "box"
	}
	for n := 1; ; n++ {
		id := fmt.Sprintf("%s-%d", base, n)
		if !slices.Contains(idsIn(document), id) {
			return id
		}
	}
}

// idsIn lists every id of a plan.
func idsIn(document plan) []string {
	var out []string
	for _, v := range document {
		switch v := v.(type) {
		case plan:
			out = append(out, idsIn(v)...)
		case []any:
			for _, item := range v {
				if e, ok := item.(plan); ok {
					if id, ok := e["id"].(string); ok {
						out = append(out, id)
					}
				}
			}
		}
	}
	return out
}

// idsOf lists the ids of some lists of a plan.
func idsOf(v *phrase.Voice, document plan, lists []string) []string {
	var out []string
	if slices.Contains(lists, everything) {
		out = idsIn(document)
		slices.Sort(out)
		return out
	}
	for _, list := range lists {
		value := any(document)
		for token := range strings.SplitSeq(list, "/") {
			inner, _ := value.(plan)
			value = inner[token]
		}
		items, _ := value.([]any)
		for i, item := range items {
			if e, ok := item.(plan); ok {
				out = append(out, nameOf(v, e, i))
			}
		}
	}
	return out
}

// fieldsOf makes a field of every member that a form can ask, those of objects inside too. scalars leaves objects out;
// in an optional object nothing is needed, so that it can be emptied.
func (s *Site) fieldsOf(
	v *phrase.Voice, document plan, schema *contract.Schema, value plan, prefix []string, us, scalars, optional bool,
) []planField {
	x := &calculator{Name: "part", voice: v}
	var out []planField
	for _, m := range schema.Members {
		tokens := append(slices.Clone(prefix), m.Name)
		given := value[m.Name]
		switch {
		case strings.HasPrefix(m.Name, "$"):
		case m.Schema.Type == "object":
			if !scalars {
				inner, _ := given.(plan)
				out = append(out,
					s.fieldsOf(v, document, m.Schema, inner, tokens, us, false, optional || !m.Required)...)
			}
		case m.Schema.Items != nil && refers[m.Name] == nil:
		default:
			named := &contract.Member{Name: strings.Join(tokens, "."), Schema: m.Schema,
				Required: m.Required && !optional}
			f := planField{field: x.field(named, shownValue(given, m.Schema, us), us), member: m, tokens: tokens}
			f.ID = "part-" + strings.Join(tokens, "-")
			f.Label, f.Hint = partLabel(v, m)
			f.Hint = planInWords(v, s.planSchema(), f.Hint)
			if m.Schema.Type == "string" && len(f.Options) == 0 {
				f.Range = ""
			}
			if len(prefix) > 0 {
				f.Label = capital(v.Contract(words(prefix[len(prefix)-1]))) + ": " + lowerFirst(v, f.Label)
			}
			f.Ghost = words(f.Default)
			f.refer(v, document, given)
			out = append(out, f)
		}
	}
	return out
}

// partLabel names a field of a part: elements are named, not referred to by ids.
func partLabel(v *phrase.Voice, m *contract.Member) (name, hint string) {
	if m.Name == "id" {
		return v.Say("its_name"), v.Say("its_name_hint")
	}
	name, hint = label(v, m, m.Schema.Unit)
	for _, reference := range []string{"Id of ", "Ids of "} {
		name = capital(strings.TrimPrefix(name, reference))
	}
	return name, hint
}

// lowerFirst makes the first letter small where no noun needs a capital one.
func lowerFirst(v *phrase.Voice, s string) string {
	if v.Language != catalogue.German && len(s) > 1 && s[1] >= 'a' && s[1] <= 'z' {
		return strings.ToLower(s[:1]) + s[1:]
	}
	return s
}

// refer makes a choice of a field that names other elements.
func (f *planField) refer(v *phrase.Voice, document plan, given any) {
	lists := refers[f.member.Name]
	if lists == nil {
		return
	}
	var chosen []string
	switch given := given.(type) {
	case string:
		chosen = []string{given}
	case []any:
		for _, one := range given {
			chosen = append(chosen, fmt.Sprint(one))
		}
	}
	var all []option
	for _, id := range idsOf(v, document, lists) {
		all = append(all, option{id, id, slices.Contains(chosen, id)})
	}
	f.Range = ""
	if f.member.Schema.Items != nil {
		f.Checks = all
		if len(all) == 0 {
			f.Hint = v.Say("nothing_to_choose")
		}
		return
	}
	if !f.Required {
		all = append([]option{{"", v.Say("not_stated"), given == nil}}, all...)
	}
	f.Options = all
}

// shownValue writes a value of a plan as a field shows it.
func shownValue(v any, s *contract.Schema, us bool) string {
	switch v := v.(type) {
	case string:
		return v
	case bool:
		return strconv.FormatBool(v)
	case float64:
		shown, _ := unit.Of(s.Unit).For(us, v)
		if us {
			shown = reading.FourFigures(shown, math.Round)
		}
		return strconv.FormatFloat(shown, 'f', -1, 64)
	}
	return ""
}

// ghosts writes what the audit assumed into the fields that were left empty.
func (f *partForm) ghosts(all []assumed) {
	for _, list := range [][]planField{f.First, f.More} {
		for i := range list {
			at := "#/" + strings.TrimPrefix(f.At, about)
			at = strings.TrimSuffix(at, "/") + "/" + strings.Join(list[i].tokens, "/")
			for _, a := range all {
				if a.Pointer == at {
					list[i].Ghost = a.Value
				}
			}
		}
	}
}
