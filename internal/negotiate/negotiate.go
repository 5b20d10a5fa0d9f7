// Package negotiate reads the header fields by which a client says what it has
// and what it takes (RFC 9110, section 12 and 13).
package negotiate

import (
	"mime"
	"net/http"
	"slices"
	"strconv"
	"strings"
)

// Has tells whether an If-None-Match field names a tag, by weak comparison (RFC 9110, 13.1.2).
func Has(field, tag string) bool {
	for _, one := range strings.Split(field, ",") {
		if one = strings.TrimSpace(one); one == "*" || strings.TrimPrefix(one, "W/") == tag {
			return true
		}
	}
	return false
}

// Accepts tells whether an Accept-Encoding field takes a coding, such as gzip (RFC 9110, 12.5.3). What it cannot read
// it leaves out.
func Accepts(field, coding string) bool {
	weights := map[string]float64{}
	for _, one := range strings.Split(field, ",") {
		name, parameter, _ := strings.Cut(one, ";")
		weight := 1.0
		if _, text, ok := strings.Cut(parameter, "="); ok {
			q, err := strconv.ParseFloat(strings.TrimSpace(text), 64)
			if err != nil {
				continue
			}
			weight = q
		}
		weights[strings.ToLower(strings.TrimSpace(name))] = weight
	}
	if q, said := weights[coding]; said {
		return q > 0
	}
	return weights["*"] > 0
}

// Preferred returns the offered media type that an Accept field likes best (RFC 9110, 12.5.1); the first where it likes
// none.
func Preferred(field string, offered ...string) string {
	best, bestQ := offered[0], 0.0
	for _, piece := range strings.Split(field, ",") {
		media, params, err := mime.ParseMediaType(strings.TrimSpace(piece))
		if err != nil {
			continue
		}
		q := 1.0
		if text, ok := params["q"]; ok {
			if q, err = strconv.ParseFloat(text, 64); err != nil {
				continue
			}
		}
		for _, o := range offered {
			group, _, _ := strings.Cut(o, "/")
			if (media == o || media == group+"/*" || media == "*/*") && q > bestQ {
				best, bestQ = o, q
				break
			}
		}
	}
	return best
}

// Vary adds a field name to Vary, once and in its one line: caches are known that obey the last line only.
func Vary(h http.Header, field string) {
	before := h.Get("Vary")
	switch {
	case before == "":
		h.Set("Vary", field)
	case !slices.Contains(strings.Split(before, ", "), field):
		h.Set("Vary", before+", "+field)
	}
}
