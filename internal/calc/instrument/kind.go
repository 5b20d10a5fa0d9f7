package instrument

import (
	"saltwright/internal/calc/seawater"
)

type kind int

const (
	none kind = iota
	refractometer
	hydrometer
	meter
)

var kindOf = map[seawater.Scale]kind{
	seawater.ScaleRefractometerSeawater: refractometer, seawater.ScaleRefractometerBrine: refractometer,
	seawater.ScaleSpecificGravityAsRead: hydrometer, seawater.ScaleMeter25: meter, seawater.ScaleConductivity: meter,
}

// Scales are those of the instruments that Interpret knows.
var Scales = []seawater.Scale{
	seawater.ScaleSpecificGravityAsRead, seawater.ScaleConductivity, seawater.ScaleMeter25,
	seawater.ScaleRefractometerSeawater, seawater.ScaleRefractometerBrine,
}

// What is usual for each kind; all of it common practice, no source.
var usual = map[kind]struct {
	reading        float64 // standard uncertainty of one reading, in the scale's unit
	uncalibrated   float64 // of an instrument nobody checked, PSU
	slope          float64 // share of the distance between calibration and reading
	driftPSUPerMth float64
}{
	refractometer: {0.3, 1, 0.03, 0.3},
	hydrometer:    {0.0005, 1.5, 0.03, 0.05},
	meter:         {0.2, 1.5, 0.01, 0.3},
}
