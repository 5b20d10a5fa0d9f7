package webdocs

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"html/template"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"time"

	"saltwright/internal/drawing"
	"saltwright/internal/packed"
	"saltwright/internal/phrase"
)

// benchPage is a plan on the bench: its parts, its drawing, and what the audit finds. Every state of it is an address.
type benchPage struct {
	Plan, Was, Units string // packed, the plan before the last change, and the units of the reader
	US               bool
	Name             string
	Part, Fault      string // what is chosen
	At               string // the hour of the course that is shown
	Off              string // the part whose failing is shown without its course
	Form             *partForm
	Groups           []partGroup
	Drawing          template.HTML
	Twin             []drawing.Branch
	Problem          string
	Faults           []fault
	Headline         string
	Before           string // the headline of the plan before the last change
	Figures          []keyFigure
	Summary          string
	Cautions         []string
	Failures         []failure
	More             []failure
	Saved            []failure // single failures that an alarm saves, and no finding names
	Course           *course
	Cures            []cure
	CuresAsked       bool
	CuresSaid        string
	Causes           []cause
	Risk             *risk
	RiskAsked        bool
	HowLong          string // risk and cures take, by the time that this page's audit took
	Links            benchLinks
	LinkTooLong      bool
	State            string // of the verdict bar: the worst of the plan's
}

type benchLinks struct{ Report, HandOver, API, File, Share string }

// failure is one finding of the audit.
type failure struct {
	Fault, If, Message, Change, State, Word string // If says the failure
	Chosen                                  bool
}

// cure is a set of changes that was tried.
type cure struct {
	Changes []string
	After   string
	Plan    string
}

func (s *Site) newBench(q url.Values) *benchPage {
	b := &benchPage{Was: q.Get("was"), Part: q.Get("part"), Fault: q.Get("fault"), Units: q.Get("units"),
		At: q.Get("at"), Off: q.Get("off")}
	b.CuresAsked, b.RiskAsked = q.Get("cures") != "", q.Get("risk") != ""
	b.US = b.Units == usUnits
	if !b.US {
		b.Units = ""
	}
	return b
}

// bench shows a plan. form is one that could not be read, or nil.
func (s *Site) bench(w http.ResponseWriter, r *http.Request, status int, document plan, b *benchPage, form *partForm) {
	var err error
	if b.Plan, err = packPlan(document); err != nil {
		s.broken(w, r, err)
		return
	}
	b.LinkTooLong = len(b.Plan) > packed.MostCharacters
	b.Name, _ = document["name"].(string)
	v := readerOf(r).Voice
	m := drawing.Of(document, v)
	b.Twin, b.Causes = m.Twin(), causesOf(m, b.Off)
	b.Groups = s.partGroups(v, document, b.Part)
	began := time.Now()
	told, assumed, err := s.auditOf(r, document, b)
	b.HowLong = howLong(v, time.Since(began))
	if err != nil {
		s.broken(w, r, err)
		return
	}
	if b.Form = form; form == nil && b.Part != "" {
		b.Form = s.partFormOf(v, document, b.Part, b.US)
	}
	if b.Form != nil {
		b.Form.ghosts(assumed)
	}
	shown := drawing.Shown{Chosen: idAt(document, b.Part), Failed: b.Off}
	if told != nil {
		s.tell(v, b, m, told)
		if f := told.fault(b.Fault); f != nil {
			shown = drawing.Shown{Failed: f.Element, Now: b.Course.now()}
		}
		if b.Was != "" {
			b.Before = s.headlineOf(r, b.Was, b.Units)
		}
		if b.CuresAsked {
			err = s.cure(r, document, b)
		}
		if b.RiskAsked && err == nil {
			b.Risk, err = s.riskOf(r, document, b.Units, told)
		}
		if err != nil {
			s.broken(w, r, err)
			return
		}
	}
	b.Drawing = m.Figure(shown)
	at := func(path string) string {
		out := path + "?plan=" + b.Plan
		if b.Units != "" {
			out += "&units=" + b.Units
		}
		return out
	}
	b.Links = benchLinks{Report: at("/v1/plan-audit"), HandOver: at(workshopPath + "hand-over/"),
		API: at("/v1/plan-audit"), File: workshopPath + "file?plan=" + b.Plan, Share: at(workshopPath)}
	title := v.Say("plan_title")
	if b.Name != "" {
		title = capital(b.Name)
	}
	s.show(w, r, status, "workshop", view{Title: title, About: b.Headline, Section: "plan",
		Scripts: []string{"workshop.js"}, Styles: []string{"workshop.css"}, Body: b})
}

// Fails tells whether a single failure harms the tank, so that there is something to cure.
func (b *benchPage) Fails() bool { return b.State == "lost" || b.State == "harmed" }

