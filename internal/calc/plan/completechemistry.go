package plan

import (
	"fmt"
	"slices"

	"saltwright/internal/calc/carbonate"
	"saltwright/internal/calc/evaporation"
	"saltwright/internal/calc/moistair"
	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/text"
)

const (
	millilitresPerLitre = 1000.0
	millimolesPerMole   = 1000.0
	usualHysteresisPH   = 0.1 // common practice, no source
)

// usualChemicalLimits are the limits of what is dissolved where a plan names none. Saturation: nothing was seen to
// fall out up to 5, and above 7 it does [Moras2022]; below 1 aragonite dissolves. At pH 7.4 a coral of natural seeps is
// at the limit of what it regulates (Wall and others 2016, abstract read). From memory: fishes are stressed from pH 9.0
// to 9.5, and die above within hours to a day. The rest is common practice, no source.
var usualChemicalLimits = []struct {
	member, unit string
	of           func(*Limits) **float64
	values       [4]float64 // by groups
}{
	{"comfort_low_dkh", "dKH", func(l *Limits) **float64 { return &l.ComfortLowDKH }, [4]float64{5, 6, 6.5, 6.5}},
	{"comfort_high_dkh", "dKH", func(l *Limits) **float64 { return &l.ComfortHighDKH }, [4]float64{14, 12, 12, 11}},
	{"harm_low_dkh", "dKH", func(l *Limits) **float64 { return &l.HarmLowDKH }, [4]float64{3, 4, 5, 5}},
	{"harm_high_dkh", "dKH", func(l *Limits) **float64 { return &l.HarmHighDKH }, [4]float64{20, 18, 16, 15}},
	{"loss_low_dkh", "dKH", func(l *Limits) **float64 { return &l.LossLowDKH }, [4]float64{1.5, 2, 2.5, 3}},
	{"loss_high_dkh", "dKH", func(l *Limits) **float64 { return &l.LossHighDKH }, [4]float64{32, 30, 27, 24}},
	{"comfort_low_ph", "1", func(l *Limits) **float64 { return &l.ComfortLowPH }, [4]float64{7.6, 7.7, 7.7, 7.7}},
	{"comfort_high_ph", "1", func(l *Limits) **float64 { return &l.ComfortHighPH }, [4]float64{8.5, 8.5, 8.5, 8.5}},
	{"harm_low_ph", "1", func(l *Limits) **float64 { return &l.HarmLowPH }, [4]float64{7.2, 7.4, 7.4, 7.4}},
	{"harm_high_ph", "1", func(l *Limits) **float64 { return &l.HarmHighPH }, [4]float64{8.8, 8.8, 8.8, 8.8}},
	{"loss_low_ph", "1", func(l *Limits) **float64 { return &l.LossLowPH }, [4]float64{6.6, 6.8, 6.8, 6.8}},
	{"loss_high_ph", "1", func(l *Limits) **float64 { return &l.LossHighPH }, [4]float64{9.5, 9.5, 9.5, 9.5}},
	{"comfort_low_aragonite", "1", func(l *Limits) **float64 { return &l.ComfortLowAragonite },
		[4]float64{1, 1.5, 2, 2}},
	{"comfort_high_aragonite", "1", func(l *Limits) **float64 { return &l.ComfortHighAragonite },
		[4]float64{carbonate.KeepsDissolved, carbonate.KeepsDissolved, carbonate.KeepsDissolved,
			carbonate.KeepsDissolved}},
	{"harm_low_aragonite", "1", func(l *Limits) **float64 { return &l.HarmLowAragonite },
		[4]float64{0.5, 1, 1, 1}},
	{"harm_high_aragonite", "1", func(l *Limits) **float64 { return &l.HarmHighAragonite },
		[4]float64{carbonate.FallsOut, carbonate.FallsOut, carbonate.FallsOut, carbonate.FallsOut}},
	{"harm_chemistry_after_h", "h", func(l *Limits) **float64 { return &l.HarmChemistryAfterH },
		[4]float64{2, 2, 2, 2}},
	{"loss_chemistry_after_h", "h", func(l *Limits) **float64 { return &l.LossChemistryAfterH },
		[4]float64{12, 12, 12, 12}},
}

