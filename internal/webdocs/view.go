package webdocs

import (
	"net/http"
	"net/url"

	"saltwright/internal/catalogue"
)

// view is what a template sees.
type view struct {
	Title, About, Section string
	Scripts, Styles       []string
	Body                  any
	Canonical             string
	Alternates, Switch    []otherwise
}

// otherwise is a page in one of the languages.
type otherwise struct {
	Language      catalogue.Language
	Name, Address string
	Here          bool
}

// names are what the languages call themselves.
var names = map[catalogue.Language]string{
	catalogue.English: "English", catalogue.German: "Deutsch", catalogue.Spanish: "Español",
}

// addressIn is the address of a page in a language; a page that is posted has no address but its path.
func addressIn(r *http.Request, l catalogue.Language) string {
	q := url.Values{}
	if r.Method != http.MethodPost {
		q = r.URL.Query()
	}
	q.Set(languageParameter, string(l))
	return r.URL.Path + "?" + q.Encode()
}

// spoken writes into a view where the page stands in which language. The canonical address of a page is that without
// what was asked; without the operator's own address there is none.
func (v *view) spoken(r *http.Request, public string) {
	to := readerOf(r)
	for _, l := range catalogue.Languages {
		v.Switch = append(v.Switch, otherwise{l, names[l], addressIn(r, l), l == to.Language})
	}
	if public == "" { // search engines take whole addresses only
		return
	}
	v.Canonical = public + r.URL.Path
	if to.Language != catalogue.English {
		v.Canonical += "?" + languageParameter + "=" + string(to.Language)
	}
	for _, l := range catalogue.Languages {
		at := public + r.URL.Path + "?" + languageParameter + "=" + string(l)
		v.Alternates = append(v.Alternates, otherwise{Language: l, Address: at})
	}
	v.Alternates = append(v.Alternates, otherwise{Language: "x-default", Address: public + r.URL.Path})
}
