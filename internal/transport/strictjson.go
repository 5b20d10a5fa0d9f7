package transport

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"
	"unicode/utf8"

	"saltwright/internal/answer/envelope"
)

// Limits of a body, checked on its original bytes: the filter that writes
// defaults would hide trailing data and duplicate members.
const (
	maxBodyBytes   = 64 << 10
	maxDepth       = 16
	maxValues      = 5000
	maxMembers     = 256 // of one object; the contract's largest has fewer
	maxNumberBytes = 64
)

func malformed(detail string, v ...envelope.Violation) error {
	return &requestError{code: "malformed_request", detail: detail, violations: v}
}

// checkJSON makes sure that the bytes are one JSON value, valid UTF-8, without
// duplicate members and within the limits, and returns it decoded. It blanks the
// sign of a negative zero in place, so that -0 and 0 give the same answer.
func checkJSON(data []byte) (any, error) {
	if !utf8.Valid(data) {
		return nil, malformed("The body is not valid UTF-8.")
	}
	dec := json.NewDecoder(bytes.NewReader(data))
	dec.UseNumber()
	s := scanner{data: data, dec: dec}
	v, err := s.value(0)
	if err != nil {
		return nil, err
	}
	if _, err := dec.Token(); !errors.Is(err, io.EOF) {
		return nil, malformed("Something follows the JSON value; send one value only.")
	}
	return v, nil
}

type scanner struct {
	data   []byte
	dec    *json.Decoder
	path   []string
	values int
}

func (s *scanner) pointer() string {
	var b strings.Builder
	b.WriteString("#")
	for _, p := range s.path {
		b.WriteString("/" + escapePointer(clip(p)))
	}
	return b.String()
}

// escapePointer escapes one token of a JSON pointer (RFC 6901).
func escapePointer(token string) string {
	return strings.ReplaceAll(strings.ReplaceAll(token, "~", "~0"), "/", "~1")
}

func (s *scanner) token() (json.Token, error) {
	t, err := s.dec.Token()
	if err == nil {
		return t, nil
	}
	if errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
		return nil, malformed("The body ends before the JSON value does.")
	}
	var syntax *json.SyntaxError
	if errors.As(err, &syntax) {
		return nil, malformed(fmt.Sprintf("The body is not valid JSON at byte %d.", syntax.Offset))
	}
	return nil, malformed("The body is not valid JSON.")
}

func (s *scanner) value(depth int) (any, error) {
	t, err := s.token()
	if err != nil {
		return nil, err
	}
	return s.rest(t, depth)
}

func (s *scanner) rest(t json.Token, depth int) (any, error) {
	if s.values++; s.values > maxValues {
		return nil, malformed(fmt.Sprintf("The body has more than %d values.", maxValues))
	}
	switch v := t.(type) {
	case json.Number:
		if len(v) > maxNumberBytes {
			return nil, malformed(fmt.Sprintf("A number has more than %d characters.", maxNumberBytes),
				envelope.Violation{Code: envelope.CodeSyntax, In: "body", Pointer: s.pointer(), Detail: "write the number with fewer digits"})
		}
		if v[0] == '-' {
			if f, err := v.Float64(); err == nil && f == 0 {
				s.data[int(s.dec.InputOffset())-len(v)] = ' '
				return v[1:], nil
			}
		}
	case json.Delim:
		if depth >= maxDepth {
			return nil, malformed(fmt.Sprintf("The body is nested more than %d levels deep.", maxDepth))
		}
		if v == '{' {
			return s.object(depth)
		}
		return s.array(depth)
	}
	return t, nil
}

func (s *scanner) object(depth int) (any, error) {
	members := map[string]any{}
	for {
		t, err := s.token()
		if err != nil {
			return nil, err
		}
		if t == json.Delim('}') {
			return members, nil
		}
		name, ok := t.(string)
		if !ok {
			return nil, malformed("The body is not valid JSON.")
		}
		if len(members) == maxMembers {
			return nil, malformed(fmt.Sprintf("An object has more than %d members.", maxMembers))
		}
		s.path = append(s.path, name)
		if _, twice := members[name]; twice {
			return nil, malformed("A member is given twice.",
				envelope.Violation{Code: envelope.CodeSyntax, In: "body", Pointer: s.pointer(), Detail: "is given more than once; keep one"})
		}
		if members[name], err = s.value(depth + 1); err != nil {
			return nil, err
		}
		s.path = s.path[:len(s.path)-1]
	}
}

func (s *scanner) array(depth int) (any, error) {
	items := []any{}
	for i := 0; ; i++ {
		t, err := s.token()
		if err != nil {
			return nil, err
		}
		if t == json.Delim(']') {
			return items, nil
		}
		s.path = append(s.path, strconv.Itoa(i))
		v, err := s.rest(t, depth+1)
		if err != nil {
			return nil, err
		}
		items = append(items, v)
		s.path = s.path[:len(s.path)-1]
	}
}
