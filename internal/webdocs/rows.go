package webdocs

import "saltwright/internal/contract"

// memberRow is one line of the table of members.
type memberRow struct {
	Name, Meaning, Unit, Range, Default, Link, Kind string
	Required                                        bool
}

func rowsOf(s *contract.Schema) []memberRow {
	var out []memberRow
	for _, m := range s.Members {
		r := memberRow{Name: m.Name, Meaning: sentence(m.Schema.Description), Unit: unitText(m.Schema.Unit), Range: rangeText(m.Schema), Default: defaultText(m.Schema), Kind: m.Schema.Type, Required: m.Required}
		switch {
		case m.Schema.Name != "":
			r.Link = m.Schema.Name
		case m.Schema.Items != nil && m.Schema.Items.Name != "":
			r.Link, r.Kind = m.Schema.Items.Name, "list"
		case m.Schema.Items != nil:
			r.Kind = "list of " + m.Schema.Items.Type
		}
		out = append(out, r)
	}
	return out
}
