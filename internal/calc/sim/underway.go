package sim

// run is one simulation under way.
type run struct {
	water
	w        *wiring
	f        faultState
	course   *Course
	t        float64
	horizon  float64
	second   float64 // of the day at the start
	now      float64 // second of the day
	midnight float64 // the one before now, s after the one before the start
	piece    []Piece // of each programme, now
	blocked  bool    // every overflow is
	airless  bool    // the return pump has drawn air
	lit      bool    // some lamp gives light
	siphon   []bool  // of each reservoir, runs

	comparators []comparing
	relayClosed []bool
	circuitLive []bool
	supply      []timeline // when each circuit is live; nil: always
	air         int        // of the system, or -1: the usual one
	roomTarget  float64    // °C that the room goes to
	roomTau     float64    // s
	halted      []bool     // devices that wait for somebody to start them
	starting    []starting // of each device; nil: none starts in a way of its own
	overSince   []float64  // of each rated circuit, or Never
	control     []controlState
	called      []bool    // devices that can run, with power and closed relays
	on          []bool    // devices
	ranDry      []float64 // when each device ran dry and broke, or Never; nil: none did
	broke       bool      // one did, and a circuit is to open
	flowShare   float64   // of the return flow that clogged pumps leave
	cups        []float64 // L in the cup of each skimmer among the devices; nil: there is none
	skimming    []float64 // L/s into each in the present segment

	band        [2]int  // of each node in the present segment
	evaporation [2]Line // of the present segment, L/s over °C
	inflow      float64 // of the present segment, L/s of top-off water

	heatIn, heatTurnover float64
	evaporated, toppedUp float64
	skimmed              float64 // L in cups
	dosed, drained       float64 // L out of containers and by drains
	saltAdded            float64
	starved              bool // nothing takes alkalinity up any more
}

type controlState struct {
	command, tripped, lockedOut, down bool
	since                             float64 // when command became true
}

// starting is how far a device has come with its start.
type starting struct {
	dead   bool    // its circuit is
	waits  bool    // its circuit is back, and it is not
	backAt float64 // when it will be
	onAt   float64 // when it last began to run, or Never
}
