package reading

import (
	"math"
	"regexp"
	"strconv"
	"strings"

	"saltwright/clients/go/units"
)

// Wanted is what a field of a form takes.
type Wanted struct {
	Unit      string // as the contract names it: mm, degC, L/h, 1
	US        bool   // a number without a unit is in the unit of US readers: in for mm
	Bare      string // a number without a unit is in this one, cm for mm; empty: as US says
	Salinity  bool   // a practical salinity: a specific gravity is not taken for one
	Inclusive bool   // a pure number that may be written as per cent: 50 % for 0.5
}

// Unclear tells why a field could not be read, and what to write instead.
type Unclear struct {
	Why  string
	Is   Dimension // what the number measures where the field takes something else, otherwise empty
	Unit string    // then: the unit that the field takes, or empty
	Drop string    // then: the unit that was written
}

func (u *Unclear) Error() string { return u.Why }

// inContract is the dimension of each of the contract's units that people write in several ways, and how many of the
// contract's unit make one of the unit that Quantity.InContractUnit uses.
var inContract = map[string]struct {
	dimension Dimension
	times     float64
}{
	"mm": {Length, 1}, "m": {Length, 0.001}, "m2": {Area, 1}, "L": {Volume, 1}, "m3": {Volume, 0.001},
	"degC": {Temperature, 1}, "K": {Temperature, 1},
	"d": {Days, 1}, "h": {Days, hoursADay}, "h/d": {Days, hoursADay}, "min": {Days, minutesADay},
	"L/h": {Flow, 1}, "L/d": {Loss, 1}, "%": {Percent, 1}, "W": {Power, 1}, "Wh": {Energy, 1}, "g": {Mass, 1},
	"kg": {Mass, 0.001}, "m/s": {Speed, 1}, "g/L": {Concentration, 1}, "mg/L": {Trace, 1}, "dKH": {Alkalinity, 1},
	"A": {Current, 1}, "V": {Voltage, 1}, "psu": {Practical, 1},
}

// DimensionOf returns the dimension of a contract's unit, or nothing where people write no unit.
func DimensionOf(contractUnit string) Dimension { return inContract[contractUnit].dimension }

// In returns the number in one of the contract's units of its dimension, to 1/10000: 12 for 0.5 days in h.
func (q Quantity) In(contractUnit string) float64 {
	if q.Unit == nil {
		return q.Value
	}
	if q.Unit.Dimension != inContract[contractUnit].dimension {
		return q.InContractUnit()
	}
	return math.Round(q.Unit.toContract(q.Value)*inContract[contractUnit].times*1e4) / 1e4
}

// floatNumber is a number as programs write it.
var floatNumber = regexp.MustCompile(`^[+-]?([0-9]+\.?[0-9]*|\.[0-9]+)(e[+-]?[0-9]{1,3})?$`)

// spaced is a number whose thousands stand apart, as ISO 80000-1 writes them: 1 200.
var spaced = regexp.MustCompile(`^[+-]?[0-9]{1,3}( [0-9]{3})+([^0-9/]|$)`)

// Field reads the one number of a field, in the contract's unit: 914.4 for 36 in where mm is wanted. The result has
// twelve figures. A number without a unit is in the contract's unit or, with US, in its US counterpart.
//
// Errors: *Unclear.
func Field(text string, w Wanted) (float64, error) {
	written := smallLetters(strings.TrimSpace(normalise(text)))
	for _, spelling := range []string{w.Unit, units.Of(w.Unit).Metric} { // 3 mg/(L h), where nobody writes another one
		spelling = smallLetters(normalise(spelling))
		if _, several := inContract[w.Unit]; w.Unit == "K" || !several && len(spelling) > 1 {
			written = strings.TrimSpace(strings.TrimSuffix(written, spelling))
		}
	}
	if together := spaced.FindString(written); together != "" {
		digits := strings.TrimRight(together, " ")
		written = strings.ReplaceAll(digits, " ", "") + written[len(digits):]
	}
	if floatNumber.MatchString(written) {
		v, err := strconv.ParseFloat(written, 64)
		if err != nil {
			return 0, tooLarge
		}
		return w.bare(v)
	}
	q, err := oneNumber(written)
	if err != nil {
		return 0, err
	}
	if q.Unit == nil || q.Unit.Dimension == SpecificGravity && barePerMille.MatchString(q.Text) {
		return w.bare(q.Value)
	}
	return w.withUnit(q)
}

