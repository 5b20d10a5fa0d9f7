// Package calibration holds what a keeper's measurements say of the heat model of
// their tank, and what the corrected model says of other rooms.
package calibration

import (
	"errors"
	"fmt"
	"math"

	"saltwright/internal/calc"
	"saltwright/internal/calc/fit"
	"saltwright/internal/calc/heat"
	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/text"
)

const (
	minPoints, maxPoints = 4, 200
	leastFallK           = 0.2 // a cool-down that moves less says nothing
)

// Where a fit deserves a word of doubt. Source: [CommonPractice].
const (
	WideInterval = 0.3 // half-width of a factor's 95 % interval over the factor
	FarApart     = 3.0 // standard errors between two thermal measurements of one tank
)

// Evaporation is fresh water replaced in a known room.
type Evaporation struct {
	LitresPerDay       float64 // 0.001 … 1e5 L/day
	Room               heat.Surroundings
	WaterC             float64 // 0 … 40 °C
	UncertaintyPercent float64 // standard uncertainty of LitresPerDay, 0 … 90 %
}

// Duty is how much of the time a heater ran to hold a temperature in a known room.
type Duty struct {
	HeaterW            float64 // 1 … 1e5 W, all heaters
	Share              float64 // of the time, 0 … 1
	Room               heat.Surroundings
	WaterC             float64 // held, 0 … 40 °C
	UncertaintyPercent float64 // standard uncertainty of HeaterW · Share, 0 … 90 %
}

// Point is a temperature on a cool-down curve.
type Point struct{ Hour, WaterC float64 }

// CoolDown is how the water cooled with the heater off in a known room.
type CoolDown struct {
	Room   heat.Surroundings
	Gains  heat.GainsOn // what ran meanwhile
	Points []Point      // 4 … 200, in the order of time
}

// Room is one to predict.
type Room struct {
	Name string
	Air  heat.Surroundings
}

// Input is a tank, what was measured and the rooms to predict.
type Input struct {
	System      heat.System // without a correction
	Evaporation *Evaporation
	Duty        *Duty
	CoolDown    *CoolDown
	Rooms       []Room  // at most 24
	SetpointC   float64 // at which the rooms are predicted, 0 … 40 °C
}

// Estimate is a factor with its uncertainty.
type Estimate struct {
	Factor        float64
	StandardError float64
	Half95        float64 // half-width of the 95 % interval
	From          string  // evaporation, duty, cool_down, duty_and_cool_down, or assumed
}

// Residual is a point of the curve and what the fitted model says there.
type Residual struct{ Hour, MeasuredC, ModelC float64 }

// Prediction is one room by the model as it stands and as corrected.
type Prediction struct {
	Name                     string
	HeatingW, HeatingBeforeW float64 // to hold the setpoint, average gains, expected evaporation; negative: cooling
	HeatingStandardError     float64 // W, from the factors' errors
	EvaporationLD            float64
	EvaporationBeforeLD      float64
	TimeConstantH            float64
	UnheatedC                float64 // where the water ends without a heater; 0 when Settles is false
	Settles                  bool
}

// Result is the corrected model.
type Result struct {
	Dry, Evaporation Estimate
	Residuals        []Residual // of the cool-down, measured less model in order of time
	ResidualK        float64    // their standard deviation
	MeasuredTauH     float64    // time constant that the cool-down shows; 0 without one
	// difference of the two thermal factors over its standard error; 0 unless both are given
	DutyAndCoolDownK float64
	Predictions      []Prediction
}

