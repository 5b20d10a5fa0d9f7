// Package demo is the page of an invented shop that embeds the widgets from a service at another address, under a
// content policy that lets it run nothing else.
package demo

import (
	"embed"
	"encoding/json"
	"fmt"
	"html/template"
	"net/http"
	"net/url"
	"slices"
	"strings"

	"saltwright/clients/js"
)

//go:embed shop.html enquiry.html shop.css plan.json
var files embed.FS

// script is a pinned widget.
type script struct{ Src, SRI string }

// New returns the shop, whose widgets come from the service at base, such as http://127.0.0.1:8080.
//
// Errors: when base is no http or https address.
func New(base string) (http.Handler, error) {
	u, err := url.Parse(base)
	if err != nil || (u.Scheme != "http" && u.Scheme != "https") || u.Host == "" {
		return nil, fmt.Errorf("demo: service %q: want an address such as http://127.0.0.1:8080", base)
	}
	base = strings.TrimRight(base, "/")
	pages, err := template.ParseFS(files, "*.html")
	if err != nil {
		return nil, fmt.Errorf("demo: %w", err)
	}
	scripts, err := pinned(base)
	if err != nil {
		return nil, err
	}
	origin := u.Scheme + "://" + u.Host
	policy := "default-src 'none'; script-src " + origin + "; connect-src 'self' " + origin +
		"; style-src 'self'; img-src data:; form-action 'self'; base-uri 'none'; frame-ancestors 'none'; " +
		"require-trusted-types-for 'script'; trusted-types 'none'"
	show := func(w http.ResponseWriter, name string, data any) {
		w.Header().Set("Content-Type", "text/html; charset=utf-8")
		w.Header().Set("Content-Security-Policy", policy)
		if err := pages.ExecuteTemplate(w, name, data); err != nil {
			panic(http.ErrAbortHandler) // the page is half sent
		}
	}
	mux := http.NewServeMux()
	mux.HandleFunc("GET /{$}", func(w http.ResponseWriter, _ *http.Request) {
		show(w, "shop.html", map[string]any{"Service": base, "Scripts": scripts})
	})
	mux.HandleFunc("POST /enquiry", func(w http.ResponseWriter, r *http.Request) {
		r.Body = http.MaxBytesReader(w, r.Body, 1<<20)
		if err := r.ParseForm(); err != nil {
			http.Error(w, "This form cannot be read.", http.StatusBadRequest)
			return
		}
		var fields []map[string]string
		for name, values := range r.PostForm {
			fields = append(fields, map[string]string{"Name": name, "Value": strings.Join(values, "\n")})
		}
		slices.SortFunc(fields, func(a, b map[string]string) int { return strings.Compare(a["Name"], b["Name"]) })
		show(w, "enquiry.html", fields)
	})
	mux.Handle("GET /shop.css", http.FileServerFS(files))
	mux.Handle("GET /plan.json", http.FileServerFS(files))
	return mux, nil
}

func pinned(base string) ([]script, error) {
	data, err := js.Dist.ReadFile("dist/manifest.json")
	if err != nil {
		return nil, fmt.Errorf("demo: %w", err)
	}
	var manifest struct {
		Files map[string]struct{ SRI, Path, Tag string }
	}
	if err := json.Unmarshal(data, &manifest); err != nil {
		return nil, fmt.Errorf("demo: manifest.json: %w", err)
	}
	var out []script
	for _, f := range manifest.Files {
		if f.Tag == "" || f.Tag == "*" { // the client for pages, and the file with all widgets
			continue
		}
		out = append(out, script{base + "/embed/" + f.Path, f.SRI})
	}
	slices.SortFunc(out, func(a, b script) int { return strings.Compare(a.Src, b.Src) })
	return out, nil
}
