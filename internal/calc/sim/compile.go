package sim

import (
	"slices"

	"saltwright/internal/calc/heat"
	"saltwright/internal/calc/moistair"
	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/seawater"
)

// Compile builds the system of a completed plan in one state of the room.
//
//	p     a plan as plan.Complete returns it
//	room  the air during the whole run
//
// Heat loss and evaporation are straight lines of the water temperature from edge to edge of its bands;
// TestBandsStayCloseToTheHeatBalance measures how far they are off.
// Accuracy: 0.3 K and 5 % of the losses by that test, on top of the accuracy of
// the heat balance and the evaporation, which is far coarser.
// Errors: *calc.RangeError when the room or the tank is outside a relation's
// range, *calc.ConflictError from the schedule. Source: [Derived].
func Compile(p plan.Plan, room plan.RoomState) (*System, error) {
	c := &compiler{p: p, s: &System{
		SalinityStart: p.SalinityPSU,
		TopOffTempC:   room.TempC,
		RoomTempC:     room.TempC,
		StartSecond:   p.Attendance.LeavesAt.Hour() * quantity.SecondsPerHour,
		OutageS:       p.Power.LongestOutageH * quantity.SecondsPerHour,
		MaxEvents:     maxEvents,
	}}
	c.s.TempStartC = (*p.Limits.ComfortLowC + *p.Limits.ComfortHighC) / 2
	for _, step := range []func() error{
		func() error { return c.water(room) },
		c.power, c.sensors, c.devices, c.chemistry, c.controls, c.alarms, c.limits,
	} {
		if err := step(); err != nil {
			return nil, err
		}
	}
	c.s.wiring = c.s.wired()
	return c.s, nil
}

// vessels returns the display and, if there is one, the sump as the heat balance knows them.
func vessels(p plan.Plan) []heat.Vessel {
	system := p.HeatSystem()
	if system.Sump == nil {
		return []heat.Vessel{system.Display}
	}
	return []heat.Vessel{system.Display, *system.Sump}
}

func (c *compiler) water(room plan.RoomState) error {
	p, s := c.p, c.s
	pressure, err := moistair.StandardPressure(p.Room.AltitudeM)
	if err != nil {
		return err
	}
	air := moistair.State{Temp: quantity.Celsius(room.TempC), RelativeHumidity: room.RHPercent / 100,
		Pressure: pressure}
	salinity := quantity.PracticalSalinity(p.SalinityPSU)
	at := quantity.Celsius(s.TempStartC)
	density, err := seawater.Density(salinity, at)
	if err != nil {
		return err
	}
	cp, err := seawater.HeatCapacity(salinity, at)
	if err != nil {
		return err
	}
	latent, err := seawater.LatentHeat(salinity, at)
	if err != nil {
		return err
	}
	fresh, err := seawater.PureWaterDensity(at)
	if err != nil {
		return err
	}
	oxygen, err := seawater.OxygenSaturation(salinity, at, pressure)
	if err != nil {
		return err
	}
	s.VolumicHeatJLK = density * cp / quantity.LitresPerCubicMetre
	s.LatentJL = latent * fresh / quantity.LitresPerCubicMetre
	fan := p.Room.AirSpeedMS
	for _, f := range p.Fans {
		fan = max(fan, f.AirSpeedMS)
	}
	dry, vapour, err := c.measured()
	if err != nil {
		return err
	}
	list := vessels(p)
	s.Nodes = len(list)
	var usual []vesselInAir
	for n, v := range list {
		losses := vesselInAir{
			vessel: v, air: air, salinity: salinity, speedMS: p.Room.AirSpeedMS,
			overWaterMS: [2]float64{p.Room.AirSpeedMS, p.Room.AirSpeedMS}, dry: dry, vapour: vapour, freshKgM3: fresh,
		}
		if n == Display {
			losses.overWaterMS[1] = fan
		}
		if s.Node[n].Bands, err = losses.bands(s.TempStartC); err != nil {
			return err
		}
		usual = append(usual, losses)
	}
	if err := c.airs(usual); err != nil {
		return err
	}
	c.volumes()
	c.leaks()
	d := p.Display
	depthM := *d.WaterDepthMM / quantity.MillimetresPerMetre
	s.OxygenBalance = OxygenBalance{
		SaturationMgL: oxygen,
		DemandMgLS:    *p.Oxygen.DemandMgLH / quantity.SecondsPerHour,
		StirredS:      p.Oxygen.StirredCMH / quantity.CentimetresPerMetre / depthM / quantity.SecondsPerHour,
		StillS:        p.Oxygen.StillCMH / quantity.CentimetresPerMetre / depthM / quantity.SecondsPerHour,
	}
	return nil
}

