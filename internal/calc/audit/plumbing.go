package audit

import "saltwright/internal/calc/text"

// plumbing adds the ways in which overflows and return lines fail. Where a line has a hole and a check valve, the valve
// is not counted on.
func (b *faultList) plumbing() {
	for i, x := range b.p.Leaks {
		b.add(string(x.Kind)+" leak", x.ID, at(i), text.Params{"element": x.ID, "flow": x.FlowLH})
	}
	for i, x := range b.p.Overflows {
		b.add("overflow", x.ID, at(i), element(x.ID))
	}
	for i, x := range b.p.ReturnLines {
		switch {
		case x.SiphonHole:
			b.add("siphon hole", x.ID, at(i), element(x.ID))
		case x.CheckValve:
			b.add("check valve", x.ID, at(i), element(x.ID))
		}
	}
}
