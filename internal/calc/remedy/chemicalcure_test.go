package remedy

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc/audit"
	"saltwright/internal/calc/plan"
)

// Changes whose plan was worked by hand before it was audited: how the fault ends without the change, when, and that it
// ends well with it. The tank is quiet(): 240 L of display and 55 L of sump, 35 PSU, away for 72 h.
func TestChangesOfPlansWorkedByHand(t *testing.T) {
	clock := plan.Doses{ADay: 2, RunS: 300, FirstAt: "03:00"}
	for _, c := range []struct {
		name, fault, code, sentence string
		ends                        string
		atH, within                 float64
		edit                        func(p *plan.Plan)
	}{
		// Mains are out for 24 h and the water stands. It uses 0.6 mg/(L h), of which still air gives little back: from
		// 6.7 mg/L to the 4 of harm (not 2, as was first reckoned with) takes 2.7/0.6 = 4.5 h. The alarm has a battery of
		// its own, but its modem has none. With a second modem that has one, help is there an hour after the alarm.
		{"a modem that dies with the mains needs a second", "mains.lost", "second_modem", "remedy_second_modem",
			"airless", 4.5, 0.5, func(p *plan.Plan) {
				still(p)
				p.Modems = []plan.Modem{{ID: "modem", Circuit: new("one")}}
				watch := plan.NewSensor("watch-one", plan.PowerKind)
				watch.Circuit = new("one")
				p.Sensors = append(p.Sensors, watch)
				dead := plan.NewAlarm("dead-one", "watch-one", plan.NoPower, plan.CellularPath)
				dead.Path, dead.Paths, dead.OwnBattery = "", []string{"modem"}, true
				p.Alarms = append(p.Alarms, dead)
				p.Attendance.ResponseH = new(1.0)
			}},
		// A drain of 30 L/h, its inlet 20 mm down, with a top-off of 10 L/h out of 60 L: S = 35 exp(-F/V) after F litres,
		// V about 293 L. 30 PSU after ln(35/30) V = 45 L or 4.5 h, harm 2 h later: 6.5 h; the end is 35 exp(-60/293) =
		// 28.5.
		{"a drain that never stops needs a guard on conductivity", "out.programme_stuck_on", "chemical_guard",
			"remedy_low_salt_guard", "diluted", 6.5, 0.7, func(p *plan.Plan) {
				p.TopOffPumps[0].FlowLH, p.Reservoirs[0].VolumeL = 10, 60
				p.ChangePumps = []plan.ChangePump{
					{ID: "out", Role: plan.Drain, FlowLH: 30, Doses: &clock, InletMM: new(-20.0)},
					{ID: "in", Role: plan.NewWater, FlowLH: 30, Doses: &clock,
						Container: &plan.FreshSeaWater{VolumeL: 20}},
				}
			}},
		// 5 g of carbon dioxide an hour are 114 mmol in 293 L, 0.39 mmol/L an hour. At pH 8.05 and 2.85 meq/L there is
		// about 2.5 mmol/L of carbon; at pH 7.4 there are 2.8: 0.3 more, after 0.8 h, and 2 h later it is harm: about 3 h.
		{"carbon dioxide that never stops needs a guard on pH", "gas.programme_stuck_on", "chemical_guard",
			"remedy_low_ph_guard", "ph_low", 3, 0.7, func(p *plan.Plan) {
				p.CarbonDioxide = []plan.CarbonDioxide{{ID: "gas", FlowGH: 5, BottleG: 500, Into: plan.IntoTank,
					Doses: &plan.Doses{ADay: 2, RunS: 10, FirstAt: "12:00"}}}
			}},
	} {
		t.Run(c.name, func(t *testing.T) {
			p := quiet()
			c.edit(&p)
			before := verdictOf(t, p, c.fault)
			require.False(t, before.Verdict.Sound(), "%v", before.Verdict)
			assert.Equal(t, c.ends, before.FirstHarm)
			assert.InDelta(t, c.atH, *before.HarmH, c.within)
			t.Logf("%s after %.2f h", before.FirstHarm, *before.HarmH)
			for _, edited := range changedBy(t, p, c.code, c.sentence) {
				after := verdictOf(t, edited, c.fault)
				assert.True(t, after.Verdict.Sound(), "%s: %v", after.Ends(), after.Verdict)
				assert.False(t, after.Thin())
			}
		})
	}
}

// Lime water of 25 L at saturation, 40.6 meq/L and a float that hangs: all of it is 1015 meq in some 318 L, 3.2 meq/L or
// 9 dKH, as hydroxide: beyond pH 9.5. The weaker one is as much weaker as the reservoir may hold at once, less a
// twentieth, and brings of each day's evaporation so much less: what is missing is that share of the demand.
func TestWeakerLimeWaterSaysWhatItNoLongerCovers(t *testing.T) {
	p := quiet()
	p.Reservoirs[0].VolumeL, p.Reservoirs[0].LimeShare = 25, new(1.0)
	fault := "line.stuck_dry"
	before := verdictOf(t, p, fault)
	require.False(t, before.Verdict.Sound())
	r, err := audit.Single(context.Background(), p)
	require.NoError(t, err)
	require.Len(t, r.Containers, 1)
	share := 0.95 * r.Containers[0].LargestL / r.Containers[0].HoldsL
	found := false
	for _, c := range Candidates(r, p) {
		if c.Code != "weaker_lime" {
			continue
		}
		found = true
		require.Equal(t, "remedy_weaker_lime_short", c.Sentence.Code)
		assert.InDelta(t, share, c.Sentence.Params["share"].(float64), 0.01)
		demand := *r.Plan.Chemistry.DemandDKHD
		assert.InDelta(t, demand*(1-c.Sentence.Params["share"].(float64)), c.Sentence.Params["missing"].(float64),
			1e-9*demand)
		edited := p.Clone()
		c.Edit(&edited)
		after := verdictOf(t, edited, fault)
		assert.NotEqual(t, "ph_high", after.Ends(), "all of it at once does no harm by pH")
		t.Logf("share %.2f of saturation, %.2f of %.2f dKH/d missing; before %s %s, after %s %s",
			c.Sentence.Params["share"], c.Sentence.Params["missing"], demand, before.Verdict, before.Ends(),
			after.Verdict, after.Ends())
	}
	assert.True(t, found)
	// Where half of it is enough for what the tank uses, a weaker one covers that and says so.
	p.Chemistry = &plan.Chemistry{AlkalinityDKH: 8, CalciumMgL: 420, PH: 8.05, DemandDKHD: new(0.01)}
	if r, err = audit.Single(context.Background(), p); assert.NoError(t, err) {
		var said []string
		for _, c := range Candidates(r, p) {
			if c.Code == "weaker_lime" {
				said = append(said, c.Sentence.Code)
			}
		}
		assert.Equal(t, []string{"remedy_weaker_lime"}, said)
	}
}
