package webdocs

import (
	"fmt"
	"net/http"
	"strings"

	"saltwright/api"
	"saltwright/internal/catalogue"
	"saltwright/internal/contract"
	"saltwright/internal/phrase"
	"saltwright/internal/unit"
)

// guide is the way in for developers.
type guide struct {
	Version  string
	First    []snippet // the first call
	Document []snippet // one that sends a document
	Answer   string    // what the first call answers, shortened to the names of its members
	Members  *memberTable
	Costs    []costRow
	Units    []unit.Unit
	Changes  []change
}

type costRow struct {
	Operation *contract.Operation
	Least     int
	Most      int
}

// change is one version in the changelog.
type change struct {
	Version    string
	Paragraphs []string
}

// firstCall is the question that the guide begins with.
const firstCall = "evaporation"

func (s *Site) developers(r *http.Request) (string, view, error) {
	c := s.contract
	to := readerOf(r)
	x := calculatorNamed(c, firstCall, phrase.In(catalogue.English))
	if x == nil {
		return "", view{}, fmt.Errorf("webdocs: the contract has no calculator %s", firstCall)
	}
	q, err := x.questionOf(x.example())
	if err != nil {
		return "", view{}, err
	}
	first := snippetsOf(q.method, originMark+q.target, "")
	g := guide{Version: c.Version, First: first, Changes: changesOf(api.Changelog)}
	if len(x.post.Examples) > 0 {
		body := pretty(x.post.Examples[len(x.post.Examples)-1].Value)
		g.Document = snippetsOf(http.MethodPost, originMark+x.Path, body)
	}
	g.Members = tableOf(to.Voice, answerOf(x.post))
	for _, o := range c.Operations {
		if o.Method == http.MethodPost {
			g.Costs = append(g.Costs, costRow{o, o.Price.Least, o.DearestCost()})
		}
	}
	for _, u := range unit.Table {
		if u.US != "" {
			g.Units = append(g.Units, u)
		}
	}
	return "developers", view{
		Title: to.Say("footer_developers"), About: to.Say("developers_about"), Section: "docs", Body: g,
	}, nil
}

// changesOf reads the changelog of the contract: a version a heading, paragraphs and lines of lists as texts.
func changesOf(markdown string) []change {
	var out []change
	for _, part := range strings.Split(markdown, "\n## ")[1:] {
		version, rest, _ := strings.Cut(part, "\n")
		one := change{Version: strings.TrimSpace(version)}
		for _, paragraph := range strings.Split(strings.ReplaceAll(rest, "\n- ", "\n\n- "), "\n\n") {
			if text := strings.Join(strings.Fields(strings.TrimPrefix(paragraph, "- ")), " "); text != "" {
				one.Paragraphs = append(one.Paragraphs, text)
			}
		}
		out = append(out, one)
	}
	return out
}
