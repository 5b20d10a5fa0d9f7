package sim

import "math"

// Course is the way the water took: closed-form segments, one after the other, and what switched when. Whatever moves
// no water (alarms, limits, marks, peaks, samples) is a function of it.
type Course struct {
	Segments  []Segment // the last has no length and is the tank at the end
	Truncated bool      // MaxEvents was reached: something switches without end
	EndS      float64
	Devices   []DeviceUse
	// RelayStarts is how often each relay closed after the start.
	RelayStarts []int
	Balance     Balance

	s        *System
	start    water      // before anything switched
	before   []bool     // comparators, before the start
	lit      timeline   // from before the start on
	flow     timeline   // of the return
	switched []switched // devices, in the order of time
	commands []timeline // of controls, where an alarm has an eye on one
	emptied  []float64  // when each reservoir ran empty, or Never
	airless  float64    // when the return pump drew air, or Never
	opened   []float64  // when each circuit opened for too great a load or a broken heater, or Never; nil: none may
	ranDry   []float64  // when each device ran dry and broke, or Never; nil: none did
	cupFull  []float64  // when each skimmer's cup was full, by device, or Never; nil: there is none
	second   float64    // of the day at the start
	final    State      // comparators that switch nothing left as they were before
	bound    [Stored][2]float64

	numbers []float64         // of the reservoirs of all segments
	traces  [Stored][]float64 // every twenty minutes, where it has been asked for
	reading []timeline        // what comparators said, by number, where it has been found and their sensors were well
	read    []bool
}

// keep returns a copy of some numbers that lives as long as the course.
func (c *Course) keep(list []float64) []float64 {
	n := len(c.numbers)
	c.numbers = append(c.numbers, list...)
	return c.numbers[n:len(c.numbers):len(c.numbers)]
}

// switched is a device that changed: called for by its relays with power, and on.
type switched struct {
	atS        float64
	device     int
	called, on bool
}

// DeviceUse is what a device did.
type DeviceUse struct {
	OnS, EnergyJ float64
	Starts       int
	// ThermostatStarts are those that its own thermostat made, not a relay.
	ThermostatStarts int
}

// Balance is how closely a run conserved heat, water and salt.
type Balance struct {
	HeatResidualJ, HeatTurnoverJ     float64
	WaterResidualL, WaterTurnoverL   float64
	SaltResidual, SaltTurnover       float64
	EvaporatedL, ToppedUpL, SpilledL float64
	DosedL, DrainedL                 float64 // out of containers, and by drains
}

// WorstRelative returns the largest residual as a share of its turnover.
//
//	max(|heat|/turnover, |water|/turnover, |salt|/turnover)
//
// Accuracy: rounding. Errors: none. Source: [Derived].
func (b Balance) WorstRelative() float64 {
	worst := 0.0
	for _, p := range [][2]float64{
		{b.HeatResidualJ, b.HeatTurnoverJ}, {b.WaterResidualL, b.WaterTurnoverL}, {b.SaltResidual, b.SaltTurnover},
	} {
		if p[1] > 0 {
			worst = max(worst, math.Abs(p[0])/p[1])
		}
	}
	return worst
}

// comparing is a comparator at work, its sensor's fault applied.
type comparing struct {
	quantity  Quantity
	state     bool
	fixed     bool // reads a sensor that no longer follows the water
	low, high float64
}

// compare returns a comparator at work from a first value on; within the dead band it keeps the state it had.
func (c *Comparator) compare(value float64, before bool, f sensorFault) comparing {
	low, high := c.band()
	p := comparing{quantity: c.Quantity, state: before, fixed: f.fixed, low: low - f.offset, high: high - f.offset}
	if f.fixed {
		value = f.value
	}
	return p.from(value)
}

// from returns it with the state that a first value gives it.
func (p comparing) from(value float64) comparing {
	switch {
	case value >= p.high:
		p.state = true
	case value <= p.low:
		p.state = false
	}
	return p
}

// threshold is the value at which it switches next.
func (p *comparing) threshold() float64 {
	if p.state {
		return p.low
	}
	return p.high
}

// stays tells whether it cannot switch as long as its quantity keeps within a segment's bounds.
func (p *comparing) stays(bound *[Stored][2]float64) bool {
	if p.fixed || p.quantity >= Stored {
		return p.fixed
	}
	if p.state {
		return bound[p.quantity][0] > p.low
	}
	return bound[p.quantity][1] < p.high
}
