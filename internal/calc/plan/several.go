package plan

// Rule is how a control or an alarm acts on several sensors.
type Rule string

// The rules. Each sensor says its own yes or no, with its own hysteresis, and the rule decides between them: what the
// lowest reading says of "below" is what any of them says, and of "above" what all of them say.
const (
	All     Rule = "all"
	Any     Rule = "any"
	Middle  Rule = "middle" // of three
	Lowest  Rule = "lowest"
	Highest Rule = "highest"
)
