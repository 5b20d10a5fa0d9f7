package heat

import (
	"fmt"

	"saltwright/internal/calc"
	"saltwright/internal/calc/evaporation"
	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/seawater"
	"saltwright/internal/calc/text"
)

// Shares of a rated power that reach the water when the keeper knows no better.
const (
	SubmergedPumpShare = 1   // all losses of a motor under water end in it. Source: [Derived].
	ExternalPumpShare  = 0.5 // Source: [CommonPractice].
	LightShare         = 0.3 // lights hung in open air over the water. Source: [CommonPractice].
)

// Gain is a device that warms the water besides the heaters.
type Gain struct {
	Name        string
	PowerW      float64 // rated power, 0 … 100000 W
	WaterShare  float64 // share of it that reaches the water, 0 … 1
	HoursPerDay float64 // 0 … 24; 24 is a device that always runs
}

// GainsOn says which gains count.
type GainsOn string

// Which gains count.
const (
	GainsContinuous GainsOn = "continuous" // only what runs 24 h: the coldest hour of the night
	GainsAverage    GainsOn = "average"    // each by its share of the day
	GainsAll        GainsOn = "all"        // everything at once: the hottest hour
	GainsNone       GainsOn = "none"       // all off: a power cut
)

// System is the water and what stands around and in it.
type System struct {
	Display     Vessel
	Sump        *Vessel                    // nil without one
	VolumeL     float64                    // all water, rock and sand not counted, 1 … 1e6 L
	Salinity    quantity.PracticalSalinity // PSS-78
	Gains       []Gain
	Calibration *evaporation.Calibration // nil: the published correlations
	Correction  *Correction              // nil: the model as it stands
}

// Correction is what measurements on this very tank say of the model.
type Correction struct {
	DryFactor float64 // times the dry loss, 0.2 … 5
	// times the expected evaporation, 0.05 … 10; 0: not measured, the published spread stays
	EvaporationFactor             float64
	EvaporationUncertaintyPercent float64 // of that, 0 … 90 %; read only with a factor
}

func (c *Correction) check() error {
	if c == nil {
		return nil
	}
	if err := calc.CheckRange("dry_loss_factor", c.DryFactor, 0.2, 5, "1"); err != nil {
		return err
	}
	if c.EvaporationFactor == 0 {
		return nil
	}
	_, err := evaporation.Range{}.Times(c.EvaporationFactor, c.EvaporationUncertaintyPercent)
	return err
}

// apply scales one vessel's losses.
func (c *Correction) apply(dry *DryLossResult, e *evaporation.Range) (err error) {
	if c == nil {
		return nil
	}
	for i := range dry.Surfaces {
		dry.Surfaces[i].W *= c.DryFactor
	}
	dry.TotalW *= c.DryFactor
	if c.EvaporationFactor > 0 {
		*e, err = e.Times(c.EvaporationFactor, c.EvaporationUncertaintyPercent)
	}
	return err
}

// Spread is a number with the uncertainty that evaporation brings.
type Spread struct{ Low, Expected, High float64 }

// VesselLoss is the part of one vessel.
type VesselLoss struct {
	Vessel      string // "display" or "sump"
	Dry         DryLossResult
	Evaporation evaporation.Range
}

func (s System) check() error {
	if err := s.Display.check(); err != nil {
		return err
	}
	if s.Sump != nil {
		if err := s.Sump.check(); err != nil {
			return calc.Within("sump_", err)
		}
	}
	const least, most = 1, 1e6 // L
	if !(s.VolumeL >= least && s.VolumeL <= most) {
		return &calc.ConflictError{
			Params: []string{"length_mm", "width_mm", "water_depth_mm"},
			Reason: text.Plain(fmt.Sprintf(
				"the tank holds %.1f L of water; the heat balance is for %d to %.0f L", s.VolumeL, least, most,
			)),
		}
	}
	if err := s.Correction.check(); err != nil {
		return err
	}
	for _, g := range s.Gains {
		for _, c := range []struct {
			param           string
			value, min, max float64
			unit            string
		}{
			{g.Name + "_w", g.PowerW, 0, 1e5, "W"},
			{g.Name + "_heat_share", g.WaterShare, 0, 1, "1"},
			{g.Name + "_hours_per_day", g.HoursPerDay, 0, quantity.HoursPerDay, "h"},
		} {
			if err := calc.CheckRange(c.param, c.value, c.min, c.max, c.unit); err != nil {
				return err
			}
		}
	}
	return nil
}

