package bot

import (
	"net/url"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf16"
)

// Dialect is how a platform writes.
type Dialect int

// The dialects.
const (
	Plain      Dialect = iota // no markup
	CommonMark                // forums
	Chat                      // the subset of Markdown in chats, with < > around a link to keep it from unfolding
)

// The most characters of a reply in a chat and in a forum: longer ones are not read.
const (
	ChatLimit  = 700
	ForumLimit = 1200
)

// LeastLimit is the smallest limit that Render can keep.
const LeastLimit = 200

// Render writes a reply in a dialect, in at most limit UTF-16 units; no platform counts more characters than that. A
// reply that is too long loses its warnings first, then what was read, then points. Cautions stay as long as there is
// room, and otherwise the reply says that there are cautions. Silence has no text.
// Mentions, links and markup in the reply's texts are
// disarmed. A limit below LeastLimit is raised to it.
func Render(r Reply, d Dialect, limit int) string {
	if r.Kind == Silent && r.Lead == "" {
		return ""
	}
	limit = max(limit, LeastLimit)
	if r.lexicon == nil {
		r.lexicon = lexicons[0]
	}
	w := writer{d: d}
	shape := shape{
		points: len(r.Points), read: true, assumed: min(mostAssumed, len(r.Assumed)), warnings: min(1, len(r.Warnings)),
		lead: 4000, line: true, cautions: true, link: true,
	}
	shape.whole = r.Page == "" || utf16Length(r.Link) <= limit/2 && safeLink(r.Link) != ""
	shape.shortens = shape.whole && r.Page != "" && r.Page != r.Link
	for {
		text := w.write(r, shape)
		if utf16Length(text) <= limit {
			return text
		}
		if !shape.shrink() {
			return text // never reached: the smallest shape is shorter than LeastLimit
		}
	}
}

// mostAssumed is how many assumptions a reply tells: those that matter most. The page lists all.
const mostAssumed = 3

// shape holds how much of a reply is written.
type shape struct {
	points, assumed, warnings, lead int
	read, line, cautions, link      bool
	whole, shortens                 bool // the link itself, and whether the page may stand for it
}

// shrink removes what matters least and reports whether there was anything to remove.
func (s *shape) shrink() bool {
	switch {
	case s.warnings > 0:
		s.warnings--
	case s.points > 2:
		s.points--
	case s.read:
		s.read = false
	case s.points > 1:
		s.points--
	case s.shortens:
		s.whole, s.shortens = false, false
	case s.assumed > 0:
		s.assumed--
	case s.lead > 500:
		s.lead = 500
	case s.line:
		s.line = false
	case s.points > 0:
		s.points--
	case s.cautions:
		s.cautions = false
	case s.lead > 60:
		s.lead = 60
	case s.link:
		s.link = false
	case s.lead > 10:
		s.lead = 10
	default:
		return false
	}
	return true
}

type writer struct{ d Dialect }

func (w writer) write(r Reply, s shape) string {
	var out []string
	add := func(text string) { out = append(out, text) }
	if r.Lead != "" {
		add(w.text(shortened(r.Lead, s.lead)))
	}
	if s.points > 0 {
		var lines []string
		for _, p := range r.Points[:s.points] {
			lines = append(lines, "- "+w.text(p))
		}
		add(strings.Join(lines, "\n"))
	}
	say := r.lexicon.say
	if r.Line != "" && s.line {
		add(w.text(say("line")) + ": " + w.code(r.Line))
	}
	if s.read && len(r.ReadAs) > 0 {
		add(w.strong(say("read_as")+":") + " " + w.text(strings.Join(r.ReadAs, "; ")) + ".")
	}
	if s.read && len(r.Unused) > 0 {
		add(w.strong(say("not_used")+":") + " " + w.text(strings.Join(r.Unused, "; ")) + ".")
	}
	if s.assumed > 0 {
		text := w.text(strings.Join(r.Assumed[:s.assumed], "; "))
		if left := len(r.Assumed) - s.assumed + r.Unnamed; left > 0 {
			text += "; " + w.text(say("more_assumed", strconv.Itoa(left)))
		}
		add(w.strong(say("assumed")+":") + " " + text + ".")
	}
	for _, text := range r.Warnings[:s.warnings] {
		add(w.text(text))
	}
	if len(r.Cautions) > 0 {
		text := say("cautions_at_link")
		if s.cautions {
			text = r.Cautions[0]
		}
		add(w.strong(say("caution")+":") + " " + w.text(text))
	}
	link, says := r.Link, r.LinkSays
	if !s.whole {
		link, says = r.Page, r.PageSays
	}
	if safeLink(link) == "" || !s.link {
		link, says = "", ""
	}
	if says != "" {
		add(w.text(says))
	}
	add(w.footer(r, link))
	return strings.Join(out, "\n\n")
}

