package drawing

import (
	"cmp"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"
)

// Part is one thing of a plan, drawn as a box with its name.
type Part struct {
	ID, Word string
	Member   string // where it stands in the plan: heaters/0; empty for what the plan only implies
	Zone     Zone
	Circuit  string // what it hangs on; empty: on none
	Battery  bool   // it works without its circuit
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
	assumed               bool // its proportions were not said
	name                  string
}

// Model is a plan as parts, vessels and lines.
type Model struct {
	Name     string
	Circuits []Part
	Parts    []Part
	Lines    []Line
	vessels  map[Zone][]vessel
}

// theMains and thePerson are what every plan has.
const (
	theMains      = "mains"
	thePerson     = "you"
	assumedSocket = "circuit"
)

// Of reads a plan's document, as encoding/json decodes it into any.
func Of(document map[string]any) *Model {
	p := element(document)
	m := &Model{Name: p.text("name"), vessels: map[Zone][]vessel{}}
	m.circuits(p.object("power"))
	hasSump := p["sump"] != nil
	for _, k := range allKinds(p) {
		for i, e := range p.list(k.List) {
			m.add(k, fmt.Sprintf("%s/%d", k.List, i), e, hasSump)
		}
	}
	m.paths(p)
	m.measure(p)
	return m
}

// allKinds is the table, and what else of the plan has ids.
func allKinds(p element) []kind {
	out := slices.Clone(kinds)
	for _, list := range slices.Sorted(maps.Keys(p)) {
		known := slices.ContainsFunc(out, func(k kind) bool { return k.List == list }) || list == "reservoirs"
		if items := p.list(list); !known && len(items) > 0 && items[0].text("id") != "" {
			out = append(out, kind{List: list, Word: wordFor(list), zone: always(Floor)})
		}
	}
	return out
}

func (m *Model) circuits(power element) {
	for i, e := range power.list("circuits") {
		m.Circuits = append(m.Circuits, Part{ID: e.text("id"), Word: "circuit", Zone: AtSupply,
			Member: fmt.Sprintf("power/circuits/%d", i), Battery: e.number("backup_h", 0) > 0})
	}
	if len(m.Circuits) == 0 {
		m.Circuits = []Part{{ID: assumedSocket, Word: "circuit, assumed", Zone: AtSupply}}
	}
}

func (m *Model) add(k kind, member string, e element, hasSump bool) {
	part := Part{ID: e.text("id"), Word: cmp.Or(e.text("kind"), e.text("role")), Member: member,
		Zone: k.zone(e, hasSump)}
	part.Word = worded(part.Word, k.Word)
	if own, _ := e["own_battery"].(bool); own {
		part.Battery = true
	}
	if !k.unfed {
		part.Circuit = cmp.Or(e.text("circuit"), m.Circuits[0].ID)
	}
	if e.text("kind") == "power" { // it hangs on what it watches, and feels when that is dead
		part.Circuit, part.Battery = cmp.Or(e.text("circuit"), m.Circuits[0].ID), true
	}
	m.Parts = append(m.Parts, part)
	style := Acts
	if k.told {
		style = Tells
	}
	if k.feels != "" {
		for _, from := range e.names(k.feels) {
			m.join(from, part.ID, style)
		}
	}
	if k.switches != "" {
		for _, to := range e.names(k.switches) {
			m.join(part.ID, to, Acts)
		}
	}
}

func worded(sort, word string) string {
	if sort == "" || sort == word {
		return word
	}
	return strings.ReplaceAll(sort, "_", " ") + " " + word
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
	network := cmp.Or(p.object("power").text("network_circuit"), m.Circuits[0].ID)
	var all []string
	for _, path := range slices.Sorted(maps.Keys(pathWords)) {
		var from []string
		for _, alarm := range p.list("alarms") {
			if alarm.text("path") == path {
				from = append(from, alarm.text("id"))
			}
		}
		if len(from) == 0 {
			continue
		}
		m.Lines = append(m.Lines, Line{from, []string{pathWords[path]}, Tells})
		all = append(all, pathWords[path])
		part := Part{ID: pathWords[path], Word: "way of an alarm", Zone: Paths}
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
		if slices.Contains(own, pathWords["network"]) {
			m.join(pathWords["network"], way.text("id"), Tells)
		}
	}
	persons := p.list("persons")
	if all := slices.Concat(own, named); len(persons) == 0 {
		if len(all) > 0 {
			m.Lines = append(m.Lines, Line{all, []string{thePerson}, Tells})
		}
		m.Parts = append(m.Parts, Part{ID: thePerson, Word: "person", Member: "attendance", Zone: Person})
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
			if word := pathWords[way]; word != "" {
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
		name: "display", length: display.number("length_mm", edge), water: depth,
		height: depth + display.number("freeboard_mm", usualFreeboard), assumed: !said,
	}}
	if sump := p.object("sump"); sump != nil {
		water := sump.number("water_level_mm", 200)
		m.vessels[Sump] = []vessel{{name: "sump", length: sump.number("length_mm", 500), water: water,
			height: sump.number("height_mm", 2*water)}}
	}
	for _, r := range p.list("reservoirs") {
		edge := cube(r.number("volume_l", 10))
		_, said := r["length_mm"]
		length, width := r.number("length_mm", edge), r.number("width_mm", edge)
		const cubicMMPerLitre = 1e6
		high := r.number("volume_l", 10) * cubicMMPerLitre / (length * width)
		m.vessels[Store] = append(m.vessels[Store], vessel{
			name: r.text("id"), length: length, height: high * 1.08, water: high, assumed: !said})
	}
}

// Part returns the part of an id, or nil.
func (m *Model) Part(id string) *Part {
	for _, list := range [][]Part{m.Parts, m.Circuits} {
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

// Shared lists the parts that both a protection and what it protects hang on: sensors that a control and another
// control or an alarm read.
func (m *Model) Shared() []string {
	uses, acts := map[string]int{}, map[string]bool{}
	for _, l := range m.Lines {
		p := m.Part(l.From[0])
		if p == nil || p.Zone == Controls || p.Zone == Alarms || p.Zone == Paths {
			continue
		}
		uses[p.ID] += len(l.To)
		acts[p.ID] = acts[p.ID] || l.Style == Acts
	}
	var out []string
	for _, p := range m.Parts {
		if acts[p.ID] && uses[p.ID] > 1 {
			out = append(out, p.ID)
		}
	}
	return out
}

// Dead lists what no longer works when a part fails for good: itself, what hangs on it, and what only it can tell.
func (m *Model) Dead(failed string) []string {
	if failed == theMains {
		var out []string
		for _, c := range m.Circuits {
			if !c.Battery {
				out = append(out, m.Dead(c.ID)...)
			}
		}
		return out
	}
	out := []string{failed}
	for _, p := range m.Parts {
		if p.Circuit == failed && !p.Battery && p.Circuit != "" {
			out = append(out, p.ID)
		}
	}
	return out
}