// chemistry fills in what is dissolved, where the plan follows it.
func (c *completion) chemistry() {
	p := c.p
	if !p.chemical() {
		return
	}
	if p.Chemistry == nil {
		p.Chemistry = &Chemistry{AlkalinityDKH: UsualAlkalinityDKH, CalciumMgL: UsualCalciumMgL, PH: UsualPH}
		note := text.Of("assumed_plan_chemistry", nil)
		c.note("chemistry.alkalinity_dkh", UsualAlkalinityDKH, "dKH", WhyCommonPractice, note)
		c.note("chemistry.calcium_mg_l", UsualCalciumMgL, "mg/L", WhyCommonPractice, note)
		c.note("chemistry.ph", UsualPH, "1", WhyCommonPractice, note)
	}
	c.magnesium()
	note, column := text.Of("assumed_plan_usual_limit", text.Params{"livestock": string(p.Livestock)}),
		slices.Index(groups, p.Livestock)
	for _, l := range usualChemicalLimits {
		assume(c, l.of(&p.Limits), l.values[column], "limits."+l.member, l.unit, WhyCommonPractice, note)
	}
	for i := range p.Controls {
		if k := &p.Controls[i]; k.Kind == Acidity {
			assume(c, &k.HysteresisPH, usualHysteresisPH, fmt.Sprintf("controls[%d].hysteresis_ph", i), "1",
				WhyCommonPractice, text.Of("assumed_plan_hysteresis_ph", nil))
		}
	}
	for i := range p.ChangePumps {
		x := &p.ChangePumps[i]
		at := fmt.Sprintf("change_pumps[%d].", i)
		if x.Role == Drain {
			assume(c, &x.InletMM, p.floorMM(), at+"inlet_mm", "mm", WhyDerived,
				text.Of("assumed_plan_drain_inlet", nil))
			continue
		}
		x.Container = new(*x.Container)
		same := text.Of("assumed_plan_new_water_as_tank", nil)
		assume(c, &x.Container.SalinityPSU, p.SalinityPSU, at+"container.salinity_psu", "1", WhyDerived, same)
		assume(c, &x.Container.AlkalinityDKH, p.Chemistry.AlkalinityDKH, at+"container.alkalinity_dkh", "dKH",
			WhyDerived, same)
		assume(c, &x.Container.CalciumMgL, p.Chemistry.CalciumMgL, at+"container.calcium_mg_l", "mg/L", WhyDerived,
			same)
		if p.Chemistry.MagnesiumMgL != nil {
			assume(c, &x.Container.MagnesiumMgL, *p.Chemistry.MagnesiumMgL, at+"container.magnesium_mg_l", "mg/L",
				WhyDerived, same)
		}
	}
	given := p.Given()
	assume(c, &p.Chemistry.DemandDKHD, max(0, given.DKHD), "chemistry.daily_demand_dkh", "dKH", WhyDerived,
		text.Of("assumed_plan_demand_as_given", nil))
	assume(c, &p.Chemistry.DemandMgLD, max(0, given.MgLD), "chemistry.daily_demand_calcium_mg_l", "mg/L", WhyDerived,
		text.Of("assumed_plan_demand_as_given", nil))
}

// usualMagnesiumLimits are common practice, no source: nothing published says when too much or too little harms.
var usualMagnesiumLimits = []struct {
	member string
	of     func(*Limits) **float64
	value  float64
}{
	{"comfort_low_magnesium_mg_l", func(l *Limits) **float64 { return &l.ComfortLowMagnesiumMgL }, 1100},
	{"comfort_high_magnesium_mg_l", func(l *Limits) **float64 { return &l.ComfortHighMagnesiumMgL }, 1550},
	{"harm_low_magnesium_mg_l", func(l *Limits) **float64 { return &l.HarmLowMagnesiumMgL }, 850},
	{"harm_high_magnesium_mg_l", func(l *Limits) **float64 { return &l.HarmHighMagnesiumMgL }, 1900},
}

// magnesium fills in what a plan that brings some leaves out.
func (c *completion) magnesium() {
	p := c.p
	brings := p.Chemistry.MagnesiumMgL != nil || slices.ContainsFunc(p.DosingPumps, func(x DosingPump) bool {
		return x.Container.MagnesiumMgL > 0
	})
	if !brings {
		return
	}
	p.Chemistry = new(*p.Chemistry)
	assume(c, &p.Chemistry.MagnesiumMgL, UsualMagnesiumMgL, "chemistry.magnesium_mg_l", "mg/L", WhyCommonPractice,
		text.Of("assumed_plan_chemistry", nil))
	for _, l := range usualMagnesiumLimits {
		assume(c, l.of(&p.Limits), l.value, "limits."+l.member, "mg/L", WhyCommonPractice,
			text.Of("assumed_plan_usual_limit", text.Params{"livestock": string(p.Livestock)}))
	}
	given := 0.0
	for _, x := range p.DosingPumps {
		given += p.RunsS(x.ID, x.Doses) / quantity.SecondsPerMinute * x.FlowMLMin / millilitresPerLitre *
			x.Container.MagnesiumMgL / p.WaterL()
	}
	assume(c, &p.Chemistry.DemandMagnesiumMgLD, given, "chemistry.daily_demand_magnesium_mg_l", "mg/L", WhyDerived,
		text.Of("assumed_plan_demand_as_given", nil))
}

// Given is what a day of the programmes brings to each litre of the tank.
type Given struct{ DKHD, MgLD float64 }

