package webdocs

import "saltwright/internal/contract"

// memberRow is one line of the table of members.
type memberRow struct {
	Name, Meaning, Unit, Range, Default, Link, Kind string
	Required                                        bool
}

func rowOf(name string, required bool, s *contract.Schema) memberRow {
	return memberRow{
		Name: name, Required: required, Kind: s.Type, Meaning: sentence(s.Description), Unit: unitText(s.Unit),
		Range: rangeText(s), Default: defaultText(s),
	}
}

// rowsOf lists the members of a schema.
func rowsOf(s *contract.Schema) []memberRow {
	var out []memberRow
	for _, m := range s.Members {
		r := rowOf(m.Name, m.Required, m.Schema)
		switch {
		case linked(m.Schema):
			r.Link = m.Schema.Name
		case linked(m.Schema.Items):
			r.Link, r.Kind = m.Schema.Items.Name, "list"
		case m.Schema.Items != nil:
			r.Kind = "list of " + m.Schema.Items.Type
		}
		out = append(out, r)
	}
	return out
}

// linked tells whether a schema has a page that says more than a line of a table can.
func linked(s *contract.Schema) bool { return s != nil && s.Name != "" && len(s.Members) > 0 }
