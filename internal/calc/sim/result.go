package sim

// Never marks an instant that did not come within the run.
const Never = -1.0

// MarkKind names something that stepped in during a run.
type MarkKind uint8

// The marks.
const (
	ReservoirRanEmpty  MarkKind = iota // Index is a reservoir
	RunLimitReached                    // Index is a control
	CutoutTripped                      // Index is a control
	ThermostatTookOver                 // Index is a device: its own thermostat opened under closed relays
	FlowStopped                        // the return flow stopped
	CircuitDied                        // Index is a circuit
)

// Mark is the first time something of its kind and index happened.
type Mark struct {
	Kind  MarkKind
	Index int
	AtS   float64
}

// LimitOutcome says when a comfort edge and a harm limit were first crossed, s, or Never.
type LimitOutcome struct {
	ComfortS float64
	HarmS    float64 // the harm limit had been exceeded for its allowed time
}

// Peaks are the extremes of a run.
type Peaks struct {
	TempMinC, TempMaxC         float64 // of the display
	TempMinAtS, TempMaxAtS     float64
	SalinityMin, SalinityMax   float64 // of the display
	LevelMinL, LevelMaxL       float64
	OxygenMinMgL               float64
	SumpTempMinC, SumpTempMaxC float64
}

// AlarmOutcome says when an alarm was first raised by a path that worked, s, or Never.
type AlarmOutcome struct{ RaisedS float64 }

// DeviceOutcome is what a device did.
type DeviceOutcome struct {
	OnS, EnergyJ float64
	Starts       int
}

// Balance is how closely a run conserved heat, water and salt.
type Balance struct {
	HeatResidualJ, HeatTurnoverJ     float64
	WaterResidualL, WaterTurnoverL   float64
	SaltResidual, SaltTurnover       float64
	EvaporatedL, ToppedUpL, SpilledL float64
}

// WorstRelative returns the largest residual as a share of its turnover.
//
//	max(|heat|/turnover, |water|/turnover, |salt|/turnover)
//
// Accuracy: rounding. Errors: none. Source: [Derived].
func (b Balance) WorstRelative() float64 {
	worst := 0.0
	for _, p := range [][2]float64{
		{b.HeatResidualJ, b.HeatTurnoverJ}, {b.WaterResidualL, b.WaterTurnoverL}, {b.SaltResidual, b.SaltTurnover},
	} {
		if p[1] > 0 {
			worst = max(worst, abs(p[0])/p[1])
		}
	}
	return worst
}

// Seen says which values a switch took of its own accord during a run, whatever a fault forced on it.
type Seen struct{ Yes, No bool }

func (s *Seen) see(v bool) {
	s.Yes = s.Yes || v
	s.No = s.No || !v
}

// Touched is what every switch did of its own accord. A fault that would have forced
// on it nothing but what it did changes nothing in the run.
type Touched struct {
	Relays      []Seen // closed
	Controls    []Seen // command given
	Thermostats []Seen // closed, by device, while its relays were closed
	Devices     []Seen // on
	Conditions  []Seen // yes, before its negation
}

// Deciding is what switches did of their own accord while it mattered: everything else in series with them was closed,
// and what they switch was neither dead nor without water to pump or light to give. A fault of one of them that would
// have forced nothing but this leaves the water alone, whatever it does to marks. A relay that a fault forces decides nothing.
type Deciding struct {
	Unsettled   bool // switches that never came to rest within an instant: nothing is known
	Relays      []Seen
	Thermostats []Seen // by device
	Devices     []Seen // on
}

// Outcome is one run.
type Outcome struct {
	Deciding  Deciding
	Called    []Turns // what each alarm's condition saw, before its negation and whatever its sensor made of it
	Touched   Touched
	EndS      float64
	Events    int
	Truncated bool // MaxEvents was reached: something switches without end
	Limits    [LimitKinds]LimitOutcome
	Peaks     Peaks
	Alarms    []AlarmOutcome
	Devices   []DeviceOutcome
	Marks     []Mark
	Balance   Balance
	Final     State
}

func abs(x float64) float64 {
	if x < 0 {
		return -x
	}
	return x
}