// footer says who is speaking and where the page is.
func (w writer) footer(r Reply, link string) string {
	text := w.text(r.lexicon.say("bot"))
	if link != "" {
		if w.d != Plain {
			link = "<" + link + ">"
		}
		text += " · " + w.text(r.lexicon.say("page")) + ": " + link
	}
	return text
}

func (w writer) strong(text string) string {
	if w.d == Plain {
		return text
	}
	return "**" + text + "**"
}

// zeroWidth is a character without width that breaks up a mention or an address.
const zeroWidth = "\u200b"

// text makes any text harmless: one line, no control or direction characters, no
// mention, no address that becomes a link, no markup.
func (w writer) text(s string) string {
	var out strings.Builder
	// Characters to leave out are removed first: they could separate the parts of an address.
	runes := []rune(strings.Map(func(r rune) rune {
		switch {
		case unicode.IsSpace(r):
			return ' '
		case unicode.IsControl(r) || unicode.Is(unicode.Cf, r):
			return -1
		}
		return r
	}, strings.ToValidUTF8(s, "\uFFFD")))
	for i, r := range runes {
		if w.d != Plain && strings.ContainsRune("\\`*_{}[]<>()#+!|~&$^=", r) {
			out.WriteByte('\\')
		}
		out.WriteRune(r)
		switch {
		case r == '@' || r == '#' || r == '＠' || r == '﹫':
			out.WriteString(zeroWidth)
		case r == ':' && i+1 < len(runes) && (runes[i+1] == '/' || unicode.IsLetter(runes[i+1])):
			out.WriteString(zeroWidth)
		case r == '.' && i > 0 && i+1 < len(runes) && unicode.IsLetter(runes[i+1]) &&
			(unicode.IsLetter(runes[i-1]) || unicode.IsDigit(runes[i-1])):
			out.WriteString(zeroWidth)
		case r == '<' || r == '/' && i+1 < len(runes) && runes[i+1] == '/':
			out.WriteString(zeroWidth)
		}
	}
	return out.String()
}

// code writes a line that can be copied. It consists of the bot's own words and numbers; even so, characters that could
// end the span or mention somebody are left out.
func (w writer) code(s string) string {
	if w.d == Plain {
		return w.text(s)
	}
	clean := strings.Map(func(r rune) rune {
		if unicode.IsSpace(r) {
			return ' '
		}
		if unicode.IsControl(r) || unicode.Is(unicode.Cf, r) || strings.ContainsRune("`@＠﹫<>|#[]\\&", r) ||
			r == unicode.ReplacementChar {
			return -1
		}
		return r
	}, strings.ReplaceAll(s, "://", " "))
	return "`" + strings.Join(strings.Fields(clean), " ") + "`"
}

// safeLink returns the address if no dialect can mistake it for something else, or nothing.
func safeLink(link string) string {
	u, err := url.Parse(link)
	if err != nil || (u.Scheme != "https" && u.Scheme != "http") || u.Host == "" || u.User != nil || len(link) > 1500 {
		return ""
	}
	for _, r := range link {
		if r > unicode.MaxASCII || !unicode.IsLetter(r) && !unicode.IsDigit(r) &&
			!strings.ContainsRune("-._~:/?&=%+,", r) {
			return ""
		}
	}
	return link
}

// utf16Length returns the number of UTF-16 units.
func utf16Length(text string) int { return len(utf16.Encode([]rune(text))) }
