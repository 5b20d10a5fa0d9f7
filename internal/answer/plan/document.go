// Package plan answers questions of whole plans: check, audit, risk, remedies, draft, hand-over.
package plan

import (
	"saltwright/internal/answer/schedule"
	"saltwright/internal/calc/plan"
)

// Request is the plan document as the contract has it.
type Request struct {
	Name        string           `json:"name"`
	Livestock   string           `json:"livestock"`
	SalinityPSU float64          `json:"salinity_psu"`
	Display     planDisplay      `json:"display"`
	Sump        *planSump        `json:"sump,omitempty"`
	Room        planRoom         `json:"room"`
	Oxygen      planOxygen       `json:"oxygen"`
	Limits      planLimits       `json:"limits"`
	Heaters     []planHeater     `json:"heaters"`
	Chillers    []planChiller    `json:"chillers"`
	Fans        []planFan        `json:"fans"`
	Pumps       []planPump       `json:"pumps"`
	TopOffPumps []planTopOffPump `json:"top_off_pumps"`
	Reservoirs  []planReservoir  `json:"reservoirs"`
	Lights      []planLight      `json:"lights"`
	Sensors     []planSensor     `json:"sensors"`
	Controls    []planControl    `json:"controls"`
	Alarms      []planAlarm      `json:"alarms"`
	Power       planPower        `json:"power"`
	Attendance  planAttendance   `json:"attendance"`
	ProofTests  []planProofTest  `json:"proof_tests"`
	ProbeDriftK float64          `json:"probe_drift_k"`
	Measured    planMeasured     `json:"measured"`
}

type planMeasured struct {
	DryLossFactor     float64 `json:"dry_loss_factor"`
	EvaporationFactor float64 `json:"evaporation_factor"`
}

type planDisplay struct {
	VolumeL      *float64 `json:"volume_l,omitempty"`
	LengthMM     *float64 `json:"length_mm,omitempty"`
	WidthMM      *float64 `json:"width_mm,omitempty"`
	WaterDepthMM *float64 `json:"water_depth_mm,omitempty"`
	WallMM       float64  `json:"wall_mm"`
	Material     string   `json:"material"`
	Lid          string   `json:"lid"`
	FreeboardMM  float64  `json:"freeboard_mm"`
	DrainBackMM  float64  `json:"drain_back_mm"`
	IntakeDropMM float64  `json:"intake_drop_mm"`
	RockShare    float64  `json:"rock_share"`
}

type planSump struct {
	LengthMM        float64  `json:"length_mm"`
	WidthMM         float64  `json:"width_mm"`
	HeightMM        float64  `json:"height_mm"`
	WaterLevelMM    float64  `json:"water_level_mm"`
	ReturnChamberMM *float64 `json:"return_chamber_mm,omitempty"`
	BaffleMM        *float64 `json:"baffle_mm,omitempty"`
	ReturnIntakeMM  *float64 `json:"return_intake_mm,omitempty"`
	WallMM          float64  `json:"wall_mm"`
	Material        string   `json:"material"`
	Lid             string   `json:"lid"`
}

type planRoomState struct {
	TempC     float64 `json:"temp_c"`
	RHPercent float64 `json:"rh_percent"`
}

type planRoom struct {
	Usual      planRoomState  `json:"usual"`
	Coldest    *planRoomState `json:"coldest,omitempty"`
	Warmest    *planRoomState `json:"warmest,omitempty"`
	AirSpeedMS float64        `json:"air_speed_m_s"`
	AltitudeM  float64        `json:"altitude_m"`
}

type planOxygen struct {
	DemandMgLH *float64 `json:"demand_mg_l_h,omitempty"`
	StirredCMH float64  `json:"stirred_cm_h"`
	StillCMH   float64  `json:"still_cm_h"`
}

