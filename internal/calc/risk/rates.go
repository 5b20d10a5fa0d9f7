// Package risk holds how often a plan's failures, one by one and in pairs, would
// cost the tank, and what tests and a faster response are worth.
package risk

import (
	"fmt"

	"saltwright/internal/calc"
	"saltwright/internal/calc/audit"
	"saltwright/internal/calc/text"
)

const hoursPerYear = 8766.0

func at(list string, i int, member string) string { return fmt.Sprintf("%s[%d].%s", list, i, member) }

// networkOutageH is how long the home network stays away; common practice, no source.
const networkOutageH = 12.0

// passes returns the years after which a fault passes by itself, 0 when it does not.
func passes(f audit.Fault) float64 {
	if f.Kind == "network" {
		return networkOutageH / hoursPerYear
	}
	return 0
}

// Rate is how often one fault comes about.
type Rate struct {
	Fault   string  // id
	PerYear float64 // 0 … 100
	Assumed bool    // nobody stated it
}

// Stated is a rate that the caller knows: for a fault by its id, or for all of an element, shared out as usual.
type Stated struct {
	Fault, Element string // one of them
	PerYear        float64
}

// rates returns the rate of every fault.
func rates(faults []audit.FaultReport, stated []Stated) ([]Rate, error) {
	out := make([]Rate, len(faults))
	sum := map[string]float64{}
	for i, f := range faults {
		out[i] = Rate{Fault: f.Fault.ID, PerYear: f.Fault.PerYear, Assumed: true}
		sum[f.Fault.Element] += out[i].PerYear
	}
	for n, s := range stated {
		if err := calc.CheckRange(at("rates", n, "per_year"), s.PerYear, 0, 100, "1/year"); err != nil {
			return nil, err
		}
		found := false
		for i, f := range faults {
			switch {
			case s.Fault != "" && f.Fault.ID == s.Fault:
				out[i].PerYear, out[i].Assumed, found = s.PerYear, false, true
			case s.Fault == "" && f.Fault.Element == s.Element:
				out[i].PerYear, out[i].Assumed, found = s.PerYear*f.Fault.PerYear/sum[s.Element], false, true
			}
		}
		if !found {
			return nil, &calc.ConflictError{
				Params: []string{at("rates", n, "fault"), at("rates", n, "element")},
				Reason: text.Of("risk_unknown_rate", nil),
			}
		}
	}
	return out, nil
}
