package transport

import (
	"encoding/json"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// auditAnswer is what the tests read of an audit.
type auditAnswer struct {
	Sound       bool `json:"sound"`
	FaultsTotal int  `json:"faults_total"`
	Held        int  `json:"held"`
	Rescued     int  `json:"rescued"`
	Harmed      int  `json:"harmed"`
	Lost        int  `json:"lost"`
	Findings    []struct {
		Severity string `json:"severity"`
		Change   string `json:"change"`
	} `json:"findings"`
	Nominal []struct {
		Crossings []struct {
			Loss  string   `json:"loss"`
			HarmH *float64 `json:"harm_h"`
		} `json:"crossings"`
	} `json:"nominal"`
	Faults []struct {
		ID        string   `json:"id"`
		Verdict   string   `json:"verdict"`
		MarginH   *float64 `json:"margin_h"`
		FirstHarm string   `json:"first_harm"`
		FirstLoss string   `json:"first_loss"`
		Crossings []struct {
			Loss         string `json:"loss"`
			WithoutFault bool   `json:"without_fault"`
		} `json:"crossings"`
	} `json:"faults"`
}

type audited struct {
	Result auditAnswer `json:"result"`
}

func auditDemo(t *testing.T, s *Server, name string) auditAnswer {
	t.Helper()
	request, err := os.ReadFile(filepath.Join(root(t), "testdata/api/postPlanAudit/example-"+name+".request.json"))
	require.NoError(t, err)
	r := answered(t, s.contract.Operation("postPlanAudit"), request, "")
	require.Equal(t, 200, r.status, "%s", r.body)
	var a audited
	require.NoError(t, json.Unmarshal(r.body, &a))
	return a.Result
}

// The demo scenario: two sound plans, and plans with one fatal flaw each. The
// audit must find exactly that flaw. The plans are invented; what is asserted
// is that the audit tells them apart, not a number of theirs.
func TestTheGalleryOfFlaws(t *testing.T) {
	cases := []struct {
		plan    string
		losses  []string // verdicts and their kinds among the faults that are not sound
		faults  []string // ids of those
		nominal []string // kinds of harm with nothing broken
	}{
		{plan: "household-sound"},
		{plan: "shop-sound"},
		{plan: "household-oversized-heater", losses: []string{"harmed overheated"},
			faults: []string{"heat-control.hung_on", "heat-control.output_welded.heater-left", "sump-probe.frozen_low",
				"sump-probe.out_of_water"}},
		{plan: "household-shared-probe", losses: []string{"harmed chilled", "lost overheated"},
			faults: []string{"sump-probe.frozen_high", "sump-probe.frozen_low"}},
		{plan: "household-reservoir-too-large", losses: []string{"harmed flooded"},
			faults: []string{"fill-control.hung_on", "fill-control.output_welded.fill-pump", "line-float.stuck_dry"}},
		{plan: "household-no-dark-hours", nominal: []string{"no_dark"}},
		{plan: "household-alarm-on-tripped-circuit", losses: []string{"lost chilled"},
			faults: []string{"circuit-b.tripped", "heater-left.element_shorted"}},
		{plan: "household-shallow-intake", losses: []string{"harmed run_dry"},
			faults: []string{
				"fill-control.hung_off", "fill-control.hung_on", "fill-control.output_open.fill-pump",
				"fill-control.output_welded.fill-pump",
				"fill-cut.cuts_falsely", "fill-cut.output_open.fill-pump", "fill-pump.stopped", "high-float.stuck_wet",
				"jerrycan.left_empty",
				"line-float.stuck_dry", "line-float.stuck_wet",
			}},
		{plan: "household-drain-back-flood", losses: []string{"harmed flooded"},
			faults: []string{"circuit-b.tripped", "heater-left.element_shorted", "lift-pump.stopped", "mains.lost"}},
		// Written before it was run: the surge takes the guard, whose open relays stop both heaters, together with the
		// control and both temperature alarms; what watches the circuit sees it live. (Predicted as lost; pumps and
		// room keep it just warm enough not to be.)
		{plan: "household-surge", losses: []string{"harmed chilled"}, faults: []string{"circuit-b.surge"}},
		// Written before it was run: 0.072 m2 of chamber hold 9.4 L above the intake, the display takes 6.7 L up to its
		// rim, and the top-off pump sends more after them for its 20 minutes.
		{plan: "household-one-overflow", losses: []string{"harmed flooded"}, faults: []string{"overflow.blocked"}},
		// Predicted before it was run: only the weld, since the control that is watched no longer calls. Its twin with
		// the alarm on the heater is sound.
		{plan: "household-watch-on-control", losses: []string{"harmed overheated"},
			faults: []string{"heat-control.output_welded.heater-left"}},
		// Predicted: the contactor's weld alone, which control and guard both stand before. Without it the plan is
		// sound.
		{plan: "household-contactor", losses: []string{"harmed overheated"}, faults: []string{"heat-contactor.welded"}},
		// Predicted: dead, frozen idle and frozen heating run dry, as the box tops off no more and its alarms are dead.
		// Wrong: in the coldest room all of them end by cold before that.
		{plan: "household-one-box", losses: []string{"harmed chilled", "lost chilled"},
			faults: []string{"brain.dead", "brain.frozen_calling.fill-control", "brain.frozen_calling.heat-control",
				"brain.frozen_idle"}},
		// Predicted before it was run: only the return pump. The display runs 15 mm down, cools by 0.8 K/h and calls
		// its heater, which stands 5 mm out of the water, after 1.3 h; the alarm brings somebody after 4 h. When
		// circuit-b is dead the guard's relay keeps that heater off, and after an outage somebody is there before the
		// mains. (The verdict was right; in the coldest room that heater is called after 19 min, as the room is 17
		// degC.)
		{plan: "household-heater-runs-dry", losses: []string{"harmed heater_dry"},
			faults: []string{"lift-pump.stopped"}},
		// Predicted before it was run: 30 L/d fill the cup of 2 L in 1.6 h and put a litre on the floor 48 min later;
		// the strip tells at once, and 4 h are too long. As usual, nine days make 1.35 L, which the cup holds.
		{plan: "household-skimmer-over-the-floor", losses: []string{"harmed flooded"},
			faults: []string{"skimmer.foams_wet"}},
		{plan: "household-dosing-sound"},
		// Predicted before it was run: 3.6 meq a minute into 270 L are 0.037 dKH a minute. Saturation 7 after 40
		// minutes, harm 2 h later; 27 dKH after 8.5 h, loss 12 h later, as 4 L last for 33 h. Nothing else: the
		// solution in the other container only doubles the dose.
		{plan: "household-doser-without-end", losses: []string{"lost alkalinity_high"},
			faults: []string{"alkalinity-doser.programme_stuck_on"}},
		// Predicted before it was run: 9.4 L of the return chamber down to the pump's intake at 60 L/h, 10 minutes,
		// before any alarm has waited. Display and sump then part; the alarm on cold still beats a loss.
		{plan: "household-drain-without-end", losses: []string{"harmed run_dry"},
			faults: []string{"drain-pump.programme_stuck_on"}},
		// Predicted before it was run: a probe frozen below the band heats for good, and guard and alarm, which ask for
		// both, see the other one alone: lost, as with one shared probe. One out of the water reads 21 degC as usual,
		// heats, and is harmed for the sump's, while the alarm on cold tells of the display's. (Wrong: 300 W warm the
		// tank to 28.8 degC in 21 degC, which holds.) With "any" in place of "all" the plan is sound.
		{plan: "household-two-probes-wrong-rule", losses: []string{"lost overheated"},
			faults: []string{"display-probe.frozen_low", "sump-probe.frozen_low"}},
		// Predicted before it was run: who answers from 7 to 22 o'clock and acts within 4 h comes 13 h after the alarm
		// at the worst, 9 h later than with somebody at every hour. So what had less than 9 h to spare in
		// household-sound is harmed by cold, and nothing is lost, since no loss comes before 67 h.
		{plan: "household-nobody-at-night", losses: []string{"harmed chilled"},
			faults: []string{"circuit-b.tripped", "display-probe.no_signal", "display-probe.reads_high",
				"heat-cut.cuts_falsely", "heater-left.element_shorted", "lift-pump.stopped", "mains.lost"}},
		{plan: "household-two-people-sound"},
		{plan: "shop-one-network-for-all-alarms", losses: []string{"lost airless"},
			faults: []string{"heater-1.element_shorted", "heater-2.element_shorted", "heater-3.element_shorted",
				"heater-4.element_shorted", "shop-circuit.tripped"}},
	}
	s := newTestServer(t)
	for _, c := range cases {
		t.Run(c.plan, func(t *testing.T) {
			r := auditDemo(t, s, c.plan)
			var losses, faults, nominal []string
			for _, f := range r.Faults {
				end := f.FirstHarm
				if f.Verdict == "lost" {
					end = f.FirstLoss
				}
				anyway := false
				for _, x := range f.Crossings {
					anyway = anyway || x.Loss == end && x.WithoutFault
				}
				if (f.Verdict == "lost" || f.Verdict == "harmed") && !anyway {
					faults = append(faults, f.ID)
					if end = f.Verdict + " " + end; !slices.Contains(losses, end) {
						losses = append(losses, end)
					}
				}
			}
			for _, n := range r.Nominal {
				for _, x := range n.Crossings {
					if x.HarmH != nil && !slices.Contains(nominal, x.Loss) {
						nominal = append(nominal, x.Loss)
					}
				}
			}
			slices.Sort(losses)
			slices.Sort(faults)
			assert.Equal(t, c.losses, losses)
			assert.Equal(t, c.faults, faults)
			assert.Equal(t, c.nominal, nominal)
			assert.Equal(t, strings.HasSuffix(c.plan, "-sound"), r.Sound)
			fatal := 0
			for _, f := range r.Findings {
				assert.NotEmpty(t, f.Change)
				if f.Severity == "fatal" {
					fatal++
				}
			}
			assert.Equal(t, r.Sound, fatal == 0, "fatal findings are what makes a plan unsound")
			assert.Equal(t, r.FaultsTotal, r.Held+r.Rescued+r.Harmed+r.Lost)
		})
	}
}
