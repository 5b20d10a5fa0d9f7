package webdocs

import (
	"encoding/json"
	"errors"
	"net/http"
	"net/url"
	"slices"
	"strings"

	"saltwright/clients/reading"
	"saltwright/internal/contract"
)

// startPage asks three questions, or takes a plan that there is.
type startPage struct {
	Fields   []field
	Haves    []have
	US       bool
	Problem  string
	Errors   []fault
	Link     string
	Examples []exampleLink
}

type exampleLink struct {
	Title, Plan string
	Differs     []difference
	Sound       bool
}

// asked are the fields of the three questions.
var asked = []struct{ name, label, hint, unit string }{
	{"size", "How large is the display?",
		"Inside, length x width x depth of water: 90 x 50 x 50 cm, 4x2x2 ft. Or its volume: 75 gal.", ""},
	{"room", "How warm is the room as a rule?", "21 °C, 70 F", "degC"},
	{"coldest", "How cold does it get?", "On the coldest night of a winter without heating, if you know.", "degC"},
	{"warmest", "How hot does it get?", "In the worst heat of a summer, if you know.", "degC"},
	{"away", "How long does nobody look, at most?", "9 days, 2 weeks, 36 h", "d"},
}

// newStart is the page with what was filled in.
func newStart(sent url.Values) *startPage {
	p := &startPage{US: sent.Get("units") == usUnits}
	for _, a := range asked {
		f := field{ID: "start-" + a.name, Name: a.name, Label: a.label, Hint: a.hint,
			Value: sent.Get(a.name), Text: true}
		f.Required = a.name == "size" || a.name == "room" || a.name == "away"
		if f.Unit = unitFor(a.unit, p.US); a.unit == "d" {
			f.Unit = "days"
		}
		p.Fields = append(p.Fields, f)
	}
	for _, h := range haves() {
		h.Ticked = slices.Contains(sent["have"], h.Name)
		p.Haves = append(p.Haves, h)
	}
	return p
}

func (s *Site) workshopStart(w http.ResponseWriter, r *http.Request, status int, p *startPage) {
	all, err := s.specimens[readerOf(r).Language]()
	if err != nil {
		s.broken(w, r, err)
		return
	}
	for _, one := range all {
		document, err := readPlan([]byte(one.document))
		if err != nil {
			s.broken(w, r, err)
			return
		}
		link, err := packPlan(document)
		if err != nil {
			s.broken(w, r, err)
			return
		}
		p.Examples = append(p.Examples, exampleLink{one.Title, link, one.Differs, one.Sound})
	}
	p.Problem = sentence(p.Problem)
	s.show(w, r, status, "workshopstart", view{Title: "Plan a tank", Section: "plan",
		About:   "Your tank drawn, what kills it, and the cheapest thing that stops that.",
		Scripts: []string{"workshop.js"}, Styles: []string{"workshop.css"}, Body: p})
}

// begin makes the first plan from the three questions: designed, or the tank alone.
func (s *Site) begin(w http.ResponseWriter, r *http.Request, sent url.Values) {
	p := newStart(sent)
	us := sent.Get(labelled) == usUnits
	p.US = us
	document, days := p.document(sent, us)
	if len(p.Errors) > 0 {
		p.Problem = readerOf(r).Say("fields_unreadable")
		s.workshopStart(w, r, http.StatusUnprocessableEntity, p)
		return
	}
	b := s.newBench(sent)
	if sent.Get("do") == "bare" {
		const hoursADay = 24.0
		document["attendance"] = plan{"look_every_h": min(hoursADay, days*hoursADay),
			"longest_absence_h": days * hoursADay}
		first := addParts(document, sent)
		if first == "" {
			first = "heaters/+"
		}
		s.goOn(w, r, document, b, first)
		return
	}
	document["days_away"] = days
	raw, err := json.Marshal(document)
	if err != nil {
		s.broken(w, r, err)
		return
	}
	data, err := s.ask(r, http.MethodPost, "/v1/plan-draft", "application/json", raw)
	var refused *refusal
	if errors.As(err, &refused) && refused.status == http.StatusUnprocessableEntity {
		p.Problem = refused.problem.Title
		for _, v := range refused.problem.Errors {
			p.Errors = append(p.Errors, fault{Name: pointerName(v.Pointer, ""), Detail: sentence(v.Detail)})
		}
		s.workshopStart(w, r, http.StatusUnprocessableEntity, p)
		return
	}
	if err != nil {
		s.broken(w, r, err)
		return
	}
	var drafted struct {
		Result struct {
			Plan plan `json:"plan"`
		} `json:"result"`
	}
	if err := json.Unmarshal(data, &drafted); err != nil {
		s.broken(w, r, err)
		return
	}
	s.goOn(w, r, trimmed(drafted.Result.Plan), b, "")
}

// trimmed leaves out what a draft says only because a plan has a place for it: empty lists, objects and names.
func trimmed(document plan) plan {
	out := plan{}
	for name, v := range document {
		switch v := v.(type) {
		case plan:
			if inner := trimmed(v); len(inner) > 0 {
				out[name] = inner
			}
			continue
		case []any:
			if len(v) == 0 && name != "outputs" {
				continue
			}
		case string:
			if v == "" {
				continue
			}
		}
		out[name] = v
	}
	return out
}

// document reads the answers to the three questions.
func (p *startPage) document(sent url.Values, us bool) (document plan, days float64) {
	room := plan{}
	document = plan{"room": room}
	blame := func(i int, why string) {
		p.Fields[i].Error = sentence(why)
		p.Errors = append(p.Errors, fault{p.Fields[i].ID, p.Fields[i].Name, p.Fields[i].Label, p.Fields[i].Error})
	}
	for i, a := range asked {
		text := strings.TrimSpace(sent.Get(a.name))
		if text == "" {
			if p.Fields[i].Required {
				blame(i, "is needed")
			}
			continue
		}
		if a.name == "size" {
			display, err := displayOf(text, us)
			if err != nil {
				blame(i, err.Error())
			}
			document["display"] = display
			continue
		}
		m := &contract.Member{Name: a.name, Schema: &contract.Schema{Unit: a.unit}}
		v, err := reading.Field(text, wanted(m, us))
		switch {
		case err != nil:
			blame(i, err.Error())
		case a.name == "away":
			days = v
		case a.name == "room":
			room["usual"] = plan{"temp_c": v}
		default:
			room[a.name] = plan{"temp_c": v}
		}
	}
	return document, days
}

// displayOf reads three lengths or a volume.
func displayOf(text string, us bool) (plan, error) {
	const say = "write three lengths, such as 90 x 50 x 50 cm, or a volume, such as 75 gal"
	read := reading.Read(text)
	for _, piece := range read.Pieces {
		sizes := piece.Group
		switch {
		case len(sizes) == 3 && !piece.Range:
			out := plan{}
			for i, member := range []string{"length_mm", "width_mm", "water_depth_mm"} {
				q := sizes[i]
				if q.Unit == nil {
					unit := "cm"
					if us {
						unit = "in"
					}
					q.Unit = reading.UnitOf(unit)
				}
				if q.Unit.Dimension != reading.Length {
					return nil, errors.New(say)
				}
				out[member] = q.InContractUnit()
			}
			return out, nil
		case len(sizes) == 1 && sizes[0].Unit != nil && sizes[0].Unit.Dimension == reading.Volume:
			return plan{"volume_l": sizes[0].InContractUnit()}, nil
		}
	}
	return nil, errors.New(say)
}
