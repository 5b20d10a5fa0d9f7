package audit

import (
	"context"
	"slices"

	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/sim"
)

func tank(s *sim.System) Tank {
	t := Tank{DisplayL: s.Node[sim.Display].VolumeL, SumpL: s.Node[sim.Sump].VolumeL, DrainBackL: s.DrainBackL}
	t.FreeSumpL = s.Chamber.VolumeAtL(s.Chamber.RimMM)
	for _, n := range s.Node[:s.Nodes] {
		band := n.BandAt(s.TempStartC)
		t.HeatLossWK += band.DryLossW.Slope + s.LatentJL*band.EvaporationLS[0].Slope
	}
	t.TimeConstantH = (t.DisplayL + t.SumpL) * s.VolumicHeatJLK / t.HeatLossWK / secondsPerHour
	return t
}

// room is one state of the room with its system and nominal run.
type room struct {
	name    RoomName
	system  *sim.System
	usual   int // events of a run after which it is cut short
	start   sim.State
	drifted map[string]*sim.State // the start with probes that have drifted, by the effect of that
	nominal NominalReport
	crew    crew
	first   outcome         // of the first absence with nothing broken
	raisedS []float64       // when each alarm is raised in it, or sim.Never
	marks   []sim.Mark      // in it
	devices []sim.DeviceUse // in it
	// Starts a day of the contact of each relay, and of each device's own thermostat.
	relayStarts, thermostatStarts []float64
}

// prepareRooms follows a plan with nothing broken for so many hours, or through the longest absence if that is longer;
// in some rooms only, where any are named.
func prepareRooms(ctx context.Context, p plan.Plan, report *Report, hours float64, only ...RoomName) ([]room, error) {
	states := []struct {
		name RoomName
		air  plan.RoomState
	}{{Coldest, *p.Room.Coldest}, {Usual, p.Room.Usual}, {Warmest, *p.Room.Warmest}}
	var rooms []room
	for _, st := range states {
		if len(only) > 0 && !slices.Contains(only, st.name) {
			continue
		}
		r := room{name: st.name, drifted: map[string]*sim.State{}}
		var err error
		if r.system, err = sim.Compile(p, st.air); err != nil {
			return nil, err
		}
		r.crew = newCrew(p, r.system)
		r.usual = r.system.MaxEvents
		report.confine(&r)
		var events int
		if r.start, _, events, err = sim.Settle(ctx, r.system, nil); err != nil {
			return nil, err
		}
		if err := report.count(events); err != nil {
			return nil, err
		}
		r.nominal = NominalReport{Room: r.name, TempC: st.air.TempC, RHPercent: st.air.RHPercent}
		if err := r.follow(ctx, *p.Attendance.LongestAbsenceH, hours, report); err != nil {
			return nil, err
		}
		if st.name == Usual {
			report.Tank = tank(r.system)
		}
		rooms = append(rooms, r)
		report.Nominal = append(report.Nominal, r.nominal)
	}
	return rooms, nil
}

// confine lets a run take the events that are left, and one more, by which count sees that it would take too long.
func (r *Report) confine(rm *room) { rm.system.MaxEvents = min(rm.usual, max(0, r.most-r.Events)+1) }

const (
	nominalHours = 14 * 24.0
	joulesPerKWh = 3.6e6
)

// follow takes the tank through so many hours, or through the longest absence if
// that is longer. Somebody refills the reservoirs each time an absence is over.
func (r *room) follow(ctx context.Context, absenceH, hours float64, report *Report) error {
	n := &r.nominal
	n.Hours = max(hours, absenceH)
	n.Devices = make([]DeviceUse, len(r.system.Devices))
	r.relayStarts, r.thermostatStarts = make([]float64, len(r.system.Relays)), make([]float64, len(r.system.Devices))
	state := r.start
	for at := 0.0; at < n.Hours && !n.Truncated; {
		length := min(absenceH, n.Hours-at)
		report.confine(r)
		course, err := sim.Run(ctx, r.system, &state, nil, length*secondsPerHour)
		if err != nil {
			return err
		}
		if err := report.account(course); err != nil {
			return err
		}
		r.add(newOutcome(r.system, course), at)
		state = course.End().Refilled(r.system)
		at += length
	}
	days := n.Hours / 24
	for i := range n.Devices {
		d := &n.Devices[i]
		d.ID = r.system.Devices[i].ID
		d.DutyShare = min(1, d.DutyShare/n.Hours) // chunks add up to a rounding more
		d.StartsPerDay /= days
		r.thermostatStarts[i] /= days
		d.KWhPerDay /= days
		n.KWhPerDay += d.KWhPerDay
	}
	for j := range r.relayStarts {
		r.relayStarts[j] /= days
	}
	n.EvaporationLD /= days
	n.TopOffLD /= days
	n.InComfort = len(n.Crossings) == 0
	return nil
}