// Given returns what the dosing pumps, reactors and lime water for the usual evaporation bring to a completed plan's
// tank in a day.
//
// Accuracy: exact for programmes; evaporation within a factor of 1.4. Errors: none. Source: [CIAAW2021], [Derived].
func (p *Plan) Given() Given {
	volumeL := p.WaterL()
	var meqD, mgD float64
	for _, x := range p.DosingPumps {
		litres := p.RunsS(x.ID, x.Doses) / quantity.SecondsPerMinute * x.FlowMLMin / millilitresPerLitre
		meqD += litres * x.Container.AlkalinityMeqL
		mgD += litres * x.Container.CalciumMgL
	}
	for _, x := range p.CarbonDioxide {
		if x.Into == IntoReactor {
			dissolved := p.RunsS(x.ID, x.Doses) / quantity.SecondsPerHour * x.FlowGH / carbonate.DioxideGMol *
				x.DissolvesShare * millimolesPerMole
			meqD += 2 * dissolved
			mgD += dissolved * carbonate.Calcium
		}
	}
	for _, x := range p.TopOffPumps {
		for _, r := range p.Reservoirs {
			if r.ID == x.Reservoir && r.LimeShare != nil {
				meqL, mgL := carbonate.LimeContent(p.Room.Usual.TempC, *r.LimeShare)
				litres := p.EvaporationLD() / float64(len(p.TopOffPumps))
				meqD += litres * meqL
				mgD += litres * mgL
			}
		}
	}
	return Given{meqD / volumeL * carbonate.DKHPerMeqL, mgD / volumeL}
}

// RunsS returns how long a pump runs in a day by its own programme, or by the timers that drive it.
//
// Accuracy: exact, but that the hours of several timers are taken to be the shortest. Errors: none. Source: [Derived].
func (p *Plan) RunsS(id string, d *Doses) float64 {
	runs := quantity.SecondsPerDay
	if d != nil {
		runs = float64(d.ADay) * d.RunS
	}
	for _, k := range p.Controls {
		if k.Kind != Timer || k.Schedule == nil || !slices.Contains(k.Outputs, id) {
			continue
		}
		on := 0.0
		corners := k.Schedule.Corners()
		for i, a := range corners {
			b := corners[(i+1)%len(corners)]
			hours := b.Hour - a.Hour
			if hours < 0 || i == len(corners)-1 {
				hours += quantity.HoursPerDay
			}
			if a.Level > 0 || b.Level > 0 {
				on += hours * quantity.SecondsPerHour
			}
		}
		runs = min(runs, on)
	}
	return runs
}

// floorMM is where the floor of the vessel in which the level moves lies, from the normal water line.
func (p *Plan) floorMM() float64 {
	if p.Sump != nil {
		return -p.Sump.WaterLevelMM
	}
	return -*p.Display.WaterDepthMM
}

// WaterL returns all water of a completed plan, display and sump.
//
// Accuracy: exact for boxes. Errors: none. Source: [Derived].
func (p *Plan) WaterL() float64 {
	if p.Sump == nil {
		return p.Display.WaterL()
	}
	return p.Display.WaterL() + p.Sump.WaterL()
}

// EvaporationLD returns what evaporates of a completed plan's tank in the usual room, L/d; 0 where no relation reaches
// that room.
//
// Accuracy: a factor of 1.4. Errors: none. Source: [SmithLofJones1998], [ASHRAEApplications].
func (p *Plan) EvaporationLD() float64 {
	pressure, err := moistair.StandardPressure(p.Room.AltitudeM)
	if err != nil {
		return 0
	}
	system := p.HeatSystem()
	list := []struct {
		areaM2 float64
		lid    evaporation.Lid
	}{{system.Display.AreaM2(), p.Display.Lid}}
	if system.Sump != nil {
		list = append(list, struct {
			areaM2 float64
			lid    evaporation.Lid
		}{system.Sump.AreaM2(), p.Sump.Lid})
	}
	sum := 0.0
	for _, v := range list {
		lid, err := evaporation.LidFactor(v.lid)
		if err != nil {
			return 0
		}
		rate, err := evaporation.Estimate(evaporation.Surface{
			AreaM2: v.areaM2, Salinity: quantity.PracticalSalinity(p.SalinityPSU),
			Water: quantity.Celsius(p.Limits.MiddleC()), AirSpeedMS: p.Room.AirSpeedMS, LidFactor: lid,
			Air: moistair.State{Temp: quantity.Celsius(p.Room.Usual.TempC), Pressure: pressure,
				RelativeHumidity: p.Room.Usual.RHPercent / 100},
		})
		if err != nil {
			return 0
		}
		sum += rate.Expected * quantity.HoursPerDay
	}
	if p.Measured != nil {
		sum *= p.Measured.EvaporationFactor
	}
	return sum
}

// chemical tells whether something in the plan doses, changes or measures what is dissolved.
func (p *Plan) chemical() bool {
	if p.Chemistry != nil || len(p.DosingPumps)+len(p.ChangePumps)+len(p.CarbonDioxide) > 0 {
		return true
	}
	for _, r := range p.Reservoirs {
		if r.LimeShare != nil {
			return true
		}
	}
	for _, s := range p.Sensors {
		if s.Kind == PHKind {
			return true
		}
	}
	return false
}