type planLimits struct {
	ComfortLowC        *float64 `json:"comfort_low_c,omitempty"`
	ComfortHighC       *float64 `json:"comfort_high_c,omitempty"`
	HarmLowC           *float64 `json:"harm_low_c,omitempty"`
	HarmHighC          *float64 `json:"harm_high_c,omitempty"`
	HarmTempAfterH     *float64 `json:"harm_temp_after_h,omitempty"`
	ComfortLowPSU      *float64 `json:"comfort_low_psu,omitempty"`
	ComfortHighPSU     *float64 `json:"comfort_high_psu,omitempty"`
	HarmLowPSU         *float64 `json:"harm_low_psu,omitempty"`
	HarmHighPSU        *float64 `json:"harm_high_psu,omitempty"`
	HarmSalinityAfterH *float64 `json:"harm_salinity_after_h,omitempty"`
	ComfortDarkH       *float64 `json:"comfort_dark_h,omitempty"`
	HarmLitH           *float64 `json:"harm_lit_h,omitempty"`
	HarmDarkH          *float64 `json:"harm_dark_h,omitempty"`
	ComfortOxygenMgL   *float64 `json:"comfort_oxygen_mg_l,omitempty"`
	HarmOxygenMgL      *float64 `json:"harm_oxygen_mg_l,omitempty"`
	HarmOxygenAfterH   *float64 `json:"harm_oxygen_after_h,omitempty"`
	HarmSpillL         *float64 `json:"harm_spill_l,omitempty"`
}

type planHeater struct {
	ID                    string   `json:"id"`
	PowerW                float64  `json:"power_w"`
	Place                 *string  `json:"place,omitempty"`
	ThermostatC           *float64 `json:"thermostat_c,omitempty"`
	ThermostatHysteresisK float64  `json:"thermostat_hysteresis_k"`
	Circuit               *string  `json:"circuit,omitempty"`
}

type planChiller struct {
	ID                    string   `json:"id"`
	CoolingW              float64  `json:"cooling_w"`
	PowerW                float64  `json:"power_w"`
	Place                 *string  `json:"place,omitempty"`
	ThermostatC           *float64 `json:"thermostat_c,omitempty"`
	ThermostatHysteresisK float64  `json:"thermostat_hysteresis_k"`
	Circuit               *string  `json:"circuit,omitempty"`
}

type planFan struct {
	ID         string  `json:"id"`
	AirSpeedMS float64 `json:"air_speed_m_s"`
	PowerW     float64 `json:"power_w"`
	Circuit    *string `json:"circuit,omitempty"`
}

type planPump struct {
	ID        string  `json:"id"`
	Role      string  `json:"role"`
	FlowLH    float64 `json:"flow_l_h"`
	PowerW    float64 `json:"power_w"`
	HeatShare float64 `json:"heat_share"`
	Circuit   *string `json:"circuit,omitempty"`
}

type planTopOffPump struct {
	ID          string   `json:"id"`
	FlowLH      float64  `json:"flow_l_h"`
	PowerW      float64  `json:"power_w"`
	Reservoir   string   `json:"reservoir"`
	PipeLimitLH *float64 `json:"pipe_limit_l_h,omitempty"`
	Circuit     *string  `json:"circuit,omitempty"`
}

type planReservoir struct {
	ID                 string   `json:"id"`
	VolumeL            float64  `json:"volume_l"`
	UsableShare        float64  `json:"usable_share"`
	WaterAboveOutletMM float64  `json:"water_above_outlet_mm"`
	SiphonBreak        bool     `json:"siphon_break"`
	SiphonLH           *float64 `json:"siphon_l_h,omitempty"`
}

type planLight struct {
	ID        string             `json:"id"`
	PowerW    float64            `json:"power_w"`
	HeatShare float64            `json:"heat_share"`
	Schedule  *schedule.Schedule `json:"schedule,omitempty"`
	Circuit   *string            `json:"circuit,omitempty"`
}

type planSensor struct {
	ID           string   `json:"id"`
	Kind         string   `json:"kind"`
	Place        *string  `json:"place,omitempty"`
	HeightMM     *float64 `json:"height_mm,omitempty"`
	HysteresisMM float64  `json:"hysteresis_mm"`
	Reservoir    *string  `json:"reservoir,omitempty"`
	AtL          *float64 `json:"at_l,omitempty"`
	Circuit      *string  `json:"circuit,omitempty"`
}

