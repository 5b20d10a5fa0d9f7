package answer

import (
	"context"
	"maps"
	"reflect"
	"slices"

	"saltwright/internal/catalogue"
	"saltwright/internal/contract"
)

type textsResponse struct {
	Texts []textCode `json:"texts"`
	Words []wordList `json:"words"`
}

type textCode struct {
	Code   string          `json:"code"`
	Params []textParameter `json:"params"`
	One    string          `json:"one,omitempty"`
	Other  string          `json:"other"`
}

type textParameter struct {
	Name     string `json:"name"`
	Kind     string `json:"kind"`
	Quantity string `json:"quantity,omitempty"`
	Unit     string `json:"unit,omitempty"`
	Words    string `json:"words,omitempty"`
}

type wordList struct {
	List  string   `json:"list"`
	Words []string `json:"words"`
}

func newTextParameter(p catalogue.Param) textParameter {
	out := textParameter{Name: p.Name, Kind: string(p.Kind)}
	switch p.Kind {
	case catalogue.KindNumber, catalogue.KindRange:
		out.Quantity, out.Unit = p.Of, catalogue.UnitOf(p.Of)
	case catalogue.KindWord:
		out.Words = p.Of
	}
	return out
}

// textCodes is every text that an answer may hold, and how it reads in the language that is asked for.
func textCodes(*contract.Operation) (Operation, error) {
	return Operation{
		Result: reflect.TypeFor[textsResponse](),
		Answer: func(_ context.Context, asked *contract.Request) (any, error) {
			return textsIn(readerOf(asked).Speaker().Language), nil
		},
	}, nil
}

func textsIn(l catalogue.Language) textsResponse {
	out := textsResponse{Texts: []textCode{}, Words: []wordList{}}
	for _, code := range slices.Sorted(maps.Keys(catalogue.Codes)) {
		one := textCode{Code: code, Params: []textParameter{}}
		one.One, one.Other = catalogue.ReadsAs(l, code)
		for _, p := range catalogue.Codes[code] {
			one.Params = append(one.Params, newTextParameter(p))
		}
		out.Texts = append(out.Texts, one)
	}
	for _, list := range slices.Sorted(maps.Keys(catalogue.Words)) {
		out.Words = append(out.Words, wordList{list, catalogue.Words[list]})
	}
	return out
}