// Calibrate returns the factors on dry loss and evaporation that measurements ask for, and other rooms with them.
//
//	evaporation  e = measured / expected model in that room
//	duty         d Dry(T) + e Latent(T) = P · share + gains
//	cool-down    C dT/dt = gains - d Dry(T) - e Latent(T) from T0, least squares in T0 and d
//
// Without a measured evaporation the thermal factor scales both losses, as nothing tells them apart.
// Two thermal measurements are joined by the inverse squares of their errors.
// Accuracy: the losses are parabolas between the ends of the cool-down, 0.1 % over 10 K;
// the errors of a measurement are taken as independent from point to point.
// Errors: *calc.RangeError; *calc.ConflictError when nothing is measured, the curve has too
// few points, no order or hardly any fall, or a measurement asks for a factor outside 0.2 … 5.
// Source: [Derived], [DraperSmith1998].
func Calibrate(in Input) (Result, error) {
	r := Result{
		Dry:         Estimate{Factor: 1, From: "assumed"},
		Evaporation: Estimate{Factor: 1, From: "assumed"},
	}
	if err := in.check(); err != nil {
		return r, err
	}
	if e := in.Evaporation; e != nil {
		b, err := in.balance(e.Room, e.WaterC, heat.GainsAverage)
		if err != nil {
			return r, err
		}
		if b.EvaporatedLPerDay.Expected <= 0 {
			return r, &calc.ConflictError{
				Params: []string{"evaporation.l_d", "evaporation.room_c", "evaporation.rh_percent"},
				Reason: text.Of("nothing_evaporates", nil),
			}
		}
		f := e.LitresPerDay / b.EvaporatedLPerDay.Expected
		if f < 0.05 || f > 10 {
			return r, unlikely("evaporation", f)
		}
		r.Evaporation = Estimate{
			Factor: f, StandardError: f * e.UncertaintyPercent / quantity.PerCent,
			Half95: 2 * f * e.UncertaintyPercent / quantity.PerCent, From: "evaporation",
		}
	}
	thermal, err := in.thermal(&r)
	if err != nil {
		return r, err
	}
	if thermal != nil {
		r.Dry = *thermal
		if in.Evaporation == nil {
			r.Evaporation = *thermal
		}
	}
	for _, room := range in.Rooms {
		p, err := in.predict(room, r)
		if err != nil {
			return r, err
		}
		r.Predictions = append(r.Predictions, p)
	}
	return r, nil
}

func unlikely(what string, factor float64) error {
	return &calc.ConflictError{Params: []string{what},
		Reason: text.Of("measurement_unlikely", text.Params{"times": factor})}
}

func (in Input) check() error {
	if in.Evaporation == nil && in.Duty == nil && in.CoolDown == nil {
		return &calc.ConflictError{
			Params: []string{"evaporation", "duty", "cool_down"}, Reason: text.Of("nothing_measured", nil),
		}
	}
	type bound struct {
		param           string
		value, min, max float64
		unit            string
	}
	bounds := []bound{{"setpoint_c", in.SetpointC, 0, 40, "degC"}, {"rooms", float64(len(in.Rooms)), 0, 24, "1"}}
	if e := in.Evaporation; e != nil {
		bounds = append(
			bounds, bound{"evaporation.l_d", e.LitresPerDay, 0.001, 1e5, "L/d"},
			bound{"evaporation.uncertainty_percent", e.UncertaintyPercent, 0, 90, "%"},
		)
	}
	if d := in.Duty; d != nil {
		bounds = append(
			bounds, bound{"duty.heater_w", d.HeaterW, 1, 1e5, "W"}, bound{"duty.share", d.Share, 0, 1, "1"},
			bound{"duty.uncertainty_percent", d.UncertaintyPercent, 0, 90, "%"},
		)
	}
	if c := in.CoolDown; c != nil {
		bounds = append(bounds, bound{"cool_down.points", float64(len(c.Points)), minPoints, maxPoints, "1"})
		for i, p := range c.Points {
			bounds = append(bounds,
				bound{fmt.Sprintf("cool_down.points[%d].hour", i), p.Hour, 0, 1e4, "h"},
				bound{fmt.Sprintf("cool_down.points[%d].water_c", i), p.WaterC, 0, 40, "degC"})
		}
	}
	for _, b := range bounds {
		if err := calc.CheckRange(b.param, b.value, b.min, b.max, b.unit); err != nil {
			return err
		}
	}
	return in.CoolDown.check()
}

func (c *CoolDown) check() error {
	if c == nil {
		return nil
	}
	low, high := math.Inf(1), math.Inf(-1)
	for i, p := range c.Points {
		low, high = math.Min(low, p.WaterC), math.Max(high, p.WaterC)
		if i > 0 && p.Hour <= c.Points[i-1].Hour {
			return &calc.ConflictError{
				Params: []string{fmt.Sprintf("cool_down.points[%d].hour", i)},
				Reason: text.Of("points_not_in_order", nil),
			}
		}
	}
	if high-low < leastFallK {
		return &calc.ConflictError{Params: []string{"cool_down.points"}, Reason: text.Of("cool_down_too_small",
			text.Params{"least": leastFallK})}
	}
	return nil
}

// balance is the uncorrected heat balance; its numbers are scaled outside.
func (in Input) balance(room heat.Surroundings, waterC float64, on heat.GainsOn) (heat.BalanceResult, error) {
	s := in.System
	s.Correction = nil
	return heat.Balance(heat.BalanceInput{System: s, Water: quantity.Celsius(waterC), Room: room, Gains: on})
}

