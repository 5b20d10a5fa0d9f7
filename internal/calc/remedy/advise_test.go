package remedy

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc/audit"
	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/text"
)

// advised audits a plan and returns the change that each finding has then, by its code.
func advised(t *testing.T, p plan.Plan) map[string]text.Text {
	t.Helper()
	r, err := audit.Single(context.Background(), p)
	require.NoError(t, err)
	list, err := Advise(context.Background(), r, p)
	require.NoError(t, err)
	require.Len(t, list, len(r.Findings))
	out := map[string]text.Text{}
	for i, f := range list {
		assert.Equal(t, r.Findings[i].Code, f.Code)
		if _, known := out[f.Code]; !known {
			out[f.Code] = f.Change
		}
	}
	return out
}

// What a finding proposes has been made and audited, and says what came out; what was not tried, or does not help,
// names where cures are searched.
func TestAdviceIsTried(t *testing.T) {
	cases := []struct {
		name, finding, sentence, proof string
		edit                           func(p *plan.Plan)
	}{
		{"an alarm that stands", "standing_alarm", "remedy_alarm_threshold", "change_takes_it_away",
			func(p *plan.Plan) { p.Alarms[0].ThresholdC = new(24.9) }},
		{"a worn relay", "contact_wears_out", "remedy_hysteresis", "change_lasts", func(p *plan.Plan) {
			p.Controls[1].HysteresisK, p.Heaters[0].PowerW = 0.1, 300
			p.Alarms[0].ThresholdC = new(28.0)
		}},
		{"heats against its cooling", "heats_against_cooling", "remedy_cooling_setpoint", "change_saves_energy",
			func(p *plan.Plan) {
				p.Chillers = []plan.Chiller{{ID: "cooler", CoolingW: 100, PowerW: 60, ThermostatC: new(24.8),
					ThermostatHysteresisK: 0.2}}
			}},
		{"a dial as far as it goes", "dial_beyond_harm", "remedy_dial", "remedy_then", func(p *plan.Plan) {
			p.Heaters[0].PowerW, p.Heaters[0].ThermostatC = 300, new(32.0)
		}},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			p := quiet()
			c.edit(&p)
			change, found := advised(t, p)[c.finding]
			require.True(t, found)
			require.Equal(t, "change_proved", change.Code, "%v", change)
			assert.Equal(t, c.sentence, change.Params["change"].(text.Text).Code)
			assert.Contains(t, change.Params["proof"].(text.Text).String(), c.proof)
		})
	}
}

// A change that cannot be built, harms, or leaves its finding where it is, is not told.
func TestAdviceThatDoesNotHelpIsNotTold(t *testing.T) {
	p := quiet()
	p.Heaters[0].PowerW, p.Heaters[0].ThermostatC = 300, nil
	r, err := audit.Single(context.Background(), p)
	require.NoError(t, err)
	i := 0
	for k, f := range r.Findings {
		r.Findings[k].Answer = nil
		if f.Severity == audit.Fatal && i == 0 {
			i = k
		}
	}
	for name, edit := range map[string]func(p *plan.Plan){
		"nothing":                  func(*plan.Plan) {},
		"what cannot be built":     func(p *plan.Plan) { p.Heaters[0].Circuit = new("nowhere") },
		"what harms":               func(p *plan.Plan) { p.Heaters[0].PowerW = 5 },
		"what takes nothing away":  func(p *plan.Plan) { p.Alarms[0].DelayMin = 6 },
		"what is put back, and no": func(p *plan.Plan) { p.Name = "other" },
	} {
		one := r
		one.Findings = []audit.Finding{{Code: r.Findings[i].Code, Elements: r.Findings[i].Elements,
			Severity: audit.Weak,
			Change:   text.Of("change_tried", nil), Answer: &Change{Code: "x", Edit: edit}}}
		list, err := Advise(context.Background(), one, p)
		require.NoError(t, err)
		assert.Equal(t, "change_tried", list[0].Change.Code, name)
	}
	dear := r
	dear.Events = mostAdvised + 1
	list, err := Advise(context.Background(), dear, p)
	require.NoError(t, err)
	assert.Equal(t, r.Findings[0].Change, list[0].Change, "a dear audit is left as it is")
}
