package bot

import (
	"strings"

	"saltwright/clients/reading"
)

// Understand reads a text.
func Understand(text string) Understanding {
	q := Read(text)
	u := Understanding{
		Kind: AsksBack, Values: map[string]reading.Quantity{}, Words: map[string]string{}, Missing: q.Missing,
		Unused: q.Unused,
	}
	if q.Topic == nil {
		return u
	}
	u.Topic = paths[q.Topic.Operation]
	for m, v := range q.Values {
		u.Values[m] = v.Quantity
	}
	if q.Lid != "" {
		u.Words["lid"] = q.Lid
	}
	if scale := q.scale(); scale != "" {
		u.Words[scaleMember] = scale
	}
	if q.Complete() {
		u.Kind = Answers
	}
	return u
}

var paths = func() map[string]string {
	out := map[string]string{}
	for _, t := range topics {
		var path strings.Builder
		for i, r := range strings.TrimPrefix(t.Operation, "post") {
			if r >= 'A' && r <= 'Z' {
				if i > 0 {
					path.WriteByte('-')
				}
				r += 'a' - 'A'
			}
			path.WriteRune(r)
		}
		out[t.Operation] = path.String()
	}
	return out
}()
