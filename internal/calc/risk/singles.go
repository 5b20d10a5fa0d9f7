package risk

import (
	"math"

	"saltwright/internal/calc/audit"
)

// SinglesPer100 returns the expected losses in 100 tank-years by single faults alone, with the usual rates, and how
// often it comes to harm, damage or loss.
//
//	Σ λ_i P(H_i) over the faults that lose the tank, and over those that harm it
//
//	absencesPerYear  longest absences a year, 0 … 100
//
// Accuracy: as Assess, pairs left out. Errors: none; more absences than the year holds count as always away.
// Source: [NUREG0492], [CommonPractice].
func SinglesPer100(r audit.Report, absencesPerYear float64) (losses, harms float64) {
	absence := *r.Plan.Attendance.LongestAbsenceH
	m := model{absence: absence, look: math.Min(r.Plan.Attendance.LookEveryH, absence), share: math.Min(1,
		absencesPerYear*absence/hoursPerYear)}
	for _, f := range r.Faults {
		if f.Verdict.Sound() || f.HarmH == nil {
			continue
		}
		harms += lossesPer100 * f.Fault.PerYear * m.alone(*f.HarmH)
		if f.Verdict == audit.Lost {
			losses += lossesPer100 * f.Fault.PerYear * m.alone(*f.LossH)
		}
	}
	return losses, harms
}
