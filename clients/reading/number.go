package reading

import (
	"regexp"
	"strconv"
	"strings"
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
