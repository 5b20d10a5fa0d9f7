package saltwright

import "strings"

// Fields are the violations of a request by the field that a form would have for them: the member's path with dots, as
// room_c, display.volume_l or heaters.0.power_w, and a parameter's name. What is no field's fault stands under "".
func (e *ProblemError) Fields() map[string][]Violation {
	out := map[string][]Violation{}
	for _, v := range e.Errors {
		name := ""
		switch {
		case v.Pointer != nil:
			name = fieldOf(*v.Pointer)
		case v.Parameter != nil:
			name = *v.Parameter
		}
		out[name] = append(out[name], v)
	}
	return out
}

// fieldOf turns a JSON pointer (RFC 6901), in an address's fragment or not, into a path with dots.
func fieldOf(pointer string) string {
	parts := strings.Split(strings.TrimPrefix(strings.TrimPrefix(pointer, "#"), "/"), "/")
	for i, part := range parts {
		parts[i] = strings.ReplaceAll(strings.ReplaceAll(part, "~1", "/"), "~0", "~")
	}
	return strings.Join(parts, ".")
}
