package webdocs

import (
	"bytes"
	"encoding/json"
	"fmt"
	"html/template"
	"net/http"
	"slices"

	"saltwright/internal/chart"
	"saltwright/internal/packed"
	"saltwright/internal/phrase"
)

// outcome is the plans of the gallery that end alike, and what their audits say in one line.
type outcome struct {
	Title string
	Plans []shownPlan
}

type shownPlan struct {
	*specimen
	Headline string
}

// outcomesOf sorts audited plans by how they end: lost, harmed, held.
func outcomesOf(v *phrase.Voice, plans []shownPlan, audits []auditResult) []outcome {
	all := []outcome{{Title: v.Say("gallery_loses")}, {Title: v.Say("gallery_harms")}, {Title: v.Say("gallery_holds")}}
	for i, one := range plans {
		at := 2
		switch a := audits[i]; {
		case a.Lost > 0:
			at = 0
		case a.Harmed > 0:
			at = 1
		}
		all[at].Plans = append(all[at].Plans, one)
	}
	return slices.DeleteFunc(all, func(o outcome) bool { return len(o.Plans) == 0 })
}

// galleryIndex shows the plans by how they end, which the API says on the first call. If it refuses just then, they are
// shown together, and the page is not kept.
func (s *Site) galleryIndex(w http.ResponseWriter, r *http.Request) {
	if f, ok := s.kept.Load(key(r)); ok {
		f.(*file).serve(w, r)
		return
	}
	specimens, err := s.specimens[readerOf(r).Language]()
	if err != nil {
		s.broken(w, r, err)
		return
	}
	var plans []shownPlan
	var audits []auditResult
	complete := true
	for _, one := range specimens {
		shown, audit := shownPlan{specimen: one}, auditResult{}
		if complete {
			shown.Headline, audit, err = s.auditedBriefly(r, one)
			complete = err == nil
		}
		plans, audits = append(plans, shown), append(audits, audit)
	}
	groups := outcomesOf(readerOf(r).Voice, plans, audits)
	if !complete {
		groups = []outcome{{Title: readerOf(r).Say("gallery_plans"), Plans: plans}}
	}
	f, err := s.render(r, "gallery", view{
		Title: readerOf(r).Say("gallery_title"), Section: "gallery", Body: groups,
		About: readerOf(r).Say("gallery_about"),
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

// auditedBriefly is the verdict on a plan in one line, and in numbers.
func (s *Site) auditedBriefly(r *http.Request, one *specimen) (string, auditResult, error) {
	var brief struct {
		Headline string      `json:"headline"`
		Result   auditResult `json:"result"`
	}
	data, err := s.ask(r, http.MethodPost, auditPath+"?detail=brief", "application/json", []byte(one.document))
	if err != nil {
		return "", brief.Result, err
	}
	if err := json.Unmarshal(data, &brief); err != nil {
		return "", brief.Result, fmt.Errorf("webdocs: audit of %s: %w", one.Name, err)
	}
	return brief.Headline, brief.Result, nil
}

// planPage is one specimen with its audit.
type planPage struct {
	*specimen
	Audit    auditResult
	Summary  string
	Cautions []string
	Charts   []chart.Chart
	Document string
	SoundAt  string // the sound plan of the family
	Link     string // the plan, packed
	Before   template.HTML
	After    template.HTML
}

type auditResult struct {
	Sound    bool `json:"sound"`
	Total    int  `json:"faults_total"`
	Held     int  `json:"held"`
	Rescued  int  `json:"rescued"`
	Harmed   int  `json:"harmed"`
	Lost     int  `json:"lost"`
	Hidden   int  `json:"hidden"`
	Findings []struct {
		Severity string `json:"severity"`
		Message  string `json:"message"`
		Change   string `json:"change"`
	} `json:"findings"`
	Faults []struct {
		Sentence  string   `json:"sentence"`
		Verdict   string   `json:"verdict"`
		Hidden    bool     `json:"hidden"`
		Room      string   `json:"room"`
		FirstHarm string   `json:"first_harm"`
		HarmH     *float64 `json:"harm_h"`
		FirstLoss string   `json:"first_loss"`
		LossH     *float64 `json:"loss_h"`
	} `json:"faults"`
}

func (s *Site) galleryPlan(w http.ResponseWriter, r *http.Request) {
	all, err := s.specimens[readerOf(r).Language]()
	if err != nil {
		s.broken(w, r, err)
		return
	}
	i := slices.IndexFunc(all, func(one *specimen) bool { return one.Name == r.PathValue("name") })
	if i < 0 {
		s.missing(w, r)
		return
	}
	f, err := s.gallery.slot(key(r)).get(r.Context(), func() (*file, error) {
		p, err := s.audited(r, all[i])
		if err != nil {
			return nil, err
		}
		return s.render(r, "plan", view{Title: p.Title, About: p.Summary, Section: "gallery",
			Styles: []string{"workshop.css"}, Body: p})
	})
	if err != nil {
		s.broken(w, r, err)
		return
	}
	f.serve(w, r)
}

// audited has the API audit a plan and draw its runs.
func (s *Site) audited(r *http.Request, one *specimen) (*planPage, error) {
	p := &planPage{specimen: one, Document: one.document}
	if !one.Sound && len(one.Differs) > 0 {
		p.SoundAt = one.Family + "-sound"
	}
	var err error
	if p.Before, p.After, err = one.drawn(readerOf(r).Voice); err != nil {
		return nil, err
	}
	if p.Link, err = packed.Pack([]byte(one.document)); err != nil {
		return nil, err
	}
	data, err := s.ask(r, http.MethodPost, withCharts(auditPath), "application/json", []byte(one.document))
	if err != nil {
		return nil, err
	}
	var envelope struct {
		Result   auditResult `json:"result"`
		Summary  string      `json:"summary"`
		Cautions []struct {
			Message string `json:"message"`
		} `json:"cautions"`
		Charts []chart.Chart `json:"charts"`
	}
	if err := json.NewDecoder(bytes.NewReader(data)).Decode(&envelope); err != nil {
		return nil, fmt.Errorf("webdocs: audit of %s: %w", one.Name, err)
	}
	p.Audit, p.Summary = envelope.Result, capital(envelope.Summary)
	for _, c := range envelope.Cautions {
		p.Cautions = append(p.Cautions, c.Message)
	}
	p.Charts = envelope.Charts
	return p, nil
}
