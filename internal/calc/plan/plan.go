// Package plan is what a keeper intends for one tank: vessels, room, limits,
// devices, sensors, controls, alarms, power and people. It completes what was
// left out with stated assumptions and refuses what cannot be built.
//
// A pointer that is nil means "not said": Complete fills it and reports the
// value it assumed. Ids are the keeper's own.
package plan

import (
	"saltwright/internal/calc/evaporation"
	"saltwright/internal/calc/heat"
	"saltwright/internal/calc/text"
)

// Plan is the whole document.
type Plan struct {
	Name        string
	Livestock   Livestock
	SalinityPSU float64
	Display     Vessel
	Sump        *Sump // nil: everything hangs in or on the display
	Room        Room
	Oxygen      Oxygen
	Limits      Limits
	Heaters     []Heater
	Chillers    []Chiller
	Fans        []Fan
	Pumps       []Pump
	TopOffPumps []TopOffPump
	Reservoirs  []Reservoir
	Lights      []Light
	Sensors     []Sensor
	Controls    []Control
	Contactors  []Contactor
	Boxes       []Box
	Alarms      []Alarm
	Routers     []Router
	Modems      []Modem
	Sirens      []Siren
	Persons     []Person // none: whom its attendance speaks of
	Power       Power
	Attendance  Attendance
	ProofTests  []ProofTest
	Overflows   []Overflow
	ReturnLines []ReturnLine
	RoomDevices []RoomDevice
	Leaks       []Leak
	Skimmers    []Skimmer
	ProbeDriftK float64 // how far a drifting temperature probe is taken to be off
	Measured    *Measured
	Chemistry   *Chemistry
	DosingPumps []DosingPump
	ChangePumps []ChangePump
	// CarbonDioxide lists bottles.
	CarbonDioxide []CarbonDioxide
	Worth         *Worth // nil: the keeper names no money
}

// Measured is what a calibration found on this very tank; nil: the model as it stands.
type Measured struct {
	DryLossFactor     float64 // times the dry heat loss, 0.2 … 5
	EvaporationFactor float64 // times the expected evaporation, 0.05 … 10
}

// Livestock is the group whose limits hold where the plan names none.
type Livestock string

// The livestock groups.
const (
	FishOnly    Livestock = "fish_only"
	SoftCorals  Livestock = "soft_corals"
	MixedReef   Livestock = "mixed_reef"
	StonyCorals Livestock = "stony_corals"
)

// Vessel is the display. Either the volume or all three inner lengths are given.
type Vessel struct {
	VolumeL      *float64 // inner volume up to the water line
	LengthMM     *float64
	WidthMM      *float64
	WaterDepthMM *float64
	WallMM       float64
	Material     heat.Material
	Lid          evaporation.Lid
	FreeboardMM  float64 // water line to rim
	DrainBackMM  float64 // depth that runs into the sump when the return stops
	IntakeDropMM float64 // without a sump: how far the water may fall before heater or pump stand dry
	RockShare    float64 // share of the inner volume that rock and sand take, 0 … 0.5
}

// Sump is the vessel below; heights are from its floor.
type Sump struct {
	LengthMM        float64
	WidthMM         float64
	HeightMM        float64
	WaterLevelMM    float64  // running level in the return chamber
	ReturnChamberMM *float64 // length of the return chamber
	BaffleMM        *float64 // the water before it stands this high; above it the whole sump rises together
	ReturnIntakeMM  *float64 // the return pump draws air below this height
	WallMM          float64
	Material        heat.Material
	Lid             evaporation.Lid
}

// RoomState is the air around the tank.
type RoomState struct {
	TempC     float64
	RHPercent float64
}

// Room is the air in three states.
type Room struct {
	Usual   RoomState
	Coldest *RoomState
	Warmest *RoomState
	// Whether the coldest room is that of a house whose heating has died, and the warmest one that of a heat wave.
	ColdestWithoutHeating, WarmestInHeatWave bool
	// Shares of the year that are as cold and as warm; the rest is as usual.
	ColdestShare, WarmestShare *float64
	AirSpeedMS                 float64
	AltitudeM                  float64
}

