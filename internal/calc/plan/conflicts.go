package plan

import (
	"errors"
	"maps"
	"slices"

	"saltwright/internal/calc"
	"saltwright/internal/calc/text"
	"saltwright/internal/spelling"
)

// checker collects every conflict of a plan.
type checker struct {
	p    Plan
	ids  map[string]string // id -> path
	errs []error
}

func newChecker(p Plan) *checker { return &checker{p: p, ids: elementIDs(p)} }

func (c *checker) conflict(reason text.Text, params ...string) {
	c.errs = append(c.errs, &calc.ConflictError{Params: params, Reason: reason})
}

func (c *checker) found() error { return errors.Join(c.errs...) }

// unknown refuses an id that names nothing, or the wrong kind of element.
//
//	wanted  of the catalogue's words
func (c *checker) unknown(id, path, wanted string) {
	reason := text.Of("plan_unknown_id", text.Params{"id": id, "wanted": wanted})
	if where, ok := c.ids[id]; ok {
		reason = text.Of("plan_unknown_id_elsewhere", text.Params{"id": id, "wanted": wanted, "path": where})
	} else if meant := spelling.Nearest(id, slices.Collect(maps.Keys(c.ids))); meant != "" {
		reason = text.Of("plan_unknown_id_meant", text.Params{"id": id, "wanted": wanted, "meant": meant})
	}
	c.conflict(reason, path)
}

func (c *checker) place(place *Place, path string) {
	if place != nil && *place == InSump && c.p.Sump == nil {
		c.conflict(text.Of("plan_no_sump_to_put_in", nil), path+".place", "sump")
	}
}

func (c *checker) sensor(id string) (Sensor, bool) {
	if i := slices.IndexFunc(c.p.Sensors, func(s Sensor) bool { return s.ID == id }); i >= 0 {
		return c.p.Sensors[i], true
	}
	return Sensor{}, false
}

// readings are what a sensor of a kind can report.
var readings = map[SensorKind][]When{
	TemperatureKind: {Above, Below}, LevelKind: {Wet, Dry}, LeakKind: {Wet}, FlowKind: {NoFlow}, PowerKind: {NoPower},
	LightKind: {Lit, Dark},
	PHKind:    {Above, Below}, ConductivityKind: {Above, Below},
}

// thresholds are the values at which something reads a sensor, by the kind of sensor.
type thresholds map[SensorKind]*float64

// thresholdMembers are where they stand.
var thresholdMembers = []struct {
	kind         SensorKind
	member, code string // the code says that it is missing, or too much
}{
	{TemperatureKind, "threshold_c", "plan_threshold_with_temperature"},
	{PHKind, "threshold_ph", "plan_threshold_with_ph"},
	{ConductivityKind, "threshold_psu", "plan_threshold_with_conductivity"},
}

func (t thresholds) any() bool {
	for _, at := range t {
		if at != nil {
			return true
		}
	}
	return false
}

func (k Control) thresholds() thresholds {
	return thresholds{TemperatureKind: k.ThresholdC, PHKind: k.ThresholdPH, ConductivityKind: k.ThresholdPSU}
}

func (a Alarm) thresholds() thresholds {
	return thresholds{TemperatureKind: a.ThresholdC, PHKind: a.ThresholdPH, ConductivityKind: a.ThresholdPSU}
}

// reading refuses what an alarm or a supervisor cannot act on.
//
//	from  where the sensor is named
//	path  of what reads it
func (c *checker) reading(id string, when When, at thresholds, from, path string) {
	s, ok := c.sensor(id)
	switch {
	case !ok:
		c.unknown(id, from, "sensor")
	case !slices.Contains(readings[s.Kind], when):
		c.conflict(text.Of("plan_sensor_cannot_report",
			text.Params{"kind": string(s.Kind), "when": string(when)}), path+".when", from)
	default:
		for _, x := range thresholdMembers {
			if (s.Kind == x.kind) != (at[x.kind] != nil) {
				c.conflict(text.Of(x.code, nil), path+"."+x.member, from)
			}
		}
	}
}
