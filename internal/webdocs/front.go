package webdocs

import (
	"net/http"
	"net/url"
	"slices"
	"unicode/utf8"
)

// live is a calculator on the front page: the fewest fields that ask something.
type live struct {
	ID, Title, Lead, Action string
	Fields                  []field
	Result                  *result
}

// onFront are the questions that the front page asks, and the fields of each.
var onFront = []struct {
	name, lead string
	fields     []string
}{
	{
		"heater-sizing", "front_heater_lead",
		[]string{"length_mm", "width_mm", "water_depth_mm", "room_c", "coldest_c", "warmest_c"},
	},
	{
		"salinity-conversion", "front_salinity_lead",
		[]string{"scale", "value", "sample_c", "reading_uncertainty"},
	},
}

type frontPage struct {
	Live    []live
	Groups  []group
	First   []snippet
	Version string
}

// longestHint is how much a field on the front page explains.
const longestHint = 60

// front is the front page. Its questions come with their answers, which the API gives on the first call; if it
// refuses just then, the page is shown without them and not kept.
func (s *Site) front(w http.ResponseWriter, r *http.Request) {
	if f, ok := s.kept.Load(key(r)); ok {
		f.(*file).serve(w, r)
		return
	}
	c := s.contract
	p := frontPage{Groups: s.groupsFor(r), Version: c.Version}
	complete := true
	for _, one := range onFront {
		x := s.calculatorFor(r, one.name)
		if x == nil || !x.Flat {
			continue
		}
		l, asked := x.live(readerOf(r).Say(one.lead), one.fields)
		if data, err := s.ask(r, http.MethodGet, x.address(asked), "application/json", nil); err != nil {
			complete = false
		} else if l.Result, err = readResult(x, data, ""); err != nil {
			s.broken(w, r, err)
			return
		}
		p.Live = append(p.Live, l)
		if p.First == nil {
			p.First = snippetsOf(http.MethodGet, originMark+x.address(asked), "")
		}
	}
	f, err := s.render(r, "front", view{
		Title: "saltwright", About: readerOf(r).Say("front_about"),
		Scripts: []string{"ask.js"}, Body: p,
	})
	if err != nil {
		s.broken(w, r, err)
		return
	}
	if complete {
		s.kept.Store(key(r), f)
	} else {
		f.caching = "no-store"
	}
	f.serve(w, r)
}

// live is the calculator with some of its fields, filled in from the contract's example.
func (x *calculator) live(lead string, names []string) (live, url.Values) {
	values := x.example()
	full := x.form(values)
	l := live{ID: "live-" + x.Name, Title: x.Title, Lead: lead, Action: full.Action}
	asked := url.Values{}
	for _, name := range names {
		for _, f := range append(slices.Clone(full.Needed), full.Optional...) {
			if f.Name != name {
				continue
			}
			if utf8.RuneCountInString(f.Hint) > longestHint {
				f.Hint = ""
			}
			l.Fields = append(l.Fields, f)
			if f.Value != "" {
				asked.Set(name, f.Value)
			}
		}
	}
	return l, asked
}
