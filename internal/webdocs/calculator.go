package webdocs

import (
	"bytes"
	"encoding/json"
	"net/http"
	"net/url"
	"slices"
	"strings"

	"saltwright/internal/contract"
)

// calculator is one path of the contract as a page: a form, its answer, what every member means.
type calculator struct {
	Name, Path, Title, About, Tag string
	Flat                          bool // a GET takes its members as parameters, so that a form asks it
	get, post                     *contract.Operation
}

func (x *calculator) operation() *contract.Operation {
	if x.Flat {
		return x.get
	}
	return x.post
}

// calculatorsOf lists the paths that calculate, in the contract's order.
func calculatorsOf(c *contract.Contract) []*calculator {
	var out []*calculator
	for _, o := range c.Operations {
		if o.Method != http.MethodPost || o.Body == nil {
			continue
		}
		x := &calculator{
			Name: o.Name(), Path: o.Path, Title: o.Summary, Tag: o.Tag, post: o,
			About: strings.TrimPrefix(o.Description, o.Summary+". "),
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
func calculatorNamed(c *contract.Contract, name string) *calculator {
	all := calculatorsOf(c)
	if i := slices.IndexFunc(all, func(x *calculator) bool { return x.Name == name }); i >= 0 {
		return all[i]
	}
	return nil
}

// example returns the contract's example as form values.
func (x *calculator) example() url.Values {
	values := url.Values{}
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

// question is how values are sent to the API.
func (x *calculator) question(values url.Values) (method, target string, body []byte) {
	if x.Flat {
		return http.MethodGet, x.address(values), nil
	}
	return http.MethodPost, x.Path, []byte(values.Get("body"))
}

// originMark stands where a command needs this host; a script puts the page's own origin there.
const originMark = "http://127.0.0.1:8080"

func (x *calculator) curl(values url.Values) string {
	if x.Flat {
		return `curl "` + originMark + x.address(values) + `"`
	}
	body := strings.ReplaceAll(values.Get("body"), "'", `'\''`)
	return `curl "` + originMark + x.Path + `" -H "Content-Type: application/json" -d '` + body + `'`
}

// group is what belongs to one tag.
type group struct {
	Name, About string
	Calculators []*calculator
}

// order is how the front of the house lists the subjects.
var order = []string{"plan", "heat", "water", "chemistry", "light", "power"}

func groupsOf(c *contract.Contract) []group {
	var out []group
	all := calculatorsOf(c)
	add := func(t contract.Tag) {
		g := group{Name: capital(t.Name), About: t.Description}
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
