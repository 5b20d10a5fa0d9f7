package risk

import (
	"context"
	"math"
	"math/rand/v2"
	"sort"

	"gonum.org/v1/gonum/stat/distuv"
)

// MonteCarlo is the count of losses in drawn tank-years.
type MonteCarlo struct {
	TankYears     float64
	Losses        int
	Per100        float64
	Low95, High95 float64 // of Per100, by the count alone: 2.5 % lie below, 2.5 % above
	Agrees        bool    // the arithmetic lies within it
}

// spread returns the 5th and 95th percentile of the losses, every rate being drawn by itself.
//
//	rate · exp(σ z), σ = ln(error factor)/1.645, z standard normal
//
// so that the error factor is the 95th percentile of a rate over its median: 90 % lie within it, either way.
func (m model) spread(errorFactor float64, seed uint64) (p5, p95 float64, err error) {
	const draws, z95 = 400, 1.6448536269514722
	sigma := math.Log(errorFactor) / z95
	source := rand.New(rand.NewPCG(seed, 0x71)) // #nosec G404 -- the same seed must draw the same
	totals := make([]float64, draws)
	rate := make([]float64, len(m.rate))
	for d := range draws {
		for i := range rate {
			rate[i] = m.rate[i] * math.Exp(sigma*source.NormFloat64())
		}
		if totals[d], err = m.per100(rate, m.interval); err != nil {
			return 0, 0, err
		}
	}
	sort.Float64s(totals)
	return totals[draws/20], totals[draws-1-draws/20], nil
}

// chunkYears is how many tank-years one stream of random numbers draws.
const chunkYears = 500.0

// drawYears lets faults come at random, stay until they are found, and counts what is lost: a
// second road to the arithmetic that shares nothing with it but the cut sets.
func (m model) drawYears(ctx context.Context, years float64, seed uint64) (MonteCarlo, error) {
	chunks := int(math.Ceil(years / chunkYears))
	counts := make([]int, chunks)
	for k := range chunks {
		if ctx.Err() != nil {
			break
		}
		length := math.Min(chunkYears, years-float64(k)*chunkYears)
		// #nosec G115 G404 -- a chunk's number; the same seed must draw the same years
		counts[k] = m.draw(ctx, length*hoursPerYear, rand.New(rand.NewPCG(seed, uint64(k)+1)))
	}
	if err := ctx.Err(); err != nil {
		return MonteCarlo{}, err
	}
	mc := MonteCarlo{TankYears: years}
	for _, c := range counts {
		mc.Losses += c
	}
	n := float64(mc.Losses)
	mc.Per100 = lossesPer100 * n / years
	// The exact interval of a Poisson count, by the chi-square distribution.
	if n > 0 {
		mc.Low95 = lossesPer100 / years * distuv.ChiSquared{K: 2 * n}.Quantile(0.025) / 2
	}
	mc.High95 = lossesPer100 / years * distuv.ChiSquared{K: 2*n + 2}.Quantile(0.975) / 2
	return mc, nil
}

// failure is one fault at one hour.
type failure struct {
	at    float64
	fault int
}

// draw follows one tank for some hours and returns how often it is lost.
func (m model) draw(ctx context.Context, hours float64, source *rand.Rand) int {
	inSet, setsOf := m.memberships()
	var events []failure
	for i, whole := range m.rate {
		perYear := whole * m.own[i]
		if !inSet[i] || perYear == 0 {
			continue
		}
		after := func() float64 { return source.ExpFloat64() / perYear * hoursPerYear }
		for t := after(); t < hours; t += after() {
			events = append(events, failure{t, i})
		}
	}
	sort.Slice(events, func(a, b int) bool { return events[a].at < events[b].at })
	people := newPeople(m, source)
	phase := make([]float64, len(m.rate))
	for i := range phase {
		phase[i] = source.Float64() * m.interval[i] * hoursPerYear
	}
	until := make([]float64, len(m.rate)) // the fault is there until this hour
	lost := 0
	for n, e := range events {
		if n%1024 == 0 && ctx.Err() != nil {
			return lost
		}
		look := people.nextLook(e.at)
		end := math.Inf(1)
		if m.mains[e.fault] {
			end = e.at + drawOutageH(source.Float64(), source.Float64())
		}
		room, answer, gone := m.roomAt(source.Float64()), source.Float64(), false
		for _, k := range setsOf[e.fault] {
			s := &m.sets[k]
			all := s.room == room && look-e.at > s.AtH && end-e.at > s.AtH && answer < s.unanswered
			for _, i := range s.faults {
				there := until[i] > e.at
				if m.mains[i] {
					there = until[i]-e.at > s.AtH
				}
				all = all && (i == e.fault || there)
			}
			if all {
				gone = true
				break
			}
		}
		if gone { // a new tank, everything in order
			lost++
			clear(until)
			continue
		}
		until[e.fault] = look
		switch {
		case m.mains[e.fault]:
			until[e.fault] = end
		case m.hidden[e.fault] && m.lasts[e.fault] > 0:
			until[e.fault] = e.at + source.ExpFloat64()*m.lasts[e.fault]*hoursPerYear
		case m.hidden[e.fault]:
			step := m.interval[e.fault] * hoursPerYear
			until[e.fault] = phase[e.fault] + step*math.Ceil((e.at-phase[e.fault])/step)
		}
	}
	return lost
}

// memberships tells which faults are in a set, and in which.
func (m model) memberships() (inSet map[int]bool, setsOf map[int][]int) {
	inSet, setsOf = map[int]bool{}, map[int][]int{}
	for k, s := range m.sets {
		for _, i := range s.faults {
			inSet[i] = true
			setsOf[i] = append(setsOf[i], k)
		}
	}
	return inSet, setsOf
}

// roomAt returns the room by a number drawn evenly between 0 and 1.
func (m model) roomAt(drawn float64) int {
	for r, weight := range m.weights() {
		if drawn -= weight; drawn < 0 {
			return r
		}
	}
	return len(m.weights()) - 1
}

// people are away for the longest absence so many times a year, and look every so often between.
type people struct {
	m            model
	cycle, begin float64
}

func newPeople(m model, source *rand.Rand) people {
	p := people{m: m}
	if m.share > 0 {
		p.cycle = m.absence / m.share
	} else {
		p.cycle = math.Max(m.look, 1) * 1e6
	}
	p.begin = source.Float64() * p.cycle
	return p
}

// nextLook returns the hour at which somebody next sees the tank.
func (p people) nextLook(at float64) float64 {
	into := math.Mod(at+p.cycle-math.Mod(p.begin, p.cycle), p.cycle)
	if p.m.share > 0 && into < p.m.absence {
		return at + p.m.absence - into
	}
	since := into
	if p.m.share > 0 {
		since -= p.m.absence
	}
	return at + p.m.look - math.Mod(since, p.m.look)
}
