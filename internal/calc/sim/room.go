package sim

import (
	"math"
	"slices"

	"saltwright/internal/calc/moistair"
	"saltwright/internal/calc/numeric"
	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/quantity"
)

// The room goes to another temperature as an exponential, of which losses that are straight in the temperature of the
// water know nothing. So the losses take steps: the room is taken to be as far from its usual temperature as the next
// step, never less far than it is. A probe in the room reads the exponential itself.
const (
	airSteps = 8    // from the usual temperature to the farthest on one side: at most an eighth ahead
	airBackK = 0.05 // this near the room is as usual again
	sameAirK = 1e-6 // rounding
)

// bands returns the losses of a node in the present air.
func (r *run) bands(n int) []Band {
	if r.air < 0 {
		return r.s.Node[n].Bands
	}
	return r.s.Airs[r.air].Bands[n]
}

// resolveRoom finds where the room goes, and which air the water is in.
func (r *run) resolveRoom() {
	if len(r.s.Airs) == 0 {
		return
	}
	base := r.s.RoomTempC
	target, tau := base, r.roomTau
	for _, kind := range []DeviceKind{RoomHeater, RoomCooler} {
		farther := math.Max
		if kind == RoomHeater {
			farther = math.Min
		}
		all, without := true, base
		fastest := math.Inf(1)
		for i := range r.s.Devices {
			d := &r.s.Devices[i]
			if d.Kind != kind {
				continue
			}
			u := &d.Room
			if r.on[i] && r.f.roomStuck[i] && (u.StuckOnC > base) == (kind == RoomHeater) {
				target, tau = u.StuckOnC, u.TauS
			}
			all = all && !r.on[i]
			without = farther(without, u.WithoutC)
			fastest = min(fastest, u.TauS)
		}
		if all && without != base {
			target, tau = without, fastest
		}
	}
	r.roomTarget, r.roomTau = target, tau
	r.findAir()
}

// findAir takes the step that is at least as far from the usual temperature as the room, the next one when it is on
// its way there.
func (r *run) findAir() {
	base, x := r.s.RoomTempC, r.room
	if math.Abs(x-base) < airBackK && r.roomTarget == base {
		r.room, r.air = base, -1
		return
	}
	from := x - base
	if math.Abs(from) < sameAirK {
		from = r.roomTarget - base
	}
	outwards := (r.roomTarget-x)*from > 0
	least := math.Abs(x - base)
	if outwards {
		least += 2 * sameAirK
	}
	r.air = -1
	for i := range r.s.Airs {
		away := r.s.Airs[i].TempC - base
		if away*from <= 0 || math.Abs(away) < least-sameAirK {
			continue
		}
		if r.air < 0 || math.Abs(away) < math.Abs(r.s.Airs[r.air].TempC-base) {
			r.air = i
		}
	}
}

// untilAir returns the time until the room passes the next step, or is as usual again.
func (r *run) untilAir() float64 {
	if len(r.s.Airs) == 0 || r.room == r.roomTarget {
		return math.Inf(1)
	}
	next := math.Inf(1)
	passes := func(at float64) {
		// What lies beyond its end has no logarithm, what lies behind it has been passed before.
		if h := -r.roomTau * math.Log((at-r.roomTarget)/(r.room-r.roomTarget)); h > timeTolerance {
			next = min(next, h)
		}
	}
	for i := range r.s.Airs {
		passes(r.s.Airs[i].TempC)
	}
	if r.roomTarget == r.s.RoomTempC {
		passes(r.roomTarget + math.Copysign(airBackK*0.999, r.room-r.roomTarget))
	}
	return next
}

// roomCourse is the room's temperature from now on.
func (r *run) roomCourse() numeric.ExpPoly {
	if r.room == r.roomTarget {
		return numeric.Constant(r.room)
	}
	return numeric.ExpPoly{P: [3]float64{r.roomTarget}, B: [2]float64{r.room - r.roomTarget},
		L: [2]float64{1 / r.roomTau}}
}

// airs compiles the losses for every step of the room.
//
//	losses  of each node in the usual air
func (c *compiler) airs(losses []vesselInAir) error {
	base := c.s.RoomTempC
	coldest, warmest := base, base
	reaches := func(tempC float64) { coldest, warmest = min(coldest, tempC), max(warmest, tempC) }
	for _, x := range c.p.RoomDevices {
		if (x.Kind == plan.RoomHeating) == (x.WithoutC < base) {
			reaches(x.WithoutC)
		}
		if x.StuckOnC != nil {
			reaches(*x.StuckOnC)
		}
	}
	temps := []float64{}
	for k := 1; k <= airSteps; k++ {
		for _, far := range []float64{coldest, warmest} {
			if far != base {
				temps = append(temps, base+(far-base)*float64(k)/airSteps)
			}
		}
	}
	for _, x := range c.p.RoomDevices { // a nearer end is a step, too
		ends := []float64{x.WithoutC}
		if x.StuckOnC != nil {
			ends = append(ends, *x.StuckOnC)
		}
		for _, end := range ends {
			if end > coldest && end < warmest && end != base && !slices.Contains(temps, end) {
				temps = append(temps, end)
			}
		}
	}
	for _, tempC := range temps {
		a := Air{TempC: tempC}
		for n, v := range losses {
			v.air = moistair.State{Temp: quantity.Celsius(tempC), RelativeHumidity: v.air.RelativeHumidity,
				Pressure: v.air.Pressure}
			var err error
			if a.Bands[n], err = v.bands(c.s.TempStartC); err != nil {
				return err
			}
		}
		c.s.Airs = append(c.s.Airs, a)
	}
	return nil
}

// roomUnits adds the devices of the room after those of the tank.
func (c *compiler) roomUnits() {
	for _, x := range c.p.RoomDevices {
		d := Device{ID: x.ID, Kind: RoomCooler, Circuit: c.circ[*x.Circuit], Programme: -1, Thermostat: -1,
			Room: RoomUnit{WithoutC: x.WithoutC, TauS: *x.TimeConstantH * quantity.SecondsPerHour}}
		if x.Kind == plan.RoomHeating {
			d.Kind = RoomHeater
		}
		if x.StuckOnC != nil {
			d.Room.Sticks, d.Room.StuckOnC = true, *x.StuckOnC
		}
		c.s.Devices = append(c.s.Devices, d)
	}
}
