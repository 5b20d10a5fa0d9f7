package sim

import (
	"cmp"
	"math"
	"slices"

	"saltwright/internal/calc/carbonate"
	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/quantity"
)

const (
	dioxideOverOxygen = 0.95 // transfer velocities, by the root of the Schmidt numbers 590 and 660; from memory
	starvedShare      = 0.5  // of the alkalinity of loss: below it nothing takes any up; common practice, no source
	tiedOverShare     = 0.5  // of the alkalinity, up from it, over which Tied is a chord
	mostDosesADay     = 24   // more are taken as an even trickle: a dose is then under an hour's share of a day
	mlPerL            = 1000.0
	mmolPerMol        = 1000.0
	slopeStep         = 1e-7 // mol/kg
)

// chemistry compiles what is dosed, changed and let in, and what is dissolved.
func (c *compiler) chemistry() error {
	p, s := &c.p, c.s
	for _, x := range p.DosingPumps {
		c.doser(Device{ID: x.ID, ElectricW: x.PowerW,
			FlowLS: x.FlowMLMin / mlPerL / quantity.SecondsPerMinute}, x.Doses, *x.Circuit,
			Reservoir{VolumeL: x.Container.VolumeL, Holds: solution(x.Container)})
	}
	for _, x := range p.CarbonDioxide {
		c.doser(Device{ID: x.ID, ElectricW: x.PowerW, FlowLS: x.FlowGH / quantity.SecondsPerHour}, x.Doses, *x.Circuit,
			Reservoir{VolumeL: x.BottleG, Gas: true, Holds: gas(x)})
	}
	for _, x := range p.ChangePumps {
		d := Device{ID: x.ID, ElectricW: x.PowerW, FlowLS: x.FlowLH / quantity.SecondsPerHour}
		if x.Role == plan.Drain {
			d.Kind = Drain
			d.InletL = max(s.Chamber.VolumeAtL(*x.InletMM), -(1-driedShare)*s.Node[s.Nodes-1].VolumeL)
			c.clocked(&d, x.Doses, *x.Circuit)
			continue
		}
		c.doser(d, x.Doses, *x.Circuit, Reservoir{VolumeL: x.Container.VolumeL, Holds: Contents{
			Salinity: *x.Container.SalinityPSU, Meq: *x.Container.AlkalinityDKH / carbonate.DKHPerMeqL,
			CalciumMmol:   *x.Container.CalciumMgL / carbonate.Calcium,
			MagnesiumMmol: magnesiumMmol(x.Container.MagnesiumMgL)}})
	}
	if p.Chemistry == nil {
		return nil
	}
	if err := c.dissolved(); err != nil {
		return err
	}
	for _, x := range p.ChangePumps { // in balance with the air
		if x.Role == plan.NewWater {
			r := &s.Reservoirs[s.Devices[c.device[x.ID]].Reservoir]
			r.Holds.CarbonMmol = s.Chemistry.Tied*r.Holds.Meq + s.Chemistry.Apart
		}
	}
	return nil
}

// doser adds a pump or valve with its container.
func (c *compiler) doser(d Device, doses *plan.Doses, circuit string, holds Reservoir) {
	d.Kind, d.Reservoir = Doser, len(c.s.Reservoirs)
	holds.ID, holds.Container = d.ID, true
	c.s.Reservoirs = append(c.s.Reservoirs, holds)
	c.clocked(&d, doses, circuit)
}

// clocked adds a device with the programme of its own clock, if it has one.
func (c *compiler) clocked(d *Device, doses *plan.Doses, circuit string) {
	d.Thermostat, d.Programme, d.Circuit, d.Starts = -1, -1, c.circ[circuit], c.starts(d.ID)
	if doses != nil {
		d.Programme = len(c.s.Programmes)
		c.s.Programmes = append(c.s.Programmes, dosing(*doses))
	}
	c.device[d.ID] = len(c.s.Devices)
	c.s.Devices = append(c.s.Devices, *d)
}

