package reliability

import "math"

// Worn returns how often a contact fails by its switching, and the time until a tenth of such contacts has failed.
//
//	MTTFd = B10d/(0.1 n),  λ = 1/MTTFd = 0.1 n/B10d,  T10d = B10d/n
//
//	cyclesPerYear  n, at least 0  [1/year]
//	cycles         B10d, cycles by which a tenth has failed dangerously, above 0
//
// A constant rate in place of wear: right on the average over the life T10d, too high for a new contact, too low for
// one older than that. A contact that never switches has no end: T10d is infinite.
// Accuracy: exact. Errors: none. Source: [ISO138491] annex C.
func Worn(cyclesPerYear, cycles float64) (perYear, lifeYears float64) {
	if cyclesPerYear == 0 {
		return 0, math.Inf(1)
	}
	return 0.1 * cyclesPerYear / cycles, cycles / cyclesPerYear
}
