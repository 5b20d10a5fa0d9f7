package catalogue

import (
	"math"
	"strconv"
	"strings"

	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/text"
	"saltwright/internal/unit"
)

// Quantity is how numbers of one kind are written for people.
type Quantity struct {
	Name   string
	Unit   string // of the contract
	Metric places
	US     places
	spell  func(s *Speaker, x float64) string // of a number in the reader's unit; nil: number and unit
}

// places is how many digits a number is written with. The zero value writes whole numbers.
type places struct {
	decimals    int // after the mark, always that many where significant is 0
	significant int // at least so many digits, but never fewer than the whole part has, and no zeros at the end
}

func fixed(n int) places       { return places{decimals: n} }
func significant(n int) places { return places{significant: n} }

// Quantities is the one table of what people are told: texts, pages, pictures, reports, widgets and the bot use it.
// A unit of the contract has the first quantity with that unit, unless the contract says another (x-quantity).
var Quantities = []Quantity{
	{"temperature", "degC", fixed(1), fixed(1), nil},
	{"temperature_difference", "K", fixed(1), fixed(1), nil},
	{"power", "W", fixed(0), fixed(0), nil},
	{"energy_a_day", "kWh/d", significant(2), significant(2), nil},
	{"energy", "kWh", significant(2), significant(2), nil},
	{"cooling_rating", "Btu/h", fixed(0), fixed(0), nil},
	{"charge", "Wh", fixed(0), fixed(0), nil},
	{"power_per_volume", "W/L", significant(2), significant(2), nil},
	{"heat_loss", "W/K", significant(3), significant(3), nil},
	{"volume", "L", significant(3), significant(3), nil},
	{"volume_a_day", "L/d", significant(2), significant(2), nil},
	{"flow", "L/h", significant(3), significant(3), nil},
	{"length", "mm", fixed(0), significant(2), nil},
	{"distance", "m", significant(3), significant(3), nil},
	{"area", "m2", significant(3), significant(3), nil},
	{"air_speed", "m/s", significant(2), significant(2), nil},
	{"small_mass", "g", significant(3), significant(3), nil},
	{"small_volume", "mL", significant(3), significant(3), nil},
	{"mass", "kg", significant(3), significant(3), nil},
	{"water_loss", "mm/d", significant(2), significant(2), nil},
	{"duration", "h", fixed(0), fixed(0), (*Speaker).hours},
	{"duration_days", "d", fixed(0), fixed(0), (*Speaker).days},
	{"hours_and_minutes", "h", fixed(0), fixed(0), (*Speaker).hoursAndMinutes},
	{"minutes", "min", fixed(0), fixed(0), nil},
	{"hours_a_day", "h/d", fixed(1), fixed(1), nil},
	{"percent", "%", significant(2), significant(2), nil},
	{"number", "1", significant(3), significant(3), nil},
	{"times", "1", significant(2), significant(2), nil},
	{"share", "1", fixed(0), fixed(0), (*Speaker).share},
	{"specific_gravity", "1", fixed(4), fixed(4), nil},
	{"refractive_index", "1", fixed(5), fixed(5), nil},
	{"salinity", "1", fixed(2), fixed(2), nil},
	{"salinity_g_kg", "g/kg", fixed(2), fixed(2), nil},
	{"salt_in_water", "g/L", significant(3), significant(3), nil},
	{"conductivity", "mS/cm", fixed(1), fixed(1), nil},
	{"density", "kg/m3", fixed(1), fixed(1), nil},
	{"oxygen", "mg/L", significant(2), significant(2), nil},
	{"oxygen_demand", "mg/(L h)", significant(2), significant(2), nil},
	{"dissolved", "mg/L", fixed(0), fixed(0), nil},
	{"alkalinity", "dKH", fixed(1), fixed(1), nil},
	{"alkalinity_a_day", "dKH/d", significant(2), significant(2), nil},
	{"dissolved_a_day", "mg/(L d)", significant(2), significant(2), nil},
	{"seconds", "s", significant(2), significant(2), nil},
	{"micromoles", "umol/kg", fixed(0), fixed(0), nil},
	{"gas_share", "ppm", fixed(0), fixed(0), nil},
	{"gas_pressure", "uatm", fixed(0), fixed(0), nil},
	{"ph", "1", fixed(2), fixed(2), nil},
	{"saturation", "1", fixed(1), fixed(1), nil},
	{"light_integral", "mol/(m2 d)", fixed(1), fixed(1), nil},
	{"light_flux", "umol/(m2 s)", fixed(0), fixed(0), nil},
	{"angle", "deg", significant(3), significant(3), nil},
	{"current", "A", fixed(1), fixed(1), nil},
	{"money", "currency", fixed(2), fixed(2), (*Speaker).money},
	{"rate_100_years", "1/(100 a)", significant(2), significant(2), nil},
}

var quantities = func() map[string]*Quantity {
	out := map[string]*Quantity{}
	for i := range Quantities {
		out[Quantities[i].Name] = &Quantities[i]
	}
	return out
}()

var byUnit = func() map[string]*Quantity {
	out := map[string]*Quantity{}
	for i := range Quantities {
		if q := &Quantities[i]; out[q.Unit] == nil {
			out[q.Unit] = q
		}
	}
	return out
}()