// add takes in one absence that began so many hours after the start.
func (r *room) add(o outcome, atH float64) {
	n := &r.nominal
	if atH == 0 {
		r.setFirst(o)
	} else {
		n.Extremes = n.Extremes.with(o.extremes)
	}
	n.Truncated = n.Truncated || o.course.Truncated
	for i, d := range o.course.Devices {
		n.Devices[i].DutyShare += d.OnS / secondsPerHour
		n.Devices[i].StartsPerDay += float64(d.Starts)
		r.thermostatStarts[i] += float64(d.ThermostatStarts)
		n.Devices[i].KWhPerDay += d.EnergyJ / joulesPerKWh
	}
	for j, starts := range o.course.RelayStarts {
		r.relayStarts[j] += float64(starts)
	}
	n.EvaporationLD += o.course.Balance.EvaporatedL
	n.TopOffLD += o.course.Balance.ToppedUpL
	for _, c := range o.crossings {
		n.merge(Crossing{Loss: c.Loss, ComfortH: later(c.ComfortH, atH), HarmH: later(c.HarmH, atH),
			LossH: later(c.LossH, atH)})
	}
}

// setFirst keeps what faults are held against.
func (r *room) setFirst(o outcome) {
	r.first, r.nominal.Extremes, r.devices = o, o.extremes, o.course.Devices
	r.marks = o.course.Marks(nil)
	r.raisedS = o.course.Alarms(nil)
	for _, m := range r.marks {
		if m.Kind == sim.ReservoirRanEmpty {
			r.nominal.ReservoirEmpty = append(r.nominal.ReservoirEmpty,
				ReservoirEmpty{ID: r.system.Reservoirs[m.Index].ID, AfterH: m.AtS / secondsPerHour})
		}
	}
}

// marked tells whether the tank leaves the same mark with nothing broken.
func (r *room) marked(m sim.Mark) bool {
	return slices.ContainsFunc(r.marks, func(n sim.Mark) bool { return n.Kind == m.Kind && n.Index == m.Index })
}

func later(h *float64, by float64) *float64 {
	if h == nil {
		return nil
	}
	sum := *h + by
	return &sum
}

func (n *NominalReport) merge(c Crossing) {
	for i := range n.Crossings {
		x := &n.Crossings[i]
		if x.Loss != c.Loss {
			continue
		}
		if x.HarmH == nil {
			x.HarmH = c.HarmH
		}
		if x.LossH == nil {
			x.LossH = c.LossH
		}
		return
	}
	n.Crossings = append(n.Crossings, c)
}

// sameHourH is how much earlier than without it a fault must bring a crossing to be charged with it, h.
const sameHourH = 1.0

// happensAnyway tells whether the tank crosses the same limit as far and about
// as early with nothing broken; then the plan is at fault, not the element.
func (n *NominalReport) happensAnyway(c Crossing) bool {
	for _, x := range n.Crossings {
		if x.Loss != c.Loss {
			continue
		}
		step, at := c.last()
		anyway := [...]*float64{x.ComfortH, x.HarmH, x.LossH}[step]
		return anyway != nil && *anyway <= *at+sameHourH
	}
	return false
}

// raisedByFault tells whether an alarm was raised at an instant because of a fault: with nothing broken it is not, or
// not until later. An alarm that stands anyway tells nobody anything.
func (r *room) raisedByFault(alarm int, atS float64) bool {
	anyway := r.raisedS[alarm]
	return atS != sim.Never && (anyway == sim.Never || atS < anyway-sameHourH*secondsPerHour)
}
