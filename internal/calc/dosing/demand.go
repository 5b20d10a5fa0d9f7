package dosing

import (
	"math"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"

	"saltwright/internal/calc"
	"saltwright/internal/calc/text"
)

// Reading is what was measured at one time.
type Reading struct {
	Day   float64 // from any start
	Value float64
}

// Trend is how a level changes, from readings of it.
type Trend struct {
	ADay     float64 // change a day
	HalfADay float64 // half of its interval of 95 %
	Scatter  float64 // standard deviation of readings about the line
	Start    float64 // of the line, on the first day of the readings
	Outliers []int   // readings left out, by their index
	Freedom  int     // readings used less two
	Used     int
	SpanDays float64 // from the first reading used to the last
}

// Limits of what a trend is taken from.
const (
	LeastReadings = 3
	MostReadings  = 400
)

const (
	confidence          = 0.95
	millilitresPerLitre = 1000
)

// TrendOf returns the straight line through readings by least squares, after leaving out those that cannot belong to
// it.
//
//	slope = Σ (t - t̄)(y - ȳ) / Σ (t - t̄)²;  half = t(0.975, n - 2) · s / √Σ (t - t̄)²
//
// a reading is an outlier when its externally studentised residual is beyond t(1 - 0.025 / n, n - 3); the worst goes
//
//	first, and at most a fifth go
//
//	readings       3 … 400, on at least two times
//	repeatability  the least s, for a test reads in steps, and a few steps can lie on a line by chance; at least 0
//
// Accuracy: rounding; the interval holds for readings with independent errors of one size.
// Errors: *calc.ConflictError for too few or too many readings, or all at one time.
// Source: [NISTStRD], [DraperSmith1998].
func TrendOf(readings []Reading, repeatability float64) (Trend, error) {
	if len(readings) < LeastReadings || len(readings) > MostReadings {
		return Trend{}, &calc.ConflictError{Params: []string{"measurements"}, Reason: text.Of("demand_readings",
			text.Params{"sent": float64(len(readings)), "least": float64(LeastReadings),
				"most": float64(MostReadings)})}
	}
	left := make([]int, len(readings))
	for i := range left {
		left[i] = i
	}
	var out []int
	for {
		l, err := lineThrough(readings, left)
		if err != nil {
			return Trend{}, err
		}
		worst := -1
		if len(out) < len(readings)/5 {
			worst = l.outlier(repeatability)
		}
		if worst == -1 {
			return l.trend(out, repeatability), nil
		}
		out = append(out, left[worst])
		left = append(left[:worst:worst], left[worst+1:]...)
	}
}

// line is a fit through some readings.
type line struct {
	t, y        []float64
	start       float64 // at day 0
	slope       float64
	mean, sumTT float64 // of the days; Σ (t - t̄)²
	sumRR       float64 // of the residuals
}

func lineThrough(readings []Reading, which []int) (line, error) {
	var l line
	for _, i := range which {
		l.t, l.y = append(l.t, readings[i].Day), append(l.y, readings[i].Value)
	}
	l.mean = stat.Mean(l.t, nil)
	for _, t := range l.t {
		l.sumTT += (t - l.mean) * (t - l.mean)
	}
	if l.sumTT == 0 {
		return l, &calc.ConflictError{Params: []string{"measurements"}, Reason: text.Of("demand_one_time", nil)}
	}
	l.start, l.slope = stat.LinearRegression(l.t, l.y, nil, false)
	for i := range l.t {
		l.sumRR += l.residual(i) * l.residual(i)
	}
	return l, nil
}

func (l line) residual(i int) float64 { return l.y[i] - l.start - l.slope*l.t[i] }

// outlier returns the reading that lies too far from a line through the others, or -1; of five readings or more.
func (l line) outlier(repeatability float64) int {
	n := float64(len(l.t))
	worst, most := 0, 0.0
	for i := range l.t {
		if s := l.studentised(i, repeatability); s > most {
			worst, most = i, s
		}
	}
	if most > quantile(1-(1-confidence)/2/n, n-3) {
		return worst
	}
	return -1
}

// studentised is how far a reading lies from the line, over what the others let expect; 0 where the line hangs on it.
func (l line) studentised(i int, repeatability float64) float64 {
	n, r := float64(len(l.t)), l.residual(i)
	free := 1 - 1/n - (l.t[i]-l.mean)*(l.t[i]-l.mean)/l.sumTT // 1 less its leverage
	if free < 1e-12 {
		return 0
	}
	others := max(math.Sqrt(max(l.sumRR-r*r/free, 0)/(n-3)), repeatability)
	return math.Abs(r) / (others * math.Sqrt(free))
}

func quantile(p, freedom float64) float64 {
	return distuv.StudentsT{Mu: 0, Sigma: 1, Nu: freedom}.Quantile(p)
}

