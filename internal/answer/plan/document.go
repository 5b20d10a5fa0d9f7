// Package plan answers questions of whole plans: check, audit, risk, remedies, draft, hand-over.
package plan

import (
	"saltwright/internal/answer/envelope"
	"saltwright/internal/answer/schedule"
	"saltwright/internal/calc/evaporation"
	"saltwright/internal/calc/heat"
	"saltwright/internal/calc/plan"
)

// Request is the plan document as the contract has it.
type Request struct {
	Format      *string          `json:"$schema,omitempty"`
	Name        string           `json:"name"`
	Livestock   plan.Livestock   `json:"livestock"`
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
	Contactors  []planContactor  `json:"contactors"`
	Boxes       []planBox        `json:"boxes"`
	Alarms      []planAlarm      `json:"alarms"`
	Routers     []planRouter     `json:"routers"`
	Modems      []planModem      `json:"modems"`
	Sirens      []planSiren      `json:"sirens"`
	Persons     []planPerson     `json:"persons"`
	Overflows   []planOverflow   `json:"overflows"`
	ReturnLines []planReturnLine `json:"return_lines"`
	Leaks       []planLeak       `json:"leaks"`
	Skimmers    []planSkimmer    `json:"skimmers"`
	RoomDevices []planRoomDevice `json:"room_devices"`
	Power       planPower        `json:"power"`
	Attendance  planAttendance   `json:"attendance"`
	ProofTests  []planProofTest  `json:"proof_tests"`
	ProbeDriftK float64          `json:"probe_drift_k"`
	Measured    planMeasured     `json:"measured"`
	Worth       *planWorth       `json:"worth,omitempty"`

	Chemistry     *planChemistry      `json:"chemistry,omitempty"`
	DosingPumps   []planDosingPump    `json:"dosing_pumps"`
	ChangePumps   []planChangePump    `json:"change_pumps"`
	CarbonDioxide []planCarbonDioxide `json:"carbon_dioxide"`
}

type planMeasured struct {
	DryLossFactor     float64 `json:"dry_loss_factor"`
	EvaporationFactor float64 `json:"evaporation_factor"`
}

type planDisplay struct {
	VolumeL      *float64        `json:"volume_l,omitempty"`
	LengthMM     *float64        `json:"length_mm,omitempty"`
	WidthMM      *float64        `json:"width_mm,omitempty"`
	WaterDepthMM *float64        `json:"water_depth_mm,omitempty"`
	WallMM       float64         `json:"wall_mm"`
	Material     heat.Material   `json:"material"`
	Lid          evaporation.Lid `json:"lid"`
	FreeboardMM  float64         `json:"freeboard_mm"`
	DrainBackMM  float64         `json:"drain_back_mm"`
	IntakeDropMM float64         `json:"intake_drop_mm"`
	RockShare    float64         `json:"rock_share"`
}

type planSump struct {
	LengthMM        float64         `json:"length_mm"`
	WidthMM         float64         `json:"width_mm"`
	HeightMM        float64         `json:"height_mm"`
	WaterLevelMM    float64         `json:"water_level_mm"`
	ReturnChamberMM *float64        `json:"return_chamber_mm,omitempty"`
	BaffleMM        *float64        `json:"baffle_mm,omitempty"`
	ReturnIntakeMM  *float64        `json:"return_intake_mm,omitempty"`
	WallMM          float64         `json:"wall_mm"`
	Material        heat.Material   `json:"material"`
	Lid             evaporation.Lid `json:"lid"`
}

type planRoomState struct {
	TempC     float64 `json:"temp_c"`
	RHPercent float64 `json:"rh_percent"`
}

type planRoom struct {
	Usual   planRoomState  `json:"usual"`
	Coldest *planRoomState `json:"coldest,omitempty"`
	Warmest *planRoomState `json:"warmest,omitempty"`

	ColdestWithoutHeating bool `json:"coldest_without_heating"`
	WarmestInHeatWave     bool `json:"warmest_in_heat_wave"`

	ColdestShare *float64 `json:"coldest_share,omitempty"`
	WarmestShare *float64 `json:"warmest_share,omitempty"`

	AirSpeedMS float64 `json:"air_speed_m_s"`
	AltitudeM  float64 `json:"altitude_m"`
}

