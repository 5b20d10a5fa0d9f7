package webdocs

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"html/template"
	"net/http"
	"slices"
	"strings"
	"sync"
)

// gallery keeps the pages of the contract's example plans once they are audited.
type gallery struct {
	mu    sync.Mutex
	slots map[string]*slot // by name; no more than the contract has examples
}

// slot is one plan's page; whoever holds turn is auditing it.
type slot struct {
	turn chan struct{}
	page *file
}

func newGallery() *gallery { return &gallery{slots: map[string]*slot{}} }

func (g *gallery) slot(name string) *slot {
	g.mu.Lock()
	defer g.mu.Unlock()
	one := g.slots[name]
	if one == nil {
		one = &slot{turn: make(chan struct{}, 1)}
		g.slots[name] = one
	}
	return one
}

// get returns the kept page, or makes it: one caller at a time, each only as long as its own context lasts.
func (s *slot) get(ctx context.Context, build func() (*file, error)) (*file, error) {
	select {
	case s.turn <- struct{}{}:
		defer func() { <-s.turn }()
	case <-ctx.Done():
		return nil, ctx.Err()
	}
	if s.page != nil {
		return s.page, nil
	}
	f, err := build()
	if err == nil {
		s.page = f
	}
	return f, err
}

// specimen is one example plan of the contract.
type specimen struct {
	Name, Title, Family string
	Sound               bool // the one that its family's others are compared with
	Differs             []difference
	document            string
	value               any
}

// difference is one member in which a plan departs from the sound one of its family.
type difference struct{ Where, Sound, Here string }

const auditPath = "/v1/plan-audit"

// specimens are the named request examples of the audit, each compared with the sound one of its family.
func (c *contract) specimens() ([]*specimen, error) {
	x := c.calculator(strings.TrimPrefix(auditPath, "/v1/"))
	if x == nil {
		return nil, fmt.Errorf("webdocs: the contract has no %s", auditPath)
	}
	var out []*specimen
	sound := map[string]any{}
	for _, e := range x.post.Examples {
		one := &specimen{Name: strings.TrimPrefix(e.Name, "example-"), document: nodeJSON(e.Node)}
		if one.Name == "example" {
			one.Name, one.Title = "bare-minimum", "The least that a plan can say"
		}
		v, err := decode([]byte(one.document))
		if err != nil {
			return nil, err
		}
		one.value = v
		if o, ok := v.(object); ok && o.text("name") != "" {
			one.Title = capital(o.text("name"))
		}
		one.Family, _, _ = strings.Cut(one.Name, "-")
		if strings.HasSuffix(one.Name, "-sound") {
			one.Sound, sound[one.Family] = true, v
		}
		out = append(out, one)
	}
	for _, one := range out {
		if base := sound[one.Family]; base != nil && !one.Sound {
			one.Differs = differences(x.post.Body, base, one.value, nil)
		}
	}
	return out, nil
}

// differences lists the leaves that two documents do not share; items of lists are told apart by their ids.
func differences(s *schema, sound, here any, path []string) []difference {
	if a, ok := sound.(object); ok {
		if b, ok := here.(object); ok {
			var out []difference
			for _, key := range keysOf(a, b) {
				if len(path) == 0 && key == "name" || key == "id" {
					continue
				}
				ms := &schema{}
				if m := s.member(key); m != nil {
					ms = m.Schema
				}
				out = append(out, differences(ms, a.get(key), b.get(key), append(slices.Clone(path), plainName(key, ms.Unit)))...)
			}
			return out
		}
	}
	a, b := byID(sound), byID(here)
	if s.Items != nil && len(a)+len(b) > 0 {
		var out []difference
		for _, id := range keysOf(a, b) {
			switch where := strings.Join(append(slices.Clone(path), id), ", "); {
			case b.get(id) == nil:
				out = append(out, difference{where, "there", "left out"})
				continue
			case a.get(id) == nil:
				out = append(out, difference{where, "not there", "added"})
				continue
			}
			out = append(out, differences(s.Items, a.get(id), b.get(id), append(slices.Clone(path), id))...)
		}
		return out
	}
	if scalarText(sound) == scalarText(here) {
		return nil
	}
	show := func(v any) string {
		if v == nil {
			return "not stated"
		}
		return withUnit(scalarText(v), s.Unit)
	}
	return []difference{{strings.Join(path, ", "), show(sound), show(here)}}
}

func keysOf(a, b object) []string {
	var keys []string
	for _, p := range append(slices.Clone(a), b...) {
		if !slices.Contains(keys, p.key) {
			keys = append(keys, p.key)
		}
	}
	return keys
}

// byID is a list of elements as an object with their ids for keys.
func byID(v any) object {
	list, _ := v.([]any)
	var out object
	for _, item := range list {
		if o, ok := item.(object); ok && o.text("id") != "" {
			out = append(out, pair{o.text("id"), o})
		}
	}
	return out
}

func (s *Site) galleryIndex(*http.Request) (string, view, error) {
	c, err := s.contract()
	if err != nil {
		return "", view{}, err
	}
	all, err := c.specimens()
	if err != nil {
		return "", view{}, err
	}
	return "gallery", view{Title: "Gallery of plans", About: "Plans that look reasonable, each with the single failure that kills its tank.", Section: "gallery", Body: all}, nil
}

// planPage is one specimen with its audit.
type planPage struct {
	*specimen
	Audit    auditResult
	Summary  string
	Cautions []string
	Figures  []figure
	Document string
	SoundAt  string // the sound plan of the family
}

type auditResult struct {
	Sound    bool `json:"sound"`
	Total    int  `json:"faults_total"`
	Held     int  `json:"held"`
	Rescued  int  `json:"rescued"`
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
	} `json:"faults"`
}

type figure struct {
	Caption string
	SVG     template.HTML
}

func (s *Site) galleryPlan(w http.ResponseWriter, r *http.Request) {
	c, err := s.contract()
	if err != nil {
		s.broken(w, r, err)
		return
	}
	all, err := c.specimens()
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

// audited has the API audit a plan twice: for the numbers, and for the drawn runs of its report.
func (s *Site) audited(r *http.Request, one *specimen) (*planPage, error) {
	p := &planPage{specimen: one, Document: one.document}
	if !one.Sound && len(one.Differs) > 0 {
		p.SoundAt = one.Family + "-sound"
	}
	data, err := s.ask(r, http.MethodPost, auditPath, "application/json", []byte(one.document))
	if err != nil {
		return nil, err
	}
	var envelope struct {
		Result   auditResult `json:"result"`
		Summary  string      `json:"summary"`
		Cautions []struct {
			Message string `json:"message"`
		} `json:"cautions"`
	}
	if err := json.NewDecoder(bytes.NewReader(data)).Decode(&envelope); err != nil {
		return nil, fmt.Errorf("webdocs: audit of %s: %w", one.Name, err)
	}
	p.Audit, p.Summary = envelope.Result, capital(envelope.Summary)
	for _, c := range envelope.Cautions {
		p.Cautions = append(p.Cautions, c.Message)
	}
	report, err := s.ask(r, http.MethodPost, auditPath, "text/html", []byte(one.document))
	if err != nil {
		return nil, err
	}
	p.Figures, err = figures(report)
	return p, err
}
