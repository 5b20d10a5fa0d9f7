package audit

import (
	"slices"

	"saltwright/internal/calc/power"
	"saltwright/internal/calc/sim"
)

// outcome is what the water did in a course, whatever brought it about.
type outcome struct {
	course    *sim.Course
	crossings []Crossing
	extremes  Extremes
	oxygen    *OxygenSpread
}

func newOutcome(s *sim.System, c *sim.Course) outcome {
	return outcome{c, crossings(c), extremes(s, c), oxygenSpread(s, c)}
}

// harmful tells whether it crossed any harm limit, or was cut short.
func (o outcome) harmful() bool {
	return o.course.Truncated || slices.ContainsFunc(o.crossings, func(c Crossing) bool { return c.HarmH != nil })
}

// oxygenSpread tells when a course would have been airless with the least and the most demand; nil: never.
func oxygenSpread(s *sim.System, c *sim.Course) *OxygenSpread {
	o := s.OxygenBalance
	var spread OxygenSpread
	spread.LeastMgLH, spread.MostMgLH = power.DemandSpread(o.DemandMgLS*secondsPerHour, o.StirredS*secondsPerHour,
		o.SaturationMgL, s.Limits[sim.Airless].Comfort)
	if spread.MostH = hours(c.WithDemand(spread.MostMgLH / secondsPerHour).Airless()); spread.MostH == nil {
		return nil
	}
	spread.LeastH = hours(c.WithDemand(spread.LeastMgLH / secondsPerHour).Airless())
	return &spread
}

func hours(s float64) *float64 {
	if s == sim.Never {
		return nil
	}
	h := s / secondsPerHour
	return &h
}

func crossings(c *sim.Course) []Crossing {
	var list []Crossing
	harms, losses, discomforts := c.Harms(), c.Losses(), c.Discomforts()
	for k, loss := range LossNames {
		x := Crossing{Loss: loss, ComfortH: hours(discomforts[k]), HarmH: hours(harms[k]), LossH: hours(losses[k])}
		if x.ComfortH != nil || x.HarmH != nil {
			list = append(list, x)
		}
	}
	return list
}

// harmed lists the harm limits crossed.
func harmed(c *sim.Course) []Crossing {
	var list []Crossing
	losses := c.Losses()
	for k, at := range c.Harms() {
		if at != sim.Never {
			list = append(list, Crossing{Loss: LossNames[k], HarmH: hours(at), LossH: hours(losses[k])})
		}
	}
	return list
}

// Water freezes and boils; the simulation, which is linear, would go on.
const (
	freezesC = -2.0  // sea water of 35; from memory
	boilsC   = 100.0 // and a little more with salt
)

func extremes(s *sim.System, c *sim.Course) Extremes {
	p := c.Peaks()
	within := func(t float64) float64 { return max(freezesC, min(boilsC, t)) }
	return Extremes{
		TempMinC: within(p.TempMinC), TempMaxC: within(p.TempMaxC),
		SalinityMin: p.SalinityMin, SalinityMax: p.SalinityMax,
		LevelMinMM: s.Chamber.HeightAtMM(p.LevelMinL), LevelMaxMM: s.Chamber.HeightAtMM(p.LevelMaxL),
		OxygenMinMgL: p.OxygenMinMgL, SpilledL: c.Balance.SpilledL, SumpMaxC: within(p.SumpMaxC),
		TempChangeK: p.TempChangeK, SalinityChange: p.SalinityChange, Dissolved: p.Dissolved,
	}
}

func (e Extremes) with(o Extremes) Extremes {
	e.TempMinC, e.TempMaxC = min(e.TempMinC, o.TempMinC), max(e.TempMaxC, o.TempMaxC)
	e.SalinityMin, e.SalinityMax = min(e.SalinityMin, o.SalinityMin), max(e.SalinityMax, o.SalinityMax)
	e.LevelMinMM, e.LevelMaxMM = min(e.LevelMinMM, o.LevelMinMM), max(e.LevelMaxMM, o.LevelMaxMM)
	e.OxygenMinMgL = min(e.OxygenMinMgL, o.OxygenMinMgL)
	e.SpilledL += o.SpilledL
	e.SumpMaxC, e.TempChangeK = max(e.SumpMaxC, o.SumpMaxC), max(e.TempChangeK, o.TempChangeK)
	e.SalinityChange = max(e.SalinityChange, o.SalinityChange)
	if e.Dissolved != nil {
		e.Dissolved = new(e.Dissolved.With(*o.Dissolved))
	}
	return e
}
