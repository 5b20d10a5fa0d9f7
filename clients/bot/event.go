package bot

import (
	"regexp"
	"strings"
	"time"
)

// Event is a message that a platform reports.
type Event struct {
	Platform    string // namespace of all ids below
	ID          string // of the message; the same id is answered once
	ThreadID    string // replies are counted per thread
	AuthorID    string
	AuthorName  string // empty where the platform has none
	AuthorIsBot bool
	IsEdit      bool
	ReplyTo     string // where the reply belongs, in the words of the platform's adapter
	Direct      bool   // addressed to the bot by the platform itself: a command or a private message
	Text        string
	At          time.Time
}

// Identity is who the bot is on its platforms.
type Identity struct {
	Name   string   // @Name, !Name or /Name at the beginning of a line calls the bot
	OwnIDs []string // ids and names of its own accounts
	Ignore []string // ids and names of accounts that it never answers, such as other bots
}

// wrote reports whether an account in a list wrote the event.
func (i Identity) wrote(list []string, e Event) bool {
	for _, one := range list {
		if one != "" && (one == e.AuthorID || e.AuthorName != "" && strings.EqualFold(one, e.AuthorName)) {
			return true
		}
	}
	return false
}

var (
	quoteTag    = regexp.MustCompile(`(?i)\[(/?)quote(=[^\]]*)?\]`)
	fence       = regexp.MustCompile("^ {0,3}(```+|~~~+)")
	mostQuoting = 64 * 1024
)

// authorsLines returns the lines that the author wrote, without quotes, code blocks and lines that begin with ">".
func authorsLines(text string) []string {
	if len(text) > mostQuoting {
		text = text[:mostQuoting]
	}
	text = withoutQuoteTags(strings.ReplaceAll(text, "\r\n", "\n"))
	var out []string
	open, blank := "", true
	for _, line := range strings.Split(text, "\n") {
		mark := fence.FindStringSubmatch(line)
		switch {
		case open != "":
			if mark != nil && strings.HasPrefix(mark[1], open) && strings.Trim(line, " `~") == "" {
				open = ""
			}
			continue
		case mark != nil:
			open = mark[1]
			continue
		case strings.HasPrefix(strings.TrimLeft(line, " "), ">"):
			blank = false
			continue
		case blank && (strings.HasPrefix(line, "    ") || strings.HasPrefix(line, "\t")):
			continue // an indented code block
		}
		blank = strings.TrimSpace(line) == ""
		out = append(out, line)
	}
	return out
}

// OwnWords returns what the author wrote, without quotes and code.
func OwnWords(text string) string { return strings.Join(authorsLines(text), "\n") }

// withoutQuoteTags drops the text between [quote] and its [/quote], or all that follows where it is never closed.
func withoutQuoteTags(text string) string {
	var out strings.Builder
	depth, at := 0, 0
	for _, m := range quoteTag.FindAllStringSubmatchIndex(text, -1) {
		if depth == 0 {
			out.WriteString(text[at:m[0]])
		}
		if m[3] > m[2] {
			depth = max(0, depth-1)
		} else {
			depth++
		}
		at = m[1]
	}
	if depth == 0 {
		out.WriteString(text[at:])
	}
	return out.String()
}

// questionIn returns the question in an event: the text from the call to the end of its paragraph or, in a direct event
// without a call, all of the author's own words. It is false when nobody called.
func (i Identity) questionIn(e Event) (question string, ok bool) {
	lines := authorsLines(e.Text)
	for n, line := range lines {
		rest, called := i.afterCall(line)
		if !called {
			continue
		}
		question = rest
		for _, next := range lines[n+1:] {
			if strings.TrimSpace(next) == "" {
				break
			}
			question += "\n" + next
		}
		return question, true
	}
	if e.Direct {
		return strings.Join(lines, "\n"), true
	}
	return "", false
}

// afterCall returns the text that follows a call at the beginning of a line.
func (i Identity) afterCall(line string) (rest string, ok bool) {
	line = strings.TrimLeft(line, " ")
	for _, id := range i.OwnIDs {
		for _, mention := range []string{"<@" + id + ">", "<@!" + id + ">"} {
			if after, found := strings.CutPrefix(line, mention); found && id != "" {
				return after, true
			}
		}
	}
	if i.Name == "" || len(line) < 1+len(i.Name) || !strings.ContainsRune("@!/", rune(line[0])) {
		return "", false
	}
	if !strings.EqualFold(line[1:1+len(i.Name)], i.Name) {
		return "", false
	}
	rest = line[1+len(i.Name):]
	if rest != "" && !strings.ContainsRune(" ,:;\t", rune(rest[0])) {
		return "", false // the beginning of a longer name
	}
	return strings.TrimLeft(rest, " ,:;\t"), true
}
