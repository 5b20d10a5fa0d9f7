package main

import (
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os"
	"strings"

	"saltwright/internal/contract"
)

// samplesOf are requests of an operation from small to the largest, those that the contract refuses left out.
func samplesOf(o *contract.Operation, draws int) ([]sample, error) {
	var out []sample
	add := func(name, query string, body object) error {
		data, err := json.Marshal(body)
		if err != nil {
			return err
		}
		if _, err := o.Read(data, query); err == nil {
			out = append(out, sample{name: name, query: query, body: data})
		}
		return nil
	}
	queries := []string{""}
	if o.Parameter(contract.InQuery, "samples") != nil {
		queries = []string{"", "samples=100", "samples=300", "samples=1000"}
	}
	files, err := os.ReadDir("testdata/api/" + o.ID)
	if err != nil {
		return nil, err
	}
	for _, f := range files {
		name, isRequest := strings.CutSuffix(f.Name(), ".request.json")
		if !isRequest || strings.HasSuffix(name, "-problem") {
			continue
		}
		body, err := readCase(o.ID, name)
		if err != nil {
			return nil, err
		}
		for _, query := range append(queries, told(o)...) {
			if err := add(strings.TrimSpace(name+" "+query), query, body); err != nil {
				return nil, err
			}
		}
	}
	larger, err := enlarged(o, draws)
	if err != nil {
		return nil, err
	}
	ways := append([]string{""}, told(o)...)
	for i, l := range larger {
		query := ways[i%len(ways)]
		if err := add(strings.TrimSpace(l.name+" "+query), query, l.body); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// told are queries that change what is told, not what is calculated.
func told(o *contract.Operation) []string {
	switch {
	case o.Parameter(contract.InQuery, "fault") != nil:
		return []string{"language=de&detail=full&include=charts", "fault=mains.lost&include=charts"}
	case o.Parameter(contract.InQuery, "language") != nil:
		return []string{"language=de&include=charts"}
	}
	return nil
}

type named struct {
	name string
	body object
}

// enlarged are larger requests than the examples, of the operations that take any.
func enlarged(o *contract.Operation, draws int) ([]named, error) {
	var out []named
	draw := rand.New(rand.NewPCG(1, 2))
	switch o.Name() {
	case "plan-audit", "plan-hand-over", "plan-remedies", "plan-risk":
		for _, n := range []int{1, 2, 4, 8, 16} {
			for range draws / 5 {
				plan := drawPlan(n, draw)
				name := fmt.Sprintf("plan of %d heaters, %v h", n, plan["attendance"].(object)["longest_absence_h"])
				if o.Name() != "plan-risk" {
					out = append(out, named{name, plan})
					continue
				}
				for _, years := range []int{0, 200000} {
					out = append(out, named{fmt.Sprintf("%s, %d tank-years", name, years),
						object{"plan": plan, "tank_years": years}})
				}
			}
		}
	case "plan-draft":
		example, err := readCase(o.ID, "example")
		if err != nil {
			return nil, err
		}
		for _, days := range []int{1, 3, 9, 15, 21, 30, 60, 90} {
			for _, heaters := range []int{1, 2, 4} {
				for _, volume := range []int{40, 900} {
					out = append(out, named{fmt.Sprintf("%d days, %d heaters, %d mm", days, heaters, volume), with(example, object{
						"days_away": days, "display": object{"length_mm": volume, "width_mm": 500, "water_depth_mm": 500},
						"budget": object{"heaters": heaters, "circuits": 2, "battery": true},
					})})
				}
			}
		}
	case "model-calibration":
		example, err := readCase(o.ID, "example")
		if err != nil {
			return nil, err
		}
		for _, points := range []int{10, 50, 100, 200} {
			out = append(out, named{fmt.Sprint(points, " points"), with(example, object{"cool_down": coolDown(points)})})
		}
	}
	return out, nil
}

// coolDown is a tank that cools from 25.6 to 20.5 °C with a time constant of 17 h, read so many times.
func coolDown(points int) object {
	var list []any
	for i := range points {
		hour := 8 * float64(i) / float64(points-1)
		list = append(list, object{"hour": hour, "water_c": 20.5 + 5.1/(1+hour/17)})
	}
	return object{"room_c": 20.5, "points": list}
}
