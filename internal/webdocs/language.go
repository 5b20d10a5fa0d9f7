package webdocs

import (
	"encoding/json"
	"fmt"
	"net/http"
	"net/url"
	"regexp"
	"slices"
	"strings"

	"saltwright/internal/catalogue"
	"saltwright/internal/phrase"
)

const (
	languageParameter = "language"
	acceptLanguage    = "Accept-Language"
)

// reader is whom a page is made for.
type reader struct {
	*phrase.Voice
	chosen bool // by the page's address, so that its links keep the language
}

// readerOf returns whom a page that is asked for is made for: by the language in its address, or else the one that
// Accept-Language likes best.
func readerOf(r *http.Request) reader {
	asked := catalogue.Language(r.URL.Query().Get(languageParameter))
	if slices.Contains(catalogue.Languages, asked) {
		return reader{phrase.In(asked), true}
	}
	return reader{phrase.In(catalogue.Preferred(r.Header.Get(acceptLanguage))), false}
}

// key is under what a page is kept that its path and its reader decide.
func key(r *http.Request) string {
	to := readerOf(r)
	return fmt.Sprint(r.URL.Path, "?", to.Language, to.chosen)
}

// asks tells whether an address asks for anything but a language.
func asks(r *http.Request) bool {
	q, err := url.ParseQuery(r.URL.RawQuery)
	q.Del(languageParameter)
	return len(q) > 0 || err != nil
}

var (
	ownLink = regexp.MustCompile(`(<(?:a|form)\b[^>]*?\s(?:href|action)=")(/[^"]*)"`)
	getForm = regexp.MustCompile(`<form\b[^>]*\smethod="get"[^>]*>`)
)

// speaking are the beginnings of the addresses that answer in a language.
var speaking = []string{"/docs/", workshopPath, "/problems/", "/v1/"}

// keep makes the links and forms of a page lead on in the language that its reader chose.
func keep(page []byte, l catalogue.Language) []byte {
	mark := languageParameter + "=" + string(l)
	page = ownLink.ReplaceAllFunc(page, func(link []byte) []byte {
		parts := ownLink.FindSubmatch(link)
		address, fragment, cut := strings.Cut(string(parts[2]), "#")
		speaks := address == "/" ||
			slices.ContainsFunc(speaking, func(s string) bool { return strings.HasPrefix(address, s) })
		if !speaks || strings.Contains(address, languageParameter+"=") {
			return link
		}
		if strings.Contains(address, "?") {
			address += "&amp;" + mark
		} else {
			address += "?" + mark
		}
		if cut {
			address += "#" + fragment
		}
		return slices.Concat(parts[1], []byte(address+`"`))
	})
	return getForm.ReplaceAllFunc(page, func(form []byte) []byte {
		field := `<input type="hidden" name="` + languageParameter + `" value="` + string(l) + `">`
		return append(slices.Clone(form), field...)
	})
}

// scriptCodes are the phrases that the scripts of the pages say.
var scriptCodes = []string{
	"copy", "copied", "not_allowed", "calculating", "answered", "did_not_work", "no_answer", "whole_answer",
}

// workshopCodes are those that the workshop's script says.
var workshopCodes = []string{
	"calculating", "stop", "stopped", "no_answer", "service_answered", "time_since_failure", "play", "pause", "earlier",
	"later",
}

// scriptWords are phrases as JSON, by code.
func scriptWords(v *phrase.Voice, codes []string) (string, error) {
	words := map[string]string{}
	for _, code := range codes {
		words[code] = v.Say(code)
	}
	out, err := json.Marshal(words)
	return string(out), err
}

// decimal writes a number, which has a point, with the decimal mark of a language.
func decimal(v *phrase.Voice, number string) string {
	if v.Language == catalogue.English {
		return number
	}
	return strings.Replace(number, ".", ",", 1)
}
