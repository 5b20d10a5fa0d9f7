package plan

// Worth is what the keeper says of money, in a currency of the keeper's own.
type Worth struct {
	Livestock *float64 // what a lost tank costs; nil: not said
	Costs     []Cost
}

// Cost is what one part costs.
type Cost struct {
	Part Part
	Cost float64
}

// Part is a sort of thing that a change of a plan may need.
type Part string

// The parts.
const (
	HeaterPart      Part = "heater"
	ChillerPart     Part = "chiller"
	FanPart         Part = "fan"
	PumpPart        Part = "pump"
	TopOffPumpPart  Part = "top_off_pump"
	ReservoirPart   Part = "reservoir"
	LightPart       Part = "light"
	SensorPart      Part = "sensor"
	ControlPart     Part = "control"
	AlarmPart       Part = "alarm"
	MobilePathPart  Part = "mobile_path"  // an alarm that calls by the mobile network
	BatteryPart     Part = "battery"      // of an alarm, or behind a circuit
	SiphonBreakPart Part = "siphon_break" // or a check valve
	CircuitPart     Part = "circuit"
)

// Parts lists them.
var Parts = []Part{
	HeaterPart, ChillerPart, FanPart, PumpPart, TopOffPumpPart, ReservoirPart, LightPart, SensorPart, ControlPart,
	AlarmPart, MobilePathPart, BatteryPart, SiphonBreakPart, CircuitPart,
}

// Of returns what a part costs; not ok: nobody said.
//
// Accuracy: as stated. Errors: none. Source: [Derived].
func (w *Worth) Of(part Part) (cost float64, ok bool) {
	if w == nil {
		return 0, false
	}
	for _, c := range w.Costs {
		if c.Part == part {
			return c.Cost, true
		}
	}
	return 0, false
}
