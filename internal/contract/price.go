package contract

import (
	"errors"
	"fmt"
	"math"
)

// Price is what a request costs, in units of a quota: x-cost, and x-cost-plus by the size of what is asked.
type Price struct {
	Least int // x-cost: of every request
	Plus  []PriceTerm
}

// PriceTerm is units times the sizes of the request.
type PriceTerm struct {
	Units float64
	Times []Size
}

// Size is one number that tells how much is asked for. Exactly one of Items, List, Value and Parameter names it.
type Size struct {
	Items     string   // pointer to an object: the items of all lists that are its members
	List      string   // pointer to a list: its items
	Value     []string // pointers to numbers: the first that was sent, else the first default
	Parameter string   // of the query
	Most      float64  // a larger size counts as this; 0: as it is
}

// readPrice reads the two extensions of an operation.
func readPrice(extensions map[string]any) (Price, error) {
	least := numberIn(extensions, "x-cost")
	if least == nil || *least < 1 {
		return Price{}, errors.New("no x-cost of at least 1")
	}
	price := Price{Least: int(*least)}
	plus, ok := floats(extensions["x-cost-plus"]).([]any)
	if !ok && extensions["x-cost-plus"] != nil {
		return Price{}, errors.New("x-cost-plus is no list")
	}
	for _, entry := range plus {
		members, _ := entry.(map[string]any)
		units, _ := members["units"].(float64)
		times, _ := members["times"].([]any)
		if units <= 0 || len(times) == 0 {
			return Price{}, fmt.Errorf("x-cost-plus %v: want units above 0, and times with a size", entry)
		}
		term := PriceTerm{Units: units}
		for _, size := range times {
			term.Times = append(term.Times, readSize(size))
		}
		price.Plus = append(price.Plus, term)
	}
	return price, nil
}

func readSize(entry any) Size {
	members, _ := entry.(map[string]any)
	var s Size
	s.Items, _ = members["items"].(string)
	s.List, _ = members["list"].(string)
	s.Parameter, _ = members["parameter"].(string)
	s.Most, _ = members["most"].(float64)
	values, _ := members["value"].([]any)
	for _, v := range values {
		pointer, _ := v.(string)
		s.Value = append(s.Value, pointer)
	}
	return s
}

func (s Size) capped(size float64) float64 {
	if s.Most > 0 {
		return min(size, s.Most)
	}
	return size
}

func (t PriceTerm) product(size func(Size) float64) float64 {
	product := 1.0
	for _, s := range t.Times {
		product *= s.capped(size(s))
	}
	return product
}

// sum is the price of a request with these sizes, in whole units.
func (p Price) sum(size func(Size) float64) int {
	units := float64(p.Least)
	for _, term := range p.Plus {
		units += term.Units * term.product(size)
	}
	const rounding = 1e-9 // so that 0.1 times 30 is 3
	return int(math.Ceil(units - rounding))
}