// auditOf has the API audit a plan. It returns nil where the plan is refused, which the page then says.
func (s *Site) auditOf(r *http.Request, document plan, b *benchPage) (*auditedPlan, []assumed, error) {
	raw, err := json.Marshal(document)
	if err != nil {
		return nil, nil, err
	}
	target := auditPath + query(b.Units)
	switch {
	case b.Fault != "":
		target = auditPath + query(b.Units, "include", "charts", "detail", "full", "fault", b.Fault)
	case b.RiskAsked: // pairs name failures that hold by themselves
		target = auditPath + query(b.Units, "detail", "full")
	}
	data, err := s.ask(r, http.MethodPost, target, "application/json", raw)
	var refused *refusal
	if b.Fault != "" && errors.As(err, &refused) && refused.about("fault") { // of another plan, or changed by hand
		b.Fault = ""
		return s.auditOf(r, document, b)
	}
	if errors.As(err, &refused) && (refused.status == http.StatusUnprocessableEntity ||
		refused.status == http.StatusBadRequest) {
		b.Problem = readerOf(r).Say("cannot_be_followed")
		for _, v := range refused.problem.Errors {
			b.Faults = append(b.Faults, s.planFault(readerOf(r).Voice, document, v.Pointer, v.Detail))
		}
		if len(b.Faults) == 0 {
			b.Faults = []fault{{Detail: refused.problem.Detail}}
		}
		return nil, nil, nil
	}
	if err != nil {
		return nil, nil, err
	}
	var told auditedPlan
	if err := json.NewDecoder(bytes.NewReader(data)).Decode(&told); err != nil {
		return nil, nil, fmt.Errorf("webdocs: audit: %w", err)
	}
	x := s.calculatorFor(r, strings.TrimPrefix(auditPath, "/v1/"))
	res, err := readResult(x, data, b.Units)
	if err != nil {
		return nil, nil, err
	}
	b.Headline, b.Summary, b.Figures, b.Cautions = res.Headline, res.Summary, res.KeyFigures, res.Cautions
	return &told, res.Assumptions, nil
}

// headlineOf is the verdict on another plan; empty where there is none.
func (s *Site) headlineOf(r *http.Request, link, units string) string {
	raw, err := packed.Unpack(link)
	if err != nil {
		return ""
	}
	data, err := s.ask(r, http.MethodPost, auditPath+query(units, "detail", "brief"), "application/json", raw)
	if err != nil {
		return ""
	}
	var told auditedPlan
	if json.Unmarshal(data, &told) != nil {
		return ""
	}
	return told.Headline
}

// mostFailures are shown at once; the rest is folded.
const mostFailures = 6

// tell puts what the audit found on the page, worst first as the audit has it.
func (s *Site) tell(v *phrase.Voice, b *benchPage, m *drawing.Model, told *auditedPlan) {
	switch {
	case told.Result.Lost > 0:
		b.State = "lost"
	case told.Result.Harmed > 0:
		b.State = "harmed"
	case told.Result.Rescued > 0:
		b.State = "rescued"
	default:
		b.State = "held"
	}
	var all []failure
	for _, f := range told.Result.Findings {
		one := failure{Message: s.inFormWords(v, f.Message), Change: s.inFormWords(v, f.Change)}
		for _, id := range f.Faults {
			if at := told.fault(id); at != nil {
				one.Fault, one.If, one.State = id, at.Sentence, at.Verdict
				break
			}
		}
		one.Word = stateWord(v, one.State)
		one.Chosen = b.Fault != "" && slices.Contains(f.Faults, b.Fault)
		all = append(all, one)
	}
	for _, f := range told.Result.Faults {
		named := slices.ContainsFunc(all, func(one failure) bool { return one.Fault == f.ID })
		if f.Verdict == "rescued" && f.Alarm != nil && !named {
			after := durationText(v, &f.Alarm.RaisedH)
			b.Saved = append(b.Saved, failure{Fault: f.ID, If: f.Sentence, State: f.Verdict,
				Word:    stateWord(v, f.Verdict),
				Message: v.Say("alarm_tells", "fault", capital(f.Sentence), "alarm", f.Alarm.ID, "time", after),
				Chosen:  f.ID == b.Fault})
		}
	}
	n := min(len(all), mostFailures)
	b.Failures, b.More = all[:n], all[n:]
	if f, c := told.fault(b.Fault), told.Result.Course; f != nil && c != nil {
		b.Course = courseOf(v, m, f, c, b.US, b.At)
		for i := range told.Charts {
			if told.Charts[i].Subject == f.ID {
				b.Course.Chart = &told.Charts[i]
			}
		}
	}
}

// mostCures are shown of what the search for remedies found.
const mostCures = 3

// remedySet is changes that were tried together.
type remedySet struct {
	Changes []struct {
		Sentence string `json:"sentence"`
	} `json:"changes"`
	Proof string `json:"proof"`
	Plan  plan   `json:"plan"`
}

// cure asks what to change, and offers the plans that come of it.
func (s *Site) cure(r *http.Request, document plan, b *benchPage) error {
	raw, err := json.Marshal(document)
	if err != nil {
		return err
	}
	data, err := s.ask(r, http.MethodPost, "/v1/plan-remedies"+query(b.Units), "application/json", raw)
	if err != nil {
		return err
	}
	var told struct {
		Headline string `json:"headline"`
		Result   struct {
			Sets []remedySet `json:"sets"`
			Best []remedySet `json:"best"` // where no set leaves nothing
		} `json:"result"`
	}
	if err := json.Unmarshal(data, &told); err != nil {
		return fmt.Errorf("webdocs: remedies: %w", err)
	}
	b.CuresSaid = told.Headline
	sets := append(told.Result.Sets, told.Result.Best...)
	for _, set := range sets[:min(mostCures, len(sets))] {
		one := cure{After: set.Proof}
		for _, c := range set.Changes {
			one.Changes = append(one.Changes, c.Sentence)
		}
		if one.Plan, err = packPlan(set.Plan); err != nil {
			return err
		}
		b.Cures = append(b.Cures, one)
	}
	return nil
}