type planControl struct {
	ID           string             `json:"id"`
	Kind         string             `json:"kind"`
	Sensor       *string            `json:"sensor,omitempty"`
	Outputs      []string           `json:"outputs"`
	SetpointC    *float64           `json:"setpoint_c,omitempty"`
	HysteresisK  float64            `json:"hysteresis_k"`
	RunLimitMin  *float64           `json:"run_limit_min,omitempty"`
	When         *string            `json:"when,omitempty"`
	ThresholdC   *float64           `json:"threshold_c,omitempty"`
	Latching     bool               `json:"latching"`
	OnSensorLoss string             `json:"on_sensor_loss"`
	Schedule     *schedule.Schedule `json:"schedule,omitempty"`
	Circuit      *string            `json:"circuit,omitempty"`
}

type planAlarm struct {
	ID           string   `json:"id"`
	Sensor       string   `json:"sensor"`
	When         string   `json:"when"`
	ThresholdC   *float64 `json:"threshold_c,omitempty"`
	DelayMin     float64  `json:"delay_min"`
	Path         string   `json:"path"`
	OnSensorLoss bool     `json:"on_sensor_loss"`
	OwnBattery   bool     `json:"own_battery"`
	Circuit      *string  `json:"circuit,omitempty"`
}

type planCircuit struct {
	ID          string  `json:"id"`
	GroundFault bool    `json:"ground_fault"`
	BackupH     float64 `json:"backup_h"`
}

type planPower struct {
	Circuits       []planCircuit `json:"circuits"`
	NetworkCircuit *string       `json:"network_circuit,omitempty"`
	LongestOutageH float64       `json:"longest_outage_h"`
}

type planAttendance struct {
	LookEveryH      float64  `json:"look_every_h"`
	LongestAbsenceH *float64 `json:"longest_absence_h,omitempty"`
	ResponseH       *float64 `json:"response_h,omitempty"`
	LeavesAt        string   `json:"leaves_at"`
}

type planProofTest struct {
	Element   string  `json:"element"`
	EveryDays float64 `json:"every_days"`
}

func place(p *string) *plan.Place {
	if p == nil {
		return nil
	}
	v := plan.Place(*p)
	return &v
}

func (r planRoomState) input() plan.RoomState {
	return plan.RoomState{TempC: r.TempC, RHPercent: r.RHPercent}
}

func (r *planRoomState) optional() *plan.RoomState {
	if r == nil {
		return nil
	}
	v := r.input()
	return &v
}

// input turns the document into the core's plan.
func (r Request) input() (plan.Plan, error) {
	p := plan.Plan{
		Name: r.Name, Livestock: plan.Livestock(r.Livestock), SalinityPSU: r.SalinityPSU,
		Display: plan.Vessel(r.Display),
		Room: plan.Room{
			Usual: r.Room.Usual.input(), Coldest: r.Room.Coldest.optional(), Warmest: r.Room.Warmest.optional(),
			AirSpeedMS: r.Room.AirSpeedMS, AltitudeM: r.Room.AltitudeM,
		},
		Oxygen: plan.Oxygen(r.Oxygen), Limits: plan.Limits(r.Limits), DriftK: r.ProbeDriftK,
		Power: plan.Power{NetworkCircuit: r.Power.NetworkCircuit, LongestOutageH: r.Power.LongestOutageH},
		Attendance: plan.Attendance{
			LookEveryH: r.Attendance.LookEveryH, LongestAbsenceH: r.Attendance.LongestAbsenceH, ResponseH: r.Attendance.ResponseH,
		},
	}
	measured := plan.Measured(r.Measured)
	p.Measured = &measured
	if r.Sump != nil {
		s := plan.Sump(*r.Sump)
		p.Sump = &s
	}
	r.addDevices(&p)
	for _, c := range r.Power.Circuits {
		p.Power.Circuits = append(p.Power.Circuits, plan.Circuit(c))
	}
	for _, a := range r.Alarms {
		p.Alarms = append(p.Alarms, plan.Alarm{
			ID: a.ID, Sensor: a.Sensor, When: plan.When(a.When), ThresholdC: a.ThresholdC, DelayMin: a.DelayMin,
			Path: plan.AlarmPath(a.Path), OnSensorLoss: a.OnSensorLoss, OwnBattery: a.OwnBattery, Circuit: a.Circuit,
		})
	}
	for _, t := range r.ProofTests {
		p.ProofTests = append(p.ProofTests, plan.ProofTest(t))
	}
	var err error
	if p.Attendance.LeavesAtHour, err = schedule.Hour(r.Attendance.LeavesAt); err != nil {
		return plan.Plan{}, err
	}
	return p, r.addScheduled(&p)
}

