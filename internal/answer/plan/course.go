package plan

import (
	"context"

	"saltwright/internal/answer/envelope"
	"saltwright/internal/calc/audit"
	"saltwright/internal/calc/text"
	"saltwright/internal/contract"
)

type planCourse struct {
	Fault     string       `json:"fault"`
	Room      string       `json:"room"`
	Hours     float64      `json:"hours"`
	Moments   []planMoment `json:"moments"`
	AtH       []float64    `json:"at_h"`
	TempC     []float64    `json:"temp_c"`
	DisplayMM []float64    `json:"display_level_mm"`
	LevelMM   []float64    `json:"level_mm"`
	Salinity  []float64    `json:"salinity_psu"`
	SpilledL  []float64    `json:"spilled_l"`
	OxygenMgL []float64    `json:"oxygen_mg_l"`
}

type planMoment struct {
	Kind     string    `json:"kind"`
	AtH      float64   `json:"at_h"`
	Element  string    `json:"element,omitempty"`
	Why      string    `json:"why,omitempty"`
	Sentence text.Text `json:"sentence"`
}

func newPlanCourse(c *audit.Chronicle) *planCourse {
	if c == nil {
		return nil
	}
	out := &planCourse{Fault: c.Fault.Fault.ID, Room: string(c.Fault.Room), Hours: c.HoursH, DisplayMM: c.DisplayMM,
		Moments: envelope.Each(c.Moments, func(m audit.Moment) planMoment {
			return planMoment{string(m.Kind), m.AtH, m.Element, string(m.Why), m.Said}
		})}
	const secondsPerHour = 3600
	for _, s := range c.Samples {
		out.AtH, out.TempC = append(out.AtH, s.AtS/secondsPerHour), append(out.TempC, s.TempC)
		out.LevelMM, out.Salinity = append(out.LevelMM, s.LevelMM), append(out.Salinity, s.Salinity)
		out.SpilledL, out.OxygenMgL = append(out.SpilledL, s.SpilledL), append(out.OxygenMgL, s.OxygenMgL)
	}
	return out
}

// toldCourse is the course of the fault that a request asks for; nil where it asks for none.
func toldCourse(ctx context.Context, asked *contract.Request, audited *audit.Audited) (*audit.Chronicle, error) {
	id, _ := asked.Parameter("fault").(string)
	if id == "" {
		return nil, nil
	}
	told, err := audited.Chronicle(ctx, id)
	if err == nil && told == nil {
		return nil, &contract.Invalid{Violations: []contract.Violation{{Code: contract.CodeNotAllowed,
			In: contract.InQuery, Parameter: "fault", Said: text.Of("no_such_fault", nil)}}}
	}
	return told, err
}