type planOxygen struct {
	DemandMgLH *float64 `json:"demand_mg_l_h,omitempty"`
	FishG      *float64 `json:"fish_g,omitempty"`
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
	ComfortSumpC       *float64 `json:"comfort_sump_c,omitempty"`
	HarmSumpC          *float64 `json:"harm_sump_c,omitempty"`
	ComfortChangeK     *float64 `json:"comfort_change_k,omitempty"`
	HarmChangeK        *float64 `json:"harm_change_k,omitempty"`
	ComfortChangePSU   *float64 `json:"comfort_change_psu,omitempty"`
	HarmChangePSU      *float64 `json:"harm_change_psu,omitempty"`
	LossLowC           *float64 `json:"loss_low_c,omitempty"`
	LossColdAfterH     *float64 `json:"loss_cold_after_h,omitempty"`
	LossHighC          *float64 `json:"loss_high_c,omitempty"`
	LossHeatAfterH     *float64 `json:"loss_heat_after_h,omitempty"`
	RapidLossLowC      *float64 `json:"rapid_loss_low_c,omitempty"`
	RapidLossHighC     *float64 `json:"rapid_loss_high_c,omitempty"`
	RapidLossAfterH    *float64 `json:"rapid_loss_after_h,omitempty"`
	LossLowPSU         *float64 `json:"loss_low_psu,omitempty"`
	LossHighPSU        *float64 `json:"loss_high_psu,omitempty"`
	LossSalinityAfterH *float64 `json:"loss_salinity_after_h,omitempty"`
	LossOxygenMgL      *float64 `json:"loss_oxygen_mg_l,omitempty"`
	LossOxygenAfterH   *float64 `json:"loss_oxygen_after_h,omitempty"`

	ComfortLowDKH        *float64 `json:"comfort_low_dkh,omitempty"`
	ComfortHighDKH       *float64 `json:"comfort_high_dkh,omitempty"`
	HarmLowDKH           *float64 `json:"harm_low_dkh,omitempty"`
	HarmHighDKH          *float64 `json:"harm_high_dkh,omitempty"`
	LossLowDKH           *float64 `json:"loss_low_dkh,omitempty"`
	LossHighDKH          *float64 `json:"loss_high_dkh,omitempty"`
	ComfortLowPH         *float64 `json:"comfort_low_ph,omitempty"`
	ComfortHighPH        *float64 `json:"comfort_high_ph,omitempty"`
	HarmLowPH            *float64 `json:"harm_low_ph,omitempty"`
	HarmHighPH           *float64 `json:"harm_high_ph,omitempty"`
	LossLowPH            *float64 `json:"loss_low_ph,omitempty"`
	LossHighPH           *float64 `json:"loss_high_ph,omitempty"`
	ComfortLowAragonite  *float64 `json:"comfort_low_aragonite,omitempty"`
	ComfortHighAragonite *float64 `json:"comfort_high_aragonite,omitempty"`
	HarmLowAragonite     *float64 `json:"harm_low_aragonite,omitempty"`
	HarmHighAragonite    *float64 `json:"harm_high_aragonite,omitempty"`

	ComfortLowMagnesiumMgL  *float64 `json:"comfort_low_magnesium_mg_l,omitempty"`
	ComfortHighMagnesiumMgL *float64 `json:"comfort_high_magnesium_mg_l,omitempty"`
	HarmLowMagnesiumMgL     *float64 `json:"harm_low_magnesium_mg_l,omitempty"`
	HarmHighMagnesiumMgL    *float64 `json:"harm_high_magnesium_mg_l,omitempty"`

	HarmChemistryAfterH *float64 `json:"harm_chemistry_after_h,omitempty"`
	LossChemistryAfterH *float64 `json:"loss_chemistry_after_h,omitempty"`
}

type planHeater struct {
	ID                    string        `json:"id"`
	PowerW                float64       `json:"power_w"`
	Place                 *plan.Place   `json:"place,omitempty"`
	HeightMM              *float64      `json:"height_mm,omitempty"`
	WhenDry               *plan.WhenDry `json:"when_dry,omitempty"`
	ThermostatC           *float64      `json:"thermostat_c,omitempty"`
	ThermostatHysteresisK float64       `json:"thermostat_hysteresis_k"`
	Circuit               *string       `json:"circuit,omitempty"`
	Supply                *string       `json:"supply,omitempty"`
}