// Oxygen describes gas exchange and demand.
type Oxygen struct {
	DemandMgLH *float64 // mg per litre of the display's water and hour
	FishG      *float64 // live mass, in place of the demand
	StirredCMH float64  // transfer velocity with moving water, cm/h
	StillCMH   float64  // without
}

// Limits are comfort edges, harm limits and limits of loss; nil takes the livestock group's.
type Limits struct {
	ComfortLowC        *float64
	ComfortHighC       *float64
	HarmLowC           *float64
	HarmHighC          *float64
	HarmTempAfterH     *float64
	ComfortLowPSU      *float64
	ComfortHighPSU     *float64
	HarmLowPSU         *float64
	HarmHighPSU        *float64
	HarmSalinityAfterH *float64
	ComfortDarkH       *float64
	HarmLitH           *float64
	HarmDarkH          *float64
	ComfortOxygenMgL   *float64
	HarmOxygenMgL      *float64
	HarmOxygenAfterH   *float64
	HarmSpillL         *float64
	ComfortSumpC       *float64 // the sump by itself
	HarmSumpC          *float64
	ComfortChangeK     *float64 // within an hour
	HarmChangeK        *float64
	ComfortChangePSU   *float64
	HarmChangePSU      *float64
	LossLowC           *float64 // below it for LossColdAfterH the livestock is lost
	LossColdAfterH     *float64
	LossHighC          *float64 // above it for LossHeatAfterH
	LossHeatAfterH     *float64
	RapidLossLowC      *float64 // beyond these for RapidLossAfterH
	RapidLossHighC     *float64
	RapidLossAfterH    *float64
	LossLowPSU         *float64
	LossHighPSU        *float64
	LossSalinityAfterH *float64
	LossOxygenMgL      *float64
	LossOxygenAfterH   *float64
	// Of what is dissolved; only where a plan follows it.
	ComfortLowDKH, ComfortHighDKH             *float64
	HarmLowDKH, HarmHighDKH                   *float64
	LossLowDKH, LossHighDKH                   *float64
	ComfortLowPH, ComfortHighPH               *float64 // total scale
	HarmLowPH, HarmHighPH                     *float64
	LossLowPH, LossHighPH                     *float64
	ComfortLowAragonite, ComfortHighAragonite *float64 // saturation
	HarmLowAragonite, HarmHighAragonite       *float64
	// Only where a plan follows magnesium.
	ComfortLowMagnesiumMgL, ComfortHighMagnesiumMgL *float64
	HarmLowMagnesiumMgL, HarmHighMagnesiumMgL       *float64
	HarmChemistryAfterH, LossChemistryAfterH        *float64
}

// Heater warms water; nil ThermostatC means it has none of its own.
type Heater struct {
	ID                    string
	PowerW                float64
	Place                 *Place
	HeightMM              *float64 // of its highest heated end, from the normal water line; nil: it stays covered
	WhenDry               *WhenDry // only with a height
	ThermostatC           *float64
	ThermostatHysteresisK float64
	Circuit               *string
	Supply                *string // a strip or a circuit; Circuit is its old name
}

// Chiller cools water.
type Chiller struct {
	ID                    string
	CoolingW              float64
	PowerW                float64
	Place                 *Place
	ThermostatC           *float64
	ThermostatHysteresisK float64
	Circuit               *string
	Supply                *string // a strip or a circuit; Circuit is its old name
}

// Fan blows over the display's surface.
type Fan struct {
	ID         string
	AirSpeedMS float64
	PowerW     float64
	Circuit    *string
	Supply     *string // a strip or a circuit; Circuit is its old name
}

// Pump moves tank water.
type Pump struct {
	ID        string
	Role      PumpRole
	FlowLH    float64
	PowerW    float64
	HeatShare float64 // share of the power that ends as heat in the water
	Circuit   *string
	Supply    *string // a strip or a circuit; Circuit is its old name
	StaysOff  *bool   // after an outage, until somebody starts it
	// CloggedShare of its flow is left when its intake or rotor clogs; nil: that is not tried.
	CloggedShare *float64
}

