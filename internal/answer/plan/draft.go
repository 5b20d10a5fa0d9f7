package plan

import (
	"context"
	"fmt"
	"strings"

	"saltwright/internal/answer/envelope"
	"saltwright/internal/answer/schedule"
	"saltwright/internal/answer/words"
	"saltwright/internal/calc/audit"
	"saltwright/internal/calc/draft"
	"saltwright/internal/calc/light"
	"saltwright/internal/calc/plan"
)

type draftBudget struct {
	Heaters  int  `json:"heaters"`
	Circuits int  `json:"circuits"`
	Battery  bool `json:"battery"`
	Cellular bool `json:"cellular"`
}

type planDraftRequest struct {
	Name           string      `json:"name"`
	Livestock      string      `json:"livestock"`
	Display        planDisplay `json:"display"`
	WithSump       *bool       `json:"with_sump,omitempty"`
	Room           planRoom    `json:"room"`
	LightsW        *float64    `json:"lights_w,omitempty"`
	LookEveryH     float64     `json:"look_every_h"`
	DaysAway       float64     `json:"days_away"`
	ResponseH      float64     `json:"response_h"`
	LongestOutageH float64     `json:"longest_outage_h"`
	Budget         draftBudget `json:"budget"`
}

type draftLimit struct {
	Loss     string   `json:"loss"`
	Message  string   `json:"message"`
	Change   string   `json:"change"`
	Elements []string `json:"elements"`
}

type planDraftResponse struct {
	Sound    bool          `json:"sound"`
	Plan     any           `json:"plan"`
	Choices  []string      `json:"choices"`
	Limits   []draftLimit  `json:"limits"`
	Findings []planFinding `json:"findings"`
	Faults   int           `json:"faults_total"`
	Held     int           `json:"held"`
	Rescued  int           `json:"rescued"`
	Lost     int           `json:"lost"`
	Hidden   int           `json:"hidden"`
	Audits   int           `json:"audits"`
}

// What is usual where the request leaves it open; common practice, no source.
const (
	sumpFromL     = 100.0 // a display this large usually has a sump
	lightsWPerL   = 0.4
	lightsMostWPL = 20000.0
)

func (r planDraftRequest) input() (draft.Input, []envelope.Assumption) {
	in := draft.Input{
		Name: r.Name, Livestock: plan.Livestock(r.Livestock), Display: plan.Vessel(r.Display),
		Room: plan.Room{
			Usual: r.Room.Usual.input(), Coldest: r.Room.Coldest.optional(), Warmest: r.Room.Warmest.optional(), AirSpeedMS: r.Room.AirSpeedMS, AltitudeM: r.Room.AltitudeM,
		},
		LookEveryH: r.LookEveryH, DaysAway: r.DaysAway, ResponseH: r.ResponseH, LongestOutageH: r.LongestOutageH,
		Heaters: r.Budget.Heaters, Circuits: r.Budget.Circuits, Battery: r.Budget.Battery, Cellular: r.Budget.Cellular,
	}
	litres := 0.0
	switch d := r.Display; {
	case d.VolumeL != nil:
		litres = *d.VolumeL
	case d.LengthMM != nil && d.WidthMM != nil && d.WaterDepthMM != nil:
		litres = *d.LengthMM * *d.WidthMM * *d.WaterDepthMM / 1e6
	}
	var assumed []envelope.Assumption
	if r.WithSump != nil {
		in.Sump = *r.WithSump
	} else {
		in.Sump = litres >= sumpFromL
		assumed = append(assumed, envelope.Assumption{Pointer: "#/with_sump", Value: in.Sump, Why: "common_practice", Source: "CommonPractice", Note: "a sump from a display of 100 L on"})
	}
	if r.LightsW != nil {
		in.LightsW = *r.LightsW
	} else {
		in.LightsW = min(lightsWPerL*litres, lightsMostWPL)
		assumed = append(assumed, envelope.Assumption{Pointer: "#/lights_w", Value: in.LightsW, Unit: "W", Why: "common_practice", Source: "CommonPractice", Note: "0.4 W a litre of display"})
	}
	return in, assumed
}

