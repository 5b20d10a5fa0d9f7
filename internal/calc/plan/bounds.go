package plan

// What a plan takes at most or at least, where something that designs one has to stay within it. The
// contract states the same; a test where documents are read holds the two together.
const (
	HeaterMostW       = 20000.0
	ReservoirMostL    = 5000.0
	TopOffPumpLeastLH = 0.05
	TopOffPumpMostLH  = 2000.0
	SumpLeastLengthMM = 100.0
	SumpMostLengthMM  = 10000.0
	SumpLeastWidthMM  = 50.0
	SumpMostWidthMM   = 5000.0
)