// PumpRole is what a pump is for.
type PumpRole string

// The pump roles.
const (
	ReturnRole      PumpRole = "return"
	CirculationRole PumpRole = "circulation"
)

// TopOffPump lifts fresh water from a reservoir.
type TopOffPump struct {
	ID          string
	FlowLH      float64
	PowerW      float64
	Reservoir   string
	PipeLimitLH *float64 // what its pipe can carry at most
	Circuit     *string
	Supply      *string // a strip or a circuit; Circuit is its old name
	StaysOff    *bool   // after an outage, until somebody starts it
}

// Reservoir holds fresh water.
type Reservoir struct {
	ID                 string
	VolumeL            float64
	UsableShare        float64
	WaterAboveOutletMM float64 // how far its full water line stands above the pipe's outlet; below 0: it stands lower
	SiphonBreak        bool    // or an air gap
	SiphonLH           *float64
	LengthMM, WidthMM  *float64 // of its floor
	BottomAboveWaterMM *float64 // its floor, from the normal line of sump or display; in place of WaterAboveOutletMM
	// LineEndAboveWaterMM is where its line ends, from the normal water line; below 0: under water.
	LineEndAboveWaterMM *float64
	CheckValve          bool // lets nothing run back into it; does not stop a siphon out of it
	// LimeShare is the strength of lime water in it, of a saturated solution; nil: fresh water.
	LimeShare *float64
}

// Point is a corner of a daily programme.
type Point struct {
	At      ClockTime
	Percent float64 // 0 … 100
}

// Schedule is a daily programme: either points, or on, off and ramp.
type Schedule struct {
	Points  []Point
	OnAt    *ClockTime
	OffAt   *ClockTime
	RampMin float64
}

// Light is one lamp or channel.
type Light struct {
	ID        string
	PowerW    float64
	HeatShare float64
	Schedule  *Schedule
	Circuit   *string
	Supply    *string // a strip or a circuit; Circuit is its old name
}

// SensorKind is what a sensor feels.
type SensorKind string

// The kinds of sensor.
const (
	TemperatureKind  SensorKind = "temperature"
	LevelKind        SensorKind = "level"
	FlowKind         SensorKind = "flow"
	LeakKind         SensorKind = "leak"
	PowerKind        SensorKind = "power"
	LightKind        SensorKind = "light" // over the display
	PHKind           SensorKind = "ph"
	ConductivityKind SensorKind = "conductivity" // as the salinity that it shows
)

// Sensor is a probe or switch.
type Sensor struct {
	ID           string
	Kind         SensorKind
	Place        *Place
	HeightMM     *float64 // level: above the normal line, below it negative
	HysteresisMM float64
	Reservoir    *string  // level in a reservoir
	AtL          *float64 // level in a reservoir: litres left at which it turns dry
	Circuit      *string  // power: the circuit it watches
	LowFlowShare *float64 // flow: below this share of the usual flow it reports none; nil: only standing water
}

// ControlKind is what a control does.
type ControlKind string

// The kinds of control.
const (
	Heating    ControlKind = "heating"
	Cooling    ControlKind = "cooling"
	TopOff     ControlKind = "top_off"
	Timer      ControlKind = "timer"
	Supervisor ControlKind = "supervisor"
	Acidity    ControlKind = "acidity" // lets gas in while pH is too high
)

// When is the reading on which a supervisor cuts or an alarm is raised.
type When string

// The readings.
const (
	Above   When = "above"
	Below   When = "below"
	Wet     When = "wet"
	Dry     When = "dry"
	NoFlow  When = "no_flow"
	NoPower When = "no_power"
	Lit     When = "lit"
	Dark    When = "dark"
	// Of a device or a control that an alarm watches: longer without a break, more often, or not at all for a time.
	RunsLong    When = "runs_long"
	StartsOften When = "starts_often"
	StandsStill When = "stands_still"
	// Of several sensors on one task.
	Differ When = "differ"
)

