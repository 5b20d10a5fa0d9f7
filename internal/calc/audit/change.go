package audit

import (
	"saltwright/internal/calc/heat"
	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/sim"
	"saltwright/internal/calc/text"
)

// What a control's band should be at least; common practice, no source.
const (
	steadyBandK  = 0.2
	steadyBandMM = 3.0
)

// writer gathers findings.
type writer struct {
	p     plan.Plan
	rooms []room
	list  []Finding
}

func (w *writer) add(f Finding) { w.list = append(w.list, f) }

func (w *writer) room(name RoomName) *room {
	for i := range w.rooms {
		if w.rooms[i].name == name {
			return &w.rooms[i]
		}
	}
	panic("audit: unknown room " + string(name))
}

// change says what would prevent a loss, with the number that decides it.
func (w *writer) change(loss string, in RoomName, element string, f *FaultReport) text.Text {
	rm := w.room(in)
	switch loss {
	case "overheated":
		return w.overheated(rm, element)
	case "chilled":
		return w.chilled(rm, f)
	case "diluted":
		return text.Of("change_top_off", text.Params{"spill": w.harmlessDilutionL(rm.system)})
	case "concentrated", "run_dry":
		return text.Of("change_reservoir_lasts", text.Params{
			"evaporation": rm.nominal.EvaporationLD, "room": string(rm.name), "time": *w.p.Attendance.LongestAbsenceH})
	case "flooded":
		return w.flooded(rm)
	case "sump_hot":
		return text.Of("change_sump_heat", nil)
	case "temperature_shock":
		return text.Of("change_slower_heat", nil)
	case "salinity_shock":
		return text.Of("change_slower_water", nil)
	case "no_dark", "no_light":
		return text.Of("change_light", text.Params{"time": w.lightHarmH(loss)})
	case "airless":
		return text.Of("change_air", nil)
	}
	return text.Of("change_switching", text.Params{"difference": steadyBandK, "length": steadyBandMM})
}

func (w *writer) lightHarmH(loss string) float64 {
	if loss == "no_dark" {
		return *w.p.Limits.HarmLitH
	}
	return *w.p.Limits.HarmDarkH
}

// harmlessDilutionL is the fresh water that brings the whole tank just to its low harm limit, spilling left out.
func (w *writer) harmlessDilutionL(s *sim.System) float64 {
	volume := s.Node[sim.Display].VolumeL + s.Node[sim.Sump].VolumeL
	return w.p.HarmlessDilutionL(volume)
}

// steadyHeatW is the heating power that holds the tank at a temperature in a
// room, lights on at their daily mean and pumps running.
func (w *writer) steadyHeatW(rm *room, tempC float64) float64 {
	need := 0.0
	s := rm.system
	for n := range s.Nodes {
		band := s.Node[n].BandAt(tempC)
		need += band.DryLossW.At(tempC) + s.LatentJL*band.EvaporationLS[0].At(tempC)
	}
	for i, d := range s.Devices {
		if d.Kind == sim.Heater || d.Kind == sim.Chiller {
			continue
		}
		share := 1.0
		if d.ElectricW > 0 {
			share = rm.nominal.Devices[i].KWhPerDay * 1000 / 24 / d.ElectricW
		}
		need -= (d.HeatW[0] + d.HeatW[1]) * share
	}
	return need
}

func (w *writer) overheated(rm *room, element string) text.Text {
	harmC := *w.p.Limits.HarmHighC
	may := w.steadyHeatW(rm, harmC)
	if may <= 0 {
		return text.Of("change_cool_room",
			text.Params{"temperature": rm.system.RoomTempC, "limit": harmC, "power": -may})
	}
	for _, d := range rm.system.Devices {
		if d.ID == element && d.Kind != sim.Heater {
			return text.Of("change_warm_alarm", text.Params{"limit": harmC, "element": element})
		}
	}
	return text.Of("change_heater_limit",
		text.Params{"power": may, "room": string(rm.name), "limit": harmC, "above": heat.UsualBackstopK})
}

func (w *writer) chilled(rm *room, f *FaultReport) text.Text {
	need := w.steadyHeatW(rm, *w.p.Limits.HarmLowC)
	have, left := 0.0, 0.0
	for i, h := range w.p.Heaters { // the first devices
		have += h.PowerW
		if f != nil && !sim.EffectOf(rm.system, f.Fault.injectionsIn(rm.system)).Off(rm.system, i) {
			left += h.PowerW
		}
	}
	holding := text.Params{"limit": *w.p.Limits.HarmLowC, "room": string(rm.name), "needed": need}
	switch {
	case f == nil && have >= need:
		return text.Of("change_setpoint", text.Params{"limit": *w.p.Limits.ComfortLowC})
	case f == nil:
		holding["have"] = have
		return text.Of("change_more_heat", holding)
	case need <= 0 || left >= need && f.Fault.Kind != "heater":
		return text.Of("change_second_heat", nil)
	case left == 0:
		return text.Of("change_split_heat_none", holding)
	}
	holding["left"] = left
	return text.Of("change_split_heat", holding)
}

func (w *writer) flooded(rm *room) text.Text {
	s := rm.system
	free := s.Chamber.VolumeAtL(s.Chamber.RimMM)
	if s.Nodes == 2 && s.DrainBackL > free {
		return text.Of("change_drain_back", text.Params{"drains": s.DrainBackL, "free": free})
	}
	return text.Of("change_smaller_reservoir", text.Params{"free": free})
}