// losses returns the dry and the latent loss as the unknown factor scales them, and what is fixed.
// With a measured evaporation only the dry loss is free.
func (in Input) losses(b heat.BalanceResult, r Result) (free, fixed float64) {
	if in.Evaporation != nil {
		return b.DryW, r.Evaporation.Factor * b.LatentW.Expected
	}
	return b.DryW + b.LatentW.Expected, 0
}

// thermal joins what the duty and the cool-down say of the free factor.
func (in Input) thermal(r *Result) (*Estimate, error) {
	var byDuty, byCurve *Estimate
	if in.Duty != nil {
		e, err := in.fromDuty(*r)
		if err != nil {
			return nil, err
		}
		byDuty = &e
	}
	if in.CoolDown != nil {
		e, err := in.fromCoolDown(r)
		if err != nil {
			return nil, err
		}
		byCurve = &e
	}
	switch {
	case byDuty == nil:
		return byCurve, nil
	case byCurve == nil:
		return byDuty, nil
	}
	const least = 1e-6 // an error of nothing would silence the other
	wd, wc := 1/math.Pow(math.Max(byDuty.StandardError, least), 2), 1/math.Pow(
		math.Max(byCurve.StandardError, least), 2,
	)
	joined := Estimate{
		Factor: (wd*byDuty.Factor + wc*byCurve.Factor) / (wd + wc), StandardError: 1 / math.Sqrt(wd+wc),
		From: "duty_and_cool_down",
	}
	joined.Half95 = 2 * joined.StandardError
	r.DutyAndCoolDownK = (byDuty.Factor - byCurve.Factor) / math.Hypot(
		math.Max(byDuty.StandardError, least), math.Max(byCurve.StandardError, least),
	)
	return &joined, nil
}

const leastFactor, mostFactor = 0.2, 5 // heat.Correction's range

func (in Input) fromDuty(r Result) (Estimate, error) {
	d := in.Duty
	b, err := in.balance(d.Room, d.WaterC, heat.GainsAverage)
	if err != nil {
		return Estimate{}, err
	}
	free, fixed := in.losses(b, r)
	if free <= 0 {
		return Estimate{}, &calc.ConflictError{
			Params: []string{"duty.water_c", "duty.room_c"},
			Reason: text.Of("duty_in_a_warm_room", nil),
		}
	}
	heater := d.HeaterW * d.Share
	f := (heater + b.GainsW - fixed) / free
	if !(f >= leastFactor && f <= mostFactor) {
		return Estimate{}, unlikely("duty", f)
	}
	se := heater * d.UncertaintyPercent / quantity.PerCent / free
	if in.Evaporation != nil {
		se = math.Hypot(se, r.Evaporation.StandardError*b.LatentW.Expected/free)
	}
	return Estimate{Factor: f, StandardError: se, Half95: 2 * se, From: "duty"}, nil
}

func (in Input) fromCoolDown(r *Result) (Estimate, error) {
	c := in.CoolDown
	top, bottom := c.Points[0].WaterC, c.Points[len(c.Points)-1].WaterC
	if math.Abs(top-bottom) < leastFallK/2 { // a curve that turns
		return Estimate{}, &calc.ConflictError{
			Params: []string{"cool_down.points"},
			Reason: text.Of("cool_down_turns", nil),
		}
	}
	// The losses are parabolas through both ends and the middle.
	var temps, free, fixed [3]float64
	var capacity, gains float64
	for i, at := range []float64{top, (top + bottom) / 2, bottom} {
		b, err := in.balance(c.Room, at, c.Gains)
		if err != nil {
			return Estimate{}, err
		}
		temps[i], capacity, gains = at, b.HeatCapacityJPerK, b.GainsW
		free[i], fixed[i] = in.losses(b, *r)
	}
	rate := func(factor, waterC float64) float64 { // K/h
		return (gains - factor*parabola(temps, free, waterC) - parabola(temps, fixed, waterC)) / capacity *
			quantity.SecondsPerHour
	}
	// follow writes the model's temperature at every point, from a start and with a factor.
	follow := func(p []float64, out []float64) {
		at := p[0]
		for i, x := range c.Points {
			if i > 0 {
				at = rungeKutta(
					func(waterC float64) float64 { return rate(p[1], waterC) }, at, x.Hour-c.Points[i-1].Hour,
				)
			}
			out[i] = at
		}
	}
	f, err := fit.LeastSquares(fit.Input{
		Points: len(c.Points), Start: []float64{math.Max(top, 0.5), 1},
		Bounds: func(p []float64) bool { return p[1] > 0.01 && p[1] < 100 && p[0] > -50 && p[0] < 100 },
		Residuals: func(p, out []float64) {
			follow(p, out)
			for i, x := range c.Points {
				out[i] = x.WaterC - out[i]
			}
		},
	})
	if err != nil {
		return Estimate{}, within(err)
	}
	factor := f.Parameters[1]
	if !(factor >= leastFactor && factor <= mostFactor) {
		return Estimate{}, unlikely("cool_down.points", factor)
	}
	for i, x := range c.Points {
		r.Residuals = append(r.Residuals, Residual{
			Hour: x.Hour, MeasuredC: x.WaterC, ModelC: x.WaterC - f.Residuals[i],
		})
	}
	r.ResidualK = f.StandardDev
	r.MeasuredTauH = (top - bottom) / (rate(factor, bottom) - rate(factor, top))
	return Estimate{Factor: factor, StandardError: f.StandardError[1], Half95: f.Half95[1], From: "cool_down"}, nil
}

