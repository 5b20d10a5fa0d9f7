package reading

import (
	"regexp"
	"strings"
	"unicode"
	"unicode/utf8"
)

// asides are what holds digits and measures nothing. A text is matched against them where a word or a number begins.
var asides = []struct {
	name    string
	pattern *regexp.Regexp
}{
	{"link", regexp.MustCompile(`^(?:https?://|www\.)[^ \n]+`)},
	{"date", regexp.MustCompile(`^(?:[0-9]{4}-[0-9]{1,2}-[0-9]{1,2}|[0-9]{1,2}/[0-9]{1,2}/[0-9]{2,4}` +
		`|[0-9]{1,2}\.[0-9]{1,2}\.[0-9]{4})(?:$|[^0-9.,/])`)},
	{"time of day", regexp.MustCompile(`^(?:[0-9]{1,2}:[0-9]{2}(?: ?[ap]m)?|[0-9]{1,2} ?[ap]m|24/7)` +
		`(?:$|[^a-z0-9.,/:])|^(?:[0-9]{1,2}:[0-9]{2}(?: ?[ap]m)?|[0-9]{1,2} ?[ap]m|24/7)[.,](?:$|[ \n])`)},
	{"price", regexp.MustCompile(`^(?:[$€£] ?[0-9][0-9.,]*|[0-9][0-9.,]* ?(?:[$€£]|usd|eur|dollars|bucks|euros?)` +
		`(?:$|[^a-z0-9]))`)},
}

// asideAt finds what is put aside at the beginning of a text in small letters, without the mark behind it.
func asideAt(text string) (name string, length int) {
	for _, a := range asides {
		found := a.pattern.FindString(text)
		if found == "" {
			continue
		}
		if a.name == "time of day" {
			return a.name, len(strings.TrimRight(found, ".,;?!)\" \n"))
		}
		last, size := utf8.DecodeLastRuneInString(found)
		if a.name == "link" || unicode.IsLetter(last) || unicode.IsDigit(last) || strings.ContainsRune("$€£", last) {
			size = 0
		}
		return a.name, len(found) - size
	}
	return "", 0
}
