package sim

import (
	"slices"
)

// State is the tank at one instant.
type State struct {
	Second    float64    // local second of the day, 0 … 86400
	TempC     [2]float64 // water temperature of each node
	LevelL    float64    // litres above the normal line in the level chamber
	DeficitL  float64    // litres evaporated from the display since the return stopped
	Salt      [2]float64 // practical salinity times litres of each node
	StoredL   []float64  // usable litres in each reservoir
	OxygenMgL float64
	SpilledL  float64
	Dissolved Dissolved
	Flowing   bool
	Lit       bool
	SameLitS  float64 // how long it has been lit, or dark
	compared  []bool  // comparators of the system
}

// initialState is the tank at its normal line and set-point with every reservoir full.
func initialState(s *System) State {
	st := State{
		Second:   s.StartSecond,
		TempC:    [2]float64{s.TempStartC, s.TempStartC},
		Flowing:  s.Nodes == 2,
		compared: make([]bool, len(s.Comparators)),
	}
	for i := range s.Nodes {
		st.Salt[i] = s.SalinityStart * s.Node[i].VolumeL
	}
	o := s.OxygenBalance
	st.OxygenMgL = o.SaturationMgL - o.DemandMgLS/o.StirredS
	st.Dissolved = s.dissolvedAtStart()
	for _, r := range s.Reservoirs {
		st.StoredL = append(st.StoredL, r.VolumeL)
	}
	return st
}

// Refilled returns the state after somebody has looked: level, salt, reservoirs
// and the floor as at the start, temperatures, oxygen and light as they are.
//
// Accuracy: exact. Errors: none. Source: [Derived].
func (st State) Refilled(s *System) State {
	fresh := initialState(s)
	st.LevelL, st.DeficitL, st.Salt, st.StoredL, st.SpilledL = 0, 0, fresh.Salt, fresh.StoredL, 0
	st.Flowing, st.Dissolved = fresh.Flowing, fresh.Dissolved
	st.SameLitS = min(st.SameLitS, daySeconds) // they saw it the day before
	st.compared = slices.Clone(st.compared)
	return st
}

// water is what can be measured of the tank at one instant.
type water struct {
	s               *System
	rimL, intakeL   float64 // level at the rim and at the pump's intake
	temp            [2]float64
	level, deficit  float64
	salt            [2]float64
	stored          []float64
	oxygen, spilled float64
	saltSpilled     float64
	dissolved       Dissolved
	flowing         bool
	drains          float64 // L of the display that run into the sump when the return stops
	room            float64 // °C of its air
	dammed          bool    // the overflow is blocked and the return pump holds the water up
}

func waterOf(s *System, st *State) water {
	return water{
		s: s, rimL: s.Chamber.VolumeAtL(s.Chamber.RimMM), intakeL: s.Chamber.VolumeAtL(s.Chamber.IntakeMM),
		temp: st.TempC, level: st.LevelL, deficit: st.DeficitL, salt: st.Salt, stored: slices.Clone(st.StoredL),
		oxygen: st.OxygenMgL, spilled: st.SpilledL, flowing: st.Flowing, dissolved: st.Dissolved,
		drains: s.DrainBackL, room: s.RoomTempC,
	}
}

// displayAlone tells whether the display stands apart from the sump.
func (w *water) displayAlone() bool { return w.s.Nodes == 2 && !w.flowing }

// displayLevel is how far the display over a sump stands above its normal line, L.
func (w *water) displayLevel() float64 {
	if !w.displayAlone() {
		return 0
	}
	return -w.drains - w.deficit
}

// brimL is the deficit of a display that is full to its rim.
func (w *water) brimL() float64 { return -w.drains - w.s.DisplayFreeL }

// totals returns the conserved quantities: heat above 0 °C in J, water in L, salt.
func (w *water) totals() (heatJ, waterL, salt float64) {
	capacity := w.capacities()
	for i := range w.s.Nodes {
		heatJ += capacity[i] * w.temp[i]
		salt += w.salt[i]
	}
	return heatJ, w.whole(), salt
}

// whole is all water, L.
func (w *water) whole() (waterL float64) {
	for i := range w.s.Nodes {
		waterL += w.s.Node[i].VolumeL
	}
	waterL += w.level - w.deficit
	if w.displayAlone() {
		waterL -= w.drains // it is part of level now
	}
	return waterL
}