// oneNumber returns the one quantity of a text that holds nothing else but words like "about".
func oneNumber(written string) (Quantity, error) {
	r := Read(written)
	if len(r.Troubles) > 0 {
		return Quantity{}, &Unclear{Why: r.Troubles[0].Why}
	}
	var found []Piece
	for _, p := range r.Pieces {
		switch {
		case p.Group != nil:
			found = append(found, p)
		case p.Word == About || p.Word == "approx" || p.Ends:
		default:
			return Quantity{}, &Unclear{Why: "is not a number: write one number, with its unit if you like"}
		}
	}
	if len(found) != 1 || len(found[0].Group) != 1 || found[0].Count > 0 {
		return Quantity{}, &Unclear{Why: "must be one number, with its unit if you like"}
	}
	return found[0].Group[0], nil
}

func (w Wanted) bare(v float64) (float64, error) {
	if w.Salinity && v > 1 && v < 1.1 {
		return 0, &Unclear{
			Why: "looks like a specific gravity: convert it to practical salinity, or write ppt behind it if it is one",
		}
	}
	if label := UnitOf(w.Bare); label != nil && label.Dimension == inContract[w.Unit].dimension {
		return finite(label.toContract(v) * inContract[w.Unit].times)
	}
	u := units.Of(w.Unit)
	if !w.US || u.US == "" {
		return v, nil
	}
	return finite(u.FromUS(v))
}

func (w Wanted) withUnit(q Quantity) (float64, error) {
	own, known := inContract[w.Unit]
	switch {
	case w.Unit == "1" && w.Inclusive && q.Unit.Dimension == Percent:
		return finite(q.Value / 100)
	case w.Salinity && q.Unit.Dimension == Practical:
		return q.Value, nil
	case w.Unit == "K" && q.Unit.Dimension == Temperature:
		if q.Unit.Symbol == "°F" {
			return finite(units.Of("K").FromUS(q.Value))
		}
		return q.Value, nil
	case known && own.dimension == q.Unit.Dimension:
		return finite(q.Unit.toContract(q.Value) * own.times)
	case own.dimension == Loss && q.Unit.Dimension == Flow:
		return finite(q.Unit.toContract(q.Value) * hoursADay)
	case own.dimension == Flow && q.Unit.Dimension == Loss:
		return finite(q.Unit.toContract(q.Value) / hoursADay)
	}
	wanted := units.Of(w.Unit)
	text := wanted.Metric
	if w.US && wanted.US != "" {
		text = wanted.US
	}
	if text == "" {
		why := "is a " + string(q.Unit.Dimension) + ": write a number without " + q.Unit.Symbol
		return 0, &Unclear{why, q.Unit.Dimension, "", q.Unit.Symbol}
	}
	why := "is a " + string(q.Unit.Dimension) + ": write it in " + text
	return 0, &Unclear{why, q.Unit.Dimension, text, q.Unit.Symbol}
}

var tooLarge = &Unclear{Why: "is larger than any number that can be read"}

// finite drops the error of binary fractions: 36 in are 914.4 mm and not 914.3999999999999.
func finite(v float64) (float64, error) {
	short, err := strconv.ParseFloat(strconv.FormatFloat(v, 'g', 12, 64), 64)
	if err != nil || math.IsInf(short, 0) {
		return 0, tooLarge
	}
	return short, nil
}
