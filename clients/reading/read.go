package reading

import (
	"regexp"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Piece is a part of a text: a word, a mark that ends a clause, a blank to fill in, numbers, or what is put aside.
type Piece struct {
	Word     string // in small letters
	Ends     bool
	Blank    bool       // a place for a number that is not filled in: ___ in
	Aside    string     // "link", "date", "time of day" or "price": numbers that measure nothing here
	Group    []Quantity // one, the two ends of a range, or several with "x" between them
	Range    bool       // the group is a range: from 31 to 35
	Count    int        // 2 in 2x150W; 0 when none is written
	Relation string     // About, AtLeast, AtMost, Every, or empty
	Text     string     // as written
	From, To int        // place in Reading.Text
}

// Trouble is an unclear part of a text.
type Trouble struct {
	Text     string // as written
	Why      string // what is unclear and what to write instead
	From, To int    // place in Reading.Text
}

// Reading is what was read from a text.
type Reading struct {
	Text     string // the text with one spelling for each character
	Pieces   []Piece
	Troubles []Trouble
}

const (
	longestText = 2000 // bytes that are read
	mostNumbers = 40
)

// Read takes a text apart. Every number in the result is finite. Only the first 2000 bytes are read; where there are
// more, a trouble says so.
func Read(text string) Reading {
	long := len(text) > longestText
	if long {
		text = text[:longestText]
	}
	s := scanner{written: normalise(text)}
	s.text = smallLetters(s.written)
	s.commas = decimalComma.MatchString(s.text)
	for s.at < len(s.text) {
		s.step()
	}
	if long {
		s.trouble(s.at, "Only the first 2000 characters were read: ask with fewer words")
	}
	return Reading{Text: s.written, Pieces: s.pieces, Troubles: s.troubles}
}

type scanner struct {
	written  string
	text     string // written, in small letters
	at       int
	commas   bool // the person writes decimal commas
	numbers  int
	pieces   []Piece
	troubles []Trouble
}

func (s *scanner) trouble(from int, why string) {
	s.troubles = append(s.troubles, Trouble{
		Text: strings.TrimSpace(s.written[from:s.at]), Why: why, From: from, To: s.at,
	})
}

// add appends a piece that begins at from and ends here.
func (s *scanner) add(from int, p Piece) {
	p.From, p.To, p.Text = from, s.at, strings.TrimSpace(s.written[from:s.at])
	s.pieces = append(s.pieces, p)
}

// asides are what holds digits and measures nothing. A text is matched against them where a word or a number begins.
var asides = []struct {
	name    string
	pattern *regexp.Regexp
}{
	{"link", regexp.MustCompile(`^(?:https?://|www\.)[^ \n]+`)},
	{"date", regexp.MustCompile(`^(?:[0-9]{4}-[0-9]{1,2}-[0-9]{1,2}|[0-9]{1,2}/[0-9]{1,2}/[0-9]{2,4}` +
		`|[0-9]{1,2}\.[0-9]{1,2}\.[0-9]{4})(?:$|[^0-9.,/])`)},
	{"time of day", regexp.MustCompile(`^(?:[0-9]{1,2}:[0-9]{2}(?: ?[ap]m)?|[0-9]{1,2} ?[ap]m|24/7)` +
		`(?:$|[^a-z0-9.,/:])`)},
	{"price", regexp.MustCompile(`^(?:[$€£] ?[0-9][0-9.,]*|[0-9][0-9.,]* ?(?:[$€£]|usd|eur|dollars|bucks|euros?)` +
		`(?:$|[^a-z0-9]))`)},
}

// aside takes what is put aside, and leaves the mark behind it.
func (s *scanner) aside() bool {
	for _, a := range asides {
		found := a.pattern.FindString(s.text[s.at:])
		if found == "" {
			continue
		}
		from := s.at
		s.at += len(found)
		if last, size := utf8.DecodeLastRuneInString(found); a.name != "link" && !unicode.IsLetter(last) &&
			!unicode.IsDigit(last) && !strings.ContainsRune("$€£", last) {
			s.at -= size
		}
		s.add(from, Piece{Aside: a.name})
		return true
	}
	return false
}

var blank = regexp.MustCompile(`^_{2,}(?: ?x ?_{2,})*`)

func (s *scanner) step() {
	rest := s.text[s.at:]
	r, size := utf8.DecodeRuneInString(rest)
	begins := s.at == 0 || !unicode.IsLetter(rune(s.text[s.at-1])) && !digit(s.text[s.at-1])
	switch {
	case begins && s.aside():
	case startsNumber(rest):
		s.group()
	case unicode.IsLetter(r):
		s.word()
	case blank.MatchString(rest):
		from := s.at
		s.at += len(blank.FindString(rest))
		length, _, _ := unitAt(s.text[s.at:])
		s.at += length
		s.add(from, Piece{Blank: true})
	default:
		s.at += size
		if strings.ContainsRune(",;\n?!", r) || r == '.' && (len(rest) == 1 || rest[1] == ' ' || rest[1] == '\n') {
			s.add(s.at-size, Piece{Ends: true})
		}
	}
}

// glued is a word with a decimal number behind it and no space between them: sg1.025.
var glued = regexp.MustCompile(`^[a-z]+[0-9]+[.,][0-9]`)

func (s *scanner) word() {
	from, rest := s.at, s.text[s.at:]
	for _, f := range fills {
		if strings.HasPrefix(rest, f.text) && endsWord(rest[len(f.text):]) {
			s.at += len(f.text)
			s.add(from, Piece{Group: []Quantity{{Value: f.percent, Unit: UnitOf("%"), Text: f.text}}})
			return
		}
	}
	onlyLetters := glued.MatchString(rest)
	end := strings.IndexFunc(rest, func(r rune) bool {
		return !unicode.IsLetter(r) && (onlyLetters || !unicode.IsDigit(r) && r != '-' && r != '/')
	})
	if end < 0 {
		end = len(rest)
	}
	word := strings.TrimRight(rest[:end], "-/")
	if s.numberWord(word) {
		return
	}
	s.at += end
	s.add(from, Piece{Word: word})
}

// numberWord reads "ten days" and "two 150 W". Without a unit or a number behind it, a number word stays a word.
func (s *scanner) numberWord(word string) bool {
	head, _, _ := strings.Cut(word, "-") // of ten-day
	from := s.at
	value, known := numberWords[head]
	if (head == "a" || head == "an") && len(s.pieces) > 0 &&
		slices.Contains(away, s.pieces[len(s.pieces)-1].Word) {
		value, known = 1, true
	}
	if !known {
		return false
	}
	after := s.text[from+len(head):]
	if strings.HasPrefix(after, " a ") && head == "half" {
		after = after[2:]
	}
	if strings.HasPrefix(after, " and a half ") {
		value += 0.5
		after = after[len(" and a half"):]
	}
	trimmed := strings.TrimLeft(after, " ")
	if value >= 1 && value == float64(int(value)) && startsNumber(trimmed) && head == word {
		s.at = len(s.text) - len(trimmed)
		before := len(s.pieces)
		s.group()
		if len(s.pieces) > before && len(s.pieces[before].Group) == 1 && s.pieces[before].Count == 0 {
			p := &s.pieces[before]
			p.Count, p.From = int(value), from
			p.Text = strings.TrimSpace(s.written[from:s.at])
			return true
		}
		// The number stays as it was read, with its number word before it as a word.
		s.pieces = slices.Insert(s.pieces, before, Piece{
			Word: word, Text: word, From: from, To: from + len(word),
		})
		return true
	}
	length, found, unit := unitAt(after)
	spelling := strings.TrimLeft(after[:length], " -")
	if !found || unit == nil || unit == bareDegrees || len(spelling) < 3 {
		return false // "two in", "ten m": too short to be sure that it is a unit
	}
	if (head == "a" || head == "an") && unit.Dimension != Days || head == "one" && spelling == "day" {
		return false
	}
	s.at = len(s.text) - len(after) + length
	s.add(from, Piece{
		Group:    []Quantity{{Value: value, Unit: unit, Text: s.written[from:s.at]}},
		Relation: s.relation(from),
	})
	return true
}

// relation reads the words or the sign before a number.
func (s *scanner) relation(from int) string {
	before := strings.TrimRight(s.text[:from], " ")
	for sign, means := range map[string]string{
		"~": About, "<": AtMost, "≤": AtMost, ">": AtLeast, "≥": AtLeast,
	} {
		if strings.HasSuffix(before, sign) {
			return means
		}
	}
	for _, r := range relations {
		if start, ok := strings.CutSuffix(before, r.words); ok && (start == "" || strings.HasSuffix(start, " ")) {
			return r.means
		}
	}
	return ""
}
