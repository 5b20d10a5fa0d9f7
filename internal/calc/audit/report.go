package audit

import (
	"fmt"
	"math"
	"slices"

	"saltwright/internal/calc"
	"saltwright/internal/calc/numeric"
	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/sim"
	"saltwright/internal/calc/text"
)

// MaxEvents bounds an audit: events of all its runs together, some two seconds of one core.
const MaxEvents = 600_000

// mostEvents is how many events the audit of a completed plan may take, half as many where dissolved matter is
// followed. Such an event takes ChemicalTimes as long; a quarter of the events would refuse plans that people build.
func mostEvents(p plan.Plan) int {
	if chemical(p) > 1 {
		return MaxEvents / 2
	}
	return MaxEvents
}

const balanceTolerance = 1e-6 // a run that conserves worse than this is a defect of ours

// thinMarginH is a rescue too close to count on, h; common practice, no source.
const thinMarginH = 2.0

// Verdict says how a fault ends.
type Verdict string

// The verdicts, from good to bad.
const (
	Held    Verdict = "held"    // no harm limit crossed with nobody there
	Rescued Verdict = "rescued" // an alarm that the fault raised, and the response, beat the harm
	Harmed  Verdict = "harmed"  // harm or damage came first, but no loss
	Lost    Verdict = "lost"    // loss came first
)

// Verdicts lists them from good to bad.
var Verdicts = []Verdict{Held, Rescued, Harmed, Lost}

func (v Verdict) rank() int { return slices.Index(Verdicts, v) }

// Sound tells whether a plan may end so.
//
// Errors: none. Source: [Derived].
func (v Verdict) Sound() bool { return v == Held || v == Rescued }

// Better tells whether a verdict is better than another.
//
// Errors: none. Source: [Derived].
func (v Verdict) Better(than Verdict) bool { return v.rank() < than.rank() }

// RoomName is one of the three states of the room.
type RoomName string

// The rooms.
const (
	Coldest RoomName = "coldest"
	Usual   RoomName = "usual"
	Warmest RoomName = "warmest"
)

// LossNames are the kinds of loss as answers call them, by sim.LimitKind.
var LossNames = [sim.LimitKinds]string{
	sim.Overheated: "overheated", sim.Chilled: "chilled", sim.Diluted: "diluted", sim.Concentrated: "concentrated",
	sim.Flooded: "flooded", sim.RunDry: "run_dry", sim.NoDark: "no_dark", sim.NoLight: "no_light",
	sim.Airless: "airless", sim.SumpHot: "sump_hot", sim.TemperatureShock: "temperature_shock",
	sim.SalinityShock: "salinity_shock", sim.HeaterDry: "heater_dry", sim.AlkalinityLow: "alkalinity_low",
	sim.AlkalinityHigh: "alkalinity_high", sim.PHLow: "ph_low", sim.PHHigh: "ph_high",
	sim.Dissolving: "dissolving", sim.FallingOut: "falling_out",
	sim.MagnesiumLow: "magnesium_low", sim.MagnesiumHigh: "magnesium_high",
}

// damages are the kinds that harm things before livestock; they bring no loss by themselves.
var damages = []string{
	LossNames[sim.Flooded], LossNames[sim.RunDry], LossNames[sim.NoDark], LossNames[sim.SumpHot],
	LossNames[sim.HeaterDry],
}

// Damages tells whether a kind of loss is damage.
//
// Errors: none. Source: [Derived].
func Damages(loss string) bool { return slices.Contains(damages, loss) }

// Step is how far it comes.
type Step int

// The steps.
const (
	HarmStep Step = iota
	LossStep
)

// Crossing is one kind of limit that a run crossed, hours after the start; nil: never.
type Crossing struct {
	Loss                   string
	ComfortH, HarmH, LossH *float64
	WithoutFault           bool // the nominal run of that room crosses it as far and no more than an hour later
}

// last returns when the last step that was taken was, h.
func (c Crossing) last() (step int, h *float64) {
	switch {
	case c.LossH != nil:
		return 2, c.LossH
	case c.HarmH != nil:
		return 1, c.HarmH
	}
	return 0, c.ComfortH
}

// step returns when it came to harm, or to loss.
func (c Crossing) step(s Step) *float64 {
	if s == LossStep {
		return c.LossH
	}
	return c.HarmH
}

// Extremes are the peaks of a run.
type Extremes struct {
	TempMinC, TempMaxC       float64 // display, held between freezing and boiling
	SalinityMin, SalinityMax float64 // display, PSS-78
	LevelMinMM, LevelMaxMM   float64 // from the normal line of the level chamber
	OxygenMinMgL             float64
	SpilledL                 float64
	SumpMaxC                 float64             // held below boiling; the display's where there is no sump
	TempChangeK              float64             // of the display, most within an hour
	SalinityChange           float64             // the same
	Dissolved                *sim.DissolvedPeaks // nil: not followed
}

// OxygenSpread is when it would be harmed by want of oxygen, h, by how much the livestock uses; nil: not.
type OxygenSpread struct {
	LeastMgLH, MostMgLH float64
	LeastH, MostH       *float64
}

