package webdocs

import (
	"encoding/json"
	"errors"
	"fmt"
	"strings"

	"saltwright/internal/catalogue"
	"saltwright/internal/chart"
	"saltwright/internal/contract"
	"saltwright/internal/phrase"
	"saltwright/internal/unit"
)

// result is an answer of the API as a page shows it.
type result struct {
	Headline, Summary   string
	Main, KeyFigures    []keyFigure // what is shown large, and the rest
	Do                  string      // the heading over the actions
	Actions             []string
	Cautions, Warnings  []string
	Values              []block
	Assumptions         []assumed
	Sensitivity         []block
	Model, ModelVersion string
	Sources             []string
	Charts              []chart.Chart
	JSON                string // of answers that have no address
}

type assumed struct{ Name, Pointer, Value, Why, Source, Note string }

// block is a part of an answer: lines, a table, or parts of its own.
type block struct {
	Title string
	Rows  []line
	Head  []column
	Cells [][]string
	Parts []block
}

type line struct{ Name, Member, Value, Meaning string }

type column struct{ Name, Unit, Meaning string }

// readResult reads an answer whose texts were asked in a system of units, so that no number beside them is in
// another.
func readResult(x *calculator, data []byte, units string) (*result, error) {
	v, err := decode(data)
	if err != nil {
		return nil, err
	}
	top, ok := v.(object)
	if !ok {
		return nil, errors.New("webdocs: the answer is no object")
	}
	answer := answerOf(x.operation())
	r := &result{Headline: x.inWords(top.text("headline"))}
	r.Summary = x.inWords(strings.TrimSpace(strings.TrimPrefix(top.text("summary"), top.text("headline"))))
	for _, f := range top.list("key_figures") {
		r.KeyFigures = append(r.KeyFigures, keyFigure{f.text("code"), f.text("label"), f.text("text")})
	}
	r.Main, r.KeyFigures = x.hand.largest(r.KeyFigures)
	if r.Do = x.hand.do; r.Do == "" {
		r.Do = "do_do"
	}
	r.Do = x.voice.Say(r.Do)
	actions, _ := top.get("actions").([]any)
	for _, a := range actions {
		r.Actions = append(r.Actions, x.inWords(fmt.Sprint(a)))
	}
	for _, c := range top.list("cautions") {
		r.Cautions = append(r.Cautions, c.text("message"))
	}
	for _, w := range top.list("warnings") {
		r.Warnings = append(r.Warnings, x.inWords(w.text("message")))
	}
	texts, us := map[string]string{}, units == usUnits
	for _, f := range top.list("formatted") {
		texts[f.text("pointer")] = f.text("text")
	}
	if m := answer.Member("result"); m == nil { // no envelope
		r.Values = blocks("", answer, top, "", told{x: x, us: us})
	} else {
		r.Values = blocks(x.voice.Say("result"), m.Schema, top.get("result"), "/result", told{x, texts, us})
	}
	if m := answer.Member("sensitivity"); m != nil && top.get("sensitivity") != nil {
		r.Sensitivity = blocks(x.voice.Say("how_sure_part"), m.Schema, top.get("sensitivity"), "/sensitivity",
			told{x: x, us: us})
	}
	if r.Charts, err = chartsOf(data); err != nil {
		return nil, err
	}
	if len(r.Charts) > 0 && r.Charts[0].Title == r.Headline { // said once
		r.Charts[0].Title, r.Charts[0].Sentence = r.Charts[0].Sentence, ""
	}
	for _, a := range top.list("assumptions") {
		pointer, unit := a.text("pointer"), a.text("unit")
		s := &contract.Schema{Unit: unit}
		if m := memberAt(x.post.Body, strings.TrimPrefix(pointer, "#/")); m != nil {
			s = m.Schema
		}
		r.Assumptions = append(r.Assumptions, assumed{
			Name: x.pointerName(pointer, unit), Pointer: pointer,
			Value: told{x: x, us: us}.value("", a.get("value"), s),
			Why:   x.reason(a.text("why")), Source: a.text("source"), Note: x.inWords(a.text("note")),
		})
	}
	if m, ok := top.get("model").(object); ok {
		r.Model, r.ModelVersion = m.text("name"), m.text("version")
		keys, _ := m.get("sources").([]any)
		for _, k := range keys {
			r.Sources = append(r.Sources, fmt.Sprint(k))
		}
	}
	return r, nil
}

// chartsOf reads the pictures of an answer.
func chartsOf(data []byte) ([]chart.Chart, error) {
	var drawn struct {
		Charts []chart.Chart `json:"charts"`
	}
	if err := json.Unmarshal(data, &drawn); err != nil {
		return nil, fmt.Errorf("webdocs: charts: %w", err)
	}
	return drawn.Charts, nil
}

// answerOf is the schema of the JSON that an operation answers with.
func answerOf(o *contract.Operation) *contract.Schema {
	if a := o.Answer("200", "application/json"); a != nil {
		return a.Schema
	}
	return &contract.Schema{}
}

// flat tells whether a value fits into one cell.
func flat(v any) bool {
	switch v := v.(type) {
	case object:
		return false
	case []any:
		for _, x := range v {
			if _, ok := x.(object); ok {
				return false
			}
		}
	}
	return true
}

// A table of an answer has at most so many columns, and no longer texts if it has more than three.
const (
	widest      = 12
	longestCell = 80
)

// told is how values are told: as the answer's own text where it has one, and otherwise by the table of quantities
// where the reader's unit is another than the contract's.
type told struct {
	x     *calculator
	texts map[string]string // by pointer
	us    bool
}

