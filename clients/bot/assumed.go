package bot

import (
	"slices"
	"strconv"
	"strings"

	"saltwright/clients/go/units"
)

// memberNames are the names of members that no slot has and that do not read well as they are.
var memberNames = map[string]string{
	"altitude_m":           "height above sea level",
	"lid":                  "lid",
	"harm_low_c":           "low limit of harm",
	"harm_high_c":          "high limit of harm",
	"harm_low_psu":         "low limit of harm",
	"harm_high_psu":        "high limit of harm",
	"pumps_heat_share":     "share of the pumps' power that heats the water",
	"lights_heat_share":    "share of the lights' power that heats the water",
	"lights_hours_per_day": "lights on for",
	"response_h":           "time until somebody acts",
	"cop":                  "heat removed over electric power",
	"warm_up_from_c":       "fresh water to warm up",
	"air_speed_m_s":        "air speed over the water",
	"freeboard_mm":         "water line to rim",
	"wall_mm":              "thickness of the walls",
	"material":             "walls of",
	"rock_share":           "share of the volume that rock and sand take",
	"hysteresis_k":         "control from off to on",
	"dry_loss_factor":      "factor on the dry heat loss",
	"pull_down_k":          "above the set-point from which to cool down",
	"thermostat_c":         "the heaters' own thermostats at",
	"volume_is":            "the volume is",
	"run_limit_min":        "limit of a single run (0: none)",
	"sump_free_l":          "free room in the sump",
	"siphon_break":         "siphon break in the hose",
	"reserve_percent":      "reserve",
	"sg_pair":              "temperatures of the specific gravity",
	"start_psu":            "salinity before",
	"sample_c":             "temperature of the sample",
	"yield_psu":            "salinity that the label's yield gives",
}

var unitEndings = []string{
	"_m_s", "_l_h", "_l_d", "_g_l", "_percent", "_percent_per_k", "_psu", "_min", "_mm", "_m2", "_c", "_k", "_w", "_h",
	"_l", "_m",
}

// memberName is what people call a member of the contract.
func memberName(member string) string {
	if name := memberNames[member]; name != "" {
		return name
	}
	for _, t := range topics {
		if s := t.slot(member); s != nil {
			return s.Name
		}
	}
	name := member
	for _, ending := range unitEndings {
		if cut, ok := strings.CutSuffix(member, ending); ok && cut != "" {
			name = cut
			break
		}
	}
	return strings.ReplaceAll(name, "_", " ")
}

// assumed lists the assumptions in the person's units: first those that the topic names in AssumedFirst, in that
// order, then the others in the order of the service.
func assumed(q Question, list []Assumption) []string {
	rank := func(a Assumption) int {
		if i := slices.Index(q.Topic.AssumedFirst, a.Member); i >= 0 {
			return i
		}
		return len(q.Topic.AssumedFirst)
	}
	sorted := slices.Clone(list)
	slices.SortStableFunc(sorted, func(a, b Assumption) int { return rank(a) - rank(b) })
	var out []string
	for _, a := range sorted {
		out = append(out, memberName(a.Member)+" "+assumedValue(a, q.US))
	}
	return out
}

func assumedValue(a Assumption, inUS bool) string {
	if a.Number == nil {
		return strings.ReplaceAll(a.Text, "_", " ")
	}
	return inPersonsUnit(*a.Number, a.Unit, inUS)
}

// inPersonsUnit writes a number of one of the contract's units to four figures.
func inPersonsUnit(v float64, unit string, inUS bool) string {
	v, written := units.Of(unit).For(inUS, v)
	text := strconv.FormatFloat(v, 'g', 4, 64)
	if short, err := strconv.ParseFloat(text, 64); err == nil {
		text = strconv.FormatFloat(short, 'f', -1, 64)
	}
	if written == "" || written == "%" {
		return text + written
	}
	return text + " " + written
}
