package audit

import (
	"fmt"
	"math"

	"saltwright/internal/calc/heat"
	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/sim"
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
func (w *writer) change(loss string, in RoomName, element string, f *FaultReport) string {
	rm := w.room(in)
	switch loss {
	case "overheated":
		return w.overheated(rm, element)
	case "chilled":
		return w.chilled(rm, element, f)
	case "diluted":
		return fmt.Sprintf("At most %s of fresh water can run in without harm: use a reservoir that holds no more, "+
			"refilled from a larger one by hand, "+
			"or a run limit and a second level sensor of another kind that cuts the "+
			"pump.", litres(w.harmlessDilutionL(rm.system)))
	case "concentrated", "run_dry":
		return fmt.Sprintf("%.1f L evaporate a day in this room: make sure that top-off lasts %s, and let a level "+
			"sensor below the normal line raise an alarm "+
			"that reaches somebody who is away.", rm.nominal.EvaporationLD, days(*w.p.Attendance.LongestAbsenceH))
	case "flooded":
		return w.flooded(rm)
	case "no_dark", "no_light":
		return "Put the light behind a second timer or a supervisor that fails the other way, or have somebody look " +
			"at " +
			"least every " +
			days(w.lightHarmH(loss)) + "."
	case "airless":
		return "Keep one water-moving pump on another circuit or on a battery, and let a power or flow sensor raise " +
			"an " +
			"alarm that reaches somebody who is away."
	}
	return "Widen the hysteresis of the controls involved and move set-points that overlap apart."
}

func litres(v float64) string { return fmt.Sprintf("%.0f L", math.Floor(v)) }

func days(h float64) string {
	if h < 48 {
		return fmt.Sprintf("%.0f h", h)
	}
	return fmt.Sprintf("%.1f days", h/24)
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

func (w *writer) overheated(rm *room, element string) string {
	harmC := *w.p.Limits.HarmHighC
	may := w.steadyHeatW(rm, harmC)
	if may <= 0 {
		return fmt.Sprintf("In a room of %.0f °C lights and pumps alone bring the tank to %.1f °C: cool the room or "+
			"add "+
			"a chiller or fan with at least %.0f W to spare.",
			rm.system.RoomTempC, harmC, -may)
	}
	for _, d := range rm.system.Devices {
		if d.ID == element && d.Kind != sim.Heater {
			return fmt.Sprintf("Let a temperature alarm well below %.1f °C reach somebody who is away, or shed heat "+
				"from %s.",
				harmC, element)
		}
	}
	return fmt.Sprintf("What stays on may heat with at most %.0f W before this room pushes the tank past %.1f °C: "+
		"split the heating into heaters no larger than that, "+
		"each on a relay of its own, or put a backstop in series, a heater's own thermostat about %g K above the "+
		"control's set-point.", may, harmC, heat.UsualBackstopK)
}

func (w *writer) chilled(rm *room, element string, f *FaultReport) string {
	need := w.steadyHeatW(rm, *w.p.Limits.HarmLowC)
	have, left := 0.0, 0.0
	for _, h := range w.p.Heaters {
		have += h.PowerW
		if h.ID != element {
			left += h.PowerW
		}
	}
	if f == nil {
		return fmt.Sprintf("Holding %.1f °C in this room takes %.0f W of heating; the plan has %.0f W.",
			*w.p.Limits.HarmLowC, need, have)
	}
	if need <= 0 || left >= need && f.Fault.Kind != "heater" {
		return "Heat by a second control on another circuit with a sensor of its own, and let a low-temperature " +
			"alarm " +
			"reach somebody who is away."
	}
	return fmt.Sprintf("Holding %.1f °C in this room takes %.0f W of heating: split it so that what still works "+
		"gives that much (now %.0f W), each heater with a control or thermostat of its own.",
		*w.p.Limits.HarmLowC, need, left)
}

func (w *writer) flooded(rm *room) string {
	s := rm.system
	free := s.Chamber.VolumeAtL(s.Chamber.RimMM)
	if s.Nodes == 2 && s.DrainBackL > free {
		return fmt.Sprintf("When the return stops %.0f L drain back into %.0f L of free space: lower the running "+
			"level, "+
			"or raise the overflow or the return outlet so that less drains back.",
			s.DrainBackL, free)
	}
	return fmt.Sprintf("The free space above the normal line takes %.0f L: a reservoir that holds no more cannot "+
		"flood the floor; otherwise let a second level sensor of another kind cut the pump.",
		math.Floor(free))
}
