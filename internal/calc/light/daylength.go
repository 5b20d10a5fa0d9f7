package light

import (
	"math"
	"time"

	"saltwright/internal/calc"
)

// sunriseZenithDeg is where the upper limb touches a level horizon: 34' of
// refraction and 16' of radius. Source: [Meeus1998].
const sunriseZenithDeg = 90.8333

// DayLength returns the time from sunrise to sunset at sea level.
//
//	cos H = (cos 90.8333° - sin φ sin δ) / (cos φ cos δ),  hours = 2 H / 15°
//
//	latitudeDeg       north positive            -90 … 90
//	year, month, day  of the Gregorian calendar  1950 … 2100
//	δ                 declination at local noon on the meridian of Greenwich
//
// Accuracy: half a minute to 60° of latitude, the declination's change over the
// day left out; 0 in the polar night, 24 in the polar day.
// Errors: *calc.RangeError; *calc.ConflictError for a day that is not in the calendar.
// Source: [Meeus1998].
func DayLength(latitudeDeg float64, year, month, day int) (float64, error) {
	if err := calc.CheckRange("latitude_deg", latitudeDeg, -90, 90, "deg"); err != nil {
		return 0, err
	}
	if err := calc.CheckRange("year", float64(year), 1950, 2100, "1"); err != nil {
		return 0, err
	}
	noon := time.Date(year, time.Month(month), day, 12, 0, 0, 0, time.UTC)
	if noon.Day() != day || int(noon.Month()) != month {
		return 0, &calc.ConflictError{Params: []string{"month", "day"}, Reason: "there is no such day in the calendar"}
	}
	const j2000Unix, secondsPerDay, daysPerCentury = 946728000.0, 86400.0, 36525.0
	declination := declinationRad((float64(noon.Unix()) - j2000Unix) / secondsPerDay / daysPerCentury)
	phi := latitudeDeg * math.Pi / 180
	c := (math.Cos(sunriseZenithDeg*math.Pi/180) - math.Sin(phi)*math.Sin(declination)) / (math.Cos(phi) * math.Cos(declination))
	switch {
	case c >= 1:
		return 0, nil
	case c <= -1:
		return hoursPerDay, nil
	}
	return hoursPerDay / math.Pi * math.Acos(c), nil
}

// declinationRad is the sun's apparent declination, centuries after J2000.0 (Meeus, chapter 25, low accuracy).
func declinationRad(T float64) float64 {
	rad := func(deg float64) float64 { return math.Mod(deg, 360) * math.Pi / 180 }
	longitude := 280.46646 + T*(36000.76983+T*0.0003032)
	anomaly := rad(357.52911 + T*(35999.05029-T*0.0001537))
	centre := math.Sin(anomaly)*(1.914602-T*(0.004817+T*0.000014)) + math.Sin(2*anomaly)*(0.019993-T*0.000101) + 0.000289*math.Sin(3*anomaly)
	node := rad(125.04 - 1934.136*T)
	apparent := rad(longitude + centre - 0.00569 - 0.00478*math.Sin(node))
	obliquity := rad(23.439291 - 0.0130042*T + 0.00256*math.Cos(node))
	return math.Asin(math.Sin(obliquity) * math.Sin(apparent))
}