// quantityOf returns the quantity with a name, or else that of a unit of the contract: three significant digits where
// the table has neither.
func quantityOf(name, contractUnit string) *Quantity {
	if q := quantities[name]; q != nil {
		return q
	}
	if q := byUnit[contractUnit]; q != nil {
		return q
	}
	return &Quantity{Name: contractUnit, Unit: contractUnit, Metric: significant(3), US: significant(3)}
}

// write writes a number, which is in the contract's unit, with the reader's unit.
func (q *Quantity) write(s *Speaker, x float64, side toward) string {
	digits := q.Metric
	if s.Units == US {
		digits = q.US
	}
	x, _ = unit.Of(q.Unit).For(s.Units == US, x)
	if q.spell != nil {
		return q.spell(s, x)
	}
	return unit.Beside(s.digits(x, digits.decimalsOf(x), digits.significant > 0, side), s.Unit(q.Unit))
}

// amount writes a number with its unit. One with a side is a limit of the contract: it has all its digits, but for
// readers of other units.
func (s *Speaker) amount(a text.Amount, side toward) string {
	u := unit.Of(a.Unit)
	if side == nearest || s.Units == US && u.US != "" {
		return quantityOf("", a.Unit).write(s, a.Value, side)
	}
	_, fraction, _ := strings.Cut(strconv.FormatFloat(a.Value, 'f', -1, 64), ".")
	return unit.Beside(s.digits(a.Value, len(fraction), true, nearest), s.Unit(a.Unit))
}

// decimalsOf is how many digits a number has after the mark.
func (d places) decimalsOf(x float64) int {
	if d.significant == 0 || x == 0 {
		return d.decimals
	}
	const most = 6
	return max(0, min(d.significant-1-int(math.Floor(math.Log10(math.Abs(x)))), most))
}

// money writes an amount of whatever currency the prices were sent in.
func (s *Speaker) money(x float64) string { return s.digits(x, 2, false, nearest) }

// share writes a share of 1 as per cent: whole ones, and more digits near nothing and near all.
func (s *Speaker) share(x float64) string {
	decimals := 0
	if x > 0 && x < 0.02 || x < 1 && x > 0.98 {
		decimals = 1
	}
	return s.digits(100*x, decimals, true, nearest) + " %"
}

// hours writes a time as people say it: 21 min, 5 h 30 min, 31 h, 3.3 days, 12 days.
func (s *Speaker) hours(h float64) string {
	minutes := math.Round(h * quantity.MinutesPerHour)
	if h >= 3 && h < 10 {
		minutes = 5 * math.Round(h*quantity.MinutesPerHour/5)
	}
	whole, rest := math.Floor(minutes/quantity.MinutesPerHour), math.Mod(minutes, quantity.MinutesPerHour)
	switch {
	case h < 0:
		return "−" + s.hours(-h)
	case h > 0 && minutes < 1:
		return s.text("duration_less_than_a_minute")
	case minutes < quantity.MinutesPerHour:
		return s.digits(minutes, 0, true, nearest) + " min"
	case h < 10 && rest > 0:
		return s.digits(whole, 0, true, nearest) + " h " + s.digits(rest, 0, true, nearest) + " min"
	case h < 2*quantity.HoursPerDay:
		return s.digits(h, 0, true, nearest) + " h"
	}
	decimals := 1
	if h >= 10*quantity.HoursPerDay {
		decimals = 0
	}
	code := "duration_in_days"
	if s.inDative {
		code = "duration_in_days_dative"
	}
	return s.counted(code, h/quantity.HoursPerDay, decimals)
}

// hoursAndMinutes writes a part of a day to the minute: 45 min, 8 h, 10 h 30 min.
func (s *Speaker) hoursAndMinutes(h float64) string {
	minutes := math.Round(h * quantity.MinutesPerHour)
	whole, rest := math.Floor(minutes/quantity.MinutesPerHour), math.Mod(minutes, quantity.MinutesPerHour)
	switch {
	case whole == 0:
		return s.digits(rest, 0, true, nearest) + " min"
	case rest == 0:
		return s.digits(whole, 0, true, nearest) + " h"
	}
	return s.digits(whole, 0, true, nearest) + " h " + s.digits(rest, 0, true, nearest) + " min"
}

// days writes a time that is stated in days.
func (s *Speaker) days(d float64) string { return s.hours(d * quantity.HoursPerDay) }

// measured writes a number with its uncertainty: that with one digit, or two where it begins with a 1, and the number
// to the same place.
func (q *Quantity) measured(s *Speaker, m text.Measured) string {
	if m.Uncertainty == 0 {
		return q.write(s, m.Value, nearest)
	}
	us := s.Units == US
	value, _ := unit.Of(q.Unit).For(us, m.Value)
	far, _ := unit.Of(q.Unit).For(us, m.Value+m.Uncertainty)
	uncertainty := far - value
	exponent := math.Floor(math.Log10(uncertainty))
	if uncertainty/math.Pow(10, exponent) < 2 {
		exponent--
	}
	decimals := max(0, min(int(-exponent), 6))
	return unit.Beside(s.digits(value, decimals, false, nearest)+" ± "+s.digits(uncertainty, decimals, false, up),
		s.Unit(q.Unit))
}
