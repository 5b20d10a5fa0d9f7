package bot

import (
	"fmt"
	"regexp"
	"strings"
)

// say writes a text of the language's file, or of the English one where the language has none.
func (l *lexicon) say(code string, values ...any) string {
	text, ok := l.texts[code]
	if !ok {
		text = lexicons[0].texts[code]
	}
	if strings.Contains(text, "%s") && len(values) > 0 {
		return fmt.Sprintf(text, values...)
	}
	return text
}

// label and name are what people write beside a member, and what they call it.
func (l *lexicon) label(member string) string { label, _ := l.memberWords(member); return label }
func (l *lexicon) name(member string) string  { _, name := l.memberWords(member); return name }

func (l *lexicon) memberWords(member string) (label, name string) {
	for _, one := range []*lexicon{l, lexicons[0]} {
		if text, ok := one.members[member]; ok {
			label, name, _ = strings.Cut(text, " | ")
			return label, name
		}
	}
	name = member
	for _, ending := range unitEndings {
		if cut, ok := strings.CutSuffix(member, ending); ok && cut != "" {
			name = cut
			break
		}
	}
	name = strings.NewReplacer("_", " ", ".", " ").Replace(name)
	return name, name
}

var unitEndings = []string{
	"_m_s", "_l_h", "_l_d", "_g_l", "_percent", "_percent_per_k", "_psu", "_min", "_mm", "_m2", "_c", "_k", "_w", "_h",
	"_l", "_m",
}

// command and about are how people name a topic, and what it answers.
func (l *lexicon) command(topic string) string { command, _ := l.topicWords(topic); return command }
func (l *lexicon) about(topic string) string   { _, about := l.topicWords(topic); return about }

func (l *lexicon) topicWords(topic string) (command, about string) {
	text, ok := l.topics[topic]
	if !ok {
		text = lexicons[0].topics[topic]
	}
	command, about, _ = strings.Cut(text, " | ")
	return command, about
}

// named tells whether the language has a name of its own for a member.
func (l *lexicon) named(member string) bool { return l.members[member] != "" }

// word is a word of the contract as people say it; known is false where no language has one.
func (l *lexicon) word(of string) (said string, known bool) {
	for _, one := range []*lexicon{l, lexicons[0]} {
		if said, known = one.values[of]; known {
			return said, true
		}
	}
	return strings.ReplaceAll(of, "_", " "), false
}

var (
	decimalPoint = regexp.MustCompile(`([0-9])\.([0-9])`)
	someDays     = regexp.MustCompile(` days$`)
)

// quantity writes a number with its unit as the language does: with its decimal mark, and days in its word.
func (l *lexicon) quantity(text string) string {
	if l.language != lexicons[0].language {
		text = decimalPoint.ReplaceAllString(text, "$1,$2")
	}
	return l.withDays(text)
}

// withDays writes days in the language's word, which is read back.
func (l *lexicon) withDays(text string) string {
	days, _ := l.word("days")
	return someDays.ReplaceAllString(text, " "+days)
}
