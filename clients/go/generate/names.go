package main

import (
	"bytes"
	"slices"
	"strings"
	"unicode"

	"saltwright/internal/contract"
)

func comment(b *bytes.Buffer, text string) {
	for line := range strings.Lines(strings.TrimSpace(text)) {
		b.WriteString("// " + strings.TrimSpace(line) + "\n")
	}
}

func goType(s *contract.Schema) string {
	switch s.Type {
	case "object":
		if s.Name != "" {
			return s.Name
		}
	case "array":
		return "[]" + goType(s.Items)
	case "number":
		return "float64"
	case "integer":
		return "int"
	case "boolean":
		return "bool"
	case "string":
		return "string"
	}
	return "json.RawMessage"
}

// initials are words that are written in capitals in Go.
var initials = []string{"id", "url", "psu", "ph", "uv", "doi"}

// goName returns a member's name in Go: heater_power_w becomes HeaterPowerW.
func goName(member string) string {
	var out strings.Builder
	for _, word := range strings.FieldsFunc(member, func(r rune) bool { return r == '_' || r == '-' || r == '$' }) {
		if slices.Contains(initials, word) {
			out.WriteString(strings.ToUpper(word))
			continue
		}
		r := []rune(word)
		r[0] = unicode.ToUpper(r[0])
		out.WriteString(string(r))
	}
	return out.String()
}
