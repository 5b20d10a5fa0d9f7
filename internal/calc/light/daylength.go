package light

import (
	"math"
	"time"

	"saltwright/internal/calc"
	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/text"
)

// sunriseZenithDeg is where the upper limb touches a level horizon: 34' of
// refraction and 16' of radius. Source: [Meeus1998].
const sunriseZenithDeg = 90.8333

// eventIterations is far more than the sun's slow drift needs outside the polar circles.
const eventIterations = 8

// DayLength returns the time from sunrise to sunset at sea level.
//
//	cos H = (cos 90.8333° - sin φ sin δ) / (cos φ cos δ)
//	event = 12 h - E ± H / 15°, with δ and E taken at the event itself
//	hours = sunset - sunrise
//
//	latitudeDeg       north positive            -90 … 90
//	year, month, day  of the Gregorian calendar  1950 … 2100
//	δ, E              declination and equation of time, on the meridian of Greenwich
//
// Accuracy: 0.1 min against pyephem within 25° of the equator, where our table
// lies; not tested beyond. 0 in the polar night, 24 in the polar day.
// Errors: *calc.RangeError; *calc.ConflictError for a day that is not in the calendar.
// Source: [Meeus1998].
func DayLength(latitudeDeg float64, year, month, day int) (float64, error) {
	if err := calc.CheckRange("latitude_deg", latitudeDeg, -90, 90, "deg"); err != nil {
		return 0, err
	}
	midnight, err := dateOf(year, month, day)
	if err != nil {
		return 0, err
	}
	phi := latitudeDeg * math.Pi / 180
	// event returns the hour of sunrise (side -1) or sunset (+1) and the cosine of its hour angle.
	event := func(side float64) (hour, c float64) {
		hour = quantity.HoursPerDay/2 + side*quantity.HoursPerDay/4
		for range eventIterations {
			declination, equationOfTime := sun(centuries(float64(midnight.Unix()) + hour*quantity.SecondsPerHour))
			c = (math.Cos(sunriseZenithDeg*math.Pi/180) - math.Sin(phi)*math.Sin(declination)) / (math.Cos(phi) *
				math.Cos(declination))
			angle := math.Acos(max(-1, min(1, c)))
			hour = quantity.HoursPerDay/2 + quantity.HoursPerDay/(2*math.Pi)*(side*angle-equationOfTime)
		}
		return hour, c
	}
	rise, cRise := event(-1)
	set, cSet := event(1)
	switch {
	case cRise >= 1 && cSet >= 1:
		return 0, nil
	case cRise <= -1 && cSet <= -1:
		return quantity.HoursPerDay, nil
	}
	return max(0, min(quantity.HoursPerDay, set-rise)), nil
}

// sun returns the sun's apparent declination and the equation of time, both in
// radians, centuries after J2000.0 (Meeus, chapters 25, low accuracy, and 28, Smart's form).
func sun(T float64) (declination, equationOfTime float64) {
	rad := func(deg float64) float64 { return math.Mod(deg, 360) * math.Pi / 180 }
	longitude := 280.46646 + T*(36000.76983+T*0.0003032)
	anomaly := rad(357.52911 + T*(35999.05029-T*0.0001537))
	centre := math.Sin(anomaly)*(1.914602-T*(0.004817+T*0.000014)) + math.Sin(2*anomaly)*(0.019993-T*0.000101) +
		0.000289*math.Sin(3*anomaly)
	node := rad(125.04 - 1934.136*T)
	apparent := rad(longitude + centre - 0.00569 - 0.00478*math.Sin(node))
	obliquity := rad(23.439291 - 0.0130042*T + 0.00256*math.Cos(node))
	declination = math.Asin(math.Sin(obliquity) * math.Sin(apparent))

	e := 0.016708634 - T*(0.000042037+T*0.0000001267) // eccentricity of the orbit
	y := math.Pow(math.Tan(obliquity/2), 2)
	mean := rad(longitude)
	equationOfTime = y*math.Sin(2*mean) - 2*e*math.Sin(anomaly) + 4*e*y*math.Sin(anomaly)*math.Cos(2*mean) -
		y*y/2*math.Sin(4*mean) - 1.25*e*e*math.Sin(2*anomaly)
	return declination, equationOfTime
}

// dateOf checks a date and returns its midnight at Greenwich.
func dateOf(year, month, day int) (time.Time, error) {
	if err := calc.CheckRange("year", float64(year), 1950, 2100, "1"); err != nil {
		return time.Time{}, err
	}
	midnight := time.Date(year, time.Month(month), day, 0, 0, 0, 0, time.UTC)
	if midnight.Day() != day || int(midnight.Month()) != month {
		return time.Time{}, &calc.ConflictError{
			Params: []string{"month", "day"}, Reason: text.Of("light_no_such_day", nil),
		}
	}
	return midnight, nil
}

// centuries returns Julian centuries after J2000.0.
func centuries(unixSeconds float64) float64 {
	const j2000Unix, daysPerCentury = 946728000.0, 100 * quantity.DaysPerYear
	return (unixSeconds - j2000Unix) / quantity.SecondsPerDay / daysPerCentury
}
