package report

import (
	"bytes"
	"fmt"
	"html/template"
	"slices"
	"strings"

	"golang.org/x/net/html"
	"golang.org/x/net/html/atom"
)

// themed takes the library's drawing into a page: no prolog, the page's own text
// colour, its name for who cannot see it, presentation attributes for styles.
func themed(svg, name string) (string, error) {
	start := strings.Index(svg, "<svg ")
	end := strings.Index(svg[start:], ">") + start
	var view string
	if i := strings.Index(svg, `viewBox="`); i >= 0 {
		view = svg[i : strings.Index(svg[i+9:], `"`)+i+10]
	}
	body := svg[end+1:]
	body = strings.ReplaceAll(body, "#000000", "currentColor")
	body = strings.ReplaceAll(body, "font-family:Liberation Serif", "fill:currentColor;font-family:inherit")
	// The transparent background, which the library writes as no colour.
	if i := strings.Index(body, `style="fill:#-`); i >= 0 {
		from := strings.LastIndex(body[:i], "<path")
		to := strings.Index(body[i:], "/>") + i + 2
		body = body[:from] + body[to:]
	}
	svg = `<svg role="img" aria-label="` + template.HTMLEscapeString(name) + `" ` + view + `>` + body
	in := &html.Node{Type: html.ElementNode, Data: "div", DataAtom: atom.Div}
	nodes, err := html.ParseFragment(strings.NewReader(svg), in)
	if err != nil {
		return "", fmt.Errorf("report: the drawing: %w", err)
	}
	var out bytes.Buffer
	for _, n := range nodes {
		if n.Type == html.ElementNode {
			if err := html.Render(&out, drawing(n)); err != nil {
				return "", fmt.Errorf("report: the drawing: %w", err)
			}
		}
	}
	return out.String(), nil
}

var (
	drawnElements   = []string{"svg", "g", "path", "text", "line", "polyline", "rect", "circle"}
	drawnAttributes = []string{
		"role", "aria-label", "viewbox", "viewBox", "transform",
		"d", "x", "y", "x1", "y1", "x2", "y2", "points", "width", "height", "cx", "cy", "r",
		"fill", "fill-opacity", "stroke", "stroke-width", "stroke-opacity", "stroke-dasharray", "stroke-dashoffset",
		"font-family", "font-size", "font-style", "font-weight", "text-anchor",
	}
)

// drawing copies what draws of a node, its style attributes as presentation attributes.
func drawing(n *html.Node) *html.Node {
	c := &html.Node{Type: n.Type, Data: n.Data, DataAtom: n.DataAtom, Namespace: n.Namespace}
	for _, a := range n.Attr {
		if a.Key == "style" {
			for _, rule := range strings.Split(a.Val, ";") {
				name, value, _ := strings.Cut(rule, ":")
				if name = strings.TrimSpace(name); slices.Contains(drawnAttributes, name) {
					c.Attr = append(c.Attr, html.Attribute{Key: name, Val: strings.TrimSpace(value)})
				}
			}
		} else if slices.Contains(drawnAttributes, a.Key) {
			c.Attr = append(c.Attr, html.Attribute{Key: a.Key, Val: a.Val})
		}
	}
	for child := range n.ChildNodes() {
		if child.Type == html.TextNode || child.Type == html.ElementNode && slices.Contains(drawnElements, child.Data) {
			c.AppendChild(drawing(child))
		}
	}
	return c
}
