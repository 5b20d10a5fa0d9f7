package power

import (
	"math"

	"saltwright/internal/calc/quantity"
)

// ExchangeSpread is how unsure the exchange is: between expected/1.5 and expected·1.5; common practice, no source.
const ExchangeSpread = 1.5

// OxygenCase is one view of the oxygen.
type OxygenCase struct {
	Case     string // best, expected or worst
	StartMgL float64
	EndMgL   float64 // at the end of the outage
	StillMgL float64 // where it tends to with nothing stirring
	ComfortH *float64
	HarmH    *float64
}

// oxygenCurve is one view: stirred until the battery ends, then still.
type oxygenCurve struct {
	name             string
	start, stirredTo float64 // mg/L
	stillTo          float64
	stirredH, stillH float64 // time constants
	stirredUntil     float64 // h
}

func (in OutageInput) curves(saturationMgL, batteryH float64) []oxygenCurve {
	area := in.System.Display.AreaM2()
	depthCM := in.DisplayL / quantity.LitresPerCubicMetre / area * quantity.CentimetresPerMetre
	demand := in.Oxygen.DemandMgLH
	least, most := DemandSpread(demand, in.Oxygen.StirredCMH/depthCM, saturationMgL, in.Oxygen.ComfortMgL)
	var out []oxygenCurve
	for _, x := range []struct {
		name             string
		demand, exchange float64
	}{{"best", least, ExchangeSpread}, {"expected", demand, 1}, {"worst", most, 1 / ExchangeSpread}} {
		d := x.demand
		stirred, still := in.Oxygen.StirredCMH*x.exchange/depthCM, in.Oxygen.StillCMH*x.exchange/depthCM // 1/h
		c := oxygenCurve{name: x.name, stillTo: saturationMgL - d/still, stillH: 1 / still}
		// Before the outage the animals lived well: no view begins below what is comfortable.
		c.start = math.Max(saturationMgL-d/stirred, math.Min(in.Oxygen.ComfortMgL, saturationMgL))
		mixed := stirred
		if in.Battery != nil {
			c.stirredUntil = batteryH
			share := in.Battery.OnPercent / quantity.PerCent
			mixed = share*stirred + (1-share)*still
		}
		c.stirredTo, c.stirredH = saturationMgL-d/mixed, 1/mixed
		out = append(out, c)
	}
	return out
}

// at returns the oxygen at an hour, at least 0.
func (c oxygenCurve) at(hour float64) float64 {
	first := math.Min(hour, c.stirredUntil)
	o := c.stirredTo + (c.start-c.stirredTo)*math.Exp(-first/c.stirredH)
	if rest := hour - first; rest > 0 {
		o = c.stillTo + (o-c.stillTo)*math.Exp(-rest/c.stillH)
	}
	return math.Max(0, o)
}

// reaches returns when the oxygen falls to a level, nil when it never does.
func (c oxygenCurve) reaches(level float64) *float64 {
	hit := func(from, to, tau, start, length float64) *float64 {
		if from <= level {
			return &start
		}
		if to >= level {
			return nil
		}
		h := tau * math.Log((from-to)/(level-to))
		if h > length {
			return nil
		}
		h += start
		return &h
	}
	if h := hit(
		c.start, c.stirredTo, c.stirredH, 0, c.stirredUntil,
	); h != nil && (*h < c.stirredUntil || c.start <= level) {
		return h
	}
	return hit(c.at(c.stirredUntil), c.stillTo, c.stillH, c.stirredUntil, math.Inf(1))
}

func (c oxygenCurve) result(in OutageInput) OxygenCase {
	return OxygenCase{
		Case: c.name, StartMgL: c.start, EndMgL: c.at(in.DurationH), StillMgL: math.Max(0, c.stillTo),
		ComfortH: c.reaches(in.Oxygen.ComfortMgL), HarmH: c.reaches(in.Oxygen.HarmMgL),
	}
}
