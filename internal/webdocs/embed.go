package webdocs

import (
	"fmt"
	"html/template"
	"net/http"
	"net/url"
	"strings"

	"saltwright/internal/catalogue"
	"saltwright/internal/phrase"
)

// embedPage is what the page of the widgets shows: none in a build without them.
type embedPage struct {
	Widgets []embedded
	All     *widget // the file with all of them, which this page itself loads
	Files   []widget
}

// embedded is one widget with a live example.
type embedded struct {
	widget
	Title      string
	Attributes string // with which it shows the example, in the contract's units, each after a space
	Page       string // the same example as a page
	lang       catalogue.Language
}

// shown are the examples of the widgets, by the calculator of each. A plan travels in the attribute src.
var shown = map[string]struct{ calculator, attributes string }{
	"saltwright-heater": {"heater-sizing", `length-mm="900" width-mm="500" water-depth-mm="500" room-c="21"`},
	"saltwright-top-off": {"top-off-endurance",
		`volume-l="300" surface-length-mm="1200" surface-width-mm="500" room-c="21" reservoir-l="40" pump-l-h="60" ` +
			`days-away="9" return-chamber-length-mm="300" return-chamber-width-mm="300"`},
	"saltwright-salinity": {"salinity-conversion", `scale="specific_gravity" value="1.026"`},
	"saltwright-light":    {"light-schedule-score", `livestock="mixed_reef"`},
	"saltwright-audit":    {"plan-audit", ""},
}

// embeddedPlan is the flawed plan of the gallery that the audit's widget opens.
const embeddedPlan = "household-oversized-heater"

// embedding lists the elements that other people may embed, each live.
func (s *Site) embedding(r *http.Request) (string, view, error) {
	to := readerOf(r)
	page := embedPage{Files: s.widgets.list}
	for i, w := range s.widgets.list {
		if w.Tag == "*" {
			page.All = &s.widgets.list[i]
		}
		example, ok := shown[w.Tag]
		if !ok {
			continue
		}
		x := s.calculatorFor(r, example.calculator)
		if x == nil {
			return "", view{}, fmt.Errorf("webdocs: there is no %s for %s", example.calculator, w.Tag)
		}
		one := embedded{
			widget: w, Title: x.Title, lang: to.Language, Page: pageOf(x, example.attributes),
		}
		if example.attributes != "" {
			one.Attributes = " " + example.attributes
		}
		if w.Tag == "saltwright-audit" {
			packed, err := s.packedSpecimen(to.Language, embeddedPlan)
			if err != nil {
				return "", view{}, err
			}
			one.Page = workshopPath + "?plan=" + packed
			one.Attributes = ` src="` + originMark + one.Page + `"`
		}
		page.Widgets = append(page.Widgets, one)
	}
	v := view{Title: to.Say("nav_embed"), About: to.Say("embed_about"), Section: "embed", Body: page}
	return "embed", v, nil
}

// pageOf is the page of a calculator that shows the example of a widget.
func pageOf(x *calculator, attributes string) string {
	values := url.Values{}
	if x.hand.example != nil {
		values = x.hand.example
	} else {
		for _, one := range strings.Fields(attributes) {
			name, value, _ := strings.Cut(one, "=")
			values.Set(strings.ReplaceAll(name, "-", "_"), strings.Trim(value, `"`))
		}
	}
	return "/docs/calculators/" + x.Name + "/?" + values.Encode()
}

// packedSpecimen is a plan of the gallery as it travels in an address.
func (s *Site) packedSpecimen(l catalogue.Language, name string) (string, error) {
	all, err := s.specimens[l]()
	if err != nil {
		return "", err
	}
	for _, one := range all {
		if one.Name != name {
			continue
		}
		document, err := readPlan(phrase.In(l), []byte(one.document))
		if err != nil {
			return "", err
		}
		return packPlan(document)
	}
	return "", fmt.Errorf("webdocs: the gallery has no %s", name)
}

// Markup is what a site writes into its page. What stands inside is seen until the script is there.
func (e embedded) Markup() string {
	lang, page := "", originMark+e.Page
	if e.lang != catalogue.English {
		lang, page = ` lang="`+string(e.lang)+`"`, page+"&"+languageParameter+"="+string(e.lang)
	}
	return `<script type="module" src="` + originMark + e.Source() + `" integrity="` + e.SRI +
		`" crossorigin="anonymous"></script>` + "\n<" + e.Tag + lang + e.Attributes + ">\n  <a href=\"" +
		template.HTMLEscapeString(page) + `">` + template.HTMLEscapeString(e.Title) + "</a>\n</" + e.Tag + ">"
}

// Source is the address of a file that never changes, below this host.
func (w widget) Source() string { return "/embed/" + w.Hash + "/" + w.Name }

// Live is the element on this page, with what stands there without scripts.
func (e embedded) Live(without template.HTML) template.HTML {
	attributes := strings.ReplaceAll(e.Attributes, originMark, "")
	link := `<a href="` + template.HTMLEscapeString(e.Page) + `">` + template.HTMLEscapeString(e.Title) + `</a>`
	// #nosec G203 -- tag and attributes are our own, the rest is escaped
	return template.HTML("<" + e.Tag + attributes + "><p>" + string(without) + " " + link + "</p></" + e.Tag + ">")
}
