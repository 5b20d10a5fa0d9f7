package webdocs

import (
	"bytes"
	_ "embed" // outcomes.json
	"encoding/json"
	"fmt"
	"html/template"
	"net/http"
	"slices"

	"saltwright/internal/chart"
	"saltwright/internal/packed"
	"saltwright/internal/phrase"
)

// outcome is the plans of the gallery that end alike by the same kind of part.
type outcome struct {
	Title string
	Plans []shownPlan
}

type shownPlan struct {
	*specimen
	Headline string
	More     int // differences that the card leaves out
}

// galleryColumns are the columns of the gallery on a wide screen.
const galleryColumns = 3

// mostApart are the differences that a card of the gallery shows.
const mostApart = 4

// keptOutcome is what the audit of an example plan said when the contract was made.
type keptOutcome struct {
	Verdict  string            `json:"verdict"`        // one of verdicts; itself: it fails with nothing broken
	Kind     string            `json:"kind,omitempty"` // of the part whose failure does it
	Headline map[string]string `json:"headline"`       // by language
}

//go:generate go test -run TestGalleryKeepsOutcomes . -update

//go:embed outcomes.json
var outcomesFile []byte

// keptOutcomes are the outcomes by the names of the plans; a test holds them to the answers of the audit.
func keptOutcomes() (map[string]keptOutcome, error) {
	var out map[string]keptOutcome
	if err := json.Unmarshal(outcomesFile, &out); err != nil {
		return nil, fmt.Errorf("webdocs: outcomes of the gallery: %w", err)
	}
	return out, nil
}

// verdicts are the ends of plans in the order of the gallery.
var verdicts = []string{"lost", "harmed", "itself", "held"}

// title heads the plans that end like this one.
func (k keptOutcome) title(v *phrase.Voice) string {
	if k.Kind == "" {
		return v.Say("gallery_" + k.Verdict)
	}
	return v.Say("gallery_"+k.Verdict+"_by", "what", v.Say("culprit_"+k.Kind))
}

// galleryIndex shows the plans by how they end, and what does it.
func (s *Site) galleryIndex(r *http.Request) (string, view, error) {
	v := readerOf(r).Voice
	specimens, err := s.specimens[v.Language]()
	if err != nil {
		return "", view{}, err
	}
	kept, err := keptOutcomes()
	if err != nil {
		return "", view{}, err
	}
	var groups []outcome
	for _, verdict := range verdicts {
		for _, one := range specimens {
			k, ok := kept[one.Name]
			if !ok {
				return "", view{}, fmt.Errorf("webdocs: no outcome of %s is kept", one.Name)
			}
			if k.Verdict != verdict {
				continue
			}
			shown := shownPlan{specimen: one, Headline: k.Headline[string(v.Language)]}
			if n := len(one.Differs); n > mostApart {
				shown.More = n - mostApart
			}
			at := slices.IndexFunc(groups, func(o outcome) bool { return o.Title == k.title(v) })
			if at < 0 {
				at, groups = len(groups), append(groups, outcome{Title: k.title(v)})
			}
			groups[at].Plans = append(groups[at].Plans, shown)
		}
	}
	return "gallery", view{Title: v.Say("gallery_title"), About: v.Say("gallery_about"), Section: "gallery",
		Body: groups}, nil
}

// Columns are how many of the gallery's columns the plans take.
func (o outcome) Columns() int { return min(len(o.Plans), galleryColumns) }

// Shown are the differences that the card shows.
func (p shownPlan) Shown() []difference { return p.Differs[:len(p.Differs)-p.More] }

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
		p.SoundAt = one.sound.Name
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
