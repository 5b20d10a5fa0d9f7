package remedy

import (
	"context"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc/audit"
	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/text"
)

// asSent refuses nothing.
func asSent(_ context.Context, edited plan.Plan) (plan.Plan, bool, error) { return edited, true, nil }

// advised audits a plan and returns the change that each finding has then, by its code.
func advised(t *testing.T, p plan.Plan) map[string]text.Text {
	t.Helper()
	r, err := audit.Single(context.Background(), p)
	require.NoError(t, err)
	list, err := Advise(context.Background(), r, p, asSent)
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
			Answer:   &Change{Code: "x", Edit: edit}}}
		list, err := Advise(context.Background(), one, p, asSent)
		require.NoError(t, err)
		assert.Nil(t, list[0].Proved, name)
		assert.Contains(t, []string{"change_none_alone", "change_nothing_known"}, list[0].Change.Code, name)
	}
	dear := r
	dear.Events = mostAdvised + 1
	list, err := Advise(context.Background(), dear, p, asSent)
	require.NoError(t, err)
	assert.Equal(t, "change_too_large", list[i].Change.Code, "a dear audit is left as it is")
	dear.Events, dear.Findings = mostAdvised, []audit.Finding{{Code: "x"}}
	list, err = Advise(context.Background(), dear, p, asSent)
	require.NoError(t, err)
	assert.Equal(t, "change_nothing_known", list[0].Change.Code, "one that is just not dearer is not")
}

// Advice costs no more than it may, whatever its changes do: here each answer makes a relay chatter for weeks.
func TestAdviceIsBounded(t *testing.T) {
	for _, hysteresisK := range []float64{0.4, 0.1} {
		p := quiet()
		p.Controls[1].HysteresisK = hysteresisK
		r, err := audit.Single(context.Background(), p)
		require.NoError(t, err)
		usual, _, err := plan.Complete(p)
		require.NoError(t, err)
		work := audit.Work(r.Events, usual)
		for i := range r.Findings {
			r.Findings[i].Answer = &Change{Code: "chatters", Sentence: text.Of("x", nil), Edit: func(p *plan.Plan) {
				p.Heaters[0].PowerW, p.Heaters[0].ThermostatC = 5000, nil
				p.Controls[1].HysteresisK = 0
				p.Pumps = append(p.Pumps, plan.NewPump(plan.FreeID(*p, "more"), plan.CirculationRole, 2000, 8))
			}}
		}
		list, spent, err := advise(context.Background(), r, p, asSent)
		require.NoError(t, err)
		assert.LessOrEqual(t, spent, 6*max(work, leastWork))
		assert.GreaterOrEqual(t, float64(spent), adviceShare*float64(max(work, leastWork)), "all of its share is spent")
		for _, f := range list {
			if f.Code != "weather_left_out" && len(f.Faults) == 0 {
				assert.Nil(t, f.Proved, f.Code)
			}
		}
		t.Logf("hysteresis %.1f K: audit %d, advice %d, %.2f times", hysteresisK, work, spent,
			float64(spent)/float64(work))
	}
}

// What the document refuses is not told, and weather and protection of people are told with what was tried.
func TestAdviceAsksTheDocumentAndSaysWhatWasTried(t *testing.T) {
	p := quiet()
	r, err := audit.Single(context.Background(), p)
	require.NoError(t, err)
	list, _, err := advise(context.Background(), r, p,
		func(context.Context, plan.Plan) (plan.Plan, bool, error) { return plan.Plan{}, false, nil })
	require.NoError(t, err)
	for i, f := range list {
		assert.Nil(t, f.Proved, f.Code)
		if f.Code != "weather_left_out" && f.Code != "no_ground_fault_protection" { // told whatever comes out
			assert.True(t, r.Findings[i].Change.String() == f.Change.String() ||
				strings.HasPrefix(f.Change.Code, "change_no") || f.Change.Code == "change_time_ran_out", f.Code)
		}
	}
	found := advised(t, p)
	assert.Contains(t, []string{"change_weather_bears", "change_weather_harms"}, found["weather_left_out"].Code)
	assert.Contains(t, []string{"change_proved", "change_costs", "change_untried"},
		found["no_ground_fault_protection"].Code)
	assert.Equal(t, "change_ground_fault", found["no_ground_fault_protection"].Params["change"].(text.Text).Code)
	t.Log(found["no_ground_fault_protection"], found["weather_left_out"])
}
