package plan

// ResidualCurrentDevice opens all circuits behind it when current leaks from one of them.
type ResidualCurrentDevice struct{ ID string }

// Strip is an outlet strip.
type Strip struct {
	ID           string
	Supply       string   // a circuit or another strip
	RatingA      *float64 // nil: whatever hangs on it is taken not to be too much
	BackAfterMin *float64 // how long after its supply it comes back; nil: at once
}

// BackupKind is what carries a supply while mains are out.
type BackupKind string

// The kinds of backup.
const (
	Battery   BackupKind = "battery"
	Generator BackupKind = "generator"
)

// BackupStart is how a backup comes in.
type BackupStart string

// How a backup may come in.
const (
	ByItself BackupStart = "by_itself"
	ByHand   BackupStart = "by_hand" // never, while nobody is there
)

// Backup carries named supplies while what they hang on is dead.
type Backup struct {
	ID         string
	Kind       BackupKind
	Supplies   []string // strips or circuits
	Hours      *float64 // a battery's over the whole load, a generator's fuel
	CapacityWh *float64 // a battery's, in place of the hours
	Starts     BackupStart
	DelayMin   float64
}

// Overflow carries the return flow down from the display. With several, one that is blocked harms nothing.
type Overflow struct{ ID string }

// ReturnLine brings water back up. Its nozzle stands so far under the display's water line, and lets the display run
// back that far when the pump stops, unless a hole above it takes in air or a check valve holds.
type ReturnLine struct {
	ID            string
	NozzleDepthMM float64
	SiphonHole    bool
	CheckValve    bool
}

// RoomDevice heats or cools the room. With several of a kind the room only changes when all of them have stopped.
type RoomDevice struct {
	ID            string
	Kind          RoomDeviceKind
	PowerW        float64  // for what it hangs on; the energy is not the tank's
	WithoutC      float64  // what the room comes to without it, where that is colder (heating) or warmer (cooling)
	StuckOnC      *float64 // what it comes to when it never stops; nil: it cannot
	TimeConstantH *float64 // in which the room goes 63 % of the way
	Circuit       *string
	Supply        *string
}

// RoomDeviceKind is what a device does to the room.
type RoomDeviceKind string

// The kinds of room device.
const (
	RoomHeating RoomDeviceKind = "heating"
	RoomCooling RoomDeviceKind = "cooling"
)

// Place is where a device or sensor is.
type Place string

// The places.
const (
	InDisplay   Place = "display"
	InSump      Place = "sump"
	InReservoir Place = "reservoir"
	OnFloor     Place = "floor"
)

// InRoom is where a probe reads the air.
const InRoom Place = "room"

// Leak is where water may run out: a seam or bulkhead of a vessel, or a hose of the return line.
type Leak struct {
	ID       string
	Kind     LeakWhere
	Place    *Place  // of a seam or bulkhead: display or sump, there its return chamber
	HeightMM float64 // from the normal water line of that vessel, below it negative; what is above runs out
	FlowLH   float64
}

// WhenDry is what a heater does that runs out of the water.
type WhenDry string

// What a heater may do. One that cuts out heats again once it is covered; the others never do.
const (
	CutsOut  WhenDry = "cuts_out"
	Burns    WhenDry = "burns"
	Shatters WhenDry = "shatters" // and trips what protects its circuit
)

// Skimmer foams what the animals leave into a cup. The water that goes with it is tank water: top-off replaces it with
// fresh water.
type Skimmer struct {
	ID            string
	Place         *Place
	PowerW        float64
	HeatShare     float64 // share of the power that ends as heat in the water
	CupL          float64
	SkimmateLDay  float64  // what usually fills the cup
	WetTimes      float64  // how many times as much when it foams too wet
	WetAboveMM    *float64 // it foams too wet while the water of its place stands this high above its normal line
	FullCup       FullCup
	AerationShare float64 // of the gas exchange of moving water that it gives by itself, 0 … 1
	Circuit       *string
	Supply        *string
}

// FullCup is what happens once a skimmer's cup is full.
type FullCup string

// What may happen.
const (
	CupStops   FullCup = "stops"   // a float or a lid stops it
	CupReturns FullCup = "returns" // it runs over into the tank
	CupSpills  FullCup = "floor"   // it runs onto the floor
)

// LeakWhere is what leaks.
type LeakWhere string

// What may leak.
const (
	SeamLeak     LeakWhere = "seam"
	BulkheadLeak LeakWhere = "bulkhead"
	HoseLeak     LeakWhere = "hose" // only while the return pump runs
)

// Start is how one device starts when its power comes.
type Start struct {
	Element      string   // id of a device that draws power
	InrushTimes  float64  // what it draws at first, in multiples of its running power, 1 … 40
	InrushS      float64  // for so long
	BackAfterMin *float64 // how long after its supply it comes back; nil: at once
}

// BreakerType is the range of its rating in which a breaker opens at once, by its letter.
type BreakerType string

// The types.
const (
	TypeB BreakerType = "b"
	TypeC BreakerType = "c"
	TypeD BreakerType = "d"
)
