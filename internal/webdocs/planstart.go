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
	"saltwright/internal/phrase"
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
var asked = []struct{ name, unit string }{
	{"size", ""}, {"room", "degC"}, {"coldest", "degC"}, {"warmest", "degC"}, {"away", "d"},
}

// newStart is the page with what was filled in.
func newStart(v *phrase.Voice, sent url.Values) *startPage {
	p := &startPage{US: sent.Get("units") == usUnits}
	for _, a := range asked {
		f := field{ID: "start-" + a.name, Name: a.name, Label: v.Say("ask_" + a.name),
			Hint: v.Say("ask_" + a.name + "_hint"), Value: sent.Get(a.name), Text: true}
		f.Required = a.name == "size" || a.name == "room" || a.name == "away"
		if f.Unit = unitFor(a.unit, p.US); a.unit == "d" {
			f.Unit = v.Say("unit_days")
		}
		p.Fields = append(p.Fields, f)
	}
	for _, h := range haves() {
		h.Label = v.Say("have_" + strings.ReplaceAll(h.Name, "-", "_"))
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
		document, err := readPlan(readerOf(r).Voice, []byte(one.document))
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
	s.show(w, r, status, "workshopstart", view{Title: readerOf(r).Say("plan_a_tank"), Section: "plan",
		About:   readerOf(r).Say("plan_about"),
		Scripts: []string{"workshop.js"}, Styles: []string{"workshop.css"}, Body: p})
}

// begin makes the first plan from the three questions: designed, or the tank alone.
func (s *Site) begin(w http.ResponseWriter, r *http.Request, sent url.Values) {
	v := readerOf(r).Voice
	p := newStart(v, sent)
	us := sent.Get(labelled) == usUnits
	p.US = us
	document, days := p.document(v, sent, us)
	if len(p.Errors) > 0 {
		p.Problem = v.Say("fields_unreadable")
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
		for _, wrong := range refused.problem.Errors {
			p.Errors = append(p.Errors, s.planFault(v, document, wrong.Pointer, wrong.Detail))
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
func (p *startPage) document(voice *phrase.Voice, sent url.Values, us bool) (document plan, days float64) {
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
				blame(i, voice.Contract("is needed"))
			}
			continue
		}
		if a.name == "size" {
			display, err := displayOf(voice, text, us)
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
			blame(i, unclearIn(voice, err, p.Fields[i].Unit))
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
func displayOf(v *phrase.Voice, text string, us bool) (plan, error) {
	say := v.Say("three_lengths")
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
