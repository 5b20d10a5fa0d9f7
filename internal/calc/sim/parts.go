package sim

// Source carries circuits while what they hang on is dead: a battery or a generator.
type Source struct {
	ID       string
	Circuits []int
	FromS    float64 // after the supply has gone
	ToS      float64 // likewise; not after FromS: it carries nothing
}

// rated is a circuit that opens above its rating.
type rated struct {
	circuit int
	ratingW float64
	atOnceW float64 // 0: it stands any start
	devices []int   // that hang on it
}

// Starting is how a device starts when its power comes.
type Starting struct {
	Times  float64 // of its power that it draws at first; 0: no more than it runs on
	ForS   float64
	AfterS float64 // after its circuit
}

// ReturnLine is what brings water back up into the display.
type ReturnLine struct {
	ID     string
	DepthL float64 // of the display's water that stands above its nozzle
	Stops  bool    // a hole above the nozzle or a check valve keeps it from running back
}

// Dryness is what becomes of a heater that stands out of the water.
type Dryness struct {
	Covered int  // the comparator that says whether water covers it, counted from 1; 0: it always does
	CutsOut bool // it is off while it stands dry, and heats again when it is covered
	Opens   int  // the circuit that opens when it breaks, counted from 1; 0: none
}

// Clogging is what is left of a pump's flow when it clogs.
type Clogging struct {
	Left   float64 // share of its flow; 0: that is not tried
	Return float64 // share of the return flow that is its own
}

// Skimming is what a skimmer takes out of the water.
type Skimming struct {
	Node     int
	CupL     float64
	FlowLS   float64 // as usual
	WetTimes float64
	Wet      int // the comparator that says that the water stands too high for it, counted from 1; 0: none
	Full     CupFull
	Airs     float64 // share of the gas exchange of moving water, 0 … 1
}

// CupFull is what happens once a skimmer's cup is full.
type CupFull uint8

// What may happen.
const (
	Stops CupFull = iota
	RunsBack
	RunsOver
)

// Hours are a part of the day, across midnight where it ends before it begins.
type Hours struct{ FromS, ToS float64 }

// Leak is where water may run out onto the floor. It runs as fast as at the start until nothing stands above it any
// more: outflow by height (Torricelli) slows down and takes up to twice as long for the same water, so that this is
// cautious.
type Leak struct {
	ID     string
	Node   int     // a display over a sump, or the vessel with the level chamber
	AtL    float64 // height of the leak as litres of that vessel above its normal line; the return chamber of a sump
	FlowLS float64
	Pumped bool // a hose under pressure: it runs while the return pump does
}

// RoomUnit is what a device that heats or cools the room keeps it from.
type RoomUnit struct {
	WithoutC float64 // what the room comes to when every unit of the kind has stopped
	StuckOnC float64 // what it comes to when this one never stops; only with Sticks
	Sticks   bool
	TauS     float64 // time constant of the room, > 0
}
