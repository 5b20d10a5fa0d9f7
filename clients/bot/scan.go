package bot

import (
	"regexp"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// piece is a part of a question: a word, a mark that ends a clause, or numbers.
type piece struct {
	word  string
	ends  bool
	group []Quantity // one, or several with "x" between them
	text  string     // of the group, as written
	used  bool       // a word that has named a number
}

// Trouble is a part of a question that cannot be taken at its word.
type Trouble struct {
	Text string // as written
	Why  string // what is unclear and what to write instead
}

const (
	longestQuestion = 2000 // bytes that are looked at
	mostNumbers     = 40
)

var (
	plainNumber  = regexp.MustCompile(`^[0-9]{1,9}$`)
	dotNumber    = regexp.MustCompile(`^[0-9]{0,9}\.[0-9]{1,9}$`)
	commaNumber  = regexp.MustCompile(`^[0-9]{1,9},[0-9]{1,9}$`)
	maybeGrouped = regexp.MustCompile(`^[1-9][0-9]{0,2}[.,][0-9]{3}$`)
	decimalComma = regexp.MustCompile(`(^|[^0-9.,])[0-9]+,([0-9]{1,2}|[0-9]{4,})($|[^0-9.,])`)
	betweenEdges = regexp.MustCompile(`^ *(x|×|\*|by ) *(-?\.?[0-9])`)
	inchesAfter  = regexp.MustCompile(`^[ -]*[0-9]`)
)

const twoReadings = "can be read in two ways: write 1200 or 1.2 for what might be either, " +
	"without a sign between thousands"

// countedNouns are things that a number before them counts.
var countedNouns = []string{
	"heater", "heaters", "chiller", "chillers", "pumps", "lights", "fish", "corals", "tanks", "people",
}

// oneSpelling makes one spelling of the many that keyboards make.
var oneSpelling = strings.NewReplacer(
	"−", "-", "–", "-", "—", "-", "\u00a0", " ", "\u202f", " ", "\u200b", "", "`", " ", "μ", "µ", "º", "°", "\r\n",
	"\n", "\t", " ",
)

// smallLetters makes capitals of the Latin alphabet small and leaves every byte in its place.
func smallLetters(text string) string {
	return strings.Map(func(r rune) rune {
		if r >= 'A' && r <= 'Z' {
			return r + 'a' - 'A'
		}
		return r
	}, text)
}

// scan splits a question into its pieces.
func scan(text string) ([]piece, []Trouble) {
	if len(text) > longestQuestion {
		text = strings.ToValidUTF8(text[:longestQuestion], "")
	}
	s := scanner{written: oneSpelling.Replace(strings.ToValidUTF8(text, " "))}
	s.text = smallLetters(s.written)
	s.commas = decimalComma.MatchString(s.text)
	for s.at < len(s.text) {
		s.step()
	}
	return s.pieces, s.troubles
}

type scanner struct {
	written  string
	text     string // written, in small letters
	at       int
	commas   bool // this person writes decimal commas
	numbers  int
	pieces   []piece
	troubles []Trouble
}

func (s *scanner) trouble(from int, why string) {
	s.troubles = append(s.troubles, Trouble{Text: strings.TrimSpace(s.written[from:s.at]), Why: why})
}

func (s *scanner) step() {
	rest := s.text[s.at:]
	r, size := utf8.DecodeRuneInString(rest)
	switch {
	case startsNumber(rest):
		s.group()
	case unicode.IsLetter(r):
		end := strings.IndexFunc(rest, func(r rune) bool {
			return !unicode.IsLetter(r) && !unicode.IsDigit(r) && r != '-' && r != '/'
		})
		if end < 0 {
			end = len(rest)
		}
		s.pieces = append(s.pieces, piece{word: strings.TrimRight(rest[:end], "-/")})
		s.at += end
	default:
		if strings.ContainsRune(",;\n?!", r) || r == '.' && (len(rest) == 1 || rest[1] == ' ' || rest[1] == '\n') {
			s.pieces = append(s.pieces, piece{ends: true})
		}
		s.at += size
	}
}

func digit(b byte) bool { return b >= '0' && b <= '9' }

func startsNumber(rest string) bool {
	if len(rest) > 1 && (rest[0] == '-' || rest[0] == '+') {
		rest = rest[1:]
	}
	return rest != "" && (digit(rest[0]) || len(rest) > 1 && rest[0] == '.' && digit(rest[1]))
}

// group reads numbers with "x" between them, and their units.
func (s *scanner) group() {
	start := s.at
	var group []Quantity
	for {
		q, ok := s.quantity()
		if !ok {
			return
		}
		group = append(group, q)
		m := betweenEdges.FindStringSubmatchIndex(s.text[s.at:])
		if m == nil {
			break
		}
		s.at += m[4]
	}
	if s.numbers += len(group); s.numbers > mostNumbers {
		s.at = len(s.text)
		s.trouble(s.at, "There are too many numbers: ask one question at a time")
		return
	}
	// A unit counts for the numbers before it that have none: 48x24x20 in.
	for i := len(group) - 2; i >= 0; i-- {
		if group[i].Unit == nil {
			group[i].Unit = group[i+1].Unit
		}
	}
	text := strings.TrimSpace(s.written[start:s.at])
	for _, q := range group {
		if q.thousands && q.Unit != nil && mayBeThousands(q.Unit) {
			s.trouble(start, twoReadings)
			return
		}
	}
	if len(group) == 1 && group[0].Unit == nil {
		word, _, _ := strings.Cut(strings.TrimLeft(s.text[s.at:], " "), " ")
		if slices.Contains(countedNouns, strings.Trim(word, ",.;:?!\n")) {
			return // a count
		}
	}
	s.pieces = append(s.pieces, piece{group: group, text: text})
}

// quantity reads one number and its unit. Where it cannot, it says so in a trouble
// and goes past what it could not read.
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
	afterNumber := s.at
	length, found, unit := unitAt(s.text[s.at:])
	s.at += length
	value, why := readNumber(number, s.commas, s.gravity(unit))
	rest := s.text[s.at:]
	switch {
	case why != "":
	case found && unit == nil:
		why = "has a unit that I cannot take at its word: write °F or °C, and US gallons or litres"
	case !found && len(rest) > 0 && wordFollows(rest):
		end := strings.IndexFunc(rest, func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) })
		if end < 0 {
			end = len(rest)
		}
		s.at += end
		why = "has a unit that I do not know"
	case len(rest) > 1 && (rest[0] == '/' || rest[0] == '-') && digit(rest[1]):
		s.at++
		for s.at < len(s.text) && (digit(s.text[s.at]) || strings.IndexByte(".,/-", s.text[s.at]) >= 0) {
			s.at++
		}
		length, _, _ := unitAt(s.text[s.at:])
		s.at += length
		why = "is a range or a fraction: write one number, such as 47.5"
	}
	if why != "" {
		s.trouble(start, why)
		return Quantity{}, false
	}
	if negative {
		value = -value
	}
	q := Quantity{
		Value: value, Unit: unit, Text: strings.TrimSpace(s.written[start:s.at]),
		thousands: maybeGrouped.MatchString(number),
	}
	if found && unit.Symbol == "ft" && value == float64(int64(value)) {
		q = s.withInches(q, start)
	}
	if !found {
		s.at = afterNumber
	}
	return q, true
}