func (l line) trend(out []int, repeatability float64) Trend {
	first, last := math.Inf(1), math.Inf(-1)
	for _, t := range l.t {
		first, last = min(first, t), max(last, t)
	}
	tr := Trend{ADay: l.slope, Outliers: out, Freedom: len(l.t) - 2, Used: len(l.t), SpanDays: last - first,
		Start: l.start + l.slope*first}
	tr.Scatter = max(math.Sqrt(l.sumRR/float64(tr.Freedom)), repeatability)
	tr.HalfADay = quantile((1+confidence)/2, float64(tr.Freedom)) * tr.Scatter / math.Sqrt(l.sumTT)
	return tr
}

// mostMore bounds how many readings are asked for.
const mostMore = 200

// More returns how many more readings, as far apart and as scattered as these, bring half the interval to so much a
// day
// or less; 0 where it is already, -1 where 200 more would not do.
//
//	half(n) = t(0.975, n - 2) · s / √(d² n (n² - 1) / 12), d being the mean time between readings
//
//	target  above 0
//
// Accuracy: that of the scatter. Errors: none. Source: [DraperSmith1998].
func (tr Trend) More(target float64) int {
	if tr.HalfADay <= target {
		return 0
	}
	apart := tr.SpanDays / float64(tr.Used-1)
	for more := 1; more <= mostMore; more++ {
		n := float64(tr.Used + more)
		if quantile((1+confidence)/2, n-2)*tr.Scatter/math.Sqrt(apart*apart*n*(n*n-1)/12) <= target {
			return more
		}
	}
	return -1
}

// Pump is a dosing pump and the container that it draws from.
type Pump struct {
	FlowMLMin  float64 // 0.01 … 10000 mL/min
	DosesADay  int     // 1 … 288
	HoursADay  float64 // over which the doses are spread, 1 … 24 h
	ContainerL float64 // 0.01 … 1000 L
}

// Programme is how a pump replaces a demand.
type Programme struct {
	MLADay, MLADose float64
	RunSeconds      float64 // of one dose
	ApartMinutes    float64 // from the beginning of a dose to that of the next; 0 for a single one
	ContainerDays   float64
}

// Run returns how a pump doses so much a day.
//
//	run = volume a dose / flow;  container days = container / volume a day
//
//	millilitresADay  above 0  [mL/d]
//
// Accuracy: exact. Errors: *calc.RangeError; *calc.ConflictError where the doses take longer than the hours.
// Source: [Derived].
func (p Pump) Run(millilitresADay float64) (Programme, error) {
	for _, x := range []struct {
		param           string
		value, min, max float64
		unit            string
	}{
		{"flow_ml_min", p.FlowMLMin, 0.01, 1e4, "mL/min"}, {"doses_a_day", float64(p.DosesADay), 1, 288, "1"},
		{"hours_a_day", p.HoursADay, 1, 24, "h"}, {"container_l", p.ContainerL, 0.01, 1000, "L"},
	} {
		if err := calc.CheckRange(x.param, x.value, x.min, x.max, x.unit); err != nil {
			return Programme{}, err
		}
	}
	const secondsPerMinute, minutesPerHour = 60, 60
	doses := float64(p.DosesADay)
	out := Programme{MLADay: millilitresADay, MLADose: millilitresADay / doses,
		ContainerDays: p.ContainerL * millilitresPerLitre / millilitresADay}
	out.RunSeconds = out.MLADose / p.FlowMLMin * secondsPerMinute
	if p.DosesADay > 1 {
		out.ApartMinutes = p.HoursADay * minutesPerHour / doses
	}
	if out.RunSeconds*doses > p.HoursADay*minutesPerHour*secondsPerMinute {
		return out, &calc.ConflictError{Params: []string{"flow_ml_min"}, Reason: text.Of("demand_pump_too_slow",
			text.Params{"volume": millilitresADay})}
	}
	return out, nil
}

// MLFor returns the volume of a solution that raises a tank by so much.
//
//	by a label: rise / its rise · volume / its litres · its millilitres
//	by grams:   mass of the salt / (grams a litre)
//
// Accuracy: 1e-4 by grams. Errors: as Dose. Source: [CIAAW2021], [Derived].
func (in Input) MLFor(rise float64) (float64, error) {
	in.Now, in.Target, in.MostADay, in.DosesADay = 0, rise, rise, 1
	c, err := in.check()
	if err != nil {
		return 0, err
	}
	r := Result{Rise: rise, Days: 1}
	in.amounts(&r, c, in.molesPerLitre(c, rise))
	return r.VolumeML, nil
}

// Emptied returns what a container of a solution does when all of it arrives at once: of the result, the rise, the
// states before and after, and the largest rise that does no harm.
//
//	rise = container / volume that raises by one
//
//	containerL  0.01 … 1000 L
//
// Accuracy: as Dose; the container's own water is left out. Errors: as Dose. Source: [Moras2022], [Derived].
func (in Input) Emptied(containerL float64) (Result, error) {
	perUnit, err := in.MLFor(1)
	if err != nil {
		return Result{}, err
	}
	kgPerL, err := in.kilogramsPerLitre()
	if err != nil {
		return Result{}, err
	}
	r := Result{Rise: containerL * millilitresPerLitre / perUnit, Days: 1}
	return r, in.atOnce(&r, contents[in.Substance], kgPerL)
}
