package sim

import (
	"saltwright/internal/calc/light"
	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/quantity"
)

func (c *compiler) devices() error {
	c.device = map[string]int{}
	add := func(d Device, circuit string) {
		d.Circuit, d.Starts = c.circ[circuit], c.starts(d.ID)
		c.device[d.ID] = len(c.s.Devices)
		c.s.Devices = append(c.s.Devices, d)
	}
	into := func(place plan.Place, watts float64) (heat [2]float64) {
		heat[nodeOf(place)] = watts
		return heat
	}
	for _, h := range c.p.Heaters {
		add(Device{
			ID: h.ID, Kind: Heater, HeatW: into(*h.Place, h.PowerW), ElectricW: h.PowerW, Programme: -1,
			Thermostat: c.thermostat(h.ThermostatC, h.ThermostatHysteresisK, *h.Place), Dry: c.dryness(h),
		}, *h.Circuit)
	}
	for _, h := range c.p.Chillers {
		add(Device{
			ID: h.ID, Kind: Chiller, HeatW: into(*h.Place, -h.CoolingW), ElectricW: h.PowerW, Programme: -1,
			Thermostat: c.thermostat(h.ThermostatC, h.ThermostatHysteresisK, *h.Place),
		}, *h.Circuit)
	}
	for _, f := range c.p.Fans {
		add(Device{ID: f.ID, Kind: Fan, ElectricW: f.PowerW, Programme: -1, Thermostat: -1}, *f.Circuit)
	}
	for _, p := range c.p.Pumps {
		kind, place := CirculationPump, plan.InDisplay
		if p.Role == plan.ReturnRole {
			kind, place = ReturnPump, plan.InSump
		}
		add(Device{
			ID: p.ID, Kind: kind, HeatW: into(place, p.PowerW*p.HeatShare), ElectricW: p.PowerW, Programme: -1,
			Thermostat: -1, StaysOff: p.StaysOff != nil && *p.StaysOff, Clogs: c.clogging(p),
		}, *p.Circuit)
	}
	for _, p := range c.p.TopOffPumps {
		add(Device{
			ID: p.ID, Kind: TopOffPump, FlowLS: p.FlowLH / quantity.SecondsPerHour, Reservoir: c.res[p.Reservoir],
			ElectricW: p.PowerW, Programme: -1, Thermostat: -1, StaysOff: p.StaysOff != nil && *p.StaysOff,
		}, *p.Circuit)
	}
	for _, l := range c.p.Lights {
		d := Device{
			ID: l.ID, Kind: Light, HeatW: into(plan.InDisplay,
				l.PowerW*l.HeatShare), ElectricW: l.PowerW, Programme: -1, Thermostat: -1,
		}
		if l.Schedule != nil {
			programme, err := c.programme(*l.Schedule)
			if err != nil {
				return err
			}
			d.Programme = programme
		}
		add(d, *l.Circuit)
	}
	c.skimmers()
	c.roomUnits()
	return nil
}

func (c *compiler) thermostat(atC *float64, hysteresisK float64, place plan.Place) int {
	if atC == nil {
		return -1
	}
	return c.comparator(Comparator{
		Quantity: temperatureAt(place), Low: *atC - hysteresisK/2, High: *atC + hysteresisK/2, Sensor: -1,
	})
}

// programme adds a daily programme and returns its index.
func (c *compiler) programme(s plan.Schedule) (int, error) {
	schedule, err := light.NewSchedule(s.Corners())
	if err != nil {
		return 0, err
	}
	var p Programme
	for _, piece := range schedule.Segments() {
		p = append(p, Piece{
			StartS: piece.StartHour * quantity.SecondsPerHour, EndS: piece.EndHour * quantity.SecondsPerHour,
			From: piece.FromLevel / 100, To: piece.ToLevel / 100,
		})
	}
	c.s.Programmes = append(c.s.Programmes, p)
	return len(c.s.Programmes) - 1, nil
}
