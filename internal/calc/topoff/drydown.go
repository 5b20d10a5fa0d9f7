package topoff

import (
	"saltwright/internal/calc"
	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/text"
)

// DryDown is a system whose top-off gives nothing: it loses fresh water, keeps
// its salt, and the whole loss shows in the return chamber.
type DryDown struct {
	VolumeL            float64 // water at the start, 0.1 … 1e7 L
	Salinity           float64 // at the start, 0 … 200, linear in salt per volume
	EvaporationLPerDay float64 // 0 … 1e6 L/day
	ChamberAreaM2      float64 // of the return chamber, 1e-4 … 1e3 m2
	DropMM             float64 // from the water line to the return pump's intake, 0 … 5000 mm
}

func (d DryDown) check() error {
	if err := checkAll([]bound{
		{"volume_l", d.VolumeL, 0.1, maxVolumeL, "L"},
		{"salinity", d.Salinity, 0, 200, "1"},
		{"evaporation_l_per_day", d.EvaporationLPerDay, 0, 1e6, "L/d"},
		{"return_chamber_area_m2", d.ChamberAreaM2, 1e-4, 1e3, "m2"},
		{"drop_mm", d.DropMM, 0, 5000, "mm"},
	}); err != nil {
		return err
	}
	if d.lossAtIntakeL() >= d.VolumeL {
		return &calc.ConflictError{
			Params: []string{
				"return_chamber_length_mm", "return_chamber_width_mm", "sump_water_line_mm", "return_intake_mm",
				"volume_l",
			},
			Reason: text.Of("topoff_chamber_over_system", nil),
		}
	}
	return nil
}

// lossAtIntakeL: 1 mm over 1 m2 is 1 L.
func (d DryDown) lossAtIntakeL() float64 { return d.ChamberAreaM2 * d.DropMM }

// TimeToIntake returns the hours until the return pump draws air, the salinity then, and whether it does.
//
//	t = 24 · A · d / E, S = S0 V0 / (V0 - A d)
//
//	A  area of the return chamber     [m2]
//	d  drop to the intake             [mm]
//	E  evaporation                    [L/day]
//
// Never when nothing evaporates, or only after 1e7 h; the salinity is then 0.
// Accuracy: exact while the display's weir holds its level. Errors: *calc.RangeError, *calc.ConflictError.
// Source: [Derived].
func (d DryDown) TimeToIntake() (hours, salinity float64, reached bool, err error) {
	if err := d.check(); err != nil {
		return 0, 0, false, err
	}
	hours, reached = d.timeToLoss(d.lossAtIntakeL())
	if !reached {
		return 0, 0, false, nil
	}
	return hours, d.salinityAfter(d.lossAtIntakeL()), true, nil
}

func (d DryDown) timeToLoss(lossL float64) (float64, bool) {
	if lossL == 0 {
		return 0, true
	}
	if d.EvaporationLPerDay == 0 {
		return 0, false
	}
	return bounded(quantity.HoursPerDay * lossL / d.EvaporationLPerDay)
}

func (d DryDown) salinityAfter(lossL float64) float64 {
	return d.Salinity * d.VolumeL / (d.VolumeL - lossL)
}

// TimeToSalinity returns the hours until the salinity has risen to a limit, and
// whether it does before the return pump draws air.
//
//	t = 24 · V0 (1 - S0/SL) / E
//
// At once when it is at the limit already. The time is given also when the
// intake is uncovered first, for a system whose return pump keeps running.
// Accuracy: exact when volumes add. Errors: *calc.RangeError, *calc.ConflictError. Source: [Derived].
func (d DryDown) TimeToSalinity(limit float64) (hours float64, reached bool, err error) {
	if err := d.check(); err != nil {
		return 0, false, err
	}
	if err := calc.CheckRange("salinity_limit", limit, 1e-6, 200, "1"); err != nil {
		return 0, false, err
	}
	if d.Salinity >= limit {
		return 0, true, nil
	}
	if d.Salinity == 0 {
		return 0, false, nil
	}
	lossL := d.VolumeL * (1 - d.Salinity/limit)
	hours, ok := d.timeToLoss(lossL)
	return hours, ok && lossL <= d.lossAtIntakeL(), nil
}