type planChiller struct {
	ID                    string      `json:"id"`
	CoolingW              float64     `json:"cooling_w"`
	PowerW                float64     `json:"power_w"`
	Place                 *plan.Place `json:"place,omitempty"`
	ThermostatC           *float64    `json:"thermostat_c,omitempty"`
	ThermostatHysteresisK float64     `json:"thermostat_hysteresis_k"`
	Circuit               *string     `json:"circuit,omitempty"`
	Supply                *string     `json:"supply,omitempty"`
}

type planFan struct {
	ID         string  `json:"id"`
	AirSpeedMS float64 `json:"air_speed_m_s"`
	PowerW     float64 `json:"power_w"`
	Circuit    *string `json:"circuit,omitempty"`
	Supply     *string `json:"supply,omitempty"`
}

type planPump struct {
	ID           string        `json:"id"`
	Role         plan.PumpRole `json:"role"`
	FlowLH       float64       `json:"flow_l_h"`
	PowerW       float64       `json:"power_w"`
	HeatShare    float64       `json:"heat_share"`
	Circuit      *string       `json:"circuit,omitempty"`
	Supply       *string       `json:"supply,omitempty"`
	StaysOff     *bool         `json:"stays_off_after_outage,omitempty"`
	CloggedShare *float64      `json:"clogged_share,omitempty"`
}

type planTopOffPump struct {
	ID          string   `json:"id"`
	FlowLH      float64  `json:"flow_l_h"`
	PowerW      float64  `json:"power_w"`
	Reservoir   string   `json:"reservoir"`
	PipeLimitLH *float64 `json:"pipe_limit_l_h,omitempty"`
	Circuit     *string  `json:"circuit,omitempty"`
	Supply      *string  `json:"supply,omitempty"`
	StaysOff    *bool    `json:"stays_off_after_outage,omitempty"`
}

type planReservoir struct {
	ID                 string   `json:"id"`
	VolumeL            float64  `json:"volume_l"`
	UsableShare        float64  `json:"usable_share"`
	WaterAboveOutletMM float64  `json:"water_above_outlet_mm"`
	SiphonBreak        bool     `json:"siphon_break"`
	SiphonLH           *float64 `json:"siphon_l_h,omitempty"`
	LengthMM           *float64 `json:"length_mm,omitempty"`
	WidthMM            *float64 `json:"width_mm,omitempty"`
	BottomAboveWaterMM *float64 `json:"bottom_above_water_mm,omitempty"`

	LineEndAboveWaterMM *float64 `json:"line_end_above_water_mm,omitempty"`
	CheckValve          bool     `json:"check_valve"`
	LimeShare           *float64 `json:"lime_water_strength_share,omitempty"`
}

type planLight struct {
	ID        string             `json:"id"`
	PowerW    float64            `json:"power_w"`
	HeatShare float64            `json:"heat_share"`
	Schedule  *schedule.Schedule `json:"schedule,omitempty"`
	Circuit   *string            `json:"circuit,omitempty"`
	Supply    *string            `json:"supply,omitempty"`
}

type planSensor struct {
	ID           string          `json:"id"`
	Kind         plan.SensorKind `json:"kind"`
	Place        *plan.Place     `json:"place,omitempty"`
	HeightMM     *float64        `json:"height_mm,omitempty"`
	HysteresisMM float64         `json:"hysteresis_mm"`
	Reservoir    *string         `json:"reservoir,omitempty"`
	AtL          *float64        `json:"at_l,omitempty"`
	Circuit      *string         `json:"circuit,omitempty"`
	LowFlowShare *float64        `json:"low_flow_share,omitempty"`
}