func (c *compiler) volumes() {
	p, s := c.p, c.s
	d := p.Display
	surfaceM2 := *d.LengthMM * *d.WidthMM / (quantity.MillimetresPerMetre * quantity.MillimetresPerMetre)
	s.Node[Display].VolumeL = d.WaterL()
	if p.Sump == nil {
		s.Chamber = Chamber{
			AreaM2: surfaceM2, BaffleMM: d.FreeboardMM, WideAreaM2: surfaceM2,
			IntakeMM: -d.IntakeDropMM, RimMM: d.FreeboardMM, FloorMM: -*d.WaterDepthMM,
		}
		return
	}
	u := p.Sump
	whole := u.LengthMM * u.WidthMM / (quantity.MillimetresPerMetre * quantity.MillimetresPerMetre)
	chamber := *u.ReturnChamberMM * u.WidthMM / (quantity.MillimetresPerMetre * quantity.MillimetresPerMetre)
	s.Node[Sump].VolumeL = u.WaterL()
	s.Chamber = Chamber{
		AreaM2: chamber, BaffleMM: *u.BaffleMM - u.WaterLevelMM, WideAreaM2: whole,
		IntakeMM: *u.ReturnIntakeMM - u.WaterLevelMM, RimMM: u.HeightMM - u.WaterLevelMM, FloorMM: -u.WaterLevelMM,
	}
	c.plumbing(surfaceM2)
	flow := 0.0
	for _, pump := range p.Pumps {
		if pump.Role == plan.ReturnRole {
			flow += pump.FlowLH
		}
	}
	s.FlowWK = s.VolumicHeatJLK * flow / quantity.SecondsPerHour
}

func (c *compiler) sensors() error {
	kinds := map[plan.SensorKind]SensorKind{
		plan.TemperatureKind: TemperatureSensor, plan.LevelKind: LevelSensor, plan.FlowKind: FlowSensor,
		plan.LeakKind: LeakSensor, plan.PowerKind: PowerSensor, plan.LightKind: LightSensor,
		plan.PHKind: PHSensor, plan.ConductivityKind: ConductivitySensor,
	}
	c.sensor, c.res = map[string]int{}, map[string]int{}
	for i, r := range c.p.Reservoirs {
		c.res[r.ID] = i
		v := Reservoir{
			ID: r.ID, VolumeL: r.VolumeL * r.UsableShare, Break: r.SiphonBreak, AreaM2: r.AreaM2(),
			LineEndMM: *r.LineEndAboveWaterMM,
		}
		v.EmptyMM = *r.BottomAboveWaterMM + r.VolumeL*(1-r.UsableShare)/v.AreaM2
		if r.SiphonLH != nil {
			v.SiphonLS = *r.SiphonLH / quantity.SecondsPerHour
		}
		if r.LimeShare != nil {
			v.Holds = limeWater(c.p.Room.Usual.TempC, *r.LimeShare)
		}
		c.s.Reservoirs = append(c.s.Reservoirs, v)
	}
	for i, x := range c.p.Sensors {
		c.sensor[x.ID] = i
		c.s.Sensors = append(c.s.Sensors, Sensor{ID: x.ID, Kind: kinds[x.Kind]})
	}
	return nil
}

func (c *compiler) controls() error {
	c.ctl = map[string]int{}
	for i, k := range c.p.Controls {
		c.ctl[k.ID] = i
	}
	for i, k := range c.p.Contactors {
		c.ctl[k.ID] = len(c.p.Controls) + i
	}
	for i, k := range c.p.Controls {
		x := Control{ID: k.ID, Circuit: c.circ[*k.Circuit], OnLoss: k.OnSensorLoss == "on",
			Restarts: c.restarts(k.ID)}
		switch k.Kind {
		case plan.Timer:
			x.Kind = Timer
			programme, err := c.programme(*k.Schedule)
			if err != nil {
				return err
			}
			x.Programme = programme
		case plan.Supervisor:
			x.Kind, x.Latching = Cutout, k.Latching
			x.Condition = c.vote(k.Reads(), k.Rule, *k.When != plan.Below, func(id string) int {
				return c.reading(id, *k.When, threshold{k.ThresholdC, k.ThresholdPH, k.ThresholdPSU})
			})
		case plan.TopOff:
			x.Condition = c.vote(k.Reads(), k.Rule, true, func(id string) int {
				j := c.sensor[id]
				return c.condition(Condition{Sensor: j, Negate: true, Index: c.levelComparator(j)})
			})
			if k.RunLimitMin != nil {
				x.RunLimitS = *k.RunLimitMin * 60
			}
		case plan.Acidity:
			x.Condition = c.vote(k.Reads(), k.Rule, true, func(id string) int {
				j := c.sensor[id]
				return c.condition(Condition{Sensor: j, Index: c.comparator(Comparator{Quantity: PH, Sensor: j,
					Low: *k.SetpointPH - *k.HysteresisPH/2, High: *k.SetpointPH + *k.HysteresisPH/2})})
			})
		default:
			x.Condition = c.vote(k.Reads(), k.Rule, k.Kind == plan.Cooling, func(id string) int {
				j := c.sensor[id]
				return c.condition(Condition{Sensor: j, Negate: k.Kind == plan.Heating,
					Index: c.comparator(Comparator{
						Quantity: temperatureAt(*c.p.Sensors[j].Place), Sensor: j,
						Low: *k.SetpointC - k.HysteresisK/2, High: *k.SetpointC + k.HysteresisK/2,
					})})
			})
		}
		c.s.Controls = append(c.s.Controls, x)
		c.relays(i, k.Outputs)
	}
	c.contactors()
	return nil
}

