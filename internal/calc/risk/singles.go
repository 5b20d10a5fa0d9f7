package risk

import (
	"math"

	"saltwright/internal/calc/audit"
)

// SinglesPer100 returns the expected losses in 100 tank-years by single faults alone, with the usual rates.
//
//	Σ λ_i P(H_i) over the faults that lose the tank
//
//	absencesPerYear  longest absences a year, 0 … 100
//
// Accuracy: as Assess, pairs left out. Errors: none; more absences than the year holds count as always away.
// Source: [NUREG0492], [CommonPractice].
func SinglesPer100(r audit.Report, absencesPerYear float64) float64 {
	absence := *r.Plan.Attendance.LongestAbsenceH
	m := model{absence: absence, look: math.Min(r.Plan.Attendance.LookEveryH, absence), share: math.Min(1,
		absencesPerYear*absence/hoursPerYear)}
	total := 0.0
	for _, f := range r.Faults {
		if f.Verdict == audit.Lost && f.HarmH != nil {
			total += f.Fault.PerYear * m.alone(*f.HarmH)
		}
	}
	return lossesPer100 * total
}
