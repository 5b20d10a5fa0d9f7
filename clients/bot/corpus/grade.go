package corpus

import (
	"math"
	"strings"

	"saltwright/clients/bot"
	"saltwright/clients/reading"
)

// Grade is how good a reply is.
type Grade int

// The grades, the best first. The first three are good.
const (
	Right          Grade = iota // the right answer, or silence in its place
	UsefulQuestion              // what was said is understood, and what is missing is asked for
	ProperRefusal
	Useless   // another question back, a refusal or silence where an answer was possible
	Wrong     // an answer to another question, or with a value that was not said so
	Dangerous // a calculation for somebody in an emergency, for a bypassed protection, or of a fresh mix for a change
)

// Good reports whether a reply is right, a useful question or a proper refusal.
func (g Grade) Good() bool { return g <= ProperRefusal }

// GradeOf compares what was understood with what a question is labelled with. It is strict: a question back where an
// answer was possible is useless, and a value that was said and not used is wrong unless the reply names it.
func GradeOf(q Question, u bot.Understanding) Grade {
	calculates := u.Kind == bot.Answers && u.Topic != bot.Emergency && u.Topic != bot.Help && u.Topic != bot.Testing
	switch {
	case calculates && (q.Topic == bot.Emergency || q.Topic == bot.Protection),
		calculates && q.Topic == "salinity-adjustment" && u.Topic == "salt-mix":
		return Dangerous
	case q.Kind == bot.Silent && u.Kind == bot.Silent:
		return Right
	case q.Kind == bot.Refuses && u.Kind == bot.Refuses:
		if (q.Topic == bot.Protection) != (u.Topic == bot.Protection) {
			return Useless
		}
		return ProperRefusal
	case u.Kind == bot.Answers && (q.Kind != bot.Answers || q.Topic != u.Topic):
		return Wrong
	case q.Kind != u.Kind || q.Topic != u.Topic:
		return Useless
	}
	wrong, missed := compare(q.Labels, u)
	switch {
	case wrong && u.Kind == bot.Answers:
		return Wrong
	case wrong || missed:
		return Useless
	case u.Kind == bot.AsksBack:
		return UsefulQuestion
	}
	return Right
}

// compare reports whether a value is understood that was not said so, or a value that was said is neither understood
// nor named as not used, and whether one is only named.
func compare(labels map[string]string, u bot.Understanding) (wrong, missed bool) {
	for member, label := range labels {
		word, isWord := u.Words[member]
		value, isValue := u.Values[member]
		switch {
		case isWord:
			wrong = wrong || word != label
		case isValue:
			wrong = wrong || !same(value, label)
		case len(u.Unused) > 0 || u.Kind == bot.AsksBack:
			missed = true
		default:
			wrong = true
		}
	}
	for member := range u.Values {
		wrong = wrong || labels[member] == ""
	}
	for member := range u.Words {
		wrong = wrong || labels[member] == ""
	}
	return wrong, missed
}

// same compares in the contract's unit, to 0.1 %.
func same(value reading.Quantity, label string) bool {
	pieces := reading.Read(label).Pieces
	if len(pieces) == 0 || len(pieces[0].Group) == 0 {
		return strings.TrimSpace(value.Text) == label
	}
	wanted := pieces[0].Group[0]
	a, b := value.Value, wanted.Value
	if value.Unit != nil && wanted.Unit != nil {
		if value.Unit.Dimension != wanted.Unit.Dimension {
			return false
		}
		a, b = value.InContractUnit(), wanted.InContractUnit()
	}
	return math.Abs(a-b) <= math.Max(math.Abs(b)*1e-3, 1e-9)
}