type planControl struct {
	ID           string             `json:"id"`
	Kind         plan.ControlKind   `json:"kind"`
	Sensor       *string            `json:"sensor,omitempty"`
	Sensors      []string           `json:"sensors"`
	Rule         *plan.Rule         `json:"rule,omitempty"`
	Outputs      []string           `json:"outputs"`
	SetpointC    *float64           `json:"setpoint_c,omitempty"`
	HysteresisK  float64            `json:"hysteresis_k"`
	RunLimitMin  *float64           `json:"run_limit_min,omitempty"`
	When         *plan.When         `json:"when,omitempty"`
	ThresholdC   *float64           `json:"threshold_c,omitempty"`
	SetpointPH   *float64           `json:"setpoint_ph,omitempty"`
	HysteresisPH *float64           `json:"hysteresis_ph,omitempty"`
	ThresholdPH  *float64           `json:"threshold_ph,omitempty"`
	ThresholdPSU *float64           `json:"threshold_psu,omitempty"`
	Latching     bool               `json:"latching"`
	OnSensorLoss plan.SensorLoss    `json:"on_sensor_loss"`
	Schedule     *schedule.Schedule `json:"schedule,omitempty"`
	Circuit      *string            `json:"circuit,omitempty"`
	Supply       *string            `json:"supply,omitempty"`
}

type planBox struct {
	ID           string            `json:"id"`
	Holds        []string          `json:"holds"`
	DeadOutputs  plan.DeadOutputs  `json:"dead_outputs"`
	AfterRestart plan.AfterRestart `json:"after_restart"`
	Circuit      *string           `json:"circuit,omitempty"`
	Supply       *string           `json:"supply,omitempty"`
}

type planContactor struct {
	ID      string   `json:"id"`
	Outputs []string `json:"outputs"`
	Circuit *string  `json:"circuit,omitempty"`
	Supply  *string  `json:"supply,omitempty"`
}

type planAttendance struct {
	LookEveryH      float64        `json:"look_every_h"`
	LongestAbsenceH *float64       `json:"longest_absence_h,omitempty"`
	ResponseH       *float64       `json:"response_h,omitempty"`
	AnsweredShare   *float64       `json:"answered_share,omitempty"`
	AnswerDelayH    *float64       `json:"answer_delay_h,omitempty"`
	LeavesAt        plan.ClockTime `json:"leaves_at"`
}

type planProofTest struct {
	Element   string  `json:"element"`
	EveryDays float64 `json:"every_days"`
}

func (r planRoom) input() plan.Room {
	return plan.Room{
		Usual: plan.RoomState(r.Usual), Coldest: (*plan.RoomState)(r.Coldest), Warmest: (*plan.RoomState)(r.Warmest),
		ColdestWithoutHeating: r.ColdestWithoutHeating, WarmestInHeatWave: r.WarmestInHeatWave,
		ColdestShare: r.ColdestShare, WarmestShare: r.WarmestShare,
		AirSpeedMS: r.AirSpeedMS, AltitudeM: r.AltitudeM,
	}
}

func (l planLight) input() plan.Light {
	return plan.Light{
		ID: l.ID, PowerW: l.PowerW, HeatShare: l.HeatShare, Schedule: l.Schedule.Input(), Circuit: l.Circuit,
		Supply: l.Supply,
	}
}

func (k planControl) input() plan.Control {
	return plan.Control{
		ID: k.ID, Kind: k.Kind, Sensor: k.Sensor, Sensors: some(k.Sensors), Rule: named(k.Rule),
		Outputs: k.Outputs, SetpointC: k.SetpointC,
		SetpointPH: k.SetpointPH, HysteresisPH: k.HysteresisPH, ThresholdPH: k.ThresholdPH,
		ThresholdPSU: k.ThresholdPSU, HysteresisK: k.HysteresisK,
		RunLimitMin: k.RunLimitMin, When: k.When, ThresholdC: k.ThresholdC, Latching: k.Latching,
		OnSensorLoss: k.OnSensorLoss, Schedule: k.Schedule.Input(), Circuit: k.Circuit, Supply: k.Supply,
	}
}

