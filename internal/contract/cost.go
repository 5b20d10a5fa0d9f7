package contract

import (
	"fmt"
	"math"
	"strings"
)

// Cost is the price of a request, in units of a quota.
func (r *Request) Cost() int { return r.Operation.Price.sum(r.size) }

// Sizes is, for each entry of x-cost-plus, what its units are multiplied by.
func (r *Request) Sizes() []float64 {
	var out []float64
	for _, term := range r.Operation.Price.Plus {
		out = append(out, term.product(r.size))
	}
	return out
}

// DearestCost is the most that one request may cost.
func (o *Operation) DearestCost() int { return o.Price.sum(o.largest) }

// checkPrice refuses a price by a size that the operation's requests do not have, or that nothing bounds.
func (o *Operation) checkPrice() error {
	for _, term := range o.Price.Plus {
		for _, s := range term.Times {
			if most := s.capped(o.largest(s)); math.IsInf(most, 1) || most <= 0 {
				return fmt.Errorf("%s: x-cost-plus: size %+v: want one that the request has, with a bound", o.ID, s)
			}
		}
	}
	return nil
}

// largest is the most that a size can be in a request that keeps the contract; infinite where nothing bounds it, or
// the request has no such member.
func (o *Operation) largest(s Size) float64 {
	switch {
	case s.Parameter != "":
		if p := o.Parameter(InQuery, s.Parameter); p != nil {
			return greatest(p.Schema)
		}
	case s.List != "":
		return longest(o.Member(s.List))
	case s.Items != "":
		if object := o.Member(s.Items); object != nil {
			items := 0.0
			for _, m := range object.Members {
				if m.Schema.Items != nil {
					items += longest(m.Schema)
				}
			}
			return items
		}
	case len(s.Value) > 0:
		most := 0.0
		for _, pointer := range s.Value {
			most = max(most, greatest(o.Member(pointer)))
		}
		return most
	}
	return math.Inf(1)
}

func greatest(number *Schema) float64 {
	if number == nil || number.Maximum == nil {
		return math.Inf(1)
	}
	return *number.Maximum
}

func longest(list *Schema) float64 {
	if list == nil || list.MaxItems == nil {
		return math.Inf(1)
	}
	return float64(*list.MaxItems)
}

// size is how much a request asks for.
func (r *Request) size(s Size) float64 {
	switch {
	case s.Parameter != "":
		size, _ := r.Parameter(s.Parameter).(float64)
		return size
	case s.List != "":
		list, _ := r.at(s.List).([]any)
		return float64(len(list))
	case s.Items != "":
		items := 0
		object, _ := r.at(s.Items).(map[string]any)
		for _, member := range object {
			list, _ := member.([]any)
			items += len(list)
		}
		return float64(items)
	}
	return r.firstNumber(s.Value)
}

func (r *Request) firstNumber(pointers []string) float64 {
	for _, pointer := range pointers {
		if v, sent := r.at(pointer).(float64); sent {
			return v
		}
	}
	for _, pointer := range pointers {
		if v, known := r.Operation.Member(pointer).Default.(float64); known {
			return v
		}
	}
	return 0
}

// at returns what was sent at a pointer through objects, or nil.
func (r *Request) at(pointer string) any {
	v := r.tree
	for _, token := range strings.Split(strings.TrimPrefix(pointer, "#"), "/")[1:] {
		object, _ := v.(map[string]any)
		v = object[token]
	}
	return v
}
