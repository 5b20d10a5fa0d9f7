package webdocs

import (
	"embed"
	"fmt"
	"html/template"
	"io/fs"
	"path"
	"regexp"
	"strings"

	"saltwright/internal/drawing"
	"saltwright/internal/methods"
	"saltwright/internal/phrase"
)

//go:embed templates
var templateFiles embed.FS

// loadTemplates parses every page, for one language, with the layout and the parts that they share.
func loadTemplates(a *assets, voice *phrase.Voice) (map[string]*template.Template, error) {
	base, err := template.New("base").Funcs(template.FuncMap{
		"asset": a.address, "cite": cite, "capital": capital, "join": strings.Join, "words": words,
		"lower":       strings.ToLower,
		"say":         voice.Say,
		"markup":      voice.Markup,
		"described":   func(text string) string { return describedIn(voice, text) },
		"relation":    func(sentence string) (string, error) { return methods.SentenceIn(voice.Language, sentence) },
		"language":    func() string { return string(voice.Language) },
		"said":        func(list, word string) string { return wordOf(voice, list, word) },
		"scriptWords": func() (string, error) { return scriptWords(voice, scriptCodes) },
		"workshopWords": func() (template.JS, error) {
			words, err := scriptWords(voice, workshopCodes)
			return template.JS(words), err // #nosec G203 -- json.Marshal escapes what could end a script
		},
		"fieldOf":  func(f field) map[string]any { return map[string]any{"F": f} },
		"mark":     drawing.Mark,
		"inBench":  func(form, bench any) map[string]any { return map[string]any{"Form": form, "Bench": bench} },
		"duration": func(h *float64) string { return durationText(voice, h) },
		"formula":  formula,
	}).ParseFS(templateFiles, "templates/layout.html", "templates/parts.html")
	if err != nil {
		return nil, fmt.Errorf("webdocs: %w", err)
	}
	names, err := fs.Glob(templateFiles, "templates/*.html")
	if err != nil {
		return nil, fmt.Errorf("webdocs: %w", err)
	}
	pages := map[string]*template.Template{}
	for _, name := range names {
		short := strings.TrimSuffix(path.Base(name), ".html")
		if short == "layout" || short == "parts" {
			continue
		}
		t, err := base.Clone()
		if err == nil {
			t, err = t.ParseFS(templateFiles, name)
		}
		if err != nil {
			return nil, fmt.Errorf("webdocs: %w", err)
		}
		pages[short] = t
	}
	return pages, nil
}

// describedIn is a description in a language. A GET is described as its POST, with a sentence of its own at the end.
func describedIn(v *phrase.Voice, text string) string {
	if head, tail, ok := strings.Cut(text, " As POST, "); ok {
		return v.Contract(head) + " " + v.Contract("As POST, "+tail)
	}
	return v.Contract(text)
}

var citation = regexp.MustCompile(`\[([A-Z][A-Za-z0-9]*)\]`)

// cite links the keys in a text to the bibliography.
func cite(s string) template.HTML {
	escaped := template.HTMLEscapeString(s)
	// #nosec G203 -- escaped above
	return template.HTML(citation.ReplaceAllString(escaped, `<a href="/docs/sources/#$1">$1</a>`))
}

// durationText is a number of hours as a person says it.
func durationText(v *phrase.Voice, h *float64) string {
	switch {
	case h == nil:
		return ""
	case *h < 1:
		return v.Say("minutes", "number", fmt.Sprintf("%.0f", *h*60))
	case *h < 48:
		return v.Say("hours", "number", decimal(v, fmt.Sprintf("%.1f", *h)))
	}
	return v.Say("days", "number", decimal(v, fmt.Sprintf("%.1f", *h/24)))
}
