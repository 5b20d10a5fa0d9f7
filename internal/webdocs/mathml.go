package webdocs

import (
	"html/template"
	"regexp"
	"strings"
	"unicode/utf8"
)

// formula sets a line of a relation as MathML: indices and powers in their places, what is divided as a fraction, words
// upright. What stands in the line is all that is written.
func formula(line string) template.HTML {
	p := &formulaReader{tokens: formulaToken.FindAllString(line, -1)}
	body := p.row("")
	// #nosec G203 -- every text in it went through leaf, which escapes
	return template.HTML(`<math display="block"><mrow>` + body + `</mrow></math>`)
}

var formulaToken = regexp.MustCompile(`\p{L}[\p{L}\p{N}]*|\d+(?:\.\d+)?(?:[eE][+-]?\d+)?|[<>]=|\S`)

var (
	isNumber = regexp.MustCompile(`^\d`)
	isWord   = regexp.MustCompile(`^\p{L}`)
)

var closing = map[string]string{"(": ")", "[": "]", "{": "}"}

// longestName is how many letters a quantity has that is set in italics; what is longer is a word.
const longestName = 2

type formulaReader struct {
	tokens []string
	at     int
}

func (p *formulaReader) next() string {
	if p.at == len(p.tokens) {
		return ""
	}
	return p.tokens[p.at]
}

// row reads up to a closing sign, or all that is left.
func (p *formulaReader) row(until string) string {
	var out strings.Builder
	for p.at < len(p.tokens) && p.next() != until {
		one, named := p.term()
		for p.next() == "/" && p.at+1 < len(p.tokens) && named && divides(p.tokens[p.at+1]) {
			p.at++
			below, _ := p.term()
			one = "<mfrac><mrow>" + one + "</mrow><mrow>" + below + "</mrow></mfrac>"
		}
		out.WriteString(one)
	}
	return out.String()
}

// divides tells whether a fraction may stand over a token.
func divides(token string) bool {
	return isWord.MatchString(token) || isNumber.MatchString(token) || closing[token] != ""
}

// term reads one quantity, number or group with its indices and powers; named is false for a sign.
func (p *formulaReader) term() (written string, named bool) {
	token := p.next()
	p.at++
	if end := closing[token]; end != "" {
		inside := p.row(end)
		if p.at < len(p.tokens) {
			p.at++
		} else {
			end = ""
		}
		written, named = "<mrow>"+leaf("mo", token)+inside+closed(end)+"</mrow>", true
	} else {
		written, named = symbol(token), divides(token)
		if isWord.MatchString(token) && p.next() == "(" { // a function and what it is of
			of, _ := p.term()
			written = "<mrow>" + written + of + "</mrow>"
			return written, true
		}
	}
	for named && (p.next() == "_" || p.next() == "^") && p.at+1 < len(p.tokens) {
		kind := map[string]string{"_": "msub", "^": "msup"}[p.next()]
		p.at++
		sign := ""
		if t := p.next(); (t == "-" || t == "−") && p.at+1 < len(p.tokens) {
			sign = leaf("mo", "−")
			p.at++
		}
		script, _ := p.scripted()
		written = "<" + kind + "><mrow>" + written + "</mrow><mrow>" + sign + script + "</mrow></" + kind + ">"
	}
	return written, named
}

// scripted reads what an index or a power holds: one token or one group.
func (p *formulaReader) scripted() (string, bool) {
	if closing[p.next()] != "" {
		return p.term()
	}
	token := p.next()
	p.at++
	return symbol(token), true
}

func closed(sign string) string {
	if sign == "" {
		return ""
	}
	return leaf("mo", sign)
}

func symbol(token string) string {
	switch {
	case isNumber.MatchString(token):
		return leaf("mn", token)
	case !isWord.MatchString(token):
		if token == "-" {
			token = "−"
		}
		return leaf("mo", token)
	case utf8.RuneCountInString(token) <= longestName:
		return leaf("mi", token)
	}
	return leaf("mtext", "\u00a0"+token+"\u00a0")
}

func leaf(element, text string) string {
	return "<" + element + ">" + template.HTMLEscapeString(text) + "</" + element + ">"
}