var DraftNames = map[string]string{
	"heaters": "budget", "circuits": "budget", "setpoint_c": "room", "water_c": "room", "attendance.longest_absence_h": "days_away", "attendance.response_h": "response_h",
	"attendance.look_every_h": "look_every_h", "power.longest_outage_h": "longest_outage_h", "length_mm": "display", "width_mm": "display", "water_depth_mm": "display", "freeboard_mm": "display", "wall_mm": "display",
}

func newPlanDraftResponse(d draft.Result) planDraftResponse {
	out := planDraftResponse{
		Sound: d.Sound, Plan: planOf(d.Plan), Choices: envelope.List(d.Choices), Limits: []draftLimit{}, Findings: newPlanFindings(d.Report.Findings),
		Faults: len(d.Report.Faults), Held: d.Report.Count(audit.Held), Rescued: d.Report.Count(audit.Rescued), Lost: d.Report.Count(audit.Lost), Hidden: d.Report.HiddenCount(), Audits: d.Attempts,
	}
	for _, l := range d.Limits {
		out.Limits = append(out.Limits, draftLimit{l.Loss, l.Message, l.Change, envelope.List(l.Elements)})
	}
	return out
}

// DraftPlan designs a plan and proves it by its own audit.
func DraftPlan(ctx context.Context, r planDraftRequest) (envelope.Answer[planDraftResponse], error) {
	in, assumed := r.input()
	d, err := draft.Draft(ctx, in)
	if err != nil {
		return envelope.Answer[planDraftResponse]{}, err
	}
	out := newPlanDraftResponse(d)
	a := envelope.Answer[planDraftResponse]{
		Result: out, Assumptions: assumed, Cautions: append(planCautions(d.Report), envelope.LicensedTrades), Sources: []string{"ASHRAEApplications", "CommonPractice", "Derived", "IEC60812"},
		Summary: func(words.Units) string {
			var b strings.Builder
			if out.Sound {
				fmt.Fprintf(&b, "This plan loses its tank by no single failure: of %d faults %d are held and %d are rescued by an alarm.", out.Faults, out.Held, out.Rescued)
			} else {
				fmt.Fprintf(&b, "Within these limits no plan was found that every single failure spares: %d of %d faults still lose the tank.", out.Lost, out.Faults)
				if len(out.Limits) > 0 {
					b.WriteString(" What stands in the way: " + out.Limits[0].Message + " " + out.Limits[0].Change)
				}
			}
			for _, c := range out.Choices {
				b.WriteString(" " + c)
			}
			return b.String()
		},
	}
	if !out.Sound {
		a.Warnings = append(a.Warnings, envelope.Warning{Code: "not_sound", Message: "Do not build this as it is: see what stands in the way, and allow a second circuit, a battery, a faster response or a warmer room."})
	}
	return a, nil
}

func placeName(p *plan.Place) *string {
	if p == nil {
		return nil
	}
	v := string(*p)
	return &v
}

func roomStateOf(s *plan.RoomState) *planRoomState {
	if s == nil {
		return nil
	}
	return &planRoomState{TempC: s.TempC, RHPercent: s.RHPercent}
}

