// Package drawing draws a plan: its tank in section, what hangs on what, what acts on what and who is told. Place means
// place, lines mean dependence.
//
//	drawing.go  the picture: what is drawn in which order, in one of two widths
//	now.go      a moment of a course in the picture
//	frame.go    the tank alone at one moment, small
//	twin.go     the same in words, as nested lists
//	routes.go   where lines run
//	layout.go   where parts stand
//	cause.go    what fails together
//	model.go    a plan as parts, vessels and lines
//	kinds.go    the one table of what a plan may hold: a new kind of element takes a line there
//	element.go  an object of a plan's document
//	pen.go      the elements of SVG that are used
//
// It reads the plan's JSON document, so it knows no physics and needs no answer. Only presentation attributes and
// classes are written: a strict content policy allows them, and the page's style gives them colours.
package drawing
