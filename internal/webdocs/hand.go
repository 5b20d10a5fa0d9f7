package webdocs

import "net/url"

// hand is how the page of a calculator that most people come for differs from what the contract alone makes of it.
type hand struct {
	figures []string // the codes of the numbers that are shown large, in this order
	assumed []string // what many people know better than what is assumed: shown unfolded
	do      string   // the phrase over what to do
	short   []string // the paths of a document's members that a simple case needs; none: the form has every parameter
	example url.Values
}

// keyFigure is one number of an answer that people ask for.
type keyFigure struct{ Code, Label, Text string }

var byHand = map[string]hand{
	"heater-sizing": {
		figures: []string{"heater_recommended_figure", "heater_needed_figure", "heater_usual_duty_figure"},
		assumed: []string{"coldest_c", "warmest_c", "setpoint_c", "lid", "pumps_w", "response_h"},
		do:      "do_buy",
	},
	"top-off-endurance": {
		figures: []string{"topoff_need_figure", "topoff_worst_figure", "topoff_most_figure"},
		assumed: []string{"warmest_c", "lid", "water_c", "salinity_psu", "measured_l_d", "run_limit_min"},
		do:      "do_buy",
	},
	"salinity-adjustment": {
		figures: []string{"adjust_each_figure", "adjust_total_figure", "adjust_days_figure"},
		assumed: []string{"to_psu", "new_water_psu", "pace_psu_d", "days_between", "changes", "evaporation_l_d"},
		do:      "do_do",
	},
	"instrument-reading": {
		figures: []string{"instrument_likely_figure", "instrument_low_figure", "instrument_high_figure"},
		assumed: []string{"sample_c", "sg_pair", "fluid", "fluid_value", "shown", "days_ago"},
		do:      "do_do",
	},
	"light-schedule-score": {
		figures: []string{"light_score_figure", "light_lit_figure", "light_integral_figure"},
		assumed: []string{"livestock", "channels/0/power_w", "moonlight_percent"},
		do:      "do_set",
		short: []string{"channels/0/on_at", "channels/0/off_at", "channels/0/ramp_min", "channels/0/peak_ppfd",
			"livestock", "channels/0/power_w", "moonlight_percent"},
		example: url.Values{"channels/0/on_at": {"10:00"}, "channels/0/off_at": {"20:00"},
			"channels/0/ramp_min": {"60"}, "channels/0/peak_ppfd": {"200"}, "channels/0/power_w": {"120"}},
	},
	"outage-endurance": {
		figures: []string{"outage_safe_figure", "outage_end_figure", "outage_oxygen_figure"},
		assumed: []string{"duration_h", "coldest_c", "fish_g", "battery_wh", "battery_load_w", "lid"},
		do:      "do_in_order",
	},
	"chiller-sizing": {
		figures: []string{"chiller_recommended_figure", "chiller_runs_figure", "chiller_draws_figure"},
		assumed: []string{"warmest_c", "setpoint_c", "pumps_w", "lights_w", "lid", "rh_percent"},
		do:      "do_buy",
	},
}

// mainFigures are how many numbers of an answer are large.
const mainFigures = 3

// largest puts the numbers that the page is about first.
func (h hand) largest(all []keyFigure) (main, rest []keyFigure) {
	if len(h.figures) == 0 {
		n := min(len(all), mainFigures)
		return all[:n], all[n:]
	}
	taken := map[string]bool{}
	for _, code := range h.figures {
		for _, f := range all {
			if f.Code == code {
				main, taken[code] = append(main, f), true
			}
		}
	}
	for _, f := range all {
		if taken[f.Code] {
			continue
		}
		if len(main) < mainFigures {
			main = append(main, f)
		} else {
			rest = append(rest, f)
		}
	}
	return main, rest
}
