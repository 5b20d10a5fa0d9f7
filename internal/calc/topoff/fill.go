package topoff

import (
	"math"

	"saltwright/internal/calc"
	"saltwright/internal/calc/text"
)

// StuckPump is a top-off pump that runs without end into a well mixed system.
// Salinity is any quantity linear in salt per volume; volumes add.
type StuckPump struct {
	VolumeL          float64 // water at the start, 0.1 … 1e7 L
	OverflowL        float64 // water at which the system spills, at least VolumeL
	Salinity         float64 // at the start, 0 … 200
	PumpLPerH        float64 // fresh water in, 0 … 1e6 L/h
	EvaporationLPerH float64 // 0 … 1e5 L/h
}

// Filled is the state of a system some time into a fault.
type Filled struct {
	VolumeL  float64 // water in the system
	Salinity float64 // same scale as at the start
	SpilledL float64 // mixed water on the floor
}

const (
	maxVolumeL = 1e7
	maxHours   = 1e7
	neverH     = maxHours // a time beyond this counts as never
)

type bound struct {
	param           string
	value, min, max float64
	unit            string
}

func checkAll(bounds []bound) error {
	for _, b := range bounds {
		if err := calc.CheckRange(b.param, b.value, b.min, b.max, b.unit); err != nil {
			return err
		}
	}
	return nil
}

func (p StuckPump) check() error {
	if err := checkAll([]bound{
		{"volume_l", p.VolumeL, 0.1, maxVolumeL, "L"},
		{"overflow_l", p.OverflowL, 0.1, 2 * maxVolumeL, "L"},
		{"salinity", p.Salinity, 0, 200, "1"},
		{"pump_l_per_h", p.PumpLPerH, 0, 1e6, "L/h"},
		{"evaporation_l_per_h", p.EvaporationLPerH, 0, 1e5, "L/h"},
	}); err != nil {
		return err
	}
	if p.OverflowL < p.VolumeL {
		return &calc.ConflictError{
			Params: []string{"overflow_l", "volume_l"},
			Reason: text.Of("stuck_pump_spills_already", nil),
		}
	}
	return nil
}

func (p StuckPump) netLPerH() float64 { return p.PumpLPerH - p.EvaporationLPerH }

// TimeToOverflow returns the hours until the system spills, and whether it does.
//
//	t1 = (Vmax - V0) / (F - E)
//
//	V0, Vmax  water now and at the rim       [L]
//	F, E      pump and evaporation           [L/h]
//
// Never when the pump does not outrun the evaporation, or only after 1e7 h.
// Accuracy: exact. Errors: *calc.RangeError, *calc.ConflictError. Source: [Derived].
func (p StuckPump) TimeToOverflow() (hours float64, reached bool, err error) {
	if err := p.check(); err != nil {
		return 0, false, err
	}
	hours, reached = p.timeToOverflow()
	return hours, reached, nil
}

func (p StuckPump) timeToOverflow() (float64, bool) {
	n := p.netLPerH()
	if n <= 0 {
		return 0, false
	}
	t := (p.OverflowL - p.VolumeL) / n
	return bounded(t)
}

func bounded(t float64) (float64, bool) {
	if !(t >= 0 && t <= neverH) {
		return 0, false
	}
	return t, true
}

// After returns the system some hours into the fault, with an endless supply.
//
//	t <= t1: V = V0 + N t, S = S0 V0 / V
//	t > t1:  V = Vmax, S = S0 V0/Vmax · exp(-N (t - t1) / Vmax), spilled N (t - t1)
//
//	N = pump - evaporation, above 0  [L/h]
//
// Accuracy: exact when volumes add; 0.1 in salinity against mixing by mass.
// Errors: *calc.RangeError, hours below 0 included; *calc.ConflictError when
// evaporation outruns the pump, which is no stuck-on fault.
// Source: [Derived].
func (p StuckPump) After(hours float64) (Filled, error) {
	if err := p.check(); err != nil {
		return Filled{}, err
	}
	if err := calc.CheckRange("hours", hours, 0, maxHours, "h"); err != nil {
		return Filled{}, err
	}
	if p.netLPerH() < 0 {
		return Filled{}, &calc.ConflictError{
			Params: []string{"pump_l_per_h", "evaporation_l_per_h"},
			Reason: text.Of("stuck_pump_outrun", nil),
		}
	}
	return p.after(hours), nil
}

func (p StuckPump) after(hours float64) Filled {
	n := p.netLPerH()
	full, spills := p.timeToOverflow()
	if !spills || hours <= full {
		v := p.VolumeL + n*hours
		return Filled{VolumeL: v, Salinity: p.Salinity * p.VolumeL / v}
	}
	spilled := n * (hours - full)
	return Filled{
		VolumeL:  p.OverflowL,
		Salinity: p.Salinity * p.VolumeL / p.OverflowL * math.Exp(-spilled/p.OverflowL),
		SpilledL: spilled,
	}
}

// TimeToSalinity returns the hours until the salinity has fallen to a limit, and whether it does.
//
//	before the overflow: t = V0 (S0/SL - 1) / N
//	after it:            t = t1 + Vmax/N · ln(S0 V0 / (SL Vmax))
//
//	SL  limit, above 0, same scale as the salinity at the start
//
// At once when it is at the limit already; never when the pump does not outrun the evaporation.
// Accuracy: exact when volumes add. Errors: *calc.RangeError, *calc.ConflictError. Source: [Derived].
func (p StuckPump) TimeToSalinity(limit float64) (hours float64, reached bool, err error) {
	if err := p.check(); err != nil {
		return 0, false, err
	}
	if err := calc.CheckRange("salinity_limit", limit, 1e-6, 200, "1"); err != nil {
		return 0, false, err
	}
	hours, reached = p.timeToSalinity(limit)
	return hours, reached, nil
}

func (p StuckPump) timeToSalinity(limit float64) (float64, bool) {
	if p.Salinity <= limit {
		return 0, true
	}
	n := p.netLPerH()
	if n <= 0 {
		return 0, false
	}
	if t := p.VolumeL * (p.Salinity/limit - 1) / n; t <= (p.OverflowL-p.VolumeL)/n {
		return bounded(t)
	}
	t1 := (p.OverflowL - p.VolumeL) / n
	return bounded(t1 + p.OverflowL/n*math.Log(p.Salinity*p.VolumeL/(limit*p.OverflowL)))
}
