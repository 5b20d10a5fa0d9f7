package catalogue

import (
	_ "embed"
	"fmt"
	"maps"
	"slices"
	"strings"

	"go.yaml.in/yaml/v3"

	"saltwright/internal/calc/text"
)

//go:embed codes.yaml
var codesYAML []byte

// Param is one parameter of a code.
type Param struct {
	Name string
	Kind Kind
	Of   string // name of the quantity of a number, of the closed list of a word
	side toward
}

// Kind is what a parameter holds.
type Kind string

const (
	KindNumber   Kind = "number"   // in the contract's unit of its quantity
	KindRange    Kind = "measured" // a number with its uncertainty, text.Measured
	KindAmount   Kind = "amount"   // a number with its unit in the contract, text.Amount
	KindCount    Kind = "count"    // a whole number of things, which decides between one and several
	KindName     Kind = "name"     // said as it is: an id of the user's
	KindNames    Kind = "names"    // a list of such
	KindWord     Kind = "word"     // of a closed list
	KindInner    Kind = "text"     // a text of its own
	KindRunning  Kind = "texts"    // sentences one after the other
	KindTogether Kind = "list"     // texts joined by commas and an "and"
)

// Codes are the codes with their parameters, which are sorted by name.
var Codes = map[string][]Param{}

// Words are the closed lists whose words stand in texts: the word w of the list l reads as the code l_w.
var Words map[string][]string

func init() {
	var declared struct {
		Words map[string][]string
		Codes map[string]map[string]string
	}
	must(yaml.Unmarshal(codesYAML, &declared))
	Words = declared.Words
	for code, params := range declared.Codes {
		Codes[code] = []Param{}
		for _, name := range slices.Sorted(maps.Keys(params)) {
			p, err := newParam(name, params[name])
			if err != nil {
				panic(fmt.Errorf("catalogue: %s: %w", code, err))
			}
			Codes[code] = append(Codes[code], p)
		}
	}
}

// newParam reads what codes.yaml says of a parameter: "power", "power up", "measured salinity", "word room", "count".
func newParam(name, declared string) (Param, error) {
	kind, of, _ := strings.Cut(declared, " ")
	side, sided := map[string]toward{"": nearest, "up": up, "down": down}[of]
	switch k := Kind(kind); k {
	case KindAmount:
		if sided {
			return Param{Name: name, Kind: k, side: side}, nil
		}
	case KindCount, KindName, KindNames, KindInner, KindRunning, KindTogether:
		if of == "" {
			return Param{Name: name, Kind: k}, nil
		}
	case KindWord:
		if Words[of] != nil {
			return Param{Name: name, Kind: k, Of: of}, nil
		}
	case KindRange:
		if quantities[of] != nil {
			return Param{Name: name, Kind: k, Of: of}, nil
		}
	default:
		if sided && quantities[kind] != nil {
			return Param{name, KindNumber, kind, side}, nil
		}
	}
	return Param{}, fmt.Errorf("%s: %q is nothing that a parameter can be", name, declared)
}

// Say writes a text; nothing for the text without a code. A code or parameter that is not declared panics: the tests
// of this package find those that stand in the sources.
func (s *Speaker) Say(t text.Text) string {
	if t.IsZero() {
		return ""
	}
	params, ok := Codes[t.Code]
	if !ok {
		panic(fmt.Sprintf("catalogue: no code %s", t))
	}
	data := make(map[string]string, len(params))
	var count any
	for _, p := range params {
		value, ok := t.Params[p.Name]
		if !ok {
			panic(fmt.Sprintf("catalogue: %s lacks %s", t, p.Name))
		}
		data[p.Name] = s.param(p, value)
		if p.Kind == KindCount {
			count = value
		}
	}
	if s.Language == German {
		s.datives(data, params, t.Params)
	}
	return s.localize(t.Code, data, count)
}

// dative ends the name of a duration that stands after a preposition that asks for the dative.
const dative = "_dative"

// datives adds to what a text is told the durations in their other case.
func (s *Speaker) datives(data map[string]string, params []Param, values text.Params) {
	for _, p := range params {
		x, ok := values[p.Name].(float64)
		if q := quantities[p.Of]; ok && q != nil && strings.HasPrefix(q.Name, "duration") {
			other := *s
			other.inDative = true
			data[p.Name+dative] = q.write(&other, x, p.side)
		}
	}
}

// Number writes a number with the unit of a quantity; where the quantity has no name, by the unit of the contract.
func (s *Speaker) Number(x float64, name, contractUnit string) string {
	return quantityOf(name, contractUnit).write(s, x, nearest)
}

// param writes the value of a parameter.
func (s *Speaker) param(p Param, value any) string {
	switch v := value.(type) {
	case float64:
		if p.Kind == KindNumber {
			return quantities[p.Of].write(s, v, p.side)
		}
	case int:
		if p.Kind == KindCount {
			return s.digits(float64(v), 0, true, nearest)
		}
	case text.Amount:
		if p.Kind == KindAmount {
			return s.amount(v, p.side)
		}
	case text.Measured:
		if p.Kind == KindRange {
			return quantities[p.Of].measured(s, v)
		}
	case string:
		if p.Kind == KindName {
			return v
		} else if p.Kind == KindWord {
			return s.text(p.Of + "_" + v)
		}
	case []string:
		if p.Kind == KindNames {
			return s.enumerate(v)
		}
	case text.Text:
		if p.Kind == KindInner {
			return s.Say(v)
		}
	case []text.Text:
		said := make([]string, len(v))
		for i, t := range v {
			said[i] = s.Say(t)
		}
		if p.Kind == KindRunning {
			return strings.Join(said, " ")
		} else if p.Kind == KindTogether {
			return s.enumerate(said)
		}
	}
	panic(fmt.Sprintf("catalogue: %s is a %s and no %T", p.Name, p.Kind, value))
}

// enumerate joins parts with commas and an "and".
func (s *Speaker) enumerate(list []string) string {
	if len(list) < 2 {
		return strings.Join(list, "")
	}
	return s.localize("enumeration",
		map[string]string{"first": strings.Join(list[:len(list)-1], ", "), "last": list[len(list)-1]}, nil)
}

// UnitOf returns the contract's unit of a quantity.
func UnitOf(quantity string) string { return quantityOf(quantity, "").Unit }
