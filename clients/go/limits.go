package saltwright

import (
	"cmp"
	"slices"
	"strconv"
	"strings"
	"time"
)

// Limit is one quota of this client.
type Limit struct {
	Name      string
	Quota     int           // units
	Window    time.Duration // in which it grows back
	Remaining int           // units left now
	Reset     time.Duration // until all of it is there again
}

// limitsOf reads the RateLimit and RateLimit-Policy fields, which are lists of
// strings with whole numbers as parameters (RFC 9651). What it cannot read it
// leaves out: the fields are of a draft.
func limitsOf(now, policies string) []Limit {
	var out []Limit
	left := items(now)
	for name, p := range items(policies) {
		l := Limit{Name: name, Quota: p["q"], Window: time.Duration(p["w"]) * time.Second}
		if n, ok := left[name]; ok {
			l.Remaining, l.Reset = n["r"], time.Duration(n["t"])*time.Second
		}
		out = append(out, l)
	}
	slices.SortFunc(
		out, func(a, b Limit) int { return cmp.Or(cmp.Compare(a.Window, b.Window), strings.Compare(a.Name, b.Name)) },
	)
	return out
}

func items(field string) map[string]map[string]int {
	out := map[string]map[string]int{}
	for _, one := range strings.Split(field, ",") {
		parts := strings.Split(strings.TrimSpace(one), ";")
		name, err := strconv.Unquote(parts[0])
		if err != nil {
			continue
		}
		values := map[string]int{}
		for _, p := range parts[1:] {
			key, text, _ := strings.Cut(p, "=")
			if n, err := strconv.Atoi(text); err == nil {
				values[strings.TrimSpace(key)] = n
			}
		}
		out[name] = values
	}
	return out
}
