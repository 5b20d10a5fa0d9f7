package draft

import (
	"math"
	"slices"
	"strings"

	"saltwright/internal/calc/audit"
	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/text"
)

// mend turns what the worst findings ask for, and tells whether anything was left to turn.
func (d *design) mend(r audit.Report) bool {
	changed := false
	turn := func(ok bool, f func()) {
		if ok {
			f()
			changed = true
		}
	}
	var codes []string
	for _, f := range r.Findings {
		if f.Severity == audit.Fatal {
			codes = append(codes, f.Code)
		}
	}
	nominal := func(losses ...string) bool {
		return slices.ContainsFunc(losses, func(loss string) bool { return slices.Contains(codes, "nominal_"+loss) })
	}
	has := func(losses ...string) bool { // with something broken
		return slices.ContainsFunc(losses, func(loss string) bool {
			return slices.ContainsFunc(codes, func(code string) bool {
				return strings.HasSuffix(code, "_"+loss) && !strings.HasPrefix(code, "nominal_")
			})
		})
	}
	if has("overheated") {
		turn(d.mainW > heaterW(1.05*d.needW), func() { d.mainW = smallerW(d.mainW) })
		turn(d.cutC > *d.tank.Limits.ComfortHighC, func() { d.cutC -= 0.3 })
		turn(d.backstopK > 0.85, func() { d.backstopK -= 0.15 })
		turn(d.warmAlarmC > d.setpointC+1.2, func() { d.warmAlarmC -= 0.3; d.alarmDelayMin = 5 })
		turn(d.otherW > heaterW(d.holdW), func() { d.otherW = heaterW(d.holdW) })
	}
	if nominal("overheated") {
		turn(!d.fan, func() { d.fan = true })
	}
	if has("chilled") || nominal("chilled") {
		turn(d.in.Budget.Battery && d.batteryH < d.in.LongestOutageH,
			func() { d.batteryH = math.Ceil(d.in.LongestOutageH) })
		turn(d.in.Budget.Heaters > 1 && d.otherW < 1.6*d.needW, func() { d.otherW = heaterW(1.25 * d.otherW) })
		turn(d.coldAlarmC < d.setpointC-1, func() { d.coldAlarmC += 0.3; d.alarmDelayMin = 5 })
		turn(d.mainW < 1.2*d.needW, func() { d.mainW = heaterW(1.25 * d.needW) })
	}
	if has("airless") {
		turn(d.in.Budget.Battery && d.batteryH < d.in.LongestOutageH,
			func() { d.batteryH = math.Ceil(d.in.LongestOutageH) })
	}
	if has("diluted", "flooded") {
		slowest := math.Max(0.1*d.evaporationLD, plan.TopOffPumpLeastLH)
		turn(d.pumpLH > slowest, func() { d.pumpLH = max(0.6*slowest, plan.TopOffPumpLeastLH, 0.6*d.pumpLH) })
		turn(d.runLimitMin < 240, func() { d.runLimitMin /= 0.7 }) // the slower pump needs longer for its dose
		turn(d.highMM > 6, func() { d.highMM *= 0.8 })
	}
	if (has("flooded") || nominal("flooded")) && *d.in.WithSump {
		turn(d.levelMM > 100, func() { d.setLevel(math.Round(0.9 * d.levelMM)) })
	}
	if has("run_dry", "concentrated") || nominal("run_dry", "concentrated") {
		enough := math.Min(2*d.evaporationLD*d.in.DaysAway, plan.ReservoirMostL)
		turn(d.lowMM < -8, func() { d.lowMM *= 0.7 })
		turn(d.reservoirL < enough,
			func() { d.reservoirL = math.Min(math.Ceil(1.2*d.reservoirL), plan.ReservoirMostL) })
		turn(d.runLimitMin < 240 && nominal("run_dry", "concentrated"), func() { d.runLimitMin *= 1.5 })
	}
	return changed
}

// choices says why the plan is as it is.
func (d *design) choices() []text.Text {
	out := []text.Text{text.Of("draft_main_heater", text.Params{
		"setpoint": d.setpointC, "needed": d.needW, "main": d.mainW, "above": d.backstopK})}
	cut := text.Params{"cut": d.cutC}
	if d.spares() > 0 {
		out = append(out, text.Of("draft_other_heaters", text.Params{"power": d.otherW, "hold": d.holdW}),
			text.Of("draft_two_guards", cut))
	} else {
		out = append(out, text.Of("draft_one_guard", cut))
	}
	out = append(out, text.Of("draft_top_off", text.Params{
		"evaporation": d.evaporationLD, "reservoir": d.reservoirL, "away": d.in.DaysAway, "flow": d.pumpLH,
		"run": d.runLimitMin}))
	out = append(out, text.Of("draft_heater_depth", text.Params{"depth": d.heaterDepthMM()}))
	if h := d.longestHeatingH(); h > 0 {
		out = append(out, text.Of("draft_watch_heater", text.Params{"time": h}))
	}
	if d.batteryH > 0 {
		out = append(out, text.Of("draft_battery", text.Params{"time": d.batteryH}))
	}
	return out
}
