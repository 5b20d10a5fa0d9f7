package transport

import (
	"context"
	"math"
	"sync"
	"time"
)

// Bounds of what waits for a place. A client may send a plan's ten audits at once; what is beyond is told to come again
// instead of waiting in vain.
const (
	clientWaits  = 16
	everyoneWait = 64
	queueWait    = 20 * time.Second
)

// places bounds what calculates for long at once, and shares the places: every client has a line of its own, and a free
// place goes to the client that has been given the fewest units.
type places struct {
	mu      sync.Mutex
	free    int
	lines   map[string]*line
	waiting int
	working int
	units   int   // of what is working
	started int   // what the client that got the last place had been given before
	arrived int   // turns so far
	done    speed // of one place
}

// line is what one client has to do with the places.
type line struct {
	turns   []*turn // waiting, first come, first served
	working int
	given   int // units
}

// turn is one calculation that waits.
type turn struct {
	units   int
	number  int           // in the order of arrival
	called  chan struct{} // closed when it has a place, or is turned away
	refused bool
}

func newPlaces(n int) *places {
	return &places{free: n, lines: map[string]*line{}, done: speed{units: usualSpeed, seconds: 1}}
}

// occupied is how many work, and how many wait.
func (p *places) occupied() (working, waiting int) {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.working, p.waiting
}

// take waits for a place for a calculation of so many units at most, and returns how to give it back with the units
// that were used. Errors: overloaded, and the context's.
func (p *places) take(ctx context.Context, client string, units int) (leave func(used int), err error) {
	t, err := p.join(client, units)
	if err != nil {
		return nil, err
	}
	waiting, cancel := context.WithTimeout(ctx, queueWait)
	defer cancel()
	select {
	case <-t.called:
	case <-waiting.Done():
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	select {
	case <-t.called: // perhaps just now
		if t.refused {
			p.forget()
			return nil, p.overloaded(client, units)
		}
		start := time.Now()
		return func(used int) { p.leave(client, units, used, time.Since(start)) }, nil
	default:
	}
	p.withdraw(client, t)
	if ctx.Err() != nil {
		return nil, ctx.Err()
	}
	return nil, p.overloaded(client, units)
}

// join puts a calculation into its client's line, and gives it a place where one is free.
func (p *places) join(client string, units int) (*turn, error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	own := p.lines[client]
	if own == nil {
		own = &line{given: p.started} // nobody saves up turns while away
	}
	if len(own.turns) >= clientWaits || p.waiting >= everyoneWait && !p.makeRoom(len(own.turns)+1) {
		return nil, p.overloaded(client, units)
	}
	p.lines[client] = own
	p.arrived++
	t := &turn{units: units, number: p.arrived, called: make(chan struct{})}
	own.turns = append(own.turns, t)
	own.given = max(own.given, p.started)
	p.waiting++
	p.call()
	return t, nil
}

// makeRoom turns away the last of the longest line where that is longer than another would be.
func (p *places) makeRoom(another int) bool {
	var longest *line
	for _, l := range p.lines {
		if longest == nil || len(l.turns) > len(longest.turns) {
			longest = l
		}
	}
	last := len(longest.turns) - 1
	if last < another {
		return false
	}
	longest.turns[last].refused = true
	close(longest.turns[last].called)
	longest.turns = longest.turns[:last]
	p.waiting--
	return true
}

// call gives free places to who is next.
func (p *places) call() {
	for p.free > 0 && p.waiting > 0 {
		l := p.next()
		t := l.turns[0]
		l.turns = l.turns[1:]
		p.started = l.given
		l.given += t.units
		l.working++
		p.free--
		p.waiting--
		p.working++
		p.units += t.units
		close(t.called)
	}
}

// next is the line that has been given the fewest units, among equals the one that came first.
func (p *places) next() *line {
	var next *line
	for _, l := range p.lines {
		if len(l.turns) > 0 && (next == nil || l.given < next.given ||
			l.given == next.given && l.turns[0].number < next.turns[0].number) {
			next = l
		}
	}
	return next
}

// leave gives a place back. The client has been given no more than it used.
func (p *places) leave(client string, units, used int, took time.Duration) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.lines[client].working--
	p.lines[client].given -= units - used
	p.free++
	p.working--
	p.units -= units
	p.done.add(units, took)
	p.call()
	p.forget()
}

// withdraw takes a calculation out of its line.
func (p *places) withdraw(client string, t *turn) {
	l := p.lines[client]
	for i := range l.turns {
		if l.turns[i] == t {
			l.turns = append(l.turns[:i], l.turns[i+1:]...)
			p.waiting--
			break
		}
	}
	p.forget()
}

// forget drops the lines of clients that have nothing here and nothing to make up for.
func (p *places) forget() {
	for client, l := range p.lines {
		if len(l.turns) == 0 && l.working == 0 && (l.given <= p.started || p.working == 0) {
			delete(p.lines, client)
		}
	}
}

// overloaded turns a calculation away, and says when it is likely to get a place: when what works now is done, and of
// every line as much as there is of its own.
func (p *places) overloaded(client string, units int) error {
	own := units
	if l := p.lines[client]; l != nil {
		own += l.waits()
	}
	ahead := p.units + own - units
	for name, l := range p.lines {
		if name != client {
			ahead += min(own, l.waits())
		}
	}
	const longest = 60.0 // s
	wait := float64(ahead) / p.done.perSecond() / float64(p.free+p.working)
	return &requestError{code: "overloaded", retryAfter: int(math.Ceil(min(max(wait, 1), longest)))}
}

// waits is the units of what waits in a line.
func (l *line) waits() int {
	units := 0
	for _, t := range l.turns {
		units += t.units
	}
	return units
}

// usualSpeed is how many units a place does in a second by the benchmark that the prices come from.
const usualSpeed = 50

// speed is what has been done lately.
type speed struct{ units, seconds float64 }

func (s *speed) add(units int, took time.Duration) {
	const memory = 0.9 // of some ten calculations
	s.units = memory*s.units + float64(units)
	s.seconds = memory*s.seconds + took.Seconds()
}

func (s *speed) perSecond() float64 { return s.units / max(s.seconds, 1e-3) }
