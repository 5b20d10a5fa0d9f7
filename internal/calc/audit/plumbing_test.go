package audit

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc/plan"
)

// Predictions, written before the audit was asked. A tank that nothing watches and that is sound as long as its room is
// stated and stays so; each of these says one more thing of what is built.
func TestWhatAPlanSaysMore(t *testing.T) {
	sound := func() plan.Plan {
		p := twoOutlets()
		p.Power = plan.Power{LongestOutageH: 2, NetworkCircuit: ptr("wall"),
			Circuits: []plan.Circuit{{ID: "wet"}, {ID: "wall"}}}
		p.Heaters = []plan.Heater{
			{ID: "left", PowerW: 150, ThermostatC: ptr(25.6), ThermostatHysteresisK: 0.6, Circuit: ptr("wet")},
			{ID: "right", PowerW: 150, ThermostatC: ptr(25.3), ThermostatHysteresisK: 0.6, Circuit: ptr("wall")},
		}
		p.Lights[0].Supply, p.TopOffPumps[0].Supply = ptr("wall"), ptr("wall")
		p.Pumps[0].Supply = ptr("wall")
		p.Attendance.LongestAbsenceH = ptr(24.0)
		return p
	}
	before := single(t, sound())
	bad := map[string]string{}
	for _, f := range before.Faults {
		if !f.Verdict.Sound() {
			bad[f.Fault.ID] = f.Ends()
		}
	}
	cases := []struct {
		name, fault string
		change      func(*plan.Plan)
		verdict     Verdict
		ends        string
	}{
		// predicted as harm
		{"two heaters of 110 W do not hold it in a house of 0 °C", "radiator.stopped", func(p *plan.Plan) {
			p.RoomDevices = []plan.RoomDevice{{ID: "radiator", Kind: plan.RoomHeating, WithoutC: 0,
				TimeConstantH: ptr(3.0), Circuit: ptr("wet")}}
			p.Heaters[0].PowerW, p.Heaters[1].PowerW = 110, 110
		}, Lost, "chilled"},
		// predicted as a pump that draws air, which comes after the first litre on the floor
		{"a seam that lets out 60 L/h", "seam.opens", func(p *plan.Plan) {
			p.Leaks = []plan.Leak{{ID: "seam", Kind: plan.SeamLeak, HeightMM: -3000, FlowLH: 60}}
		}, Harmed, "flooded"},
		{"a nozzle 150 mm deep without a hole", "lift.stopped", func(p *plan.Plan) {
			p.ReturnLines = []plan.ReturnLine{{ID: "line", NozzleDepthMM: 150}}
		}, Harmed, "flooded"},
		{"the only overflow", "weir.blocked", func(p *plan.Plan) {
			p.Overflows = []plan.Overflow{{ID: "weir"}}
		}, Harmed, "run_dry"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			p := sound()
			c.change(&p)
			usual := p.Clone()
			usual.RoomDevices = nil
			for _, n := range single(t, usual).Nominal {
				for _, x := range n.Crossings {
					assert.Nil(t, x.HarmH, "nothing harms it with nothing broken")
				}
			}
			f := fault(t, single(t, p), c.fault)
			assert.Equal(t, c.verdict, f.Verdict)
			assert.Equal(t, c.ends, f.Ends())
			t.Log(lossSentence(f, 0))
			if bad[c.fault] != "" {
				assert.NotEqual(t, c.ends, bad[c.fault], "it was so before")
			}
		})
	}
	// A second overflow, or a hole above the nozzle, and it holds.
	p := sound()
	p.Overflows = []plan.Overflow{{ID: "weir"}, {ID: "spare"}}
	p.ReturnLines = []plan.ReturnLine{{ID: "line", NozzleDepthMM: 150, SiphonHole: true}}
	r := single(t, p)
	assert.Equal(t, Held, fault(t, r, "weir.blocked").Verdict)
	still := fault(t, r, "lift.stopped")
	assert.NotEqual(t, "flooded", still.Ends())
	hole := fault(t, r, "line.hole_blocked")
	assert.Equal(t, Held, hole.Verdict)
	assert.True(t, hole.Hidden, "until the return stops")
	hand := handOver(r)
	var tried []string
	for _, x := range hand.Monthly {
		tried = append(tried, x.Do.Code)
	}
	assert.Contains(t, tried, "try_free_line")
	require.NotEmpty(t, hand.Commission)
}