// dosing is the day of a pump that runs so often for so long.
func dosing(d plan.Doses) Programme {
	apart := daySeconds / float64(d.ADay)
	if d.ADay > mostDosesADay {
		share := d.RunS / apart
		return Programme{{0, daySeconds, share, share}}
	}
	type stretch struct{ from, to float64 }
	var runs []stretch
	for k := range d.ADay {
		from := math.Mod(d.FirstAt.Hour()*quantity.SecondsPerHour+float64(k)*apart, daySeconds)
		if to := from + d.RunS; to > daySeconds {
			runs = append(runs, stretch{from, daySeconds}, stretch{0, to - daySeconds})
		} else {
			runs = append(runs, stretch{from, to})
		}
	}
	slices.SortFunc(runs, func(a, b stretch) int { return cmp.Compare(a.from, b.from) })
	var p Programme
	at := 0.0
	for _, x := range runs {
		if x.from > at {
			p = append(p, Piece{at, x.from, 0, 0})
		}
		p = append(p, Piece{x.from, x.to, 1, 1})
		at = x.to
	}
	if at < daySeconds {
		p = append(p, Piece{at, daySeconds, 0, 0})
	}
	return p
}

// solution is what a litre of a container brings.
func solution(x plan.Container) Contents {
	carbonPerMeq := map[plan.Form]float64{plan.CarbonateForm: 0.5, plan.BicarbonateForm: 1, plan.HydroxideForm: 0}
	return Contents{Meq: x.AlkalinityMeqL, CalciumMmol: x.CalciumMgL / carbonate.Calcium,
		CarbonMmol: carbonPerMeq[x.Form] * x.AlkalinityMeqL, MagnesiumMmol: magnesiumMmol(&x.MagnesiumMgL),
		Salinity: x.MagnesiumMgL / carbonate.Magnesium * chlorideGMmol / saltGLPerPSU}
}

// A mmol of magnesium chloride, g [CIAAW2021], and the salt in a litre of sea water for each unit of practical
// salinity, g/L: 35.165 g/kg times 1.0233 kg/L at 25 °C, over 35 [Millero2008], [MilleroPoisson1981].
const (
	chlorideGMmol = (carbonate.Magnesium + 2*35.45) / 1000
	saltGLPerPSU  = 35.16504 / 35 * 1.0233
)

// magnesiumMmol is so many mg as mmol; nil: none.
func magnesiumMmol(mg *float64) float64 {
	if mg == nil {
		return 0
	}
	return *mg / carbonate.Magnesium
}

// limeWater is what a litre of it brings.
func limeWater(celsius, share float64) Contents {
	meq, calciumMg := carbonate.LimeContent(celsius, share)
	return Contents{Meq: meq, CalciumMmol: calciumMg / carbonate.Calcium}
}

// gas is what a gram of carbon dioxide brings: CO2 + CaCO3 + H2O = Ca + 2 HCO3 for the share that dissolves in a
// reactor.
func gas(x plan.CarbonDioxide) Contents {
	mmol := mmolPerMol / carbonate.DioxideGMol
	share := x.DissolvesShare
	if x.Into == plan.IntoTank {
		share = 0
	}
	return Contents{Meq: 2 * share * mmol, CalciumMmol: share * mmol, CarbonMmol: (1 + share) * mmol}
}

