package bot

import "saltwright/clients/reading"

// Stated is what a question says about one member.
type Stated struct {
	reading.Quantity
	Name string // of the member
	Said string // as written, with the word that names it
}

// Question is what was read from a text. The service can be asked when nothing is missing and there is no trouble.
type Question struct {
	Topic    *Topic // nil when none was found
	Several  []*Topic
	Nearest  *Topic            // the topic with the most similar word when none was found
	Values   map[string]Stated // by the name of the member
	Missing  []string          // what the person must add
	Troubles []reading.Trouble
	Unused   []string // numbers that were read and not used
	Lid      string   // open, screen or closed; empty when not said
	// Instrument is hydrometer, refractometer or brine refractometer; empty when not said.
	Instrument string
	US         bool // the person writes US units
	system     reading.System
	volume     *piece                    // beside a box that has its own
	systems    map[string]reading.System // of the members that must be stated again
}

// Complete reports whether the service can be asked.
func (q Question) Complete() bool {
	return q.Topic != nil && len(q.Missing) == 0 && len(q.Troubles) == 0
}

// doubt records a part of the text that is unclear, and why.
func (q *Question) doubt(text, why string) {
	q.Troubles = append(q.Troubles, reading.Trouble{Text: text, Why: why})
}

func (q *Question) put(member, name, said string, quantity reading.Quantity) {
	if old, twice := q.Values[member]; twice {
		if old.InContractUnit() != quantity.InContractUnit() {
			q.doubt(said, "is the "+name+" for a second time, after "+old.Text+": say it once")
		}
		return
	}
	q.Values[member] = Stated{Quantity: quantity, Name: name, Said: said}
}

// scale returns the contract's name for the scale of the reading, which depends on its unit and the instrument; empty
// without a reading.
func (q *Question) scale() string {
	v, ok := q.Values[valueMember]
	switch {
	case !ok:
		return ""
	case v.Unit.Dimension == reading.SpecificGravity && q.Instrument == "hydrometer":
		return uncorrected
	case v.Unit.Dimension == reading.Practical && q.Instrument == "refractometer":
		return "refractometer_seawater_psu"
	case v.Unit.Dimension == reading.Practical && q.Instrument == "brine refractometer":
		return "refractometer_brine_g_kg"
	}
	return scales[v.Unit.Dimension]
}

// Members returns the members of the request.
func (q Question) Members() map[string]any {
	out := map[string]any{}
	if q.Lid != "" {
		out["lid"] = q.Lid
	}
	for m, v := range q.Values {
		out[m] = v.InContractUnit()
		if m == valueMember {
			out[scaleMember] = q.scale()
		}
	}
	return out
}

// ReadAs lists what was understood, member by member, for the person to check.
func (q Question) ReadAs() []string {
	var out []string
	done := map[string]bool{}
	tell := func(member, name string) {
		if v, ok := q.Values[member]; ok && !done[member] {
			done[member] = true
			out = append(out, name+" "+v.String())
		}
	}
	for _, b := range q.Topic.Boxes {
		for i, m := range b.Members {
			tell(m, b.Edges[i])
		}
	}
	for _, s := range q.Topic.Slots {
		if s.Member == valueMember {
			tell(s.Member, "reading")
			continue
		}
		tell(s.Member, s.Name)
	}
	if q.Instrument != "" {
		out = append(out, "by "+q.Instrument)
	}
	if q.Lid != "" {
		out = append(out, "lid "+q.Lid)
	}
	return out
}