func (t told) speaker() *catalogue.Speaker { return speakerOf(t.x.voice, t.us) }

// speakerOf says quantities in a voice's language.
func speakerOf(v *phrase.Voice, us bool) *catalogue.Speaker {
	if us {
		return catalogue.Reader{Language: v.Language, Units: catalogue.US}.Speaker()
	}
	return catalogue.Reader{Language: v.Language, Units: catalogue.Metric}.Speaker()
}

func (t told) converted(s *contract.Schema) bool { return t.us && unit.Of(s.Unit).US != "" }

// value is a value with its unit.
func (t told) value(at string, v any, s *contract.Schema) string {
	if text, ok := t.texts[at]; ok {
		return text
	}
	if n, ok := v.(json.Number); ok && (t.converted(s) || s.Quantity == "share") {
		if x, err := n.Float64(); err == nil {
			return t.speaker().Number(x, s.Quantity, s.Unit)
		}
	}
	return withUnit(t.x.scalar(v, s), s.Unit)
}

// head is the unit in the head of a column; none where the cells have their own.
func (t told) head(contractUnit string) string {
	if t.converted(&contract.Schema{Unit: contractUnit}) {
		return ""
	}
	return unitText(contractUnit)
}

// cell is a value in a column whose head has the unit.
func (t told) cell(at string, v any, m *contract.Member) string {
	switch {
	case m != nil && (t.converted(m.Schema) || m.Schema.Quantity == "share"):
		if v == nil {
			return ""
		}
		return t.value(at, v, m.Schema)
	case t.texts[at] != "":
		return t.texts[at]
	case v == nil:
		return ""
	}
	if m == nil { // of an answer that the contract leaves open, such as one in a batch
		return t.x.scalar(v, &contract.Schema{})
	}
	return t.x.scalar(v, m.Schema)
}

// blocks shows one object of an answer: its plain values as lines, its lists as tables, the rest as parts.
func blocks(title string, s *contract.Schema, v any, pointer string, t told) []block {
	o, ok := v.(object)
	if !ok {
		return nil
	}
	main := block{Title: title}
	var out []block
	for _, p := range o {
		at := pointer + "/" + p.key
		ms := &contract.Schema{}
		if m := s.Member(p.key); m != nil {
			ms = m.Schema
		}
		name := capital(t.x.memberName(p.key, ms))
		switch value := p.value.(type) {
		case object:
			out = append(out, blocks(name, ms, value, at, t)...)
		case []any:
			if flat(value) {
				text := withUnit(t.x.scalar(value, ms), ms.Unit)
				main.Rows = append(main.Rows, line{name, p.key, text, sentence(t.x.voice.Contract(ms.Description))})
				continue
			}
			item := ms.Items
			if item == nil {
				item = &contract.Schema{}
			}
			out = append(out, table(name, item, value, at, t))
		default:
			main.Rows = append(main.Rows,
				line{name, p.key, t.value(at, value, ms), sentence(t.x.voice.Contract(ms.Description))})
		}
	}
	if len(main.Rows) > 0 {
		out = append([]block{main}, out...)
	}
	return out
}

// table shows a list of objects: as a table if they are plain and narrow, else each as a part.
func table(title string, item *contract.Schema, list []any, pointer string, t told) block {
	b := block{Title: title}
	var keys []string
	seen := map[string]bool{}
	plain := true
	for _, v := range list {
		o, ok := v.(object)
		if !ok {
			continue
		}
		for _, p := range o {
			plain = plain && flat(p.value)
			if text, ok := p.value.(string); ok && len(o) > 3 && len(text) > longestCell {
				plain = false
			}
			if !seen[p.key] {
				seen[p.key] = true
				keys = append(keys, p.key)
			}
		}
	}
	if !plain || len(keys) > widest {
		for i, v := range list {
			o, _ := v.(object)
			parts := blocks("", item, o, fmt.Sprintf("%s/%d", pointer, i), t)
			b.Parts = append(b.Parts, block{Title: itemTitle(t.x.voice, o, i), Parts: parts})
		}
		return b
	}
	for _, key := range keys {
		c := column{Name: capital(t.x.memberName(key, &contract.Schema{}))}
		if m := item.Member(key); m != nil {
			c = column{capital(t.x.memberName(key, m.Schema)), t.head(m.Schema.Unit),
				sentence(t.x.voice.Contract(m.Schema.Description))}
		}
		b.Head = append(b.Head, c)
	}
	for i, v := range list {
		o, _ := v.(object)
		var cells []string
		for _, key := range keys {
			cells = append(cells, t.cell(fmt.Sprintf("%s/%d/%s", pointer, i, key), o.get(key), item.Member(key)))
		}
		b.Cells = append(b.Cells, cells)
	}
	return b
}

// itemTitle names one of a list by what it says of itself.
func itemTitle(voice *phrase.Voice, o object, i int) string {
	for _, key := range []string{"sentence", "message", "name", "id", "title", "pointer", "room", "code", "kind"} {
		if text := o.text(key); text != "" {
			if severity := o.text("severity"); severity != "" && key == "message" {
				text = severity + ": " + text
			}
			return capital(text)
		}
	}
	if len(o) > 0 && flat(o[0].value) {
		return capital(strings.ReplaceAll(o[0].key, "_", " ")) + " " + scalarText(voice, o[0].value)
	}
	return fmt.Sprintf("%d", i+1)
}
