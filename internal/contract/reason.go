package contract

import "saltwright/internal/calc/text"

// Reason is a text as a program reads it that translates for itself: the contract's schema of that name.
type Reason struct {
	Code   string         `json:"code"`
	Params map[string]any `json:"params"`
}

// ReasonOf returns the code and the parameters of a text, those of texts inside it too.
func ReasonOf(t text.Text) Reason {
	r := Reason{t.Code, make(map[string]any, len(t.Params))}
	for name, value := range t.Params {
		r.Params[name] = plainParam(value)
	}
	return r
}

func plainParam(value any) any {
	switch v := value.(type) {
	case text.Text:
		return ReasonOf(v)
	case []text.Text:
		list := make([]Reason, len(v))
		for i, t := range v {
			list[i] = ReasonOf(t)
		}
		return list
	case text.Measured:
		return map[string]any{"value": v.Value, "uncertainty": v.Uncertainty}
	case text.Amount:
		return map[string]any{"value": v.Value, "unit": v.Unit}
	}
	return value
}