// AlarmReport is the first alarm that reached somebody far away.
type AlarmReport struct {
	ID      string
	RaisedH float64 // after the fault
	ActH    float64 // when somebody has acted on it
	Person  string  // who; empty: whom the attendance speaks of
}

// NoHelp is why some alarms bring no help in time.
type NoHelp struct {
	Why    WhyNoHelp
	Alarms []string // ids, in the order in which they are raised, or would be; none where the plan has no alarm
	// Of TooLate: when the first of them is raised, and how long after the harm or loss help comes that it calls.
	RaisedH, LateH *float64
}

// WhyNoHelp is a word for why an alarm brings no help in time.
type WhyNoHelp string

// The words, nearest to help first.
const (
	TooLate      WhyNoHelp = "too_late"      // it is raised, but help arrives after the harm
	OnlyInRoom   WhyNoHelp = "only_in_room"  // it sounds where nobody is
	SensorLies   WhyNoHelp = "sensor_lies"   // it reads the very sensor that is wrong
	NetworkDown  WhyNoHelp = "network_down"  // its path is dead
	WayDown      WhyNoHelp = "way_down"      // its modem or siren is dead
	NobodyCalled WhyNoHelp = "nobody_called" // it comes to nobody who answers
	BatteryFlat  WhyNoHelp = "battery_flat"  // its circuit's battery had run out
	NoPower      WhyNoHelp = "no_power"      // its circuit is dead
	AlarmBroken  WhyNoHelp = "alarm_broken"  // it is the part that failed
	StandsAnyway WhyNoHelp = "stands_anyway" // it was raised before anything broke
	TooShort     WhyNoHelp = "too_short"     // what it watches for does not last its delay
	NotReached   WhyNoHelp = "not_reached"   // its threshold is never reached
	NoAlarmAtAll WhyNoHelp = "no_alarm"      // the plan has none
)

// whysNoHelp lists them.
var whysNoHelp = []WhyNoHelp{TooLate, OnlyInRoom, NobodyCalled, SensorLies, NetworkDown, WayDown, BatteryFlat,
	NoPower, AlarmBroken, StandsAnyway, TooShort, NotReached, NoAlarmAtAll}

// FaultReport is one fault followed to the end.
type FaultReport struct {
	Fault      Fault
	Verdict    Verdict
	Hidden     bool // nothing reveals it: it waits for the second fault
	RevealedBy []text.Text
	Room       RoomName // the room that makes it worst
	Crossings  []Crossing
	FirstHarm  string        // kind of the first harm, empty when none
	HarmH      *float64      // when
	FirstLoss  string        // kind of the first loss, empty when none
	LossH      *float64      // when
	Oxygen     *OxygenSpread // nil: no demand within the spread makes it airless
	Damage     []string      // kinds of damage that come before help
	Alarm      *AlarmReport
	NoHelp     []NoHelp // why no alarm brings help in time, nearest to it first; empty where the verdict is sound
	// harm minus the time somebody can act; negative: too late; nil without harm or without alarm
	MarginH    *float64
	NearestK   float64     // how near the display came to a temperature harm limit, K; negative: beyond it
	NearestPSU float64     // the same for salinity
	StoppedBy  []text.Text // what stepped in
	Extremes   Extremes
	Truncated  bool // it switched without end and was cut short
	Endings    []Ending
}

// Contact is a switch that starts something.
type Contact struct {
	Element      string // id of the control that has the relay, or of the device with a thermostat of its own
	Output       string // id of what the relay switches; empty: a thermostat
	StartsPerDay float64
	LifeY        float64 // until a tenth of such contacts has welded, years; infinite: it never switches
	PerYear      float64 // how often it stays closed
	fault        sim.Fault
	index        int
}

// Ending is the first harm, or the first loss, that a fault brings in one room, whether or not an alarm beats it.
type Ending struct {
	Step  Step
	Room  RoomName
	AtH   float64
	Calls []plan.Call // of those whom an alarm reaches
}

// DeviceUse is what a device does with nothing wrong.
type DeviceUse struct {
	ID           string
	DutyShare    float64
	StartsPerDay float64
	KWhPerDay    float64
}

// NominalReport is the plan with nothing wrong in one room.
type NominalReport struct {
	Room           RoomName
	TempC          float64
	RHPercent      float64
	Hours          float64
	InComfort      bool
	Crossings      []Crossing
	Extremes       Extremes
	Devices        []DeviceUse
	EvaporationLD  float64
	TopOffLD       float64
	ReservoirEmpty []ReservoirEmpty
	KWhPerDay      float64
	Truncated      bool
}

// ReservoirEmpty is when a reservoir ran out with nothing wrong.
type ReservoirEmpty struct {
	ID     string
	AfterH float64
}

// Report is the whole audit.
type Report struct {
	Plan         plan.Plan // completed
	Assumptions  []plan.Assumption
	Nominal      []NominalReport
	Faults       []FaultReport
	Contacts     []Contact
	Findings     []Finding
	Containers   []Container // of what is dosed, changed and topped off
	Tank         Tank
	HorizonH     float64
	Events       int     // of all runs, and of what comes before them
	WorstBalance float64 // largest relative residual of heat, water and salt over all runs
	most         int     // events that it may take
}

