package sim

// readClock finds the second of the day, just short of midnight counting as midnight, and the piece of each programme.
func (r *run) readClock() {
	for r.now = r.second + r.t - r.midnight; r.now > daySeconds-timeTolerance; r.now -= daySeconds {
		r.midnight += daySeconds
	}
	for i, p := range r.s.Programmes {
		now := r.clock(i)
		if x := &r.piece[i]; !x.holds(now) {
			*x = p.pieceAt(now)
		}
	}
}

// clock returns the second of the day that a programme takes it to be.
func (r *run) clock(programme int) float64 {
	now := r.now + r.f.ahead[programme]
	if now > daySeconds-timeTolerance {
		now -= daySeconds
	}
	return now
}

// holds tells whether a piece holds from a second of the day on: none without a length does.
func (x *Piece) holds(now float64) bool {
	return now >= x.StartS-timeTolerance && now < x.EndS-timeTolerance
}

// pieceAt returns the piece that holds from the given second of the day on.
func (p Programme) pieceAt(now float64) Piece {
	for _, piece := range p {
		if piece.holds(now) {
			return piece
		}
	}
	panic("sim: a programme must cover the whole day")
}

// programmed returns the level (0 … 1) that a device's own programme asks for now, and how fast it changes.
func (r *run) programmed(i int) (level, perSecond float64) {
	d := &r.s.Devices[i]
	switch f := r.f.programme[i]; {
	case d.Programme < 0 || f > 0 || r.f.valveStuck[i]:
		return 1, 0
	case f < 0:
		return 0, 0
	}
	p := &r.piece[d.Programme]
	perSecond = (p.To - p.From) / (p.EndS - p.StartS)
	return p.From + perSecond*(r.clock(d.Programme)-p.StartS), perSecond
}

// gives tells whether a lamp's own programme lets it give light now, however little.
func (r *run) gives(i int) bool {
	d := &r.s.Devices[i]
	switch f := r.f.programme[i]; {
	case d.Programme < 0 || f > 0:
		return true
	case f < 0:
		return false
	}
	return r.piece[d.Programme].From > 0 || r.piece[d.Programme].To > 0
}