func (r Request) addDevices(p *plan.Plan) {
	for _, h := range r.Heaters {
		p.Heaters = append(p.Heaters, plan.Heater{
			ID: h.ID, PowerW: h.PowerW, Place: place(h.Place), ThermostatC: h.ThermostatC,
			ThermostatHysteresisK: h.ThermostatHysteresisK, Circuit: h.Circuit,
		})
	}
	for _, h := range r.Chillers {
		p.Chillers = append(p.Chillers, plan.Chiller{
			ID: h.ID, CoolingW: h.CoolingW, PowerW: h.PowerW, Place: place(h.Place), ThermostatC: h.ThermostatC,
			ThermostatHysteresisK: h.ThermostatHysteresisK, Circuit: h.Circuit,
		})
	}
	for _, f := range r.Fans {
		p.Fans = append(p.Fans, plan.Fan(f))
	}
	for _, q := range r.Pumps {
		p.Pumps = append(p.Pumps, plan.Pump{
			ID: q.ID, Role: plan.PumpRole(q.Role), FlowLH: q.FlowLH, PowerW: q.PowerW, HeatShare: q.HeatShare, Circuit: q.Circuit,
		})
	}
	for _, q := range r.TopOffPumps {
		p.TopOffPumps = append(p.TopOffPumps, plan.TopOffPump(q))
	}
	for _, v := range r.Reservoirs {
		p.Reservoirs = append(p.Reservoirs, plan.Reservoir(v))
	}
	for _, s := range r.Sensors {
		p.Sensors = append(p.Sensors, plan.Sensor{
			ID: s.ID, Kind: plan.SensorKind(s.Kind), Place: place(s.Place), HeightMM: s.HeightMM, HysteresisMM: s.HysteresisMM,
			Reservoir: s.Reservoir, AtL: s.AtL, Circuit: s.Circuit,
		})
	}
}

// addScheduled adds the elements that carry a daily programme.
func (r Request) addScheduled(p *plan.Plan) error {
	for _, l := range r.Lights {
		schedule, err := l.Schedule.Input()
		if err != nil {
			return err
		}
		p.Lights = append(p.Lights, plan.Light{
			ID: l.ID, PowerW: l.PowerW, HeatShare: l.HeatShare, Schedule: schedule, Circuit: l.Circuit,
		})
	}
	for _, k := range r.Controls {
		schedule, err := k.Schedule.Input()
		if err != nil {
			return err
		}
		control := plan.Control{
			ID: k.ID, Kind: plan.ControlKind(k.Kind), Sensor: k.Sensor, Outputs: k.Outputs, SetpointC: k.SetpointC,
			HysteresisK: k.HysteresisK, RunLimitMin: k.RunLimitMin, ThresholdC: k.ThresholdC, Latching: k.Latching,
			OnSensorLoss: k.OnSensorLoss, Schedule: schedule, Circuit: k.Circuit,
		}
		if k.When != nil {
			when := plan.When(*k.When)
			control.When = &when
		}
		p.Controls = append(p.Controls, control)
	}
	return nil
}
