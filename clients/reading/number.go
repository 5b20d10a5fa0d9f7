package reading

import (
	"regexp"
	"strconv"
	"strings"
	"unicode"
)

var (
	plainNumber   = regexp.MustCompile(`^[0-9]{1,9}$`)
	dotNumber     = regexp.MustCompile(`^[0-9]{0,9}\.[0-9]{1,9}$`)
	commaNumber   = regexp.MustCompile(`^[0-9]{1,9},[0-9]{1,9}$`)
	maybeGrouped  = regexp.MustCompile(`^[1-9][0-9]{0,2}[.,][0-9]{3}$`)
	decimalComma  = regexp.MustCompile(`(^|[^0-9.,])[0-9]+,([0-9]{1,2}|[0-9]{4,})($|[^0-9.,])`)
	inchesAfter   = regexp.MustCompile(`^[ -]*[0-9]`)
	mixedFraction = regexp.MustCompile(`^[ -]+([0-9]{1,2})/([0-9]{1,2})(?:$|[^0-9/.,])`)
	fraction      = regexp.MustCompile(`^/([0-9]{1,2})(?:$|[^0-9/.,])`)
)

const twoReadings = "can be read in two ways: write 1200 or 1.2 for what might be either, " +
	"without a sign between thousands"

func digit(b byte) bool { return b >= '0' && b <= '9' }

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

// readNumber reads digits with one decimal mark. It refuses what could be read in two ways, except in a specific
// gravity: that is about 1, so its comma can only be the decimal mark.
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
