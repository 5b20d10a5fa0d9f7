// Package sim runs a tank through time. Between switching instants every
// quantity is linear and is integrated in closed form, so that no step size
// enters an answer; a run goes from event to event until its horizon.
//
// Units inside the package: seconds, litres, watts, joules, °C. Salt is kept
// as practical salinity times litres, which mixes linearly.
package sim

import "saltwright/internal/calc/quantity"

// The two bodies of water. A tank without a sump has only Display.
const (
	Display = 0
	Sump    = 1
)

// Line is a quantity that is linear in the water temperature: Const + Slope·T, T in °C.
type Line struct{ Const, Slope float64 }

// At returns its value at a water temperature.
//
//	tempC  [°C]
//
// Accuracy: rounding. Errors: none. Source: [Derived].
func (l Line) At(tempC float64) float64 { return l.Const + l.Slope*tempC }

// chord returns the line through two points.
func chord(fromC, from, toC, to float64) Line {
	slope := (to - from) / (toC - fromC)
	return Line{Const: from - slope*fromC, Slope: slope}
}

// Node is one body of water with the return flow running.
type Node struct {
	VolumeL float64 // water volume, > 0
	Bands   []Band  // of the water's temperature, ascending; the first has no lower and the last no upper end
}

// Band is a range of the water's temperature in which losses are straight lines. Neighbours meet at their edge.
type Band struct {
	HighC         float64 // where the next one begins; +Inf for the last
	DryLossW      Line    // heat lost through walls and surface without evaporation, W; slope > 0
	EvaporationLS [2]Line // fresh water evaporated, L/s: [0] as usual, [1] with the evaporative fan running
}

// Air is a temperature of the room with the losses of the water in it. Their bands have the edges of the usual ones.
type Air struct {
	TempC float64
	Bands [2][]Band
}

// BandAt returns the band of a water temperature.
//
//	tempC  [°C]
//
// Accuracy: exact. Errors: none. Source: [Derived].
func (n *Node) BandAt(tempC float64) *Band {
	i := 0
	for n.Bands[i].HighC < tempC {
		i++
	}
	return &n.Bands[i]
}

// Quantity is what a comparator watches.
type Quantity uint8

// The watched quantities.
const (
	DisplayTemp  Quantity = iota // °C
	SumpTemp                     // °C
	Level                        // litres above the normal line in the level chamber
	Salinity                     // practical salinity of the display
	Oxygen                       // mg/L in the display
	Spill                        // litres on the floor
	RoomTemp                     // °C
	DisplayLevel                 // litres above the normal line in a display over a sump
	Stored                       // litres in reservoir number Comparator.Reservoir
	// Of all water, where a system follows what is dissolved. They have bounds of their own.
	Alkalinity // meq/L
	PH         // total scale
	Aragonite  // saturation
	Magnesium  // mmol/L, where a plan says what there is of it
)

// Comparator turns a quantity into a yes or no with a dead band: it becomes
// true when the quantity reaches High and false when it falls to Low.
type Comparator struct {
	Quantity  Quantity
	Reservoir int // for Stored
	Low, High float64
	Sensor    int // whose reading it is; -1 for a device's own thermostat and for limits
}

// Minimum dead bands: below them two switching instants would coincide, and a
// real contact could not follow either.
const (
	minBandK      = 0.01 // K
	minBandLevelL = 1e-3 // L
	minBandPH     = 1e-3
	limitBand     = 1e-6 // for limits, which drive nothing
)

// band returns where the comparator becomes true and where false, its dead band no smaller than the minimum.
func (c *Comparator) band() (low, high float64) {
	least := limitBand
	switch c.Quantity {
	case DisplayTemp, SumpTemp, RoomTemp:
		least = minBandK
	case Level, DisplayLevel, Stored:
		least = minBandLevelL
	case PH:
		least = minBandPH
	}
	return min(c.Low, c.High-least), c.High
}

// constant returns what the comparator says of a reading that never moves, and whether that is known:
// within the dead band it depends on what went before.
func (c *Comparator) constant(value float64) (yes, known bool) {
	low, high := c.band()
	return value >= high, value >= high || value <= low
}

// SensorKind says what a sensor can be asked.
type SensorKind uint8

// The kinds of sensor.
const (
	TemperatureSensor SensorKind = iota
	LevelSensor
	FlowSensor
	LeakSensor
	PowerSensor
	LightSensor
	PHSensor
	ConductivitySensor
)

// Sensor is one probe or switch.
type Sensor struct {
	ID   string
	Kind SensorKind
}

// ConditionKind says where a condition looks.
type ConditionKind uint8

// The kinds of condition.
const (
	ComparatorTrue ConditionKind = iota // Index is a comparator
	FlowRunning                         // the return flow runs
	PowerPresent                        // Index is a circuit
	LightSeen                           // some lamp gives light
	Vote                                // of the conditions Of
)

// Condition is a yes or no that a control or an alarm acts on.
type Condition struct {
	Kind   ConditionKind
	Index  int
	Negate bool
	Sensor int   // the sensor it is read from, -1 for none
	Of     []int // of a vote
	Most   Share // how many of those that have a signal must say yes
	// LeastFlow is the share of the usual flow that FlowRunning takes for flow; 0: any.
	LeastFlow float64
}