// Plan returns the document as the core's plan.
func (r Request) Plan() plan.Plan {
	return plan.Plan{
		Name: r.Name, Livestock: r.Livestock, SalinityPSU: r.SalinityPSU, ProbeDriftK: r.ProbeDriftK,
		Display: plan.Vessel(r.Display), Sump: (*plan.Sump)(r.Sump), Room: r.Room.input(),
		Oxygen: plan.Oxygen(r.Oxygen), Limits: plan.Limits(r.Limits), Measured: (*plan.Measured)(&r.Measured),
		Heaters:     envelope.Each(r.Heaters, func(e planHeater) plan.Heater { return plan.Heater(e) }),
		Chillers:    envelope.Each(r.Chillers, func(e planChiller) plan.Chiller { return plan.Chiller(e) }),
		Fans:        envelope.Each(r.Fans, func(e planFan) plan.Fan { return plan.Fan(e) }),
		Pumps:       envelope.Each(r.Pumps, func(e planPump) plan.Pump { return plan.Pump(e) }),
		TopOffPumps: envelope.Each(r.TopOffPumps, func(e planTopOffPump) plan.TopOffPump { return plan.TopOffPump(e) }),
		Reservoirs:  envelope.Each(r.Reservoirs, func(e planReservoir) plan.Reservoir { return plan.Reservoir(e) }),
		Lights:      envelope.Each(r.Lights, planLight.input),
		Sensors:     envelope.Each(r.Sensors, func(e planSensor) plan.Sensor { return plan.Sensor(e) }),
		Controls:    envelope.Each(r.Controls, planControl.input),
		Contactors:  envelope.Each(r.Contactors, func(e planContactor) plan.Contactor { return plan.Contactor(e) }),
		Boxes:       envelope.Each(r.Boxes, func(e planBox) plan.Box { return plan.Box(e) }),
		Alarms:      envelope.Each(r.Alarms, planAlarm.input),
		Routers:     envelope.Each(r.Routers, func(e planRouter) plan.Router { return plan.Router(e) }),
		Modems:      envelope.Each(r.Modems, func(e planModem) plan.Modem { return plan.Modem(e) }),
		Sirens:      envelope.Each(r.Sirens, func(e planSiren) plan.Siren { return plan.Siren(e) }),
		Persons:     envelope.Each(r.Persons, planPerson.input),
		Power:       r.Power.input(),
		RoomDevices: envelope.Each(r.RoomDevices, func(e planRoomDevice) plan.RoomDevice { return plan.RoomDevice(e) }),
		Leaks:       envelope.Each(r.Leaks, func(e planLeak) plan.Leak { return plan.Leak(e) }),
		Skimmers:    envelope.Each(r.Skimmers, func(e planSkimmer) plan.Skimmer { return plan.Skimmer(e) }),
		Overflows:   envelope.Each(r.Overflows, func(e planOverflow) plan.Overflow { return plan.Overflow(e) }),
		ReturnLines: envelope.Each(r.ReturnLines,
			func(e planReturnLine) plan.ReturnLine { return plan.ReturnLine(e) }),
		Attendance:    plan.Attendance(r.Attendance),
		ProofTests:    envelope.Each(r.ProofTests, func(e planProofTest) plan.ProofTest { return plan.ProofTest(e) }),
		Worth:         r.Worth.input(),
		Chemistry:     (*plan.Chemistry)(r.Chemistry),
		DosingPumps:   envelope.Each(r.DosingPumps, planDosingPump.input),
		ChangePumps:   envelope.Each(r.ChangePumps, planChangePump.input),
		CarbonDioxide: envelope.Each(r.CarbonDioxide, planCarbonDioxide.input),
	}
}

func newPlanLight(l plan.Light) planLight {
	return planLight{
		ID: l.ID, PowerW: l.PowerW, HeatShare: l.HeatShare, Schedule: schedule.Of(l.Schedule), Circuit: l.Circuit,
		Supply: l.Supply,
	}
}

func newPlanControl(k plan.Control) planControl {
	return planControl{
		ID: k.ID, Kind: k.Kind, Sensor: k.Sensor, Sensors: envelope.List(k.Sensors), Rule: said(k.Rule),
		Outputs: envelope.List(k.Outputs), SetpointC: k.SetpointC,
		SetpointPH: k.SetpointPH, HysteresisPH: k.HysteresisPH, ThresholdPH: k.ThresholdPH,
		ThresholdPSU: k.ThresholdPSU,
		HysteresisK:  k.HysteresisK, RunLimitMin: k.RunLimitMin, When: k.When, ThresholdC: k.ThresholdC,
		Latching: k.Latching, OnSensorLoss: k.OnSensorLoss, Schedule: schedule.Of(k.Schedule), Circuit: k.Circuit,
		Supply: k.Supply,
	}
}