// Severity orders findings.
type Severity string

// The severities.
const (
	Fatal Severity = "fatal" // a single fault, or no fault at all, brings harm, damage or loss
	Weak  Severity = "weak"  // it holds, but by little or by a part that shares its fate
	Note  Severity = "note"  // worth knowing
)

// Finding is one weakness in plain words, with what to change.
type Finding struct {
	Code     string
	Severity Severity
	Message  text.Text
	Change   text.Text // what to do
	Answer   *Change   // what may cure it, not tried yet; nil: nothing that is known from the finding alone
	// Proved is the plan as sent with what Change says, which has been audited so; nil: nothing has.
	Proved   *plan.Plan
	Faults   []string // ids of the faults it comes from
	Elements []string // ids of the elements to change
}

// Tank is the tank as the simulation of the usual room sees it.
type Tank struct {
	DisplayL, SumpL, DrainBackL float64 // water with the return running, and what runs down when it stops
	FreeSumpL                   float64 // above the normal line, up to the rim
	HeatLossWK                  float64 // evaporation included
	TimeConstantH               float64
}

// Sound tells whether nothing is harmed or lost, neither by a single fault nor without one.
//
// Errors: none. Source: [Derived].
func (r Report) Sound() bool {
	for _, n := range r.Nominal {
		if n.Truncated {
			return false
		}
		for _, c := range n.Crossings {
			if c.HarmH != nil {
				return false
			}
		}
	}
	return r.Count(Harmed)+r.Count(Lost) == 0
}

// Count returns the number of faults with a verdict.
//
// Errors: none. Source: [Derived].
func (r Report) Count(v Verdict) int {
	n := 0
	for _, f := range r.Faults {
		if f.Verdict == v {
			n++
		}
	}
	return n
}

// Worst returns, of the faults with the worst verdict that is not sound, the one whose harm or loss comes first, the
// first in the list of those at one instant; nil: the plan is sound.
//
// Accuracy: exact. Errors: none. Source: [Derived].
func (r Report) Worst() *FaultReport {
	var first *FaultReport
	for i := range r.Faults {
		f := &r.Faults[i]
		if f.Verdict.Sound() || f.EndsH() == nil {
			continue
		}
		if first == nil || f.Verdict.rank() > first.Verdict.rank() ||
			f.Verdict == first.Verdict && sooner(*f.EndsH(), *first.EndsH()) {
			first = f
		}
	}
	return first
}

// Thin tells whether it is rescued with too little time to count on.
//
// Accuracy: exact. Errors: none. Source: [CommonPractice].
func (f *FaultReport) Thin() bool { return f.Verdict == Rescued && *f.MarginH < thinMarginH }

// EndsH returns when the harm or the loss of the verdict came; nil: there is none, or it was cut short.
//
// Accuracy: exact. Errors: none. Source: [Derived].
func (f *FaultReport) EndsH() *float64 {
	if f.Verdict == Lost {
		return f.LossH
	}
	return f.HarmH
}

// Anyway tells whether the harm or loss of the verdict comes with nothing broken, too.
//
// Errors: none. Source: [Derived].
func (f *FaultReport) Anyway() bool {
	i := slices.IndexFunc(f.Crossings, func(c Crossing) bool { return c.Loss == f.Ends() })
	return i >= 0 && f.Crossings[i].WithoutFault
}

// Ends returns the kind of the harm or loss of the verdict.
//
// Errors: none. Source: [Derived].
func (f *FaultReport) Ends() string {
	if f.Verdict == Lost {
		return f.FirstLoss
	}
	return f.FirstHarm
}

// HiddenCount returns the number of faults that nothing reveals.
//
// Errors: none. Source: [Derived].
func (r Report) HiddenCount() int {
	n := 0
	for _, f := range r.Faults {
		if f.Hidden {
			n++
		}
	}
	return n
}

// sooner tells whether one instant comes before another; a rounding apart they are the same.
func sooner(a, b float64) bool { return numeric.Rounded(a) < numeric.Rounded(b) }

// account adds a run to the totals and refuses one that does not conserve.
func (r *Report) account(c *sim.Course) error {
	if err := r.conserves(c); err != nil {
		return err
	}
	return r.count(len(c.Segments))
}

// count adds the events of a run, and refuses what takes too long.
func (r *Report) count(events int) error {
	if r.Events += events; r.Events > r.most {
		return &calc.ConflictError{
			Params: []string{"controls", "heaters", "chillers", "attendance"},
			Reason: text.Of("simulation_too_long", nil),
		}
	}
	return nil
}

// conserves keeps the worst balance and refuses a run that does not close.
func (r *Report) conserves(c *sim.Course) error {
	w := c.Balance.WorstRelative()
	r.WorstBalance = math.Max(r.WorstBalance, w)
	if !(w <= balanceTolerance) {
		return fmt.Errorf("a run does not conserve (relative residual %g): %w", w, calc.ErrNoConvergence)
	}
	return nil
}