// Share is how many of a vote must say yes.
type Share uint8

// The shares.
const (
	Each Share = iota
	One
	MoreThanHalf
)

// DeviceKind says what a device does to the tank.
type DeviceKind uint8

// The kinds of device.
const (
	Heater DeviceKind = iota
	Chiller
	Fan
	ReturnPump
	CirculationPump
	TopOffPump
	Light
	RoomHeater
	RoomCooler
	Skimmer
	Doser // out of a container: a solution, new water, or gas through a valve
	Drain
)

// Device is one thing that draws power.
type Device struct {
	ID        string
	Kind      DeviceKind
	Circuit   int
	HeatW     [2]float64 // heat into each node while on (a light: at 100 %); negative for a chiller
	ElectricW float64    // power drawn while on (a light: at 100 %)
	FlowLS    float64    // top-off pumps, dosers and drains, L/s; of gas g/s
	Reservoir int        // top-off pumps and dosers
	InletL    float64    // drains: they take no water below this level
	Programme int        // its own programme, -1 for none
	// Thermostat is the comparator of its own thermostat, -1 for none: a heater runs while it is false, a chiller
	// while it is true.
	Thermostat int
	StaysOff   bool // once its circuit has been dead
	Starts     Starting
	Room       RoomUnit
	Dry        Dryness
	Clogs      Clogging
	Skim       Skimming
}

// clocked tells whether a pump runs by electronics of its own.
func (d *Device) clocked() bool { return (d.Kind == Doser || d.Kind == Drain) && d.Programme >= 0 }

// taps tells whether a device draws on a reservoir, and so does nothing to the water once that is empty.
func (d *Device) taps() bool { return d.Kind == TopOffPump || d.Kind == Doser }

// ControlKind says what a control does with its condition.
type ControlKind uint8

// The kinds of control.
const (
	Regulator ControlKind = iota // closes its outputs while its condition is true
	Cutout                       // opens its outputs while its condition is true, or for good when latching
	Timer                        // closes its outputs while its programme is above zero
	Contactor                    // closes its outputs while the relays onto it are closed and its coil has power
)

// Control is one thing that switches others through relays. Without power its relays are open.
type Control struct {
	ID        string
	Kind      ControlKind
	Circuit   int
	Condition int // regulators and cut-outs
	OnLoss    bool
	RunLimitS float64 // a regulator that calls longer locks out until somebody comes; 0 for none
	Latching  bool
	Programme int // timers
	Restarts  Restart
}

// Restart is what a control does when its power comes back.
type Restart uint8

// What a control may do after a restart.
const (
	Afresh    Restart = iota // cuts and lock-outs are forgotten
	AsBefore                 // they stay
	StaysDown                // its outputs stay open until somebody comes
)

// reads tells whether it acts on a condition.
func (c *Control) reads() bool { return c.Kind == Regulator || c.Kind == Cutout }

// Relay is one output of a control, in series with every other relay of the same target.
type Relay struct {
	Control int
	Device  int // target device, -1 when the target is a control
	Target  int // target control, -1 when the target is a device
}

// Circuit is one breaker, backed-up outlet group, strip or residual-current device. Those it hangs on come before it.
type Circuit struct {
	ID      string
	BackupS float64 // how long it stays live without mains, s
	Feeder  int     // the number of the circuit that it hangs on, counted from 1; 0: mains
	BackS   float64 // how long after its feeder it comes back, s
	RatingW float64 // above it, it opens in time; 0: it carries whatever hangs on it
	AtOnceW float64 // above it, it opens at once; 0: it stands any start
}

// Path is how an alarm travels.
type Path uint8

// The alarm paths. The first ways of a system are those of alarms that name no other, one of each.
const (
	Audible  Path = iota // heard only by somebody in the house
	Network              // needs the home network and its power
	Cellular             // needs only the alarm's own power
)

// Way is what an alarm travels by: a router, a modem, a siren, or its own path.
type Way struct {
	ID       string // of its own path: its name
	Kind     Path
	Circuit  int     // -1: it needs none
	BatteryS float64 // how long it works without its circuit
}

// Reader is one sensor whose reading is compared with others'.
type Reader struct {
	Sensor    int
	Quantity  Quantity // of a temperature
	Condition int      // of a switch
}

// Alarm tells a person.
type Alarm struct {
	ID        string
	Condition int
	OnLoss    bool // also raised when its sensor is lost
	DelayS    float64
	Circuit   int      // -1 when it runs on its own battery
	Ways      []int    // each is enough
	Watch     *Watch   // in place of a condition
	Differ    []Reader // in place of a condition: raised while these disagree
	DifferK   float64  // readings of temperature: by more than this
	Hours     *Hours   // in which its condition counts; nil: all day
}

