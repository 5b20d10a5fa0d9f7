package drawing

import (
	"cmp"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"saltwright/internal/phrase"
)

// Part is one thing of a plan, drawn as a box with its name.
type Part struct {
	ID, Name string // Name is its id, but for what the plan only implies, which has a name of the reader's language
	Word     string // what it is
	Member   string // where it stands in the plan: heaters/0; empty for what the plan only implies
	Zone     Zone
	Circuit  string // what it hangs on; empty: on none
	Battery  bool   // it works without its circuit
	Box      string // the box that holds it, of a sensor: the rest hangs on its box
	sensor   bool
	guards   bool // a control that cuts
	contacts bool // a contactor
	keeps    bool // a box whose outputs do not open when it dies
}

// Meaning is what a line means.
type Meaning string

// The meanings of lines.
const (
	Supply Meaning = "supply"
	Acts   Meaning = "acts"
	Tells  Meaning = "tells"
)

// Line leads from parts to others. Several alarms that travel one way share a line.
type Line struct {
	From  []string
	To    []string
	Style Meaning
}

// vessel is what holds water, in millimetres.
type vessel struct {
	length, height, water float64
	assumed               bool   // its proportions were not said
	name                  string // of a reservoir its id
	label                 string // what is written into it
}

// Model is a plan as parts, vessels and lines.
type Model struct {
	Name     string
	Supplies []Part // what others hang on, each after what it hangs on itself: circuits, strips, boxes
	Parts    []Part
	Lines    []Line
	voice    *phrase.Voice
	vessels  map[Zone][]vessel
	first    string            // the circuit of what names none
	boxed    map[string]string // by id of a part: the box that holds it
}

// theMains and thePerson are what every plan has.
const (
	theMains      = "mains"
	thePerson     = "you"
	assumedSocket = "circuit"
)

// implied are the names of what a plan only implies.
var implied = map[string]string{
	theMains: "drawing_mains", thePerson: "drawing_you", assumedSocket: "part_circuits",
	pathIDs["network"]: "drawing_network", pathIDs["cellular"]: "drawing_cellular",
	pathIDs["audible"]: "drawing_audible",
}

// Of reads a plan's document, as encoding/json decodes it into any, for readers of a language.
func Of(document map[string]any, voice *phrase.Voice) *Model {
	p := element(document)
	m := &Model{Name: p.text("name"), voice: voice, vessels: map[Zone][]vessel{}, boxed: map[string]string{}}
	m.supplies(p)
	hasSump := p["sump"] != nil
	for _, k := range allKinds(p) {
		for i, e := range p.list(k.List) {
			m.add(k, fmt.Sprintf("%s/%d", k.List, i), e, hasSump)
		}
	}
	m.paths(p)
	m.measure(p)
	for _, list := range [][]Part{m.Parts, m.Supplies} {
		for i := range list {
			list[i].Name = m.NameOf(list[i].ID)
		}
	}
	return m
}

// NameOf is what a part of an id is called.
func (m *Model) NameOf(id string) string {
	code, own := implied[id]
	p := m.Part(id)
	if !own || p != nil && p.Member != "" && id != thePerson {
		return id
	}
	return m.voice.Say(code)
}

// wordOf says what an element of a list is, by its kind where the list has several.
func (m *Model) wordOf(list, kind string) string {
	list = list[strings.LastIndex(list, "/")+1:]
	for _, code := range []string{"part_" + list + "_" + kind, "part_" + list} {
		if m.voice.Has(code) {
			return m.voice.Say(code)
		}
	}
	return m.voice.Contract(strings.ReplaceAll(list, "_", " "))
}

// allKinds is the table, and what else of the plan has ids.
func allKinds(p element) []kind {
	out := slices.Clone(kinds)
	for _, list := range slices.Sorted(maps.Keys(p)) {
		known := list == "reservoirs" || list == "boxes" ||
			slices.ContainsFunc(out, func(k kind) bool { return k.List == list })
		if items := p.list(list); !known && len(items) > 0 && items[0].text("id") != "" {
			out = append(out, kind{List: list, zone: always(Floor)})
		}
	}
	return out
}

