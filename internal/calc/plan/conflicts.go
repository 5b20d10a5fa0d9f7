package plan

import (
	"errors"
	"fmt"
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

func (c *checker) conflict(reason string, params ...string) {
	c.errs = append(c.errs, &calc.ConflictError{Params: params, Reason: text.Plain(reason)})
}

func (c *checker) found() error { return errors.Join(c.errs...) }

// unknown refuses an id that names nothing, or the wrong kind of element.
func (c *checker) unknown(id, path, wanted string) {
	reason := fmt.Sprintf("%q is not the id of %s in this plan", id, wanted)
	if where, ok := c.ids[id]; ok {
		reason += "; it is " + where
	} else if meant := spelling.Nearest(id, slices.Collect(maps.Keys(c.ids))); meant != "" {
		reason += fmt.Sprintf("; did you mean %q?", meant)
	}
	c.conflict(reason, path)
}

func (c *checker) place(place *Place, path string) {
	if place != nil && *place == InSump && c.p.Sump == nil {
		c.conflict("the plan has no sump to put it in; describe the sump or say display", path+".place", "sump")
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
}

// reading refuses what an alarm or a supervisor cannot act on.
func (c *checker) reading(id string, when When, threshold *float64, path string) {
	s, ok := c.sensor(id)
	switch {
	case !ok:
		c.unknown(id, path+".sensor", "a sensor")
	case !slices.Contains(readings[s.Kind], when):
		c.conflict(fmt.Sprintf("a %s sensor cannot report %q", s.Kind, when), path+".when", path+".sensor")
	case (s.Kind == TemperatureKind) != (threshold != nil):
		c.conflict("a threshold belongs to a temperature sensor, and that needs one",
			path+".threshold_c", path+".sensor")
	}
}
