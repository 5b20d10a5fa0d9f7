package drawing

import (
	"html"
	"html/template"
	"math"
)

// State is how a tank stands at a moment. It is told by a shape: an empty, half filled, hatched or solid disc.
type State string

// The states.
const (
	Held    State = "held"
	Rescued State = "rescued"
	Harmed  State = "harmed"
	Lost    State = "lost"
)

// Frame is the tank at one moment of a course.
type Frame struct {
	Name    string  // which moment
	Text    string  // what there is to know of it
	LevelMM float64 // of the display's water, from its normal line
	Spilled bool    // water is on the floor
	Failed  string
	Alarmed bool // somebody knows
	Helped  bool // somebody is there
	State   State
}

const (
	frameWidth  = 200.0
	frameHeight = 150.0
)

// Frame draws a moment.
func (m *Model) Frame(f Frame) template.HTML {
	var p pen
	p.write(`<svg role="img" class="drawing-frame" viewBox="0 0 ` + num(frameWidth) + " " + num(frameHeight) +
		`" aria-label="` + html.EscapeString(f.Name+": "+f.Text) + `">`)
	v := m.vessels[Display][0]
	const room, high, floor = 150.0, 84.0, 136.0
	scale := min(room/v.length, high/v.height)
	width, height := v.length*scale, v.height*scale
	x, top := 10.0, floor-height
	water := math.Max(0, math.Min(height, (v.water+f.LevelMM)*scale))
	normal := floor - v.water*scale
	p.rect(x, floor-water, width, water, attr{"class", "drawing-water"}, attr{"fill", "currentColor"},
		attr{"fill-opacity", "0.2"})
	p.path("M"+num(x)+" "+num(normal)+"h"+num(width), attr{"stroke-dasharray", "2 4"}, attr{"stroke-opacity", "0.7"})
	p.path("M"+num(x)+" "+num(top)+"V"+num(floor)+"h"+num(width)+"V"+num(top), attr{"stroke-width", "3"},
		attr{"stroke-linejoin", "round"})
	if f.Spilled {
		p.path("M2 "+num(floor+7)+"h"+num(width+40), attr{"class", "drawing-water"}, attr{"stroke-width", "5"},
			attr{"stroke-linecap", "round"}, attr{"stroke-opacity", "0.6"})
	}
	failed := m.NameOf(f.Failed)
	p.rect(x, 8, min(widthOf(failed, textSize), room)+14, 22, attr{"rx", "6"},
		attr{"class", "drawing-box drawing-failed"}, attr{"fill", "none"}, attr{"stroke", "currentColor"},
		attr{"stroke-width", "2"}, attr{"stroke-dasharray", "4 3"})
	p.text(x+7, 23, shortened(failed, textSize, room), attr{"class", "drawing-name"})
	f.mark(&p, frameWidth-18, 19)
	if f.Alarmed {
		p.path("M"+num(frameWidth-24)+" 60v-14l12 -6v26l-12 -6zm15 -12l7 -4m-7 11h8m-8 7l7 4",
			attr{"stroke-width", "1.6"}, attr{"stroke-linejoin", "round"})
	}
	if f.Helped {
		p.element("circle", "", attr{"cx", num(frameWidth - 18)}, attr{"cy", "86"}, attr{"r", "6"},
			attr{"fill", "none"}, attr{"stroke", "currentColor"}, attr{"stroke-width", "1.8"})
		p.path("M"+num(frameWidth-18)+" 92v22m-9 -15h18m-9 15l-7 20m7 -20l7 20", attr{"stroke-width", "1.8"})
	}
	p.write("</svg>")
	return template.HTML(p.String()) // #nosec G203 -- drawn by pen, which escapes every text
}

// mark draws the state as a disc.
func (f Frame) mark(p *pen, x, y float64) {
	disc := func(fill string) {
		p.element("circle", "", attr{"cx", num(x)}, attr{"cy", num(y)}, attr{"r", "9"}, attr{"fill", fill},
			attr{"stroke", "currentColor"}, attr{"stroke-width", "1.6"})
	}
	switch f.State {
	case Lost:
		disc("currentColor")
	case Harmed:
		disc("none")
		p.path("M"+num(x-8)+" "+num(y+2)+"l10 -10m-6 15l13 -13m-7 15l7 -7", attr{"stroke-width", "2"})
	case Rescued:
		disc("none")
		p.element("path", "", attr{"d", "M" + num(x) + " " + num(y-9) + "a9 9 0 0 0 0 18z"},
			attr{"fill", "currentColor"})
	case Held:
		disc("none")
	}
}

// Mark draws a state alone, beside a line of text that says it too.
func Mark(state string) template.HTML {
	var p pen
	p.write(`<svg class="drawing-mark" viewBox="0 0 20 20" width="20" height="20" aria-hidden="true">`)
	Frame{State: State(state)}.mark(&p, 10, 10)
	p.write("</svg>")
	return template.HTML(p.String()) // #nosec G203 -- drawn by pen
}
