// Package webdocs is the front page and the documentation: calculators that work without scripts, the gallery
// of flawed plans, the methods and their sources, the reference of the contract. Everything is embedded, nothing
// is asked of another host, and whatever needs calculating is asked of the API itself, in this process.
package webdocs

import (
	"html/template"
	"io/fs"
	"net/http"
	"sync"

	"saltwright/clients/js"
	"saltwright/internal/catalogue"
	"saltwright/internal/contract"
	"saltwright/internal/install"
	"saltwright/internal/methods"
	"saltwright/internal/phrase"
)

//go:generate go run ../methods/extract -core ../calc -out ../methods/methods.json

// New builds the site over the API that does the calculating. It fails when a template or an embedded file is broken.
func New(calculate http.Handler, at Origin) (*Site, error) { return build(calculate, js.Dist, at) }

func build(calculate http.Handler, dist fs.FS, at Origin) (*Site, error) {
	s := &Site{api: calculate, origin: at, mux: http.NewServeMux(), methods: methods.Read}
	var err error
	if s.contract, err = contract.Load(); err != nil {
		return nil, err
	}
	s.specimens = map[catalogue.Language]func() ([]*specimen, error){}
	s.templates = map[catalogue.Language]map[string]*template.Template{}
	if s.assets, err = loadAssets(); err != nil {
		return nil, err
	}
	if s.widgets, err = loadWidgets(dist); err != nil {
		return nil, err
	}
	for _, l := range catalogue.Languages {
		voice := phrase.In(l)
		if s.templates[l], err = loadTemplates(s.assets, voice); err != nil {
			return nil, err
		}
		s.specimens[l] = sync.OnceValues(func() ([]*specimen, error) { return specimensOf(s.contract, voice) })
	}
	s.gallery = newGallery()
	s.mux.HandleFunc("GET /{$}", s.front)
	s.page("/docs/{$}", s.developers)
	s.page("/docs/calculators/{$}", s.calculators)
	s.page("/docs/gallery/{$}", s.galleryIndex)
	s.mux.HandleFunc("GET /docs/gallery/{name}/{$}", s.galleryPlan)
	s.page("/docs/methods/{$}", s.methodIndex)
	s.page("/docs/methods/{subject}/{$}", s.methodSubject)
	s.mux.HandleFunc("GET /docs/sources/{$}", s.sources)
	s.mux.HandleFunc("GET /docs/texts/{$}", s.texts)
	s.page("/docs/reference/{$}", s.reference)
	s.page("/docs/reference/{operation}/{$}", s.referenceOperation)
	s.page("/docs/reference/schemas/{name}/{$}", s.referenceSchema)
	s.page("/docs/problems/{$}", s.problemIndex)
	s.page("/docs/embed/{$}", s.embedding)
	s.page("/docs/clients/{$}", s.clients)
	s.mux.HandleFunc("GET /problems/{code}", s.problem)
	s.mux.HandleFunc("GET "+workshopPath+"{$}", s.workshop)
	s.mux.HandleFunc("POST "+workshopPath+"{$}", s.workshopPosted)
	s.mux.HandleFunc("GET "+workshopPath+"hand-over/{$}", s.handOver)
	s.mux.HandleFunc("GET "+workshopPath+"file", s.planFile)
	s.mux.HandleFunc("GET /docs/calculators/{name}/{$}", s.calculator)
	s.mux.HandleFunc("POST /docs/calculators/{name}/{$}", s.calculatorPosted)
	s.mux.HandleFunc("GET "+assetPath+"{file}", s.assets.serve)
	s.mux.HandleFunc("GET /embed/v1/read", s.readNumber)
	s.mux.HandleFunc("GET /embed/v1/{file}", s.widgets.latest)
	s.mux.HandleFunc("GET /embed/{hash}/{file}", s.widgets.pinned)
	return s, nil
}

// installed is what the page of the clients shows.
type installed struct {
	Offer  *install.Offer
	Module *widget // the client for pages; nil in a build without it
}

// clients says how to install the clients from this service.
func (s *Site) clients(r *http.Request) (string, view, error) {
	offer, err := install.Load()
	if err != nil {
		return "", view{}, err
	}
	body := installed{Offer: offer}
	for i, w := range s.widgets.list {
		if w.Tag == "" {
			body.Module = &s.widgets.list[i]
		}
	}
	to := readerOf(r)
	v := view{
		Title: to.Say("clients_title"), About: to.Say("developers_clients"), Section: "clients", Body: body,
	}
	return "clients", v, nil
}