// supplies reads the supply tree from the mains down, and the boxes, which feed what they hold.
func (m *Model) supplies(p element) {
	power := p.object("power")
	carried := map[string]bool{}
	for _, b := range power.list("backups") {
		for _, id := range b.names("supplies") {
			carried[id] = true
		}
	}
	add := func(list string, from element, feeder func(e element) string) {
		for i, e := range from.list(list[strings.LastIndex(list, "/")+1:]) {
			m.Supplies = append(m.Supplies, Part{ID: e.text("id"), Word: m.wordOf(list, ""), Zone: AtSupply,
				Member: fmt.Sprintf("%s/%d", list, i), Circuit: feeder(e),
				Battery: e.number("backup_h", 0) > 0 || carried[e.text("id")],
				keeps:   cmp.Or(e.text("dead_outputs"), "open") != "open"})
		}
	}
	add("power/residual_current_devices", power, func(element) string { return theMains })
	add("power/circuits", power, func(e element) string {
		return cmp.Or(e.text("residual_current_device"), theMains)
	})
	if m.first = assumedSocket; len(power.list("circuits")) > 0 {
		m.first = power.list("circuits")[0].text("id")
	} else {
		m.Supplies = append(m.Supplies, Part{ID: assumedSocket, Zone: AtSupply,
			Word:    m.voice.Say("part_circuit_assumed"),
			Circuit: theMains})
	}
	add("power/strips", power, func(e element) string { return cmp.Or(e.text("supply"), m.first) })
	m.sortStrips()
	add("boxes", p, func(e element) string { return cmp.Or(e.text("supply"), e.text("circuit"), m.first) })
	for _, e := range p.list("boxes") {
		for _, id := range e.names("holds") {
			m.boxed[id] = e.text("id")
		}
	}
	for i, e := range power.list("backups") {
		m.Parts = append(m.Parts, Part{ID: e.text("id"), Word: m.wordOf("backups", e.text("kind")), Zone: AtSupply,
			Member: fmt.Sprintf("power/backups/%d", i)})
		for _, id := range e.names("supplies") {
			m.join(e.text("id"), id, Acts)
		}
	}
}

// sortStrips puts every strip after what it is plugged into, wherever the plan names it.
func (m *Model) sortStrips() {
	var out []Part
	left := m.Supplies
	for len(left) > 0 {
		var later []Part
		for _, s := range left {
			known := s.Circuit == theMains || !slices.ContainsFunc(left, func(o Part) bool { return o.ID == s.Circuit })
			if known {
				out = append(out, s)
			} else {
				later = append(later, s)
			}
		}
		if len(later) == len(left) { // a ring, which the plan's check refuses
			out, later = append(out, later...), nil
		}
		left = later
	}
	m.Supplies = out
}

func (m *Model) add(k kind, member string, e element, hasSump bool) {
	part := Part{ID: e.text("id"), Word: m.wordOf(k.List, cmp.Or(e.text("kind"), e.text("role"))), Member: member,
		Zone: k.zone(e, hasSump)}
	part.sensor, part.guards = k.List == "sensors", e.text("kind") == "supervisor"
	part.contacts = k.List == "contactors"
	if own, _ := e["own_battery"].(bool); own {
		part.Battery = true
	}
	on := cmp.Or(m.boxed[part.ID], e.text("supply"), e.text("circuit"), m.first)
	switch {
	case e.text("kind") == "power" && k.List == "sensors": // it hangs on what it watches, and feels when that is dead
		part.Circuit, part.Battery = cmp.Or(e.text("circuit"), m.first), true
	case !k.unfed:
		part.Circuit = on
	default:
		part.Box = m.boxed[part.ID]
	}
	m.Parts = append(m.Parts, part)
	style := Acts
	if k.told {
		style = Tells
	}
	for _, member := range k.feels {
		for _, from := range e.names(member) {
			m.join(from, part.ID, style)
		}
	}
	if k.switches != "" {
		for _, to := range e.names(k.switches) {
			m.join(part.ID, to, Acts)
		}
	}
}

// join adds a line, or a branch to the one that leaves the same part in the same style.
func (m *Model) join(from, to string, style Meaning) {
	for i := range m.Lines {
		if l := &m.Lines[i]; len(l.From) == 1 && l.From[0] == from && l.Style == style {
			if !slices.Contains(l.To, to) {
				l.To = append(l.To, to)
			}
			return
		}
	}
	m.Lines = append(m.Lines, Line{[]string{from}, []string{to}, style})
}

