package webdocs

import (
	"bytes"
	"encoding/json"
	"fmt"
	"net/http"
	"slices"

	"saltwright/internal/chart"
)

func (s *Site) galleryIndex(*http.Request) (string, view, error) {
	all, err := s.specimens()
	if err != nil {
		return "", view{}, err
	}
	return "gallery", view{
		Title: "Gallery of plans", Section: "gallery", Body: all,
		About: "Plans that look reasonable, each with the single failure that kills its tank.",
	}, nil
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
	all, err := s.specimens()
	if err != nil {
		s.broken(w, r, err)
		return
	}
	i := slices.IndexFunc(all, func(one *specimen) bool { return one.Name == r.PathValue("name") })
	if i < 0 {
		s.missing(w, r)
		return
	}
	f, err := s.gallery.slot(all[i].Name).get(r.Context(), func() (*file, error) {
		p, err := s.audited(r, all[i])
		if err != nil {
			return nil, err
		}
		return s.render("plan", view{Title: p.Title, About: p.Summary, Section: "gallery", Body: p})
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
