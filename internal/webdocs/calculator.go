package webdocs

import (
	"bytes"
	"encoding/json"
	"maps"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"saltwright/internal/contract"
	"saltwright/internal/phrase"
)

// calculator is one path of the contract as a page: a form, its answer, what every member means.
type calculator struct {
	Name, Path, Title, About, Tag string
	Flat                          bool // a GET takes its members as parameters, so that a form asks it
	get, post                     *contract.Operation
	hand                          hand // empty for most
	voice                         *phrase.Voice
}

func (x *calculator) operation() *contract.Operation {
	if x.Flat {
		return x.get
	}
	return x.post
}

// calculatorsOf lists the paths that calculate, in the contract's order.
func calculatorsOf(c *contract.Contract, voice *phrase.Voice) []*calculator {
	var out []*calculator
	for _, o := range c.Operations {
		if o.Method != http.MethodPost || o.Body == nil {
			continue
		}
		x := &calculator{
			hand: byHand[o.Name()],
			Name: o.Name(), Path: o.Path, Title: voice.Contract(o.Summary), Tag: o.Tag, post: o, voice: voice,
			About: voice.Contract(strings.TrimPrefix(o.Description, o.Summary+". ")),
		}
		for _, twin := range c.Operations {
			if twin.Method == http.MethodGet && twin.Path == o.Path {
				x.Flat, x.get = twin.Packs == "", twin
			}
		}
		out = append(out, x)
	}
	return out
}

// calculatorNamed returns the calculator of that name, or nil.
func calculatorNamed(c *contract.Contract, name string, voice *phrase.Voice) *calculator {
	all := calculatorsOf(c, voice)
	if i := slices.IndexFunc(all, func(x *calculator) bool { return x.Name == name }); i >= 0 {
		return all[i]
	}
	return nil
}

// example returns the contract's example as form values.
func (x *calculator) example() url.Values {
	values := url.Values{}
	if x.hand.example != nil {
		return maps.Clone(x.hand.example)
	}
	if len(x.post.Examples) == 0 {
		return values
	}
	e := x.post.Examples[len(x.post.Examples)-1] // the shortest stands last
	if !x.Flat {
		values.Set("body", pretty(e.Value))
		return values
	}
	members, err := decode(e.Value)
	if o, ok := members.(object); ok && err == nil {
		for _, p := range o {
			if text := asWritten(p.value); text != "" {
				values.Set(p.key, text)
			}
		}
	}
	return values
}

// address is the question's own address in the API.
func (x *calculator) address(values url.Values) string {
	if len(values) == 0 {
		return x.Path
	}
	return x.Path + "?" + values.Encode()
}

// group is what belongs to one tag.
type group struct {
	Name, About string
	Calculators []*calculator
}

// order is how the front of the house lists the subjects.
var order = []string{"plan", "heat", "water", "chemistry", "light", "power"}

func groupsOf(c *contract.Contract, voice *phrase.Voice) []group {
	var out []group
	all := calculatorsOf(c, voice)
	add := func(t contract.Tag) {
		g := group{Name: capital(voice.Contract(t.Name)), About: voice.Contract(t.Description)}
		for _, x := range all {
			if x.Tag == t.Name {
				g.Calculators = append(g.Calculators, x)
			}
		}
		if len(g.Calculators) > 0 {
			out = append(out, g)
		}
	}
	for _, name := range order {
		for _, t := range c.Tags {
			if t.Name == name {
				add(t)
			}
		}
	}
	for _, t := range c.Tags {
		if !slices.Contains(order, t.Name) {
			add(t)
		}
	}
	return out
}

// pretty indents JSON, which comes from the contract or from the API.
func pretty(data []byte) string {
	var out bytes.Buffer
	if json.Indent(&out, data, "", "  ") != nil {
		return string(data)
	}
	return out.String()
}

// asksByFields tells whether the calculator has a form of fields, so that a page of an answer has an address.
func (x *calculator) asksByFields() bool { return x.Flat || len(x.hand.short) > 0 }

// members are what the fields of the form ask for.
func (x *calculator) members() []*contract.Member {
	var out []*contract.Member
	for _, path := range x.hand.short {
		if m := memberAt(x.post.Body, path); m != nil {
			out = append(out, &contract.Member{Name: path, Schema: m.Schema, Required: strings.HasSuffix(path, "_at")})
		}
	}
	return out
}

// memberAt finds a member of a document's schema by its path, "channels/0/on_at".
func memberAt(s *contract.Schema, path string) *contract.Member {
	var m *contract.Member
	for _, token := range strings.Split(path, "/") {
		if _, err := strconv.Atoi(token); err == nil {
			if s = s.Items; s == nil {
				return nil
			}
			continue
		}
		if m = s.Member(token); m == nil {
			return nil
		}
		s = m.Schema
	}
	return m
}