// Control switches devices or other controls.
type Control struct {
	ID           string
	Kind         ControlKind
	Sensor       *string
	Sensors      []string // in place of one
	Rule         Rule     // of several
	Outputs      []string
	SetpointC    *float64
	HysteresisK  float64
	RunLimitMin  *float64 // top-off: locks out after calling this long without a break
	When         *When    // supervisor
	ThresholdC   *float64 // supervisor on a temperature
	SetpointPH   *float64 // acidity, total scale
	HysteresisPH *float64
	ThresholdPH  *float64 // supervisor on a pH
	ThresholdPSU *float64 // and on a conductivity
	Latching     bool     // supervisor: stays off until somebody resets it
	OnSensorLoss SensorLoss
	Schedule     *Schedule
	Circuit      *string
	Supply       *string // a strip or a circuit; Circuit is its old name
}

// SensorLoss is what a control does without its sensor.
type SensorLoss string

// What a control may do without its sensor.
const (
	OffWithoutSensor SensorLoss = "off"
	OnWithoutSensor  SensorLoss = "on"
)

// AlarmPath is how an alarm travels.
type AlarmPath string

// The alarm paths.
const (
	AudiblePath  AlarmPath = "audible"
	NetworkPath  AlarmPath = "network"
	CellularPath AlarmPath = "cellular"
)

// Alarm tells a person.
type Alarm struct {
	ID           string
	Sensor       string   // empty where it reads several or watches what runs
	Sensors      []string // in place of one
	Rule         Rule     // of several
	DifferK      *float64 // differ, of temperatures: by more than this
	When         When
	ThresholdC   *float64
	ThresholdPH  *float64
	ThresholdPSU *float64
	Watches      string     // the device or control that it watches; empty: it reads a sensor
	RunsMin      *float64   // runs_long: more than so long without a break
	Starts       *int       // starts_often: more than so many
	WithinH      *float64   // starts_often: in so many hours; stands_still: not at all for so long
	FromAt, ToAt *ClockTime // lit and dark: only between these hours; nil: all day
	DelayMin     float64
	Path         AlarmPath
	Paths        []string // ids of routers, modems and sirens, in place of a path of its own
	OnSensorLoss bool
	OwnBattery   bool
	Circuit      *string
	Supply       *string // a strip or a circuit; Circuit is its old name
}

// Circuit is one breaker.
type Circuit struct {
	ID                    string
	GroundFault           bool
	BackupH               float64
	BreakerA              *float64 // nil: whatever hangs on it is taken not to be too much
	ResidualCurrentDevice *string  // that it lies behind
	BackAfterMin          *float64 // how long after its supply it comes back; nil: at once
	BreakerType           *BreakerType
}

// Power is the supply.
type Power struct {
	Circuits               []Circuit
	NetworkCircuit         *string
	LongestOutageH         float64
	VoltageV               *float64
	ResidualCurrentDevices []ResidualCurrentDevice
	Strips                 []Strip
	Backups                []Backup
	Starts                 []Start // none: everything starts at once, on what it runs on
}

// Attendance is when people are there.
type Attendance struct {
	LookEveryH      float64
	LongestAbsenceH *float64
	ResponseH       *float64
	AnsweredShare   *float64 // of the alarms that reach somebody
	AnswerDelayH    *float64 // mean time by which an answer comes later than ResponseH
	LeavesAt        ClockTime
}

// ProofTest is one protection tried at an interval.
type ProofTest struct {
	Element   string
	EveryDays float64
}

// Why says where an assumed value comes from.
type Why string

// The origins of assumed values.
const (
	WhyCommonPractice Why = "common_practice"
	WhyDerived        Why = "derived"
)

// Assumption is one value Complete filled in.
type Assumption struct {
	Param  string // path in the plan, for instance "room.coldest.temp_c"
	Value  any    // float64, string or bool
	Unit   string
	Why    Why
	Source string // bibliography key
	Note   text.Text
}
