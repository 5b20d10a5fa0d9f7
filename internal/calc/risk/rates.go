// Package risk holds how often a plan's failures, one by one and in pairs, would
// cost the tank, and what tests and a faster response are worth.
package risk

import (
	"fmt"
	"math"
	"slices"

	"saltwright/internal/calc"
	"saltwright/internal/calc/audit"
	"saltwright/internal/calc/text"
)

const hoursPerYear = 8766.0

func at(list string, i int, member string) string { return fmt.Sprintf("%s[%d].%s", list, i, member) }

// Basis says what a rate rests on.
type Basis string

// What rates rest on.
const (
	StatedBasis  Basis = "stated"       // by the caller
	Published    Basis = "published"    // a figure of its source
	Judged       Basis = "judged"       // common practice, no source
	ContactLife  Basis = "contact_life" // the starts of a contact in the plan's own course
	SharedCauses Basis = "common_cause" // a share of the rates of those that fail together
)

// Rate is how often one fault comes about.
type Rate struct {
	Fault   string  // id
	PerYear float64 // 0 … 100, all causes
	Assumed bool    // nobody stated it
	Basis   Basis
	Source  string // key of the bibliography; empty where it was stated
}

// Stated is a rate that the caller knows: for a fault by its id, or for all of an element, shared out as usual.
type Stated struct {
	Fault, Element string // one of them
	PerYear        float64
}

func usualRate(f audit.Fault) Rate {
	r := Rate{Fault: f.ID, PerYear: f.PerYear, Assumed: true, Basis: Published, Source: f.Basis}
	switch {
	case len(f.Members) > 0:
		r.Basis = SharedCauses
	case f.Stated:
		return Rate{Fault: f.ID, PerYear: f.PerYear, Basis: StatedBasis}
	case f.Contact:
		r.Basis = ContactLife
	case f.Basis == "CommonPractice":
		r.Basis = Judged
	}
	return r
}

// rates returns the rate of every fault. What takes several at once comes by its share of the geometric mean of theirs.
func rates(faults []audit.FaultReport, stated []Stated) ([]Rate, error) {
	out := make([]Rate, len(faults))
	sum, place := map[string]float64{}, map[string]int{}
	for i, f := range faults {
		out[i], place[f.Fault.ID] = usualRate(f.Fault), i
		sum[f.Fault.Element] += out[i].PerYear
	}
	for n, s := range stated {
		if err := calc.CheckRange(at("rates", n, "per_year"), s.PerYear, 0, 100, "1/year"); err != nil {
			return nil, err
		}
		found := false
		state := func(i int, perYear float64) {
			out[i], found = Rate{Fault: out[i].Fault, PerYear: perYear, Basis: StatedBasis}, true
		}
		for i, f := range faults {
			switch {
			case s.Fault != "" && f.Fault.ID == s.Fault:
				state(i, s.PerYear)
			case s.Fault == "" && f.Fault.Element == s.Element:
				state(i, s.PerYear*f.Fault.PerYear/sum[s.Element])
			}
		}
		if !found {
			return nil, &calc.ConflictError{
				Params: []string{at("rates", n, "fault"), at("rates", n, "element")},
				Reason: text.Of("risk_unknown_rate", nil),
			}
		}
	}
	for i, f := range faults {
		if len(f.Fault.Members) > 0 && out[i].Assumed {
			logs := 0.0
			for _, id := range f.Fault.Members {
				logs += math.Log(out[place[id]].PerYear)
			}
			out[i].PerYear = f.Fault.Beta * math.Exp(logs/float64(len(f.Fault.Members)))
		}
	}
	return out, nil
}

// byThemselves returns by fault the share of its rate in which it comes alone: the rest comes from common causes.
func byThemselves(faults []audit.FaultReport) []float64 {
	out := make([]float64, len(faults))
	for i, f := range faults {
		out[i] = 1
		for _, c := range faults {
			if slices.Contains(c.Fault.Members, f.Fault.ID) {
				out[i] -= c.Fault.Beta
			}
		}
	}
	return out
}
