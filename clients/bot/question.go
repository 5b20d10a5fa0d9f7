package bot

// Stated is what a question says of one member.
type Stated struct {
	Quantity
	Name string // of the member
	Said string // as written, with the word that names it
}

// Question is what was read. It can be asked of the service when nothing is
// missing and there is no trouble.
type Question struct {
	Topic    *Topic // nil: none was found
	Several  []*Topic
	Nearest  *Topic            // where no topic was found, the one with the most similar word
	Values   map[string]Stated // by member
	Missing  []string          // what has to be said as well
	Troubles []Trouble
	Unused   []string // read, and not part of the answer
	Lid      string   // open, screen or closed; nothing: not said
	// Instrument is hydrometer, refractometer or brine refractometer; nothing: not said.
	Instrument string
	US         bool              // the person writes US units
	systems    map[string]system // of members that have to be said anew
}

// Complete tells whether the service can be asked.
func (q Question) Complete() bool {
	return q.Topic != nil && len(q.Missing) == 0 && len(q.Troubles) == 0
}

// doubt adds what cannot be taken at its word.
func (q *Question) doubt(text, why string) {
	q.Troubles = append(q.Troubles, Trouble{Text: text, Why: why})
}

func (q *Question) put(member, name, said string, quantity Quantity) {
	if old, twice := q.Values[member]; twice {
		if old.InContractUnit() != quantity.InContractUnit() {
			q.doubt(said, "is the "+name+" for a second time, after "+old.Text+": say it once")
		}
		return
	}
	q.Values[member] = Stated{Quantity: quantity, Name: name, Said: said}
}

// scale is the contract's name of what the reading states, by its unit and the
// instrument; nothing where there is no reading.
func (q *Question) scale() string {
	v, ok := q.Values[valueMember]
	switch {
	case !ok:
		return ""
	case v.Unit.Dimension == SpecificGravity && q.Instrument == "hydrometer":
		return uncorrected
	case v.Unit.Dimension == Practical && q.Instrument == "refractometer":
		return "refractometer_seawater_psu"
	case v.Unit.Dimension == Practical && q.Instrument == "brine refractometer":
		return "refractometer_brine_g_kg"
	}
	return scales[v.Unit.Dimension]
}

// Members are the request that the question asks for.
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

// ReadAs is what was taken from a question, member by member, for the person to check.
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
