package catalogue

// Number and Digits serve the sentences that are not yet in the catalogue; they go with the last of these.
func Number(x float64, contractUnit string, u Units) string {
	return For(u).Number(x, "", contractUnit)
}

func Digits(x float64) string { return For(Metric).Number(x, "number", "1") }