// capacities returns the heat capacity of each node as the return stands: what
// drained back belongs to the sump.
func (w *water) capacities() [2]float64 {
	v := [2]float64{w.s.Node[Display].VolumeL, w.s.Node[Sump].VolumeL}
	if w.displayAlone() {
		v[Display] -= w.drains
		v[Sump] += w.drains
	}
	return [2]float64{v[Display] * w.s.VolumicHeatJLK, v[Sump] * w.s.VolumicHeatJLK}
}

func (w *water) displayVolume() float64 {
	v := w.s.Node[Display].VolumeL
	if w.s.Nodes == 1 {
		return v + w.level
	}
	if !w.flowing {
		v -= w.drains + w.deficit
	}
	return v
}

func (w *water) sumpVolume() float64 { return w.s.Node[Sump].VolumeL + w.level }

// driedShare of its water is what a vessel keeps when it has dried out: nothing
// evaporates any more, and everything in it has been lost long before.
const driedShare = 0.05

// left returns the water in a node, L.
func (w *water) left(n int) float64 {
	if n == Display {
		return w.displayVolume()
	}
	return w.sumpVolume()
}

// spare returns the water that a node may lose before it has dried out, L.
func (w *water) spare(n int) float64 { return w.left(n) - driedShare*w.s.Node[n].VolumeL }

// mixed returns the salt and the volume that the display shares its salinity with.
func (w *water) mixed() (salt, volume float64) {
	salt, volume = w.salt[Display], w.displayVolume()
	if w.flowing {
		salt += w.salt[Sump]
		volume += w.sumpVolume()
	}
	return salt, volume
}

// value is what a comparator watches.
func (w *water) value(c *Comparator) float64 {
	switch c.Quantity {
	case DisplayTemp:
		return w.temp[Display]
	case SumpTemp:
		return w.temp[w.s.Nodes-1]
	case Level:
		return w.level
	case Salinity:
		return w.salt[Display] / w.displayVolume()
	case Oxygen:
		return w.oxygen
	case Spill:
		return w.spilled
	case DisplayLevel:
		return w.displayLevel()
	case RoomTemp:
		return w.room
	case Alkalinity, PH, Aragonite, Magnesium:
		return w.seen(c.Quantity)
	default:
		return w.stored[c.Reservoir]
	}
}

// setFlow starts or stops the return flow: water drains back or is lifted up
// at once, carrying its heat and salt, and what the sump cannot hold is spilled.
func (w *water) setFlow(flowing bool) {
	before := w.capacities()
	moved := w.drains
	c := moved * w.s.VolumicHeatJLK
	if !flowing {
		salinity := w.salt[Display] / w.displayVolume()
		w.flowing = false
		after := w.capacities()
		w.temp[Sump] = (before[Sump]*w.temp[Sump] + c*w.temp[Display]) / after[Sump]
		w.salt[Display] -= moved * salinity
		w.salt[Sump] += moved * salinity
		w.level += moved
		if over := w.level - w.rimL; over > 0 {
			w.loses(over)
			s := w.salt[Sump] / w.sumpVolume()
			w.salt[Sump] -= over * s
			w.saltSpilled += over * s
			w.level = w.rimL
			w.spilled += over
		}
		return
	}
	lifted := moved + w.deficit
	salt := w.salt[Display] + w.salt[Sump]
	w.flowing = true
	after := w.capacities()
	w.temp[Display] = (before[Display]*w.temp[Display] + c*w.temp[Sump]) / after[Display]
	w.level -= lifted
	w.deficit = 0
	w.share(salt)
}

// share spreads the salt over both nodes as the running return mixes it.
func (w *water) share(salt float64) {
	if w.s.Nodes == 1 {
		w.salt[Display] = salt
		return
	}
	d, u := w.displayVolume(), w.sumpVolume()
	w.salt[Display] = salt * d / (d + u)
	w.salt[Sump] = salt * u / (d + u)
}

func (w *water) seen(q Quantity) float64 {
	d, volume := w.dissolved, w.whole()
	switch q {
	case Alkalinity:
		return d.Meq / volume
	case Magnesium:
		return d.MagnesiumMmol / volume
	}
	seen := w.s.Chemistry.see(d.Meq/volume, d.CalciumMmol/volume, d.ExcessMmol/volume)
	if q == PH {
		return seen.PH
	}
	return seen.Aragonite
}

// loses takes what goes over a rim at once, before the water itself is taken.
func (w *water) loses(litres float64) {
	if w.s.Chemistry == nil {
		return
	}
	kept := 1 - litres/w.whole()
	w.dissolved.Meq *= kept
	w.dissolved.CalciumMmol *= kept
	w.dissolved.MagnesiumMmol *= kept
	w.dissolved.ExcessMmol *= kept
}