func (s System) gainsW(on GainsOn) (float64, error) {
	var sum float64
	for _, g := range s.Gains {
		share := 1.0
		switch on {
		case GainsAll:
		case GainsNone:
			share = 0
		case GainsAverage:
			share = g.HoursPerDay / quantity.HoursPerDay
		case GainsContinuous:
			if g.HoursPerDay < quantity.HoursPerDay {
				share = 0
			}
		default:
			return 0, &calc.ConflictError{
				Params: []string{"gains"}, Reason: text.Plain("which gains count must be continuous, average, all " +
					"or none"),
			}
		}
		sum += share * g.PowerW * g.WaterShare
	}
	return sum, nil
}

func (s System) heatCapacity(water quantity.Celsius) (float64, error) {
	density, err := seawater.Density(s.Salinity, water)
	if err != nil {
		return 0, err
	}
	cp, err := seawater.HeatCapacity(s.Salinity, water)
	if err != nil {
		return 0, err
	}
	return s.VolumeL / 1000 * density * cp, nil
}

// Estimate picks one of the three evaporation rates.
type Estimate string

// The estimates; the cautious one depends on the question.
const (
	EvaporationLow      Estimate = "low"
	EvaporationExpected Estimate = "expected"
	EvaporationHigh     Estimate = "high"
)

// losses is what a system gives off at one water temperature.
type losses struct {
	vessels     [2]VesselLoss // the first count
	count       int
	dryW        float64
	evaporation evaporation.Range
	latentW     Spread
}

func (l losses) totalW(e Estimate) float64 {
	switch e {
	case EvaporationLow:
		return l.dryW + l.latentW.Low
	case EvaporationHigh:
		return l.dryW + l.latentW.High
	}
	return l.dryW + l.latentW.Expected
}

var vesselNames = [...]string{"display", "sump"}

func (s System) losses(waterC float64, room Surroundings, surfaceSpeedMS float64) (losses, error) {
	var l losses
	water := quantity.Celsius(waterC)
	for i, v := range [...]*Vessel{&s.Display, s.Sump} {
		if v == nil {
			continue
		}
		dry, err := dryLoss(*v, water, room, surfaceSpeedMS)
		if err != nil {
			return losses{}, err
		}
		lid, err := evaporation.LidFactor(v.Lid)
		if err != nil {
			return losses{}, err
		}
		surface := evaporation.Surface{
			AreaM2: v.AreaM2(), Salinity: s.Salinity, Water: water, Air: room.Air,
			AirSpeedMS: surfaceSpeedMS, LidFactor: lid,
		}
		var e evaporation.Range
		if s.Calibration != nil {
			e, err = s.Calibration.Scaled(surface)
		} else {
			e, err = evaporation.Estimate(surface)
		}
		if err != nil {
			return losses{}, err
		}
		if err := s.Correction.apply(&dry, &e); err != nil {
			return losses{}, err
		}
		l.vessels[i] = VesselLoss{Vessel: vesselNames[i], Dry: dry, Evaporation: e}
		l.count++
		l.dryW += dry.TotalW
		l.evaporation = l.evaporation.Plus(e)
		l.latentW.Low += e.Watts(e.Low - e.Condensed.High)
		l.latentW.Expected += e.Watts(e.Expected - e.Condensed.Expected)
		l.latentW.High += e.Watts(e.High)
	}
	return l, nil
}
