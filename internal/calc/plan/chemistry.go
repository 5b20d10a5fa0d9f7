package plan

// Chemistry is what keepers measure of the water besides salt, and what the tank uses of it. Nil: nothing in the plan
// doses, changes or measures it, and it is not followed.
type Chemistry struct {
	AlkalinityDKH float64 // of the tank as it is kept
	CalciumMgL    float64
	PH            float64 // total scale, as a day's mean
	// What the livestock takes up in a day; nil: what the programmes give.
	DemandDKHD *float64
	DemandMgLD *float64
	// Of the tank; nil in a completed plan: nothing brings magnesium, and it is not followed.
	MagnesiumMgL        *float64
	DemandMagnesiumMgLD *float64
}

// Form is what the alkalinity of a solution is made of, which decides what it does to pH.
type Form string

// The forms of alkalinity.
const (
	CarbonateForm   Form = "carbonate"
	BicarbonateForm Form = "bicarbonate"
	HydroxideForm   Form = "hydroxide"
)

// Container holds what a pump doses.
type Container struct {
	VolumeL        float64
	AlkalinityMeqL float64
	CalciumMgL     float64
	MagnesiumMgL   float64 // as chloride
	Form           Form    // of its alkalinity
}

// FreshSeaWater is what stands ready for water changes, in balance with the air.
type FreshSeaWater struct {
	VolumeL       float64
	SalinityPSU   *float64 // nil: that of the tank, and so on
	AlkalinityDKH *float64
	CalciumMgL    *float64
	MagnesiumMgL  *float64
}

// Doses is the programme of a pump that has a clock of its own: so many runs a day, evenly apart.
type Doses struct {
	ADay    int
	RunS    float64 // of each
	FirstAt ClockTime
}

// DosingPump moves a solution out of its container into the water.
type DosingPump struct {
	ID        string
	FlowMLMin float64
	PowerW    float64
	Doses     *Doses // nil: a control drives it
	Container Container
	Circuit   *string
	Supply    *string
}

// ChangeRole is what a pump of water changes moves.
type ChangeRole string

// The roles of change pumps.
const (
	NewWater ChangeRole = "new_water"
	Drain    ChangeRole = "drain"
)

// ChangePump brings new water in or takes tank water out, both where the level sensor of the top-off stands.
type ChangePump struct {
	ID        string
	Role      ChangeRole
	FlowLH    float64
	PowerW    float64
	Doses     *Doses         // nil: a control drives it
	Container *FreshSeaWater // of new water
	// InletMM is where a drain draws, from the normal water line: it takes no water below. Nil: from the floor.
	InletMM *float64
	Circuit *string
	Supply  *string
}

// GasInto is what carbon dioxide is led into.
type GasInto string

// What carbon dioxide may be led into.
const (
	IntoTank    GasInto = "tank"
	IntoReactor GasInto = "reactor" // full of calcium carbonate, which it dissolves
)

// CarbonDioxide is a bottle with a valve.
type CarbonDioxide struct {
	ID             string
	FlowGH         float64 // while the valve is open
	BottleG        float64
	Into           GasInto
	DissolvesShare float64 // of the gas, that dissolves calcium carbonate in a reactor; the rest reaches the tank
	PowerW         float64 // of the valve
	Doses          *Doses  // nil: a control drives it
	Circuit        *string
	Supply         *string
}

// How far a sensor that drifts is taken to be off, and how much less a worn pump of a water change moves than the
// other; common practice, no source.
const (
	PHDrift              = 0.3
	ConductivityDriftPSU = 2.0
	WornShare            = 0.1
)

// What is taken to be in the water where a plan does not say; common practice, no source.
const (
	UsualAlkalinityDKH = 8.0
	UsualCalciumMgL    = 420.0
	UsualPH            = 8.05
	UsualMagnesiumMgL  = 1280.0
)
