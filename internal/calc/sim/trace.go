package sim

import "context"

// Sample is the tank at one instant of a run.
type Sample struct {
	AtS         float64
	TempC       float64 // display
	Salinity    float64 // display
	LevelMM     float64 // from the normal line of the level chamber
	OxygenMgL   float64
	SpilledL    float64
	ReturnFlows bool
}

// Trace runs as Run does and also returns the tank every so often, ends included.
//
//	everyS  between two samples, > 0  [s]
//
// Accuracy: as Run. Errors: the context's. Source: [Derived].
func Trace(ctx context.Context, s *System, start *State, injections []Injection, horizonS, everyS float64) (Outcome, []Sample, error) {
	r := newRun(s, start, newFaultState(s, injections), horizonS)
	r.every = everyS
	err := r.loop(ctx)
	if err != nil {
		return Outcome{}, nil, err
	}
	r.samples = append(r.samples, r.sample(r.t, r.temp[Display], r.level, r.oxygen))
	return r.out, r.samples, nil
}

func (r *run) sample(at, tempC, levelL, oxygen float64) Sample {
	return Sample{
		AtS: at, TempC: tempC, Salinity: r.salinity(), LevelMM: r.s.Chamber.HeightAtMM(levelL), OxygenMgL: oxygen, SpilledL: r.spilled, ReturnFlows: r.flowing,
	}
}

// sampled keeps the samples that fall within the segment ahead; salinity is that of its beginning.
func (r *run) sampled(c *courses, h float64) {
	for at := r.every * float64(len(r.samples)); at < r.t+h; at = r.every * float64(len(r.samples)) {
		d := at - r.t
		r.samples = append(r.samples, r.sample(at, c.temp[Display].At(d), c.level.At(d), c.oxygen.At(d)))
	}
}
