package sim

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
	st.Flowing = fresh.Flowing
	st.SameLitS = min(st.SameLitS, daySeconds) // they saw it the day before
	st.compared = append([]bool(nil), st.compared...)
	return st
}

// totals returns the conserved quantities: heat above 0 °C in J, water in L, salt.
func (r *run) totals() (heatJ, waterL, salt float64) {
	capacity := r.capacities()
	for i := range r.s.Nodes {
		heatJ += capacity[i] * r.temp[i]
		salt += r.salt[i]
		waterL += r.s.Node[i].VolumeL
	}
	waterL += r.level - r.deficit
	if r.s.Nodes == 2 && !r.flowing {
		waterL -= r.s.DrainBackL // it is part of level now
	}
	return heatJ, waterL, salt
}

// capacities returns the heat capacity of each node as the return stands: what
// drained back belongs to the sump.
func (r *run) capacities() [2]float64 {
	v := [2]float64{r.s.Node[Display].VolumeL, r.s.Node[Sump].VolumeL}
	if r.s.Nodes == 2 && !r.flowing {
		v[Display] -= r.s.DrainBackL
		v[Sump] += r.s.DrainBackL
	}
	return [2]float64{v[Display] * r.s.VolumicHeatJLK, v[Sump] * r.s.VolumicHeatJLK}
}

func (r *run) displayVolume() float64 {
	v := r.s.Node[Display].VolumeL
	if r.s.Nodes == 1 {
		return v + r.level
	}
	if !r.flowing {
		v -= r.s.DrainBackL + r.deficit
	}
	return v
}

func (r *run) sumpVolume() float64 { return r.s.Node[Sump].VolumeL + r.level }

// setFlow starts or stops the return flow: water drains back or is lifted up
// at once, carrying its heat and salt, and what the sump cannot hold is spilled.
func (r *run) setFlow(flowing bool) {
	if r.s.Nodes == 1 || flowing == r.flowing {
		return
	}
	before := r.capacities()
	moved := r.s.DrainBackL
	if !flowing {
		salinity := r.salt[Display] / r.displayVolume()
		c := moved * r.s.VolumicHeatJLK
		r.flowing = false
		after := r.capacities()
		r.temp[Sump] = (before[Sump]*r.temp[Sump] + c*r.temp[Display]) / after[Sump]
		r.salt[Display] -= moved * salinity
		r.salt[Sump] += moved * salinity
		r.level += moved
		if over := r.level - r.rimL; over > 0 {
			s := r.salt[Sump] / r.sumpVolume()
			r.salt[Sump] -= over * s
			r.saltSpilled += over * s
			r.level = r.rimL
			r.spilled += over
		}
		r.mark(FlowStopped, 0)
		return
	}
	c := moved * r.s.VolumicHeatJLK
	lifted := moved + r.deficit
	salt := r.salt[Display] + r.salt[Sump]
	r.flowing = true
	after := r.capacities()
	r.temp[Display] = (before[Display]*r.temp[Display] + c*r.temp[Sump]) / after[Display]
	r.level -= lifted
	r.deficit = 0
	r.share(salt)
}

// share spreads the salt over both nodes as the running return mixes it.
func (r *run) share(salt float64) {
	if r.s.Nodes == 1 {
		r.salt[Display] = salt
		return
	}
	d, u := r.displayVolume(), r.sumpVolume()
	r.salt[Display] = salt * d / (d + u)
	r.salt[Sump] = salt * u / (d + u)
}
