package webdocs

import (
	"encoding/json"
	"net/url"
	"strconv"
	"strings"

	"saltwright/clients/reading"
	"saltwright/internal/contract"
)

// labelled is the parameter that names the units of the labels beside which numbers were typed, so that a number
// without a unit keeps its meaning when the reader chooses other units. Without it they were the contract's units.
const labelled = "labelled"

const usUnits = "us"

// query is what was filled in as the API takes it, without what was left empty: each number in the contract's unit.
// What could not be read goes on as it is, to be refused, and unclear says why.
func (x *calculator) query(values url.Values) (asked url.Values, unclear map[string]string) {
	asked, unclear = url.Values{}, map[string]string{}
	for name, list := range values {
		for _, v := range list {
			v = strings.TrimSpace(v)
			m := x.post.Body.Member(name)
			if v == "" || name == labelled || name == languageParameter {
				continue
			}
			us := values.Get(labelled) == usUnits
			var err error
			var shown string // the unit beside the field
			switch {
			case m == nil:
			case m.Schema.Type == "number" || m.Schema.Type == "integer":
				v, err = oneOf(v, wanted(m, us))
				shown = m.Schema.Unit
			case m.Schema.Type == "array" && m.Schema.Items != nil && m.Schema.Items.Type == "number":
				v, err = listOf(v, wanted(&contract.Member{Name: m.Name, Schema: m.Schema.Items}, us))
				shown = m.Schema.Items.Unit
			}
			if err != nil {
				unclear[name] = unclearIn(x.voice, err, unitFor(shown, values.Get("units") == usUnits))
			}
			asked.Add(name, v)
		}
	}
	return asked, unclear
}

// oneOf reads a number; what cannot be read comes back as it is.
func oneOf(written string, w reading.Wanted) (string, error) {
	number, err := reading.Field(written, w)
	if err != nil {
		return written, err
	}
	return strconv.FormatFloat(number, 'g', -1, 64), nil
}

// listOf reads numbers that stand behind commas or semicolons: "100 W, 150, 200 W". Only between semicolons may a comma
// be a decimal mark.
func listOf(written string, w reading.Wanted) (string, error) {
	mark := ","
	if strings.Contains(written, ";") {
		mark = ";"
	}
	var out []string
	for _, part := range strings.Split(written, mark) {
		if part = strings.TrimSpace(part); part == "" {
			continue
		}
		v, err := oneOf(part, w)
		if err != nil {
			return written, err
		}
		out = append(out, v)
	}
	return strings.Join(out, ","), nil
}

func wanted(m *contract.Member, us bool) reading.Wanted {
	s := m.Schema
	salinity := strings.HasSuffix(m.Name, "_psu")
	return reading.Wanted{
		Unit: s.Unit, US: us, Salinity: salinity, Inclusive: !salinity && s.Maximum != nil && *s.Maximum <= 1,
	}
}

// document is what was filled in as the body that the API takes: one lamp. What could not be read goes on as a text, to
// be refused, and unclear says why.
func (x *calculator) document(values url.Values) (body []byte, unclear map[string]string, err error) {
	unclear = map[string]string{}
	lamp := map[string]any{"id": "lamp"}
	doc := map[string]any{"channels": []any{lamp}}
	for _, m := range x.members() {
		written := strings.TrimSpace(values.Get(m.Name))
		if written == "" {
			continue
		}
		var v any = written
		if m.Schema.Type == "number" || m.Schema.Type == "integer" {
			us := values.Get(labelled) == usUnits
			number, why := reading.Field(written, wanted(m, us))
			if v = number; why != nil {
				v = written
				unclear[m.Name] = unclearIn(x.voice, why, unitFor(m.Schema.Unit, values.Get("units") == usUnits))
			}
		}
		if name, of := strings.CutPrefix(m.Name, "channels/0/"); of {
			lamp[name] = v
		} else {
			doc[m.Name] = v
		}
	}
	body, err = json.MarshalIndent(doc, "", "  ")
	return body, unclear, err
}
