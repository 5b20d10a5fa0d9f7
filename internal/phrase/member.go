package phrase

import "strings"

var unitEndings = strings.NewReplacer(
	"degC", "c", "%/K", "percent_per_k", "%", "percent", "/", "_", "(", "", ")", "", " ", "_",
)

// Plain is a member's name without its unit, in words.
func Plain(member, unit string) string {
	suffix := "_" + strings.ToLower(unitEndings.Replace(unit))
	name := strings.TrimSuffix(member, suffix)
	if name == "" {
		name = member
	}
	name = strings.TrimSuffix(name, "_psu")
	if said, ok := spelledOut[name]; ok {
		return said
	}
	return strings.ReplaceAll(name, "_", " ")
}

// spelledOut are names of members that are no words.
var spelledOut = map[string]string{
	"ua": "heat lost per degree", "dry_ua": "dry heat lost per degree", "cop": "heat moved per power drawn",
	"chiller_cop": "heat moved per power drawn", "dli": "daily light", "depth_dli": "daily light at that depth",
	"rh": "relative humidity", "sg_pair": "temperatures of the specific gravity",
	"stock_sizes": "sizes that are sold where you are",
}
