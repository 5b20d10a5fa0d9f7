package risk

import (
	"math"

	"saltwright/internal/calc/audit"
	"saltwright/internal/calc/plan"
)

// SinglesPer100 returns the expected losses in 100 tank-years by single faults alone, with the usual rates, and how
// often it comes to harm, damage or loss.
//
//	Σ w_r λ_i a P(H) over the rooms and the faults that lose the tank in them, and over those that harm it
//
//	absencesPerYear  longest absences a year, 0 … 100
//
// Mains that are lost come back when the audit has them do so: of longer interruptions only what comes before that is
// counted.
// Accuracy: as Assess, pairs and common causes left out. Errors: none; more absences than the year holds count as
// always away. Source: [NUREG0492], [CommonPractice].
func SinglesPer100(r audit.Report, absencesPerYear float64) (losses, harms float64) {
	absence := *r.Plan.Attendance.LongestAbsenceH
	m := model{absence: absence, look: math.Min(r.Plan.Attendance.LookEveryH, absence), share: math.Min(1,
		absencesPerYear*absence/hoursPerYear)}
	m.chances, _ = plan.ChancesOf(r.Plan)
	weight := map[audit.RoomName]float64{}
	for k, room := range m.rooms() {
		weight[room] = m.weights()[k]
	}
	for _, f := range r.Faults {
		for _, e := range f.Endings {
			rate := lossesPer100 * weight[e.Room] * f.Fault.PerYear * m.alone(e.AtH) *
				unanswered(m.chances, e.AtH, e.Calls)
			if f.Fault.Kind == "mains" {
				rate *= longer(math.Min(e.AtH, r.Plan.Power.LongestOutageH))
			}
			if e.Step == audit.LossStep {
				losses += rate
			} else {
				harms += rate
			}
		}
	}
	return losses, harms
}
