package webdocs

import (
	"cmp"

	"saltwright/internal/chart"
	"saltwright/internal/phrase"
)

// audited is what the bench reads of an audit.
type auditedPlan struct {
	Result struct {
		Sound    bool `json:"sound"`
		Harmed   int  `json:"harmed"`
		Lost     int  `json:"lost"`
		Rescued  int  `json:"rescued"`
		Findings []struct {
			Severity string   `json:"severity"`
			Message  string   `json:"message"`
			Change   string   `json:"change"`
			Faults   []string `json:"faults"`
		} `json:"findings"`
		Faults []auditedFault `json:"faults"`
		Course *toldCourse    `json:"course"`
	} `json:"result"`
	Headline string        `json:"headline"`
	Charts   []chart.Chart `json:"charts"`
	Texts    []struct {
		Pointer string `json:"pointer"`
		Code    string `json:"code"`
	} `json:"texts"`
}

type auditedFault struct {
	ID       string `json:"id"`
	Element  string `json:"element"`
	Sentence string `json:"sentence"`
	Verdict  string `json:"verdict"`
	Alarm    *struct {
		ID      string  `json:"id"`
		RaisedH float64 `json:"raised_h"`
	} `json:"alarm"`
	NoHelp []struct {
		Sentence string `json:"sentence"`
	} `json:"no_help"`
}

// toldCourse is the course in an audit's answer.
type toldCourse struct {
	Room    string  `json:"room"`
	Hours   float64 `json:"hours"`
	Moments []struct {
		Kind     string  `json:"kind"`
		AtH      float64 `json:"at_h"`
		Element  string  `json:"element"`
		Why      string  `json:"why"`
		Sentence string  `json:"sentence"`
	} `json:"moments"`
	AtH       []float64 `json:"at_h"`
	TempC     []float64 `json:"temp_c"`
	DisplayMM []float64 `json:"display_level_mm"`
	LevelMM   []float64 `json:"level_mm"`
	SpilledL  []float64 `json:"spilled_l"`
}

func (a *auditedPlan) fault(id string) *auditedFault {
	for i := range a.Result.Faults {
		if a.Result.Faults[i].ID == id {
			return &a.Result.Faults[i]
		}
	}
	return nil
}

// stateWord says a state where its shape is not seen.
func stateWord(v *phrase.Voice, state string) string { return v.Say("state_" + cmp.Or(state, "none")) }