func (c *compiler) alarms() error {
	ways := map[string]int{}
	for i, w := range c.s.Ways {
		ways[w.ID] = i
	}
	for _, a := range c.p.Alarms {
		x := Alarm{
			ID: a.ID, OnLoss: a.OnSensorLoss, DelayS: a.DelayMin * 60, Circuit: -1,
		}
		for _, id := range c.p.Ways(a) {
			x.Ways = append(x.Ways, ways[id])
		}
		switch {
		case a.Watches != "":
			x.Condition, x.Watch = -1, c.watch(a)
		case a.When == plan.Differ:
			c.differ(a, &x)
		default:
			x.Condition = c.vote(a.Reads(), a.Rule, a.When != plan.Below, func(id string) int {
				return c.reading(id, a.When, threshold{a.ThresholdC, a.ThresholdPH, a.ThresholdPSU})
			})
		}
		if a.FromAt != nil {
			x.Hours = &Hours{a.FromAt.Hour() * quantity.SecondsPerHour, a.ToAt.Hour() * quantity.SecondsPerHour}
		}
		if !a.OwnBattery {
			x.Circuit = c.circ[*a.Circuit]
		}
		c.s.Alarms = append(c.s.Alarms, x)
	}
	return nil
}

func (c *compiler) limits() error {
	l, s := c.p.Limits, c.s
	edge := func(at, afterH float64) Edge { return Edge{At: at, AfterS: afterH * quantity.SecondsPerHour} }
	set := func(k LimitKind, comfort, harm, afterH float64, losses ...Edge) {
		s.Limits[k] = Limit{Active: true, Comfort: comfort, Harm: edge(harm, afterH), Losses: losses}
	}
	set(Overheated, *l.ComfortHighC, *l.HarmHighC, *l.HarmTempAfterH,
		edge(*l.LossHighC, *l.LossHeatAfterH), edge(*l.RapidLossHighC, *l.RapidLossAfterH))
	if c.p.Livestock != plan.FishOnly {
		s.HeatDose = Dose{FromC: *l.ComfortHighC, OverC: *l.ComfortHighC - bleachesAboveK,
			Harm: bleachingKWeeks * weekSeconds, Loss: mortalityKWeeks * weekSeconds}
	}
	set(Chilled, *l.ComfortLowC, *l.HarmLowC, *l.HarmTempAfterH,
		edge(*l.LossLowC, *l.LossColdAfterH), edge(*l.RapidLossLowC, *l.RapidLossAfterH))
	set(Diluted, *l.ComfortLowPSU, *l.HarmLowPSU, *l.HarmSalinityAfterH, edge(*l.LossLowPSU, *l.LossSalinityAfterH))
	set(Concentrated, *l.ComfortHighPSU, *l.HarmHighPSU, *l.HarmSalinityAfterH,
		edge(*l.LossHighPSU, *l.LossSalinityAfterH))
	set(Flooded, wetFloorL, *l.HarmSpillL, 0)
	set(Airless, *l.ComfortOxygenMgL, *l.HarmOxygenMgL, *l.HarmOxygenAfterH,
		edge(*l.LossOxygenMgL, *l.LossOxygenAfterH))
	set(RunDry, s.Chamber.VolumeAtL(comfortLevelShare*s.Chamber.IntakeMM), s.Chamber.VolumeAtL(s.Chamber.IntakeMM), 0)
	set(TemperatureShock, *l.ComfortChangeK, *l.HarmChangeK, 0)
	set(SalinityShock, *l.ComfortChangePSU, *l.HarmChangePSU, 0)
	if s.Chemistry != nil {
		c.chemicalLimits()
	}
	if s.Nodes == 2 {
		set(SumpHot, *l.ComfortSumpC, *l.HarmSumpC, 0)
	}
	if slices.ContainsFunc(s.Devices, func(d Device) bool { return d.Kind == Light }) {
		set(NoDark, (24-*l.ComfortDarkH)*quantity.SecondsPerHour, *l.HarmLitH*quantity.SecondsPerHour, 0)
		set(NoLight, min(noLightComfortH, *l.HarmDarkH/2)*quantity.SecondsPerHour,
			*l.HarmDarkH*quantity.SecondsPerHour, 0)
	}
	return nil
}
