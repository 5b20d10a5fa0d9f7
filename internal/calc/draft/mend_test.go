package draft

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"saltwright/internal/calc/audit"
)

func foundFatal(codes ...string) audit.Report {
	var r audit.Report
	for _, code := range codes {
		r.Findings = append(r.Findings, audit.Finding{Code: code, Severity: audit.Fatal})
	}
	return r
}

// What each finding turns on a design whose numbers are chosen: it needs 100 W, and 60 W to stay above harm; heaters
// are sold with 75, 100, 150, 200 and 250 W; 3 L evaporate a day, and people are away for four.
func TestMending(t *testing.T) {
	const exact = 1e-12 // what the arithmetic of a few binary fractions leaves
	for _, c := range []struct {
		name          string
		codes         []string
		before, after func(d *design)
	}{
		{"too warm after a fault", []string{"lost_overheated"}, nil, func(d *design) {
			d.mainW, d.otherW = 200, 75                          // the next smaller; what holds 60 W
			d.cutC, d.backstopK, d.warmAlarmC = 27.2, 0.95, 26.9 // 27.5 - 0.3, 1.1 - 0.15, 27.2 - 0.3
			d.alarmDelayMin = 5
		}},
		{"too warm, and every margin used up but the main heater", []string{"harmed_overheated"},
			func(d *design) {
				d.mainW, d.otherW, d.cutC, d.backstopK, d.warmAlarmC = 200, 75, 27, 0.85, d.setpointC+1.2
			},
			func(d *design) { d.mainW = 150 }}, // 105 W rounded up is 150 W
		{"too warm with all in order", []string{"nominal_overheated"}, nil, func(d *design) { d.fan = true }},
		{"too cold after a fault", []string{"lost_chilled"}, nil, func(d *design) {
			d.batteryH, d.otherW = 6, 150 // 5.5 h rounded up; 1.25 · 100 = 125 W rounded up
			d.coldAlarmC, d.alarmDelayMin = 24.1, 5
		}},
		{"too cold with all in order, the main heater small", []string{"nominal_chilled"},
			func(d *design) { d.mainW, d.in.Budget.Heaters = 100, 1 },
			func(d *design) {
				d.batteryH, d.mainW = 6, 150 // 1.25 · 100 = 125 W rounded up
				d.coldAlarmC, d.alarmDelayMin = 24.1, 5
			}},
		{"too cold, the other heaters just below 1.6 times the need", []string{"lost_chilled"},
			func(d *design) { d.otherW, d.batteryH, d.coldAlarmC = 159, 5.5, d.setpointC-1 },
			func(d *design) { d.otherW = 200 }}, // 1.25 · 159 = 198.75 W rounded up
		{"airless", []string{"harmed_airless"}, nil, func(d *design) { d.batteryH = 6 }},
		{"diluted", []string{"lost_diluted"}, nil, func(d *design) {
			d.pumpLH, d.runLimitMin, d.highMM = 3, 20/0.7, 19.2 // 0.6 · 5, and 0.8 · 24
		}},
		{"diluted by a pump little above the slowest", []string{"lost_diluted"},
			func(d *design) { d.pumpLH, d.runLimitMin, d.highMM, d.evaporationLD = 3.1, 240, 6, 30 },
			func(d *design) { d.pumpLH = 1.86 }}, // above 0.1 · 30 = 3 L/h, so 0.6 · 3.1
		{"diluted by a pump of the least flow that there is", []string{"lost_diluted"},
			func(d *design) { d.pumpLH, d.runLimitMin, d.highMM, d.evaporationLD = 0.06, 240, 6, 0.1 },
			func(d *design) { d.pumpLH = 0.05 }},
		{"flooded after a fault", []string{"harmed_flooded"}, nil, func(d *design) {
			d.pumpLH, d.runLimitMin = 3, 20/0.7
			d.levelMM, d.lowMM, d.highMM = 180, -32.4, 21.6 // 0.9 · 200, and its 0.18 and 0.12
		}},
		{"flooded with all in order", []string{"nominal_flooded"}, nil, func(d *design) {
			d.levelMM, d.lowMM, d.highMM = 180, -32.4, 21.6
		}},
		{"flooded without a sump", []string{"nominal_flooded"}, func(d *design) { d.in.WithSump = new(false) }, nil},
		{"run dry after a fault", []string{"lost_run_dry"}, nil, func(d *design) {
			d.lowMM, d.reservoirL = -25.2, 12 // 0.7 · -36, 1.2 · 10
		}},
		{"concentrated with all in order", []string{"nominal_concentrated"}, nil, func(d *design) {
			d.lowMM, d.reservoirL, d.runLimitMin = -25.2, 12, 30
		}},
		{"concentrated, the reservoir just short of twice what evaporates", []string{"lost_concentrated"},
			func(d *design) { d.lowMM, d.reservoirL = -8, 23 }, // 2 · 3 L · 4 days = 24 L
			func(d *design) { d.reservoirL = 28 }},             // 27.6 L rounded up
	} {
		d, want := onPaper(), onPaper()
		for _, f := range []func(d *design){c.before} {
			if f != nil {
				f(d)
				f(want)
			}
		}
		changed := d.mend(foundFatal(c.codes...))
		assert.Equal(t, c.after != nil, changed, c.name)
		if c.after != nil {
			c.after(want)
		}
		sameDesign(t, want, d, exact, c.name)
	}
}

