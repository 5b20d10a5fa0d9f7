package contract

import (
	"bytes"
	"encoding/json"
	"errors"
	"io"
	"strconv"
	"sync"
	"unicode/utf8"

	"github.com/go-json-experiment/json/jsontext"

	"saltwright/internal/calc/text"
)

// Limits of a body. How many bytes it may have is up to the transport.
const (
	maxDepth       = 16
	maxValues      = 5000
	maxMembers     = 256 // of one object; the contract's largest has fewer
	maxNumberBytes = 64
)

// parser reads one JSON value into map[string]any, []any, string, bool, nil and
// float64. A number that float64 cannot hold stays a json.Number, which the
// checker refuses at its place. A member of any type stays its json.RawMessage.
// The schemas beside the value lend their strings, so that known names and
// choices are not copied, and say which nulls mean "not stated".
type parser struct {
	decoder *jsontext.Decoder
	source  bytes.Buffer
	data    []byte
	values  int
}

var parsers = sync.Pool{New: func() any { return &parser{decoder: jsontext.NewDecoder(new(bytes.Buffer))} }}

// parseJSON reads data, which must be exactly one JSON value: valid UTF-8,
// without duplicate members and within the limits. Errors: *Malformed.
func parseJSON(data []byte, s *Schema) (any, error) {
	if len(data) == 0 {
		return nil, &Malformed{Said: text.Of("body_missing", nil)}
	}
	if !utf8.Valid(data) {
		return nil, &Malformed{Said: text.Of("body_not_utf8", nil)}
	}
	p := parsers.Get().(*parser)
	defer parsers.Put(p)
	p.data, p.values = data, 0
	p.source = *bytes.NewBuffer(data)                              // the decoder reads a buffer in place
	p.decoder.Reset(&p.source, jsontext.AllowDuplicateNames(true)) // object looks for them itself
	v, err := p.value(s, 0)
	p.data, p.source = nil, bytes.Buffer{}
	if err != nil {
		return nil, err
	}
	if _, err := p.decoder.ReadToken(); err != io.EOF {
		return nil, &Malformed{Said: text.Of("body_followed_by_more", nil)}
	}
	return v, nil
}

// limit is the parameter of a text about one of the limits of a body.
func limit(most int) text.Params { return text.Params{"most": float64(most)} }

// refused turns the decoder's error into ours.
func refused(err error) error {
	var syntax *jsontext.SyntacticError
	switch {
	case errors.Is(err, io.EOF), errors.Is(err, io.ErrUnexpectedEOF):
		return &Malformed{Said: text.Of("body_ends_early", nil)}
	case errors.As(err, &syntax):
		return &Malformed{Said: text.Of("body_not_json_at",
			text.Params{"byte": float64(syntax.ByteOffset + 1)})}
	}
	return &Malformed{Said: text.Of("body_not_json", nil)}
}

// here is a violation at the value read last.
func (p *parser) here(said text.Text) []Violation {
	pointer := "#"
	for token := range p.decoder.StackPointer().Tokens() {
		pointer += "/" + EscapePointer(clip(token))
	}
	return []Violation{{Code: CodeSyntax, In: InBody, Pointer: pointer, Said: said}}
}

func (p *parser) value(s *Schema, depth int) (any, error) {
	if p.values++; p.values > maxValues {
		return nil, &Malformed{Said: text.Of("body_of_too_many_values", limit(maxValues))}
	}
	if s != nil && s.anything {
		start := p.decoder.InputOffset()
		p.values--
		if _, err := p.value(nil, depth); err != nil {
			return nil, err
		}
		return json.RawMessage(bytes.TrimLeft(p.data[start:p.decoder.InputOffset()], " \t\r\n:,")), nil
	}
	kind := p.decoder.PeekKind()
	if kind == '{' || kind == '[' {
		if depth >= maxDepth {
			return nil, &Malformed{Said: text.Of("body_too_deep", limit(maxDepth))}
		}
		if _, err := p.decoder.ReadToken(); err != nil {
			return nil, refused(err)
		}
		if kind == '{' {
			return p.object(s, depth)
		}
		return p.array(s, depth)
	}
	raw, err := p.decoder.ReadValue()
	if err != nil {
		return nil, refused(err)
	}
	switch kind {
	case '"':
		return stringOf(s, raw), nil
	case '0':
		return p.number(raw)
	case 't', 'f':
		return kind == 't', nil
	}
	return nil, nil
}

// unquoted returns the characters of a JSON string.
func unquoted(raw jsontext.Value) []byte {
	inside := raw[1 : len(raw)-1]
	if bytes.IndexByte(inside, '\\') < 0 {
		return inside
	}
	out, _ := jsontext.AppendUnquote(nil, raw) // the decoder has read it
	return out
}

func stringOf(s *Schema, raw jsontext.Value) any {
	said := unquoted(raw)
	if s != nil {
		for i := range s.choices {
			if s.Enum[i] == string(said) {
				return s.choices[i]
			}
		}
	}
	return string(said)
}

func (p *parser) number(raw jsontext.Value) (any, error) {
	if len(raw) > maxNumberBytes {
		return nil, &Malformed{
			Said:       text.Of("number_too_long", limit(maxNumberBytes)),
			Violations: p.here(text.Of("number_of_too_many_digits", nil)),
		}
	}
	f, err := strconv.ParseFloat(string(raw), 64)
	if err != nil { // beyond float64: the decoder has read it as a number
		return json.Number(raw), nil
	}
	return f + 0, nil // -0 + 0 is 0
}

func (p *parser) object(s *Schema, depth int) (any, error) {
	members := map[string]any{}
	unstated := 0
	for p.decoder.PeekKind() != '}' {
		raw, err := p.decoder.ReadValue()
		if err != nil {
			return nil, refused(err)
		}
		if len(members) == maxMembers {
			return nil, &Malformed{Said: text.Of("object_of_too_many_members", limit(maxMembers))}
		}
		name, at := memberOf(s, unquoted(raw))
		v, err := p.value(at, depth+1)
		if err != nil {
			return nil, err
		}
		before := len(members)
		if members[name] = v; len(members) == before {
			return nil, &Malformed{text.Of("member_given_twice", nil),
				p.here(text.Of("value_given_twice", nil))}
		}
		if v == nil && at != nil && at.Default != nil {
			unstated++
		}
	}
	if _, err := p.decoder.ReadToken(); err != nil {
		return nil, refused(err)
	}
	if unstated > 0 {
		for name, v := range members {
			if m := s.index[name]; v == nil && m != nil && m.Schema.Default != nil {
				delete(members, name)
			}
		}
	}
	return members, nil
}

// memberOf returns a member's name and its schema, nil for one that the contract does not know.
func memberOf(s *Schema, name []byte) (string, *Schema) {
	if s != nil {
		if m := s.index[string(name)]; m != nil {
			return m.Name, m.Schema
		}
	}
	return string(name), nil
}

func (p *parser) array(s *Schema, depth int) (any, error) {
	var at *Schema
	if s != nil {
		at = s.Items
	}
	items := make([]any, 0, 4)
	for p.decoder.PeekKind() != ']' {
		v, err := p.value(at, depth+1)
		if err != nil {
			return nil, err
		}
		items = append(items, v)
	}
	if _, err := p.decoder.ReadToken(); err != nil {
		return nil, refused(err)
	}
	return items, nil
}
