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
}

// reading refuses what an alarm or a supervisor cannot act on.
//
//	from  where the sensor is named
//	path  of what reads it
func (c *checker) reading(id string, when When, threshold *float64, from, path string) {
	s, ok := c.sensor(id)
	switch {
	case !ok:
		c.unknown(id, from, "sensor")
	case !slices.Contains(readings[s.Kind], when):
		c.conflict(text.Of("plan_sensor_cannot_report",
			text.Params{"kind": string(s.Kind), "when": string(when)}), path+".when", from)
	case (s.Kind == TemperatureKind) != (threshold != nil):
		c.conflict(text.Of("plan_threshold_with_temperature", nil),
			path+".threshold_c", from)
	}
}
