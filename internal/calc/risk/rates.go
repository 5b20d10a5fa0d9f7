// Package risk holds how often a plan's failures, one by one and in pairs, would
// cost the tank, and what tests and a faster response are worth.
package risk

import (
	"saltwright/internal/calc"
	"saltwright/internal/calc/audit"
)

// usual is how often each way of failing comes about, per part and year. All of it is
// common practice, no source: orders of magnitude to be replaced by whoever knows better.
var usual = map[string]map[string]float64{
	"heater":       {"element_open": 0.05, "element_shorted": 0.01, "thermostat_welded": 0.02, "thermostat_open": 0.01},
	"chiller":      {"stopped": 0.1, "thermostat_welded": 0.02, "thermostat_open": 0.02},
	"fan":          {"stopped": 0.1},
	"pump":         {"stopped": 0.1},
	"top_off_pump": {"stopped": 0.15},
	"reservoir":    {"left_empty": 0.3, "siphoning": 0.02},
	"light":        {"dark": 0.1, "programme_stuck_on": 0.02, "programme_stuck_off": 0.02},
	"sensor": {
		"reads_high": 0.03, "reads_low": 0.03, "out_of_water": 0.05, "no_signal": 0.03, "frozen_low": 0.01, "frozen_high": 0.01,
		"stuck_wet": 0.1, "stuck_dry": 0.1, "stuck_flowing": 0.05, "stuck_still": 0.05, "stuck_live": 0.02, "stuck_dead": 0.02,
	},
	"control": {"hung_on": 0.01, "hung_off": 0.02, "output_welded": 0.02, "output_open": 0.01, "blind": 0.02, "cuts_falsely": 0.02},
	"circuit": {"tripped": 0.2},
	"mains":   {"lost": 0.5},
	"network": {"lost": 4},
	"alarm":   {"silent": 0.1},
}

// otherPerYear is for a way of failing that the table does not know; common practice, no source.
const otherPerYear = 0.05

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
		out[i] = Rate{Fault: f.Fault.ID, PerYear: usually(f.Fault), Assumed: true}
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
				out[i].PerYear, out[i].Assumed, found = s.PerYear*usually(f.Fault)/sum[s.Element], false, true
			}
		}
		if !found {
			return nil, &calc.ConflictError{Params: []string{at("rates", n, "fault"), at("rates", n, "element")}, Reason: "the plan has no such fault or element; take the ids from its audit"}
		}
	}
	return out, nil
}

func usually(f audit.Fault) float64 {
	modes := usual[f.Kind]
	if r, ok := modes[f.Mode]; ok {
		return r
	}
	for mode, r := range modes { // output_welded.<target>
		if len(f.Mode) > len(mode) && f.Mode[:len(mode)+1] == mode+"." {
			return r
		}
	}
	return otherPerYear
}
