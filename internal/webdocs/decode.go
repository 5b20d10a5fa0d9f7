package webdocs

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strconv"
)

// object is a JSON object in the order it came in.
type object []pair

type pair struct {
	key   string
	value any
}

func (o object) get(key string) any {
	for _, p := range o {
		if p.key == key {
			return p.value
		}
	}
	return nil
}

func (o object) text(key string) string {
	s, _ := o.get(key).(string)
	return s
}

func (o object) list(key string) []object {
	var out []object
	values, _ := o.get(key).([]any)
	for _, v := range values {
		if o, ok := v.(object); ok {
			out = append(out, o)
		}
	}
	return out
}

// decode reads JSON and keeps the order of members and the text of numbers.
func decode(data []byte) (any, error) {
	dec := json.NewDecoder(bytes.NewReader(data))
	dec.UseNumber()
	v, err := decodeValue(dec)
	if err != nil {
		return nil, fmt.Errorf("webdocs: %w", err)
	}
	if _, err := dec.Token(); !errors.Is(err, io.EOF) {
		return nil, errors.New("webdocs: more than one JSON value")
	}
	return v, nil
}

func decodeValue(dec *json.Decoder) (any, error) {
	t, err := dec.Token()
	if err != nil {
		return nil, err
	}
	switch t {
	case json.Delim('{'):
		o := object{}
		for dec.More() {
			key, err := dec.Token()
			if err != nil {
				return nil, err
			}
			v, err := decodeValue(dec)
			if err != nil {
				return nil, err
			}
			o = append(o, pair{key.(string), v})
		}
		_, err = dec.Token()
		return o, err
	case json.Delim('['):
		list := []any{}
		for dec.More() {
			v, err := decodeValue(dec)
			if err != nil {
				return nil, err
			}
			list = append(list, v)
		}
		_, err = dec.Token()
		return list, err
	}
	return t, nil
}

// asWritten is a number, text or truth value as JSON writes it, a text without its quotes.
func asWritten(v any) string {
	switch v := v.(type) {
	case json.Number:
		return v.String()
	case bool:
		return strconv.FormatBool(v)
	case string:
		return v
	}
	return ""
}