// Reservoir is fresh water for the top-off pumps.
type Reservoir struct {
	ID       string
	VolumeL  float64 // usable litres when full
	SiphonLS float64 // flow of a siphon through the standing pump, L/s
	Break    bool    // a siphon break, or an air gap, that works until it is blocked
	// Heights are millimetres above the normal line of the level chamber.
	AreaM2    float64 // of its floor
	EmptyMM   float64 // its water when nothing usable is left
	LineEndMM float64 // where its line ends
	Holds     Contents
	Gas       bool // it holds grams of gas, not litres of water
	Container bool // of a pump of its own, not of the top-off
}

// HeightMM returns where its water stands with so much usable water in it.
//
//	h = empty + usable/area
//
//	usableL  [L]
//
// Accuracy: exact for vertical walls. Errors: none. Source: [Derived].
func (r *Reservoir) HeightMM(usableL float64) float64 { return r.EmptyMM + usableL/r.AreaM2 }

// Siphons tells whether its full water stands above the end of its line, so that a siphon can run.
//
// Errors: none. Source: [Derived].
func (r *Reservoir) Siphons() bool {
	return r.SiphonLS > 0 && r.AreaM2 > 0 && r.HeightMM(r.VolumeL) > r.LineEndMM
}

const daySeconds = quantity.SecondsPerDay

// Piece is a linear piece of a daily programme; levels are 0 … 1.
type Piece struct{ StartS, EndS, From, To float64 }

// Programme is one day of pieces that cover 0 … 86400 s without a gap.
type Programme []Piece

// LimitKind names what can be lost.
type LimitKind uint8

// The kinds of loss, in the order they are reported.
const (
	Overheated LimitKind = iota
	Chilled
	Diluted
	Concentrated
	Flooded
	RunDry
	NoDark
	NoLight
	Airless
	SumpHot          // the sump by itself, for pumps, pipes and people
	TemperatureShock // more than so much in an hour, K
	SalinityShock    // the same of salinity
	HeaterDry        // runs out of the water without cutting out
	AlkalinityLow
	AlkalinityHigh
	PHLow
	PHHigh
	Dissolving // aragonite
	FallingOut
	MagnesiumLow
	MagnesiumHigh
	LimitKinds // their number
)

// Limit is a comfort band's edge, a harm limit and limits of loss of one kind.
type Limit struct {
	Active  bool
	Comfort float64 // unit of the kind; for NoDark and NoLight seconds without a break
	Harm    Edge
	Losses  []Edge // one of them is enough; none: it brings no loss
}

// Edge is a value that may be exceeded for a while.
type Edge struct {
	At     float64
	AfterS float64
}

// Dose is heat over weeks: what the display stands over a temperature, added up as long as it is warmer than another.
type Dose struct {
	FromC      float64 // it counts from here on
	OverC      float64 // and as much as it stands over this
	Harm, Loss float64 // K s; 0: none
}

// OxygenBalance is the gas exchange of the display with the room's air.
//
//	dO/dt = k·(O_sat - O) - demand
type OxygenBalance struct {
	SaturationMgL    float64
	DemandMgLS       float64
	StirredS, StillS float64 // k with and without moving water, 1/s, > 0
}

// System is a tank with everything on it, ready to run.
type System struct {
	Nodes          int // 1 or 2
	Node           [2]Node
	FlowWK         float64 // density · heat capacity · return flow, W/K; 2 nodes
	VolumicHeatJLK float64 // J/(L K) of the tank's water
	LatentJL       float64 // heat to evaporate one litre, J/L
	TopOffTempC    float64
	RoomTempC      float64
	DrainBackL     float64 // runs into the sump when the return stops
	Chamber        Chamber
	DisplayFreeL   float64 // from the normal line to the rim of a display over a sump
	Airs           []Air   // that the room may come to, besides the usual one
	Leaks          []Leak
	Overflows      int // that carry the return flow down; the water rises when all of them are blocked
	ReturnLines    []ReturnLine
	SalinityStart  float64
	TempStartC     float64
	OxygenBalance  OxygenBalance
	Chemistry      *Chemistry // nil: what is dissolved is not followed
	StartSecond    float64    // local second of the day at which a run starts
	Devices        []Device
	Sensors        []Sensor
	Comparators    []Comparator
	Conditions     []Condition
	Controls       []Control
	Relays         []Relay
	Circuits       []Circuit
	Sources        []Source
	Alarms         []Alarm
	Reservoirs     []Reservoir
	Programmes     []Programme
	Limits         [LimitKinds]Limit
	HeatDose       Dose // overheats, too
	Ways           []Way
	OutageS        float64 // how long mains stays away when it fails
	MaxEvents      int     // a run stops, marked truncated, after this many events

	wiring *wiring // of the elements above; nil: each run finds it anew
}

// wiring lists who is connected to whom, so that no event has to look through all relays.
type wiring struct {
	fromControl [][]int // relays of each control
	ontoControl [][]int // relays in the supply of each control
	ontoDevice  [][]int // relays in the supply of each device
	lamps       []int   // devices
	limited     []int   // controls with a run limit
	switching   []int   // comparators that a control or a device acts on; an alarm's moves no water
	rated       []rated // circuits that open above their rating

	watchedControl, watchedDevice []bool
	anyWatched                    bool // control
	mayBreak                      bool // some heater opens a circuit when it breaks
	starts                        bool // some device starts later than its circuit, or draws more at first
}
