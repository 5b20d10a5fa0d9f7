package plan

// groupLimits are the limits that hold where a plan names none. All of them are
// common practice, no source: what experienced keepers hold each group to.
type groupLimits struct {
	comfortLowC, comfortHighC, harmLowC, harmHighC, harmTempAfterH        float64
	comfortLowPSU, comfortHighPSU, harmLowPSU, harmHighPSU, harmSalAfterH float64
	comfortDarkH, harmLitH, harmDarkH                                     float64
	comfortOxygen, harmOxygen, harmOxygenAfterH                           float64
	oxygenDemandMgLH                                                      float64
}

var limitsOf = map[Livestock]groupLimits{
	FishOnly: {
		comfortLowC: 23, comfortHighC: 28, harmLowC: 20, harmHighC: 31, harmTempAfterH: 2,
		comfortLowPSU: 30, comfortHighPSU: 36.5, harmLowPSU: 25, harmHighPSU: 40, harmSalAfterH: 2,
		comfortDarkH: 8, harmLitH: 168, harmDarkH: 720,
		comfortOxygen: 5, harmOxygen: 3.5, harmOxygenAfterH: 1, oxygenDemandMgLH: 0.2,
	},
	SoftCorals: {
		comfortLowC: 23.5, comfortHighC: 27.5, harmLowC: 21, harmHighC: 30, harmTempAfterH: 2,
		comfortLowPSU: 32, comfortHighPSU: 36.5, harmLowPSU: 29, harmHighPSU: 39, harmSalAfterH: 2,
		comfortDarkH: 8, harmLitH: 96, harmDarkH: 336,
		comfortOxygen: 5, harmOxygen: 3.5, harmOxygenAfterH: 1, oxygenDemandMgLH: 0.12,
	},
	MixedReef: {
		comfortLowC: 24, comfortHighC: 27.5, harmLowC: 21.5, harmHighC: 29.5, harmTempAfterH: 2,
		comfortLowPSU: 33, comfortHighPSU: 36.5, harmLowPSU: 30, harmHighPSU: 39, harmSalAfterH: 2,
		comfortDarkH: 8, harmLitH: 72, harmDarkH: 240,
		comfortOxygen: 5, harmOxygen: 3.5, harmOxygenAfterH: 1, oxygenDemandMgLH: 0.15,
	},
	StonyCorals: {
		comfortLowC: 24, comfortHighC: 27, harmLowC: 22, harmHighC: 29, harmTempAfterH: 1,
		comfortLowPSU: 33.5, comfortHighPSU: 36, harmLowPSU: 31, harmHighPSU: 38, harmSalAfterH: 1,
		comfortDarkH: 8, harmLitH: 72, harmDarkH: 168,
		comfortOxygen: 5.2, harmOxygen: 4, harmOxygenAfterH: 1, oxygenDemandMgLH: 0.15,
	},
}
