package main

import (
	"encoding/json"
	"os"
	"time"
)

// sample is one request, and what it took.
type sample struct {
	name   string
	query  string
	body   []byte
	took   time.Duration
	paid   int       // what it cost in the end
	most   int       // what it had to have
	sizes  []float64 // of the terms of x-cost-plus
	status int
}

// object is a JSON object.
type object = map[string]any

func readCase(operation, name string) (object, error) {
	data, err := os.ReadFile("testdata/api/" + operation + "/" + name + ".request.json")
	if err != nil {
		return nil, err
	}
	var o object
	return o, json.Unmarshal(data, &o)
}

func with(base, more object) object {
	out := object{}
	for _, from := range []object{base, more} {
		for name, value := range from {
			out[name] = value
		}
	}
	return out
}

// unit is what a unit is worth, as in internal/transport.
const unit = 20 * time.Millisecond