// paths adds how alarms travel, and who is told.
func (m *Model) paths(p element) {
	network := cmp.Or(p.object("power").text("network_circuit"), m.first)
	var all []string
	for _, path := range slices.Sorted(maps.Keys(pathIDs)) {
		var from []string
		for _, alarm := range p.list("alarms") {
			if alarm.text("path") == path {
				from = append(from, alarm.text("id"))
			}
		}
		if len(from) == 0 {
			continue
		}
		m.Lines = append(m.Lines, Line{from, []string{pathIDs[path]}, Tells})
		all = append(all, pathIDs[path])
		part := Part{ID: pathIDs[path], Word: m.voice.Say("part_path"), Zone: Paths}
		if path == "network" {
			part.Circuit = network
		}
		m.Parts = append(m.Parts, part)
	}
	m.persons(p, all)
}

// persons adds who hears of it by which way. Alarms that go over the home network go by the routers of the plan.
func (m *Model) persons(p element, own []string) {
	for _, alarm := range p.list("alarms") {
		for _, way := range alarm.names("paths") {
			m.join(alarm.text("id"), way, Tells)
		}
	}
	var named []string
	for _, list := range []string{"routers", "modems"} {
		for _, way := range p.list(list) {
			named = append(named, way.text("id"))
		}
	}
	for _, way := range p.list("routers") {
		if slices.Contains(own, pathIDs["network"]) {
			m.join(pathIDs["network"], way.text("id"), Tells)
		}
	}
	persons := p.list("persons")
	if all := slices.Concat(own, named); len(persons) == 0 {
		if len(all) > 0 {
			m.Lines = append(m.Lines, Line{all, []string{thePerson}, Tells})
		}
		m.Parts = append(m.Parts, Part{ID: thePerson, Word: m.voice.Say("part_person"),
			Member: "attendance", Zone: Person})
		return
	}
	for _, person := range persons {
		by := person.names("reached_by")
		if len(by) == 0 {
			by = append(slices.Clone(named), "cellular")
			if len(p.list("routers")) == 0 {
				by = append(by, "network")
			}
		}
		for _, way := range by {
			if word := pathIDs[way]; word != "" {
				if !slices.Contains(own, word) {
					continue
				}
				way = word
			}
			m.join(way, person.text("id"), Tells)
		}
	}
}

const (
	mmPerLitreEdge = 100.0 // the edge of a cube of one litre
	usualFreeboard = 40.0
)

// cube is the edge of a cube of so many litres.
func cube(litres float64) float64 { return mmPerLitreEdge * math.Cbrt(litres) }

func (m *Model) measure(p element) {
	display := p.object("display")
	edge := cube(display.number("volume_l", 100))
	_, said := display["length_mm"]
	depth := display.number("water_depth_mm", edge)
	m.vessels[Display] = []vessel{{
		name: "display", label: m.voice.Say("vessel_display"), length: display.number("length_mm", edge), water: depth,
		height: depth + display.number("freeboard_mm", usualFreeboard), assumed: !said,
	}}
	if sump := p.object("sump"); sump != nil {
		water := sump.number("water_level_mm", 200)
		m.vessels[Sump] = []vessel{{name: "sump", label: m.voice.Say("vessel_sump"),
			length: sump.number("length_mm", 500), water: water, height: sump.number("height_mm", 2*water)}}
	}
	for _, r := range p.list("reservoirs") {
		edge := cube(r.number("volume_l", 10))
		_, said := r["length_mm"]
		length, width := r.number("length_mm", edge), r.number("width_mm", edge)
		const cubicMMPerLitre = 1e6
		high := r.number("volume_l", 10) * cubicMMPerLitre / (length * width)
		m.vessels[Store] = append(m.vessels[Store], vessel{
			name: r.text("id"), label: r.text("id"), length: length, height: high * 1.08, water: high, assumed: !said})
	}
}

// HasSump tells whether the plan has a sump, whose level moves in place of the display's.
func (m *Model) HasSump() bool { return len(m.vessels[Sump]) > 0 }

// Part returns the part of an id, or nil.
func (m *Model) Part(id string) *Part {
	for _, list := range [][]Part{m.Parts, m.Supplies} {
		for i := range list {
			if list[i].ID == id {
				return &list[i]
			}
		}
	}
	return nil
}

// touches tells whether a line belongs to a part.
func (l Line) touches(id string) bool {
	return slices.Contains(l.From, id) || slices.Contains(l.To, id)
}