// dissolved compiles what is dissolved at the start, and how it goes from there.
func (c *compiler) dissolved() error {
	p, s := &c.p, c.s
	k, err := carbonate.ConstantsAt(quantity.PracticalSalinity(p.SalinityPSU), quantity.Celsius(s.TempStartC))
	if err != nil {
		return err
	}
	water := p.Chemistry
	x := &Chemistry{Constants: k, MeqL: water.AlkalinityDKH / carbonate.DKHPerMeqL,
		CalciumMmolL: water.CalciumMgL / carbonate.Calcium,
		StarvedMeqL:  starvedShare * *p.Limits.LossLowDKH / carbonate.DKHPerMeqL}
	perMicromole, err := carbonate.ToUnit(1, carbonate.MeqPerLitre, quantity.PracticalSalinity(p.SalinityPSU),
		quantity.Celsius(s.TempStartC))
	if err != nil {
		return err
	}
	x.KgPerL = perMicromole * mmolPerMol
	perKg := 1 / (mmolPerMol * x.KgPerL)
	alkalinity := x.MeqL * perKg
	carbon := k.CarbonAt(alkalinity, water.PH)
	now := k.See(carbonate.Water{Alkalinity: alkalinity, Carbon: carbon})
	more, err := k.CarbonWith(alkalinity*(1+tiedOverShare), now.Dioxide)
	if err != nil {
		return err
	}
	x.Tied = (more - carbon) / (tiedOverShare * alkalinity)
	x.Apart = (carbon - x.Tied*alkalinity) / perKg
	beside := k.See(carbonate.Water{Alkalinity: alkalinity, Carbon: carbon + slopeStep})
	whole := s.WholeL()
	// The transfer of oxygen is a rate of the display's own depth.
	depthM := *p.Display.WaterDepthMM / quantity.MillimetresPerMetre
	surfaceL := *p.Display.LengthMM * *p.Display.WidthMM / quantity.SquareMMPerSquareMetre * depthM *
		quantity.LitresPerCubicMetre
	slope := (beside.Dioxide - now.Dioxide) / slopeStep
	x.StirredS = dioxideOverOxygen * s.OxygenBalance.StirredS * slope * surfaceL / whole
	x.StillS = dioxideOverOxygen * s.OxygenBalance.StillS * slope * surfaceL / whole
	x.UptakeMeqS = *water.DemandDKHD / carbonate.DKHPerMeqL * whole / daySeconds
	x.UptakeCalciumS = *water.DemandMgLD / carbonate.Calcium * whole / daySeconds
	if water.MagnesiumMgL != nil {
		x.MagnesiumMmolL = *water.MagnesiumMgL / carbonate.Magnesium
		x.UptakeMagnesiumS = *water.DemandMagnesiumMgLD / carbonate.Magnesium * whole / daySeconds
	}
	x.UptakeCarbonS = c.carbonGivenS() - x.Tied*(p.Given().DKHD/carbonate.DKHPerMeqL*whole/daySeconds-x.UptakeMeqS)
	s.Chemistry = x
	return nil
}

// carbonGivenS is the carbon that the programmes bring, mmol/s on a day's mean.
func (c *compiler) carbonGivenS() float64 {
	sum := 0.0
	for _, x := range c.p.DosingPumps {
		d := &c.s.Devices[c.device[x.ID]]
		sum += c.p.RunsS(x.ID, x.Doses) / daySeconds * d.FlowLS * c.s.Reservoirs[d.Reservoir].Holds.CarbonMmol
	}
	for _, x := range c.p.CarbonDioxide {
		if x.Into == plan.IntoReactor || x.Doses != nil {
			d := &c.s.Devices[c.device[x.ID]]
			sum += c.p.RunsS(x.ID, x.Doses) / daySeconds * d.FlowLS * c.s.Reservoirs[d.Reservoir].Holds.CarbonMmol
		}
	}
	return sum
}

// chemicalLimits sets the limits of what is dissolved.
func (c *compiler) chemicalLimits() {
	l, s := &c.p.Limits, c.s
	harmS, lossS := *l.HarmChemistryAfterH*quantity.SecondsPerHour, *l.LossChemistryAfterH*quantity.SecondsPerHour
	set := func(k LimitKind, unit float64, comfort, harm, loss *float64) {
		x := Limit{Active: true, Comfort: *comfort / unit, Harm: Edge{*harm / unit, harmS}}
		if loss != nil {
			x.Losses = []Edge{{*loss / unit, lossS}}
		}
		s.Limits[k] = x
	}
	set(AlkalinityLow, carbonate.DKHPerMeqL, l.ComfortLowDKH, l.HarmLowDKH, l.LossLowDKH)
	set(AlkalinityHigh, carbonate.DKHPerMeqL, l.ComfortHighDKH, l.HarmHighDKH, l.LossHighDKH)
	set(PHLow, 1, l.ComfortLowPH, l.HarmLowPH, l.LossLowPH)
	set(PHHigh, 1, l.ComfortHighPH, l.HarmHighPH, l.LossHighPH)
	set(Dissolving, 1, l.ComfortLowAragonite, l.HarmLowAragonite, nil)
	set(FallingOut, 1, l.ComfortHighAragonite, l.HarmHighAragonite, nil)
	if c.p.Chemistry.MagnesiumMgL != nil {
		set(MagnesiumLow, carbonate.Magnesium, l.ComfortLowMagnesiumMgL, l.HarmLowMagnesiumMgL, nil)
		set(MagnesiumHigh, carbonate.Magnesium, l.ComfortHighMagnesiumMgL, l.HarmHighMagnesiumMgL, nil)
	}
}
