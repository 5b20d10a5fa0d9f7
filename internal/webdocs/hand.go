package webdocs

import (
	"encoding/json"
	"net/url"
	"strconv"
	"strings"

	"saltwright/clients/reading"
	"saltwright/internal/contract"
)

// hand is how the page of a calculator that most people come for differs from what the contract alone makes of it.
type hand struct {
	figures []string // the codes of the numbers that are shown large, in this order
	assumed []string // what many people know better than what is assumed: shown unfolded
	do      string   // the heading over what to do
	short   []string // the paths of a document's members that a simple case needs; none: the form has every parameter
	example url.Values
}

var byHand = map[string]hand{
	"heater-sizing": {
		figures: []string{"heater_recommended_figure", "heater_needed_figure", "heater_usual_duty_figure"},
		assumed: []string{"coldest_c", "warmest_c", "setpoint_c", "lid", "pumps_w", "response_h"},
		do:      "What to buy and set",
	},
	"top-off-endurance": {
		figures: []string{"topoff_need_figure", "topoff_worst_figure", "topoff_most_figure"},
		assumed: []string{"warmest_c", "lid", "water_c", "salinity_psu", "measured_l_d", "run_limit_min"},
		do:      "What to buy and set",
	},
	"salinity-adjustment": {
		figures: []string{"adjust_each_figure", "adjust_total_figure", "adjust_days_figure"},
		assumed: []string{"to_psu", "new_water_psu", "pace_psu_d", "days_between", "changes", "evaporation_l_d"},
		do:      "What to do",
	},
	"instrument-reading": {
		figures: []string{"instrument_likely_figure", "instrument_low_figure", "instrument_high_figure"},
		assumed: []string{"sample_c", "sg_pair", "fluid", "fluid_value", "shown", "days_ago"},
		do:      "What to do",
	},
	"light-schedule-score": {
		figures: []string{"light_score_figure", "light_lit_figure", "light_integral_figure"},
		assumed: []string{"livestock", "channels/0/power_w", "moonlight_percent"},
		do:      "What to set",
		short: []string{"channels/0/on_at", "channels/0/off_at", "channels/0/ramp_min", "channels/0/peak_ppfd",
			"livestock", "channels/0/power_w", "moonlight_percent"},
		example: url.Values{"channels/0/on_at": {"10:00"}, "channels/0/off_at": {"20:00"},
			"channels/0/ramp_min": {"60"}, "channels/0/peak_ppfd": {"200"}, "channels/0/power_w": {"120"}},
	},
	"outage-endurance": {
		figures: []string{"outage_safe_figure", "outage_end_figure", "outage_oxygen_figure"},
		assumed: []string{"duration_h", "coldest_c", "fish_g", "battery_wh", "battery_load_w", "lid"},
		do:      "What to do, in order",
	},
	"chiller-sizing": {
		figures: []string{"chiller_recommended_figure", "chiller_runs_figure", "chiller_draws_figure"},
		assumed: []string{"warmest_c", "setpoint_c", "pumps_w", "lights_w", "lid", "rh_percent"},
		do:      "What to buy and set",
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

// asksByFields tells whether the calculator has a form of fields, so that a page of an answer has an address.
func (x *calculator) asksByFields() bool { return x.Flat || len(x.hand.short) > 0 }

// members are what the fields of the form ask for.
func (x *calculator) members() []*contract.Member {
	var out []*contract.Member
	for _, path := range x.hand.short {
		if m := memberAt(x.post.Body, path); m != nil {
			out = append(out, &contract.Member{Name: path, Schema: m.Schema, Required: strings.HasSuffix(path, "_at")})
		}
	}
	return out
}

// memberAt finds a member of a document's schema by its path, "channels/0/on_at".
func memberAt(s *contract.Schema, path string) *contract.Member {
	var m *contract.Member
	for _, token := range strings.Split(path, "/") {
		if _, err := strconv.Atoi(token); err == nil {
			if s = s.Items; s == nil {
				return nil
			}
			continue
		}
		if m = s.Member(token); m == nil {
			return nil
		}
		s = m.Schema
	}
	return m
}

// document is what was filled in as the body that the API takes: one lamp. What could not be read goes on as a text, to
// be refused, and unclear says why.
func (x *calculator) document(values url.Values) (body []byte, unclear map[string]string, err error) {
	unclear = map[string]string{}
	lamp := map[string]any{"id": "lamp"}
	doc := map[string]any{"channels": []any{lamp}}
	for _, m := range x.members() {
		written := strings.TrimSpace(values.Get(m.Name))
		if written == "" {
			continue
		}
		var v any = written
		if m.Schema.Type == "number" || m.Schema.Type == "integer" {
			number, why := reading.Field(written, wanted(m, values.Get(labelled) == usUnits))
			if v = number; why != nil {
				v, unclear[m.Name] = written, why.Error()
			}
		}
		if name, of := strings.CutPrefix(m.Name, "channels/0/"); of {
			lamp[name] = v
		} else {
			doc[m.Name] = v
		}
	}
	body, err = json.MarshalIndent(doc, "", "  ")
	return body, unclear, err
}