// inNumber tells whether the next character belongs to a number: a digit, or a sign with a digit behind it.
func (s *scanner) inNumber() bool {
	if s.at >= len(s.text) || digit(s.text[s.at]) {
		return s.at < len(s.text)
	}
	sign := strings.IndexByte(".,'", s.text[s.at]) >= 0
	return sign && s.at+1 < len(s.text) && digit(s.text[s.at+1]) && !s.feetAt()
}

// mayBeThousands tells whether people write numbers above a thousand in a unit.
func mayBeThousands(u *Unit) bool {
	return slices.Contains([]Dimension{Volume, Flow, Power}, u.Dimension) || u.Symbol == "mm"
}

// gravity tells whether a number is a specific gravity, by its unit or by the word before it.
func (s *scanner) gravity(unit *Unit) bool {
	if unit != nil || len(s.pieces) == 0 {
		return unit != nil && unit.Dimension == SpecificGravity
	}
	before := s.pieces[len(s.pieces)-1].word
	return before == "sg" || before == "gravity"
}

// feetAt tells whether the ' here is the sign for feet, as in 4'6".
func (s *scanner) feetAt() bool {
	if s.text[s.at] != '\'' {
		return false
	}
	rest := strings.TrimLeft(s.text[s.at+1:], "0123456789.")
	return strings.HasPrefix(rest, `"`) || strings.HasPrefix(rest, "''") ||
		strings.HasPrefix(strings.TrimLeft(rest, " "), "in")
}

// withInches adds the inches of 4 ft 6 in.
func (s *scanner) withInches(feet Quantity, start int) Quantity {
	if !inchesAfter.MatchString(s.text[s.at:]) {
		return feet
	}
	at := s.at + strings.IndexAny(s.text[s.at:], "0123456789")
	end := at
	for end < len(s.text) && (digit(s.text[end]) || s.text[end] == '.') {
		end++
	}
	length, found, unit := unitAt(s.text[end:])
	value, why := readNumber(s.text[at:end], s.commas, false)
	if !found || unit == nil || unit.Symbol != "in" || why != "" || value >= 12 || feet.Value < 0 {
		return feet
	}
	s.at = end + length
	return Quantity{Value: feet.Value*12 + value, Unit: unit, Text: strings.TrimSpace(s.written[start:s.at])}
}

// wordFollows tells whether letters stand directly behind a number: 64q. The x between edges is none.
func wordFollows(rest string) bool {
	r, _ := utf8.DecodeRuneInString(rest)
	return unicode.IsLetter(r) && !betweenEdges.MatchString(rest)
}

// readNumber reads digits with one decimal sign. What could be read in two ways it does not guess.
// But for a specific gravity, which is about 1, a comma can only be the decimal sign.
func readNumber(text string, commas, gravity bool) (value float64, why string) {
	switch {
	case plainNumber.MatchString(text):
	case commaNumber.MatchString(text):
		if maybeGrouped.MatchString(text) && !gravity {
			return 0, twoReadings
		}
	case dotNumber.MatchString(text):
		if maybeGrouped.MatchString(text) && commas && !gravity {
			return 0, "can be read in two ways beside your decimal commas: write it without a sign between thousands"
		}
	default:
		return 0, "is no number that I can read: write digits with one decimal point, and x between lengths"
	}
	value, err := strconv.ParseFloat(strings.Replace(text, ",", ".", 1), 64)
	if err != nil {
		return 0, "is no number that I can read"
	}
	return value, ""
}