// NewRequest writes a plan as the document that the contract takes; it undoes Plan.
func NewRequest(p plan.Plan) Request {
	return Request{
		Name: p.Name, Livestock: p.Livestock, SalinityPSU: p.SalinityPSU, ProbeDriftK: p.ProbeDriftK,
		Display: planDisplay(p.Display), Sump: (*planSump)(p.Sump),
		Room: planRoom{
			Usual:   planRoomState(p.Room.Usual),
			Coldest: (*planRoomState)(p.Room.Coldest), Warmest: (*planRoomState)(p.Room.Warmest),
			ColdestWithoutHeating: p.Room.ColdestWithoutHeating, WarmestInHeatWave: p.Room.WarmestInHeatWave,
			ColdestShare: p.Room.ColdestShare, WarmestShare: p.Room.WarmestShare,
			AirSpeedMS: p.Room.AirSpeedMS, AltitudeM: p.Room.AltitudeM,
		},
		Oxygen: planOxygen(p.Oxygen), Limits: planLimits(p.Limits), Measured: planMeasured(*p.Measured),
		Heaters:     envelope.Each(p.Heaters, func(e plan.Heater) planHeater { return planHeater(e) }),
		Chillers:    envelope.Each(p.Chillers, func(e plan.Chiller) planChiller { return planChiller(e) }),
		Fans:        envelope.Each(p.Fans, func(e plan.Fan) planFan { return planFan(e) }),
		Pumps:       envelope.Each(p.Pumps, func(e plan.Pump) planPump { return planPump(e) }),
		TopOffPumps: envelope.Each(p.TopOffPumps, func(e plan.TopOffPump) planTopOffPump { return planTopOffPump(e) }),
		Reservoirs:  envelope.Each(p.Reservoirs, func(e plan.Reservoir) planReservoir { return planReservoir(e) }),
		Lights:      envelope.Each(p.Lights, newPlanLight),
		Sensors:     envelope.Each(p.Sensors, func(e plan.Sensor) planSensor { return planSensor(e) }),
		Controls:    envelope.Each(p.Controls, newPlanControl),
		Contactors:  envelope.Each(p.Contactors, func(e plan.Contactor) planContactor { return planContactor(e) }),
		Boxes:       envelope.Each(p.Boxes, func(e plan.Box) planBox { return planBox(e) }),
		Alarms:      envelope.Each(p.Alarms, newPlanAlarm),
		Routers:     envelope.Each(p.Routers, func(e plan.Router) planRouter { return planRouter(e) }),
		Modems:      envelope.Each(p.Modems, func(e plan.Modem) planModem { return planModem(e) }),
		Sirens:      envelope.Each(p.Sirens, func(e plan.Siren) planSiren { return planSiren(e) }),
		Persons:     envelope.Each(p.Persons, newPlanPerson),
		Power:       newPlanPower(p.Power),
		RoomDevices: envelope.Each(p.RoomDevices, func(e plan.RoomDevice) planRoomDevice { return planRoomDevice(e) }),
		Leaks:       envelope.Each(p.Leaks, func(e plan.Leak) planLeak { return planLeak(e) }),
		Skimmers:    envelope.Each(p.Skimmers, func(e plan.Skimmer) planSkimmer { return planSkimmer(e) }),
		Overflows:   envelope.Each(p.Overflows, func(e plan.Overflow) planOverflow { return planOverflow(e) }),
		ReturnLines: envelope.Each(p.ReturnLines,
			func(e plan.ReturnLine) planReturnLine { return planReturnLine(e) }),
		Attendance:    planAttendance(p.Attendance),
		ProofTests:    envelope.Each(p.ProofTests, func(e plan.ProofTest) planProofTest { return planProofTest(e) }),
		Worth:         newPlanWorth(p.Worth),
		Chemistry:     (*planChemistry)(p.Chemistry),
		DosingPumps:   envelope.Each(p.DosingPumps, newPlanDosingPump),
		ChangePumps:   envelope.Each(p.ChangePumps, newPlanChangePump),
		CarbonDioxide: envelope.Each(p.CarbonDioxide, newPlanCarbonDioxide),
	}
}
