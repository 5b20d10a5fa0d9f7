package audit

import (
	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/text"
)

// heaters reports those that stand dry as the water stands, or as soon as a pump has moved it.
func (w *writer) heaters() {
	for _, h := range w.p.Heaters {
		if h.HeightMM == nil {
			continue
		}
		severity := Weak
		if *h.WhenDry == plan.CutsOut {
			severity = Note // it is safe, but gives no heat
		}
		stands, code := *h.HeightMM, ""
		low := w.p.LowestMM(*h.Place)
		switch {
		case stands >= 0:
			code = "heater_above_water"
		case stands <= low:
			continue
		case *h.Place == plan.InDisplay && w.p.Sump != nil:
			code, stands = "heater_above_drain_back", stands-low
		default:
			code, stands = "heater_above_intake", stands-low
		}
		w.add(Finding{
			Code: code, Severity: severity, Elements: []string{h.ID},
			Message: text.Of(code, text.Params{"heater": h.ID, "above": stands}),
			Answer:  LowerHeater(h.ID, low-CoverMM),
		})
	}
}

// skimmers reports cups that fill while nobody is there and then run onto the floor.
func (w *writer) skimmers() {
	for _, x := range w.p.Skimmers {
		fullH := x.CupL / x.SkimmateLDay * quantity.HoursPerDay
		if x.FullCup == plan.CupSpills && fullH < *w.p.Attendance.LongestAbsenceH {
			w.add(Finding{
				Code: "cup_fills_while_away", Severity: Weak, Elements: []string{x.ID},
				Message: text.Of("cup_fills_while_away", text.Params{"skimmer": x.ID, "full": fullH,
					"away": *w.p.Attendance.LongestAbsenceH}),
				Answer: CupStop(x.ID),
			})
		}
	}
}
