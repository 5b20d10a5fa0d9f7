package reading

import (
	"regexp"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

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

// aside takes what is put aside.
func (s *scanner) aside() bool {
	name, length := asideAt(s.text[s.at:])
	if length > 0 {
		s.at += length
		s.add(s.at-length, Piece{Aside: name})
	}
	return length > 0
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
	article := head == "a" || head == "an"
	if !article && value >= 1 && value == float64(int(value)) && startsNumber(trimmed) && head == word {
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
	if article && unit.Dimension != Days || head == "one" && spelling == "day" {
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

var (
	betweenEdges = regexp.MustCompile(`^ *(x|\*|by ) *(-?\.?[0-9])`)
	betweenEnds  = regexp.MustCompile(`^ ?(->|→|-|to |until |bis |auf |hasta |a |à )? ?(-?\.?[0-9])`)
	ordinal      = regexp.MustCompile(`^[0-9]+(st|nd|rd|th)(?:$|[^a-z0-9])`)
)

func startsNumber(rest string) bool {
	if len(rest) > 1 && (rest[0] == '-' || rest[0] == '+') {
		rest = rest[1:]
	}
	return rest != "" && (digit(rest[0]) || len(rest) > 1 && rest[0] == '.' && digit(rest[1]))
}

// group reads one number, a range, or numbers with "x" between them, and their units.
func (s *scanner) group() {
	from := s.at
	if m := ordinal.FindStringSubmatchIndex(s.text[s.at:]); m != nil {
		s.at += m[3]
		s.add(from, Piece{Word: s.text[from:s.at]})
		return
	}
	var group []Quantity
	for {
		q, ok := s.quantity()
		if !ok {
			if len(group) > 0 { // what was read before it belongs to what is unclear
				last := &s.troubles[len(s.troubles)-1]
				last.From, last.Text = from, strings.TrimSpace(s.written[from:s.at])
			}
			return
		}
		group = append(group, q)
		m := betweenEdges.FindStringSubmatchIndex(s.text[s.at:])
		if m == nil {
			break
		}
		s.at += m[4]
	}
	p := Piece{Group: group, Relation: s.relation(from)}
	if len(group) == 1 {
		s.otherEnd(&p, from)
	}
	if s.numbers += len(p.Group); s.numbers > mostNumbers {
		s.at = len(s.text)
		s.trouble(from, "There are too many numbers: ask one question at a time")
		return
	}
	shareUnit(&p)
	for _, q := range p.Group {
		if q.thousands && q.Unit != nil && mayBeThousands(q.Unit) {
			s.trouble(from, twoReadings)
			return
		}
	}
	if len(p.Group) == 1 && p.Group[0].Unit == nil {
		word, _, _ := strings.Cut(strings.TrimLeft(s.text[s.at:], " "), " ")
		if slices.Contains(countedNouns, strings.Trim(word, ",.;:?!\n")) {
			s.add(from, Piece{Word: s.text[from:s.at]}) // a count
			return
		}
	}
	s.add(from, p)
}

// otherEnd reads the second number of a range: 64-70F, from 31 to 35 ppt, between 64 and 70F.
func (s *scanner) otherEnd(p *Piece, from int) {
	here, troubles := s.at, len(s.troubles)
	rest := s.text[s.at:]
	before := strings.TrimRight(s.text[:from], " ")
	announced := strings.HasSuffix(before, "from") || strings.HasSuffix(before, "von") ||
		strings.HasSuffix(before, "between")
	if and, ok := strings.CutPrefix(rest, " and "); ok && strings.HasSuffix(before, "between") {
		rest = " to " + and
		s.at += len(" and ") - len(" to ")
	}
	m := betweenEnds.FindStringSubmatchIndex(rest)
	if m == nil || m[2] < 0 {
		s.at = here
		return
	}
	sign := rest[m[2]:m[3]]
	if (sign == "a " || sign == "à ") && !strings.HasSuffix(before, "de") {
		return // in Spanish and French: de 31 a 35
	}
	s.at += m[4]
	q, ok := s.quantity()
	first := p.Group[0]
	same := ok && (first.Unit == nil || q.Unit == nil || first.Unit.Dimension == q.Unit.Dimension)
	if !same || first.Unit != nil && q.Unit == nil && sign != "-" && sign != "->" && sign != "→" && !announced {
		s.at, s.troubles = here, s.troubles[:troubles]
		return
	}
	p.Group, p.Range = append(p.Group, q), true
	if first.Unit != nil && q.Unit == nil {
		p.Group[1].Unit = first.Unit
	}
}

// gravity reports whether a number is a specific gravity, judging by its unit, the word before it, or its digits.
func (s *scanner) gravity(number string, unit *Unit) bool {
	if unit != nil {
		return unit.Dimension == SpecificGravity
	}
	if barePerMille.MatchString(number) {
		return true
	}
	if len(s.pieces) == 0 {
		return false
	}
	before := s.pieces[len(s.pieces)-1].Word
	return before == "sg" || before == "gravity"
}

// wordFollows reports whether letters follow a number directly, as in 64q. The x between edges does not count.
func wordFollows(rest string) bool {
	for _, r := range rest {
		return unicode.IsLetter(r) && !betweenEdges.MatchString(rest)
	}
	return false
}

// quantity reads one number and its unit. When it cannot, it records a trouble and skips that part.
func (s *scanner) quantity() (Quantity, bool) {
	start := s.at
	negative := s.text[s.at] == '-'
	if negative || s.text[s.at] == '+' {
		s.at++
	}
	digits := s.at
	for s.inNumber() {
		s.at++
	}
	number := s.text[digits:s.at]
	added := s.fraction(&number)
	afterNumber := s.at
	length, found, unit := unitAt(s.text[s.at:])
	if found && unit != nil && unit.Symbol == "in" && barePerMille.MatchString(number) {
		length, found, unit = 0, false, nil // 1.025 in ppt
	}
	s.at += length
	value, why := readNumber(number, s.commas, s.gravity(number, unit))
	value += added
	rest := s.text[s.at:]
	switch {
	case why != "":
	case found && unit == nil:
		why = "has a unit that I cannot take at its word: write US gallons or litres"
	case !found && len(rest) > 0 && wordFollows(rest):
		end := strings.IndexFunc(rest, func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) })
		if end < 0 {
			end = len(rest)
		}
		s.at += end
		why = "has a unit that I do not know"
	case len(rest) > 1 && rest[0] == '/' && digit(rest[1]):
		s.at++
		for s.at < len(s.text) && (digit(s.text[s.at]) || strings.IndexByte(".,/-", s.text[s.at]) >= 0) {
			s.at++
		}
		length, _, _ := unitAt(s.text[s.at:])
		s.at += length
		why = "is a fraction that I cannot read: write one number, such as 47.5"
	}
	if why != "" {
		s.trouble(start, why)
		return Quantity{}, false
	}
	if negative {
		value = -value
	}
	if unit == bareDegrees {
		unit = nil
	}
	q := Quantity{
		Value: value, Unit: unit, Text: strings.TrimSpace(s.written[start:s.at]),
		thousands: maybeGrouped.MatchString(number),
	}
	if found && unit != nil && unit.Symbol == "ft" && value == float64(int64(value)) {
		q = s.withInches(q, start)
	}
	if !found {
		s.at = afterNumber
	}
	return q, true
}

// fraction reads the fraction behind a whole number, as in 47 1/4, and turns 1/4 into 0 and a fraction. It returns what
// the fraction adds: a proper one with a denominator of a ruler, a third or a fifth.
func (s *scanner) fraction(number *string) float64 {
	if !plainNumber.MatchString(*number) {
		return 0
	}
	rest := s.text[s.at:]
	over, under, length, whole := "", "", 0, *number
	if m := mixedFraction.FindStringSubmatchIndex(rest); m != nil {
		over, under, length = rest[m[2]:m[3]], rest[m[4]:m[5]], m[5]
	} else if m := fraction.FindStringSubmatchIndex(rest); m != nil {
		over, under, length, whole = *number, rest[m[2]:m[3]], m[3], "0"
	}
	numerator, _ := strconv.Atoi(over)
	switch under {
	case "2", "3", "4", "5", "8", "16", "32":
		denominator, _ := strconv.Atoi(under)
		if numerator < 1 || numerator >= denominator {
			return 0
		}
		s.at += length
		*number = whole
		return float64(numerator) / float64(denominator)
	}
	return 0
}

// inNumber reports whether the next character belongs to a number: a digit, or a mark followed by a digit.
func (s *scanner) inNumber() bool {
	if s.at >= len(s.text) || digit(s.text[s.at]) {
		return s.at < len(s.text)
	}
	sign := strings.IndexByte(".,'", s.text[s.at]) >= 0
	return sign && s.at+1 < len(s.text) && digit(s.text[s.at+1]) && !s.feetAt()
}

// feetAt reports whether the ' here means feet, as in 4'6".
func (s *scanner) feetAt() bool {
	if s.text[s.at] != '\'' {
		return false
	}
	rest := strings.TrimLeft(s.text[s.at+1:], "0123456789./ ")
	return strings.HasPrefix(rest, `"`) || strings.HasPrefix(rest, "in")
}

// withInches adds the inches in 4 ft 6 in.
func (s *scanner) withInches(feet Quantity, start int) Quantity {
	if !inchesAfter.MatchString(s.text[s.at:]) {
		return feet
	}
	at := s.at + strings.IndexAny(s.text[s.at:], "0123456789")
	inches := &scanner{written: s.written, text: s.text, at: at, commas: s.commas}
	for inches.inNumber() {
		inches.at++
	}
	number := s.text[at:inches.at]
	added := inches.fraction(&number)
	length, found, unit := unitAt(s.text[inches.at:])
	value, why := readNumber(number, s.commas, false)
	value += added
	if !found || unit == nil || unit.Symbol != "in" || why != "" || value >= 12 || feet.Value < 0 {
		return feet
	}
	s.at = inches.at + length
	return Quantity{Value: feet.Value*12 + value, Unit: unit, Text: strings.TrimSpace(s.written[start:s.at])}
}
