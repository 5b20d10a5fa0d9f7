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
	Chat                      // the subset of Markdown that chats have, with < > around a link that shall not unfold
)

// LeastLimit is the least number of characters that Render keeps to.
const LeastLimit = 200

// Render writes a reply in a dialect, in at most limit UTF-16 units, which is not
// less than the number of characters that any platform counts. What is too long
// loses assumptions first, then warnings and what was read; cautions stay as long as
// there is room, and where there is none it says that there are cautions. No mention, link or
// markup of the reply's texts stays alive. A limit below LeastLimit counts as that.
func Render(r Reply, d Dialect, limit int) string {
	limit = max(limit, LeastLimit)
	w := writer{d: d}
	shape := shape{
		points: len(r.Points), read: true, assumed: len(r.Assumed), warnings: len(r.Warnings), lead: 4000, line: true,
		cautions: true, link: true, model: true,
	}
	if d == Chat {
		shape.assumed = min(shape.assumed, 6)
	}
	for {
		text := w.write(r, shape)
		if utf16Length(text) <= limit {
			return text
		}
		if !shape.shrink() {
			return text // cannot be: the least shape is shorter than LeastLimit
		}
	}
}

// shape says how much of a reply is written.
type shape struct {
	points, assumed, warnings, lead   int
	read, line, cautions, link, model bool
}

// shrink takes away what matters least. It says whether there was anything.
func (s *shape) shrink() bool {
	switch {
	case s.assumed > 0:
		s.assumed--
	case s.warnings > 0:
		s.warnings--
	case s.read:
		s.read = false
	case s.points > 1:
		s.points--
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
	case s.model:
		s.model = false
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
	if r.Line != "" && s.line {
		add("The whole line, to copy and change: " + w.code(r.Line))
	}
	if s.read && len(r.ReadAs) > 0 {
		add(w.strong("Read as:") + " " + w.text(strings.Join(r.ReadAs, "; ")) + ".")
	}
	if s.read && len(r.Unused) > 0 {
		add(w.strong("Not used:") + " " + w.text(strings.Join(r.Unused, "; ")) + ".")
	}
	if len(r.Assumed) > 0 && s.model {
		add(w.strong("Assumed:") + " " + w.assumed(r, s))
	}
	for _, text := range r.Warnings[:s.warnings] {
		add(w.strong("Look twice:") + " " + w.text(text))
	}
	if s.cautions {
		for _, text := range r.Cautions {
			add(w.strong("Caution:") + " " + w.text(text))
		}
	} else if len(r.Cautions) > 0 {
		add(w.strong("Caution:") + " there are cautions; read them at the link before you build.")
	}
	add(w.footer(r, s))
	return strings.Join(out, "\n\n")
}

func (w writer) assumed(r Reply, s shape) string {
	left := len(r.Assumed) - s.assumed
	text := w.text(strings.Join(r.Assumed[:s.assumed], "; "))
	switch {
	case left == 0:
		return text + "."
	case s.assumed == 0:
		return strconv.Itoa(left) + " values; the link has them."
	}
	return text + "; and " + strconv.Itoa(left) + " more, which the link has."
}

// footer says who speaks and by what the numbers can be had again.
func (w writer) footer(r Reply, s shape) string {
	parts := []string{"I am a bot"}
	if link := safeLink(r.Link); link != "" && s.link {
		if w.d != Plain {
			link = "<" + link + ">"
		}
		parts = append(parts, "the same answer: "+link)
	}
	if r.Model != "" && s.model {
		parts = append(parts, "model "+w.text(shortened(r.Model, 60)))
	}
	if r.Contract != "" && s.model {
		parts = append(parts, "contract "+w.text(shortened(r.Contract, 20)))
	}
	return strings.Join(parts, " · ")
}

func (w writer) strong(text string) string {
	if w.d == Plain {
		return text
	}
	return "**" + text + "**"
}

// zeroWidth is a character without width that ends a mention or an address before it begins.
const zeroWidth = "\u200b"

// text makes any text harmless: one line, no control or direction characters, no
// mention, no address that becomes a link, no markup.
func (w writer) text(s string) string {
	var out strings.Builder
	// What is left out goes first: it could stand between the parts of an address.
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

// code writes a line that can be copied. It is made of this bot's own words and
// numbers; what could end the span or call somebody is left out all the same.
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

// safeLink returns an address that no dialect can take for anything else, or nothing.
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

// utf16Length counts UTF-16 units.
func utf16Length(text string) int { return len(utf16.Encode([]rune(text))) }
