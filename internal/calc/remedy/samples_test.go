package remedy

import (
	"context"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc/audit"
	"saltwright/internal/calc/plan"
)

// quiet is a plan whose devices bring none of the harms that a sample is about.
func quiet() plan.Plan {
	p := equipped(sent())
	p.Heaters[0].PowerW, p.Heaters[0].ThermostatC = 150, new(26.0)
	p.Reservoirs[0].VolumeL = 8
	p.Lights[0].Schedule = day("10:00", "20:00", 60)
	p.Room.Coldest = &plan.RoomState{TempC: 19, RHPercent: 50}
	p.Room.Warmest = &plan.RoomState{TempC: 24, RHPercent: 50}
	p.Attendance.LongestAbsenceH = new(72.0)
	return p
}

func find(t *testing.T, p plan.Plan) Result {
	t.Helper()
	r, err := Find(context.Background(), p, asSent)
	require.NoError(t, err)
	return r
}

// cure returns the first single change of a code that makes a fault end better, and how it ends then.
func cure(t *testing.T, r Result, code, fault string) audit.FaultReport {
	t.Helper()
	var tried []string
	for _, s := range r.Next {
		found := r.Changes(s)[0].Code
		tried = append(tried, found)
		if found == code && fault == "" && s.Mended {
			return audit.FaultReport{Verdict: audit.Held}
		}
		for _, o := range s.Better() {
			if found == code && o.Then.Fault.ID == fault {
				return o.Then
			}
		}
	}
	require.Fail(t, "no such cure", "%s for %s; there are %v", code, fault, tried)
	return audit.FaultReport{}
}

// What is proposed is what comes out: each change and each set, made and audited again, ends as it was said, and
// nothing that ended well ends worse.
func keepsItsWord(t *testing.T, r Result) {
	t.Helper()
	for _, s := range append(slices.Clone(r.Next), r.Sets...) {
		again, err := audit.Single(context.Background(), r.Edited(s))
		require.NoError(t, err)
		code := r.Changes(s)[0].Code
		ends := map[string]audit.FaultReport{}
		for _, f := range again.Faults {
			ends[f.Fault.ID] = f
		}
		assert.True(t, s.improves(), code)
		for _, o := range s.Better() {
			now := ends[o.Then.Fault.ID]
			assert.Equal(t, o.Then.Verdict, now.Verdict, "%s: %s", code, now.Fault.ID)
			assert.Equal(t, o.Then.MarginH, now.MarginH, "%s: %s", code, now.Fault.ID)
			assert.Equal(t, o.Then.Extremes, now.Extremes, "%s: %s", code, now.Fault.ID)
		}
		for _, f := range r.Report.Faults {
			if now, still := ends[f.Fault.ID]; still && f.Verdict.Sound() {
				assert.True(t, now.Verdict.Sound(), "%s: %s", code, f.Fault.ID)
			}
		}
	}
}

// Each of these was met: an answer that did not help, or could not be made.
func TestSamplesHaveARemedyThatHelps(t *testing.T) {
	cases := []struct {
		name, fault, code string
		edit              func(p *plan.Plan)
		without           []string // changes that do not help there
	}{
		{"a siphon is broken, not pumped", "", "siphon_break", func(p *plan.Plan) {
			p.Reservoirs[0].VolumeL, p.Reservoirs[0].WaterAboveOutletMM = 80, 300
		}, []string{"run_limit", "second_level_sensor"}},
		{"many large heaters need a guard, not a split", "heat.hung_on", "guard", func(p *plan.Plan) {
			p.Heaters = nil
			p.Controls[1].Outputs = nil
			for _, id := range []string{"a", "b", "c", "d"} {
				h := plan.NewHeater(id, 200)
				p.Heaters = append(p.Heaters, h)
				p.Controls[1].Outputs = append(p.Controls[1].Outputs, id)
			}
		}, []string{"split_heater"}},
		{"a timer that sticks needs a lamp that ends the day by itself", "sun.hung_on", "lamp_schedule",
			func(p *plan.Plan) {
				p.Lights[0].Schedule = nil
				p.Limits.HarmLitH = new(48.0)
				sun := plan.NewControl("sun", plan.Timer, "lamp")
				sun.Schedule = day("10:00", "20:00", 0)
				p.Controls = append(p.Controls, sun)
			}, []string{"second_timer"}},
		{"a dead cooler has a remedy", "cooler.stopped", "spare_chiller", func(p *plan.Plan) {
			p.Room.Warmest = &plan.RoomState{TempC: 33, RHPercent: 60}
			p.Chillers = []plan.Chiller{{ID: "cooler", CoolingW: 300, PowerW: 100, ThermostatC: new(26.5),
				ThermostatHysteresisK: 0.5}}
		}, nil},
		{"a heater that runs dry hangs lower", "lift.stopped", "lower_heater", func(p *plan.Plan) {
			p.Display.DrainBackMM = 20
			p.Pumps = []plan.Pump{plan.NewPump("lift", plan.ReturnRole, 1200, 20),
				plan.NewPump("stream", plan.CirculationRole, 2000, 8)}
			p.Pumps[1].Circuit = new("two")
			p.Heaters[0].Place, p.Heaters[0].HeightMM = new(plan.InDisplay), new(-5.0)
		}, nil},
		{"a cup that runs over gets a stop", "skimmer.foams_wet", "cup_stop", func(p *plan.Plan) {
			x := plan.Skimmer{ID: "skimmer", PowerW: 10, HeatShare: 1, CupL: 2, SkimmateLDay: 0.15, WetTimes: 10,
				FullCup: plan.CupSpills}
			x.WetTimes = 200
			p.Skimmers = []plan.Skimmer{x}
		}, nil},
		{"an alarm that nobody hears gets a mobile path", "heat.hung_on", "alarm_path", func(p *plan.Plan) {
			p.Heaters[0].PowerW, p.Heaters[0].ThermostatC = 300, nil
			p.Attendance.ResponseH = new(2.0)
		}, nil},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			p := quiet()
			c.edit(&p)
			r := find(t, p)
			cure(t, r, c.code, c.fault)
			for _, s := range r.Next {
				assert.NotContains(t, c.without, r.Changes(s)[0].Code)
			}
			keepsItsWord(t, r)
		})
	}
}