// planOf writes a plan as the document that the contract takes; it undoes input.
func planOf(p plan.Plan) Request {
	r := Request{
		Name: p.Name, Livestock: string(p.Livestock), SalinityPSU: p.SalinityPSU, Display: planDisplay(p.Display),
		Room: planRoom{
			Usual: planRoomState{TempC: p.Room.Usual.TempC, RHPercent: p.Room.Usual.RHPercent}, Coldest: roomStateOf(p.Room.Coldest), Warmest: roomStateOf(p.Room.Warmest),
			AirSpeedMS: p.Room.AirSpeedMS, AltitudeM: p.Room.AltitudeM,
		},
		Oxygen: planOxygen(p.Oxygen), Limits: planLimits(p.Limits), ProbeDriftK: p.DriftK,
		Power:      planPower{Circuits: []planCircuit{}, NetworkCircuit: p.Power.NetworkCircuit, LongestOutageH: p.Power.LongestOutageH},
		Attendance: planAttendance{LookEveryH: p.Attendance.LookEveryH, LongestAbsenceH: p.Attendance.LongestAbsenceH, ResponseH: p.Attendance.ResponseH, LeavesAt: light.Clock(p.Attendance.LeavesAtHour)},
		Heaters:    []planHeater{}, Chillers: []planChiller{}, Fans: []planFan{}, Pumps: []planPump{}, TopOffPumps: []planTopOffPump{}, Reservoirs: []planReservoir{},
		Lights: []planLight{}, Sensors: []planSensor{}, Controls: []planControl{}, Alarms: []planAlarm{}, ProofTests: []planProofTest{},
		Measured: planMeasured{DryLossFactor: 1, EvaporationFactor: 1},
	}
	if p.Measured != nil {
		r.Measured = planMeasured(*p.Measured)
	}
	if p.Sump != nil {
		s := planSump(*p.Sump)
		r.Sump = &s
	}
	for _, c := range p.Power.Circuits {
		r.Power.Circuits = append(r.Power.Circuits, planCircuit(c))
	}
	for _, h := range p.Heaters {
		r.Heaters = append(r.Heaters, planHeater{h.ID, h.PowerW, placeName(h.Place), h.ThermostatC, h.ThermostatHysteresisK, h.Circuit})
	}
	for _, h := range p.Chillers {
		r.Chillers = append(r.Chillers, planChiller{h.ID, h.CoolingW, h.PowerW, placeName(h.Place), h.ThermostatC, h.ThermostatHysteresisK, h.Circuit})
	}
	for _, f := range p.Fans {
		r.Fans = append(r.Fans, planFan(f))
	}
	for _, q := range p.Pumps {
		r.Pumps = append(r.Pumps, planPump{q.ID, string(q.Role), q.FlowLH, q.PowerW, q.HeatShare, q.Circuit})
	}
	for _, q := range p.TopOffPumps {
		r.TopOffPumps = append(r.TopOffPumps, planTopOffPump(q))
	}
	for _, v := range p.Reservoirs {
		r.Reservoirs = append(r.Reservoirs, planReservoir(v))
	}
	for _, l := range p.Lights {
		r.Lights = append(r.Lights, planLight{l.ID, l.PowerW, l.HeatShare, schedule.Of(l.Schedule), l.Circuit})
	}
	for _, s := range p.Sensors {
		r.Sensors = append(r.Sensors, planSensor{s.ID, string(s.Kind), placeName(s.Place), s.HeightMM, s.HysteresisMM, s.Reservoir, s.AtL, s.Circuit})
	}
	for _, k := range p.Controls {
		c := planControl{
			ID: k.ID, Kind: string(k.Kind), Sensor: k.Sensor, Outputs: envelope.List(k.Outputs), SetpointC: k.SetpointC, HysteresisK: k.HysteresisK, RunLimitMin: k.RunLimitMin,
			ThresholdC: k.ThresholdC, Latching: k.Latching, OnSensorLoss: k.OnSensorLoss, Schedule: schedule.Of(k.Schedule), Circuit: k.Circuit,
		}
		if k.When != nil {
			w := string(*k.When)
			c.When = &w
		}
		r.Controls = append(r.Controls, c)
	}
	for _, a := range p.Alarms {
		r.Alarms = append(r.Alarms, planAlarm{a.ID, a.Sensor, string(a.When), a.ThresholdC, a.DelayMin, string(a.Path), a.OnSensorLoss, a.OwnBattery, a.Circuit})
	}
	for _, t := range p.ProofTests {
		r.ProofTests = append(r.ProofTests, planProofTest(t))
	}
	return r
}
