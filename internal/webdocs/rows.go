package webdocs

import (
	"saltwright/internal/contract"
	"saltwright/internal/phrase"
)

// memberTable lists the members of a schema in a language.
type memberTable struct {
	Voice *phrase.Voice
	Rows  []memberRow
}

// memberRow is one line of the table of members.
type memberRow struct {
	Name, Meaning, Unit, Range, Default, Link, Kind string
	Required, Listed                                bool // Listed: a list of what Link names
}

func rowOf(v *phrase.Voice, name string, required bool, s *contract.Schema) memberRow {
	row := memberRow{
		Name: name, Required: required, Kind: kindIn(v, s), Meaning: sentence(v.Contract(s.Description)),
		Unit: unitText(s.Unit), Range: rangeFor(v, s, false), Default: defaultFor(v, s, false),
	}
	if s.Default != nil && len(s.Enum) > 0 {
		row.Default = s.DefaultText // a word to send, as the range lists it
	}
	return row
}

// kindIn is the type of a value in words.
func kindIn(v *phrase.Voice, s *contract.Schema) string {
	if code := "kind_" + s.Type; v.Has(code) {
		return v.Say(code)
	}
	return s.Type
}

// rowsOf lists the members of a schema.
func rowsOf(v *phrase.Voice, s *contract.Schema) []memberRow {
	var out []memberRow
	for _, m := range s.Members {
		r := rowOf(v, m.Name, m.Required, m.Schema)
		switch {
		case linked(m.Schema):
			r.Link = m.Schema.Name
		case linked(m.Schema.Items):
			r.Link, r.Listed = m.Schema.Items.Name, true
		case m.Schema.Items != nil:
			r.Kind = v.Say("list_of", "what", kindIn(v, m.Schema.Items))
		}
		out = append(out, r)
	}
	return out
}

func tableOf(v *phrase.Voice, s *contract.Schema) *memberTable { return &memberTable{v, rowsOf(v, s)} }

// linked tells whether a schema has a page that says more than a line of a table can.
func linked(s *contract.Schema) bool { return s != nil && s.Name != "" && len(s.Members) > 0 }
