package draft

import (
	"math"

	"saltwright/internal/calc/quantity"
)

// How alarms on running are set; all of it common practice, no source.
const (
	controlBandK     = 0.4
	lineBandMM       = 4
	leastWatchH      = 4.0  // a shorter run of a heater is no news
	leastRestH       = 24.0 // nor is a day in which the top-off does not run
	mostWatchH       = 48.0 // a longer one comes too late to help
	timesTheUsual    = 2.5
	heaterBelowLowMM = 10.0  // below what pumps can draw the water down to
	depthShare       = 0.9   // of the water, at most
	jouleLK          = 4090. // heat capacity of sea water, J/(L K), from memory
)

// heaterDepthMM is how far under the line heaters end: below what pumps can draw the water down to.
func (d *design) heaterDepthMM() float64 {
	if *d.in.WithSump {
		s := *d.sump()
		s.WaterLevelMM = d.levelMM
		return math.Min(math.Round(s.UsualIntakeBelowMM()+heaterBelowLowMM), depthShare*d.levelMM)
	}
	v := d.tank.Display
	return math.Min(v.IntakeDropMM+heaterBelowLowMM, depthShare**v.WaterDepthMM)
}

// longestHeatingH is how long the main heater may run before somebody should know: some times what it takes in the
// coldest room from the low to the high edge of its control's band; 0: so long that it tells nothing.
func (d *design) longestHeatingH() float64 {
	spare := math.Max(0, d.mainW-d.needW) // with nothing to spare it never gets there
	warmUpH := d.waterL() * jouleLK * controlBandK / spare / quantity.SecondsPerHour
	return watched(timesTheUsual*warmUpH, leastWatchH)
}

// longestRestH is how long the top-off pump may rest before somebody should know: some times what its float's band
// takes to evaporate where least does; 0: so long that it tells nothing.
func (d *design) longestRestH() float64 {
	areaM2 := *d.tank.Display.LengthMM * *d.tank.Display.WidthMM / quantity.SquareMMPerSquareMetre
	if s := d.tank.Sump; s != nil {
		areaM2 = *s.ReturnChamberMM * s.WidthMM / quantity.SquareMMPerSquareMetre
	}
	restH := areaM2 * lineBandMM / d.leastEvaporationLD * hoursPerDay // m² · mm = L
	return watched(timesTheUsual*restH, leastRestH)
}

func watched(hours, least float64) float64 {
	hours = math.Ceil(math.Max(hours, least))
	if hours > mostWatchH || math.IsNaN(hours) {
		return 0
	}
	return hours
}

// waterL is the water of the whole tank.
func (d *design) waterL() float64 {
	litres := d.tank.Display.WaterL()
	if d.tank.Sump != nil {
		litres += d.tank.Sump.WaterL()
	}
	return litres
}
