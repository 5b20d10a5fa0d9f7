package heat

// LeftAloneInput is a system whose devices have stopped.
type LeftAloneInput struct {
	System    System
	Room      Surroundings
	Gains     GainsOn
	HeaterW   float64 // what still heats, negative what cools
	Evaporate Estimate
	FromC     float64 // where the water is, 0 … 40 °C
	TowardsC  float64 // a temperature on its way: the losses are straight between the two, 0 … 40 °C
}

// LeftAlone returns the exponential approach of a system to its equilibrium.
//
//	T(t) = Teq + (T0 - Teq) exp(-t/tau), tau = C/U, U the loss's chord slope between the two temperatures
//
// Accuracy: as Balance; the chord adds some 2 % over 5 K.
// Errors: *calc.RangeError, *calc.ConflictError. Source: [Derived].
func LeftAlone(in LeftAloneInput) (Approach, error) {
	if err := in.System.check(); err != nil {
		return Approach{}, err
	}
	return in.System.drift(in.Room, in.Gains, in.HeaterW, in.Evaporate, in.FromC, in.TowardsC)
}
