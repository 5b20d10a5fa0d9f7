package audit

import (
	"math"
	"slices"

	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/reliability"
	"saltwright/internal/calc/sim"
	"saltwright/internal/calc/text"
)

// What contacts stand: cycles by which a tenth has failed dangerously, closed for good, and what fails besides by
// standing in damp salt air. failure_rates.csv.
const (
	relayCycles       = 400_000.0 // a relay at its rated load; ISO 13849-1 table C.1, from memory
	thermostatCycles  = 100_000.0 // appliance thermostats are type-tested for 1e4 to 1e5; common practice, no source
	relayPerYear      = 8.76e-5   // a contact that stays closed, 1e-8 1/h [FESHM4240]
	thermostatPerYear = 0.005     // the low end of what is judged for them; common practice, no source
)

// shortContactLifeY is a life of a contact that is too short to forget it, years; common practice, no source.
const shortContactLifeY = 5.0

// contactsOf returns the contacts of a room's nominal course.
func contactsOf(rm *room) []Contact {
	var out []Contact
	add := func(c Contact, cycles, standing float64) {
		wear, life := reliability.Worn(c.StartsPerDay*quantity.DaysPerYear, cycles)
		c.LifeY, c.PerYear = life, wear+standing
		out = append(out, c)
	}
	s := rm.system
	for j, r := range s.Relays {
		c := Contact{Element: s.Controls[r.Control].ID, StartsPerDay: rm.relayStarts[j],
			fault: sim.RelayClosed, index: j}
		if r.Device >= 0 {
			c.Output = s.Devices[r.Device].ID
		} else {
			c.Output = s.Controls[r.Target].ID
		}
		add(c, relayCycles, relayPerYear)
	}
	for i, d := range s.Devices {
		if d.Thermostat >= 0 {
			add(Contact{Element: d.ID, StartsPerDay: rm.thermostatStarts[i], fault: sim.ThermostatClosed, index: i},
				thermostatCycles, thermostatPerYear)
		}
	}
	return out
}

// wearing gives the faults of contacts that stay closed the rate that follows from their starts.
func wearing(faults []Fault, contacts []Contact) []Fault {
	for i := range faults {
		in := faults[i].injections[0]
		k := slices.IndexFunc(contacts, func(c Contact) bool { return c.fault == in.Fault && c.index == in.Index })
		if k >= 0 {
			faults[i].PerYear, faults[i].Basis, faults[i].Contact = contacts[k].PerYear, "ISO138491", true
		}
	}
	return faults
}

// worn reports contacts that switch so often that they do not last.
func (w *writer) worn(r Report) {
	for _, c := range r.Contacts {
		if c.LifeY >= shortContactLifeY || math.IsInf(c.LifeY, 1) {
			continue
		}
		code, params := "thermostat_wears_out", text.Params{
			"element": c.Element, "starts": c.StartsPerDay, "years": c.LifeY}
		if c.Output != "" {
			code, params["output"] = "relay_wears_out", c.Output
		}
		w.add(Finding{Code: "contact_wears_out", Severity: Weak, Elements: []string{c.Element},
			Message: text.Of(code, params),
			Answer:  w.wider(c.Element, lastsLongY/c.LifeY),
		})
	}
}