// parabola returns y at a temperature, through three points.
func parabola(x, y [3]float64, at float64) float64 {
	sum := 0.0
	for i := range x {
		j, k := (i+1)%3, (i+2)%3
		sum += y[i] * (at - x[j]) * (at - x[k]) / ((x[i] - x[j]) * (x[i] - x[k]))
	}
	return sum
}

// rungeKutta follows dT/dt = rate(T) for some hours, in steps of a quarter of an hour at most.
func rungeKutta(rate func(float64) float64, from, hours float64) float64 {
	const longest, most = 0.25, 400
	n := math.Min(math.Ceil(hours/longest), most)
	h := hours / n
	for range int(n) {
		k1 := rate(from)
		k2 := rate(from + h/2*k1)
		k3 := rate(from + h/2*k2)
		k4 := rate(from + h*k3)
		from += h / 6 * (k1 + 2*k2 + 2*k3 + k4)
	}
	return from
}

// within names the curve where the fit speaks of points.
func within(err error) error {
	if errors.Is(err, calc.ErrNoConvergence) {
		return &calc.ConflictError{
			Params: []string{"cool_down.points"},
			Reason: text.Of("cool_down_unlikely", nil),
		}
	}
	if c, ok := err.(*calc.ConflictError); ok {
		return &calc.ConflictError{Params: []string{"cool_down.points"}, Reason: c.Reason}
	}
	return err
}

// Correction returns the factors as the heat balance takes them.
//
// Accuracy: that of the factors. Errors: none. Source: [Derived].
func (r Result) Correction() *heat.Correction {
	c := &heat.Correction{DryFactor: r.Dry.Factor}
	if r.Evaporation.From != "assumed" {
		c.EvaporationFactor = r.Evaporation.Factor
		c.EvaporationUncertaintyPercent = math.Min(
			90, quantity.PerCent*2*r.Evaporation.StandardError/r.Evaporation.Factor,
		)
	}
	return c
}

func (in Input) predict(room Room, r Result) (Prediction, error) {
	p := Prediction{Name: room.Name}
	before, err := in.balance(room.Air, in.SetpointC, heat.GainsAverage)
	if err != nil {
		return p, err
	}
	s := in.System
	s.Correction = r.Correction()
	after, err := heat.Balance(heat.BalanceInput{
		System: s, Water: quantity.Celsius(in.SetpointC), Room: room.Air, Gains: heat.GainsAverage,
	})
	if err != nil {
		return p, err
	}
	p.HeatingW, p.HeatingBeforeW = after.NetW.Expected, before.NetW.Expected
	p.EvaporationLD, p.EvaporationBeforeLD = after.EvaporatedLPerDay.Expected, before.EvaporatedLPerDay.Expected
	p.TimeConstantH = after.TimeConstantH
	if in.Evaporation == nil { // one factor for both, so their errors are one
		p.HeatingStandardError = math.Abs(before.DryW+before.LatentW.Expected) * r.Dry.StandardError
	} else {
		p.HeatingStandardError = math.Hypot(
			before.DryW*r.Dry.StandardError, before.LatentW.Expected*r.Evaporation.StandardError,
		)
	}
	c, err := heat.Equilibrium(heat.EquilibriumInput{
		System: s, Room: room.Air, Gains: heat.GainsAverage, Evaporate: heat.EvaporationExpected,
	})
	if err == nil {
		p.UnheatedC, p.Settles = float64(c), true
	}
	return p, nil
}
