// Package figure carries drawings, within one process, from who calculates to a
// page that shows them beside an answer, so that nothing is calculated twice.
package figure

import (
	"context"
	"html/template"
)

// Figure is one drawing. The SVG draws and does nothing else: presentation
// attributes only, which a strict content policy allows.
type Figure struct {
	Caption string
	SVG     template.HTML
}

// Collection is what a page wants filled while its request is answered. One
// goroutine fills it before the answer is written, and the page reads it after.
type Collection struct{ Figures []Figure }

type key struct{}

// Collect returns a context that asks whoever answers to draw as well.
func Collect(ctx context.Context) (context.Context, *Collection) {
	c := &Collection{}
	return context.WithValue(ctx, key{}, c), c
}

// Wanted returns where drawings are to go, or nil when nobody asked for any.
func Wanted(ctx context.Context) *Collection {
	c, _ := ctx.Value(key{}).(*Collection)
	return c
}
