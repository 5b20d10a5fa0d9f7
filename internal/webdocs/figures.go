package webdocs

import (
	"bytes"
	"fmt"
	"html/template"
	"slices"
	"strings"

	"golang.org/x/net/html"
	"golang.org/x/net/html/atom"
)

// figures takes the drawn runs out of a report. Their style attributes become presentation attributes, which
// a strict content policy allows, and nothing passes but drawing.
func figures(report []byte) ([]figure, error) {
	doc, err := html.Parse(bytes.NewReader(report))
	if err != nil {
		return nil, fmt.Errorf("webdocs: the report: %w", err)
	}
	var out []figure
	for n := range doc.Descendants() {
		if n.DataAtom != atom.Figure {
			continue
		}
		var f figure
		for inside := range n.Descendants() {
			switch {
			case inside.Type == html.ElementNode && inside.Data == "svg":
				var drawn bytes.Buffer
				if err := html.Render(&drawn, drawing(inside)); err != nil {
					return nil, fmt.Errorf("webdocs: the report's figure: %w", err)
				}
				f.SVG = template.HTML(drawn.String()) // only the elements and attributes below
			case inside.DataAtom == atom.Figcaption:
				f.Caption = textOf(inside)
			}
		}
		if f.SVG != "" {
			out = append(out, f)
		}
	}
	return out, nil
}

var (
	drawnElements   = []string{"svg", "g", "path", "text", "line", "polyline", "rect", "circle"}
	drawnAttributes = []string{"role", "aria-label", "viewbox", "viewBox", "transform", "d", "x", "y", "x1", "y1", "x2", "y2", "points", "width", "height", "cx", "cy", "r",
		"fill", "fill-opacity", "stroke", "stroke-width", "stroke-opacity", "stroke-dasharray", "stroke-dashoffset", "font-family", "font-size", "font-style", "font-weight", "text-anchor"}
)

// drawing copies what draws of a node.
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

func textOf(n *html.Node) string {
	var out strings.Builder
	for t := range n.Descendants() {
		if t.Type == html.TextNode {
			out.WriteString(t.Data)
		}
	}
	return strings.TrimSpace(out.String())
}