// A finding that only warns turns nothing, and neither does a fatal one once all that it turns is at its end.
func TestNothingLeftToMend(t *testing.T) {
	for _, c := range []struct {
		code   string
		before func(d *design)
	}{
		{"lost_overheated", func(d *design) {
			// 105 W rounded up, the edge of comfort, the least margins, and what holds 60 W
			d.mainW, d.otherW, d.cutC, d.backstopK, d.warmAlarmC = 150, 75, 27, 0.85, d.setpointC+1.2
		}},
		{"nominal_overheated", func(d *design) { d.fan = true }},
		{"lost_chilled", func(d *design) {
			d.batteryH, d.otherW, d.coldAlarmC, d.mainW = 5.5, 1.6*d.needW, d.setpointC-1, 1.2*d.needW
		}},
		{"lost_airless", func(d *design) { d.batteryH = 5.5 }},
		{"lost_diluted", func(d *design) { d.pumpLH, d.runLimitMin, d.highMM = 0.1*d.evaporationLD, 240, 6 }},
		{"nominal_flooded", func(d *design) { d.levelMM = 100 }},
		{"nominal_run_dry", func(d *design) { d.lowMM, d.reservoirL, d.runLimitMin = -8, 24, 240 }}, // 2 · 3 L · 4 days
		{"hidden_failure", func(*design) {}},
	} {
		d, want := onPaper(c.before), onPaper(c.before)
		assert.False(t, d.mend(foundFatal(c.code)), c.code)
		sameDesign(t, want, d, 0, c.code)
	}
	d := onPaper()
	assert.False(t, d.mend(audit.Report{Findings: []audit.Finding{{Code: "lost_overheated", Severity: audit.Weak}}}))
	sameDesign(t, onPaper(), d, 0, "a warning")
}

// sameDesign compares what mending turns.
func sameDesign(t *testing.T, want, got *design, exact float64, name string) {
	t.Helper()
	numbers := func(d *design) map[string]float64 {
		return map[string]float64{"main": d.mainW, "other": d.otherW, "backstop": d.backstopK, "cut": d.cutC,
			"warm": d.warmAlarmC, "cold": d.coldAlarmC, "delay": d.alarmDelayMin, "pump": d.pumpLH,
			"run": d.runLimitMin, "reservoir": d.reservoirL, "level": d.levelMM, "low": d.lowMM, "high": d.highMM,
			"battery": d.batteryH}
	}
	assert.InDeltaMapValues(t, numbers(want), numbers(got), 10*exact, name)
	assert.Equal(t, want.fan, got.fan, name)
}

// Each choice is told only where it was made.
func TestChoicesTellWhatWasMade(t *testing.T) {
	for _, c := range []struct {
		name string
		edit func(d *design)
		want []string
	}{
		{"as it is", func(*design) {}, []string{"draft_main_heater", "draft_other_heaters", "draft_two_guards",
			"draft_top_off", "draft_heater_depth", "draft_watch_heater"}},
		// One heater; nothing to spare, so that no run of it tells anything; a battery.
		{"other", func(d *design) { d.in.Budget.Heaters, d.mainW, d.batteryH = 1, 100, 6 },
			[]string{"draft_main_heater", "draft_one_guard", "draft_top_off", "draft_heater_depth", "draft_battery"}},
	} {
		var codes []string
		for _, x := range onPaper(c.edit).choices() {
			codes = append(codes, x.Code)
		}
		assert.Equal(t, c.want, codes, c.name)
	}
}
