package main

import (
	"fmt"
	"math"
	"os"
	"regexp"
	"strconv"
	"time"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/optimize/convex/lp"

	"saltwright/internal/contract"
)

// margin is by how much a fitted price stands above the dearest request found.
const margin = 1.15

// report prints the dearest of all and the fit, and writes the fit where that is wanted and the contract's does not do.
func report(o *contract.Operation, all []sample, write bool) error {
	worst, covered := all[0], true
	for _, s := range all {
		if s.took > worst.took {
			worst = s
		}
		covered = covered && inUnits(s.took) <= float64(s.most)
	}
	if o.DearestCost() == 1 && worst.took < unit {
		fmt.Printf("| %s | %s | %s | 1 | %s | 1 | | 1 | | yes |\n", o.Name(), worst.name, ms(worst.took), ms(worst.took))
		return nil
	}
	price, err := fitted(o, all)
	if err != nil {
		return fmt.Errorf("%s: %w", o.ID, err)
	}
	word := "yes"
	switch {
	case !covered:
		word = "no: too low"
	case float64(worst.most) > 2*math.Max(inUnits(worst.took), 1):
		word = "no: more than twice"
	}
	fmt.Printf("| %s | %s (%d) | %s | %d | %s | %d | %s | %s | %s | %s |\n", o.Name(), worst.name, worst.status,
		ms(worst.took), worst.most, ms(worst.took/time.Duration(worst.most)), worst.paid,
		ms(worst.took/time.Duration(worst.paid)), said(coefficients(o)), said(price), word)
	if !write || word == "yes" {
		return nil
	}
	return put(o, price)
}

func ms(d time.Duration) string { return fmt.Sprintf("%.3g ms", d.Seconds()*1000) }

func inUnits(d time.Duration) float64 { return d.Seconds() / unit.Seconds() }

func coefficients(o *contract.Operation) []float64 {
	out := []float64{float64(o.Price.Least)}
	for _, term := range o.Price.Plus {
		out = append(out, term.Units)
	}
	return out
}

func said(price []float64) string {
	text := fmt.Sprintf("%g", price[0])
	for _, c := range price[1:] {
		text += fmt.Sprintf(" + %g x", c)
	}
	return text
}

// fitted is x-cost and the units of x-cost-plus: of all that cover every request found, with the margin, those whose sum
// over the requests is least.
func fitted(o *contract.Operation, all []sample) ([]float64, error) {
	columns := 1 + len(o.Price.Plus)
	// One row a request: its price less what is too much is what it takes.
	sum, takes := make([]float64, columns+len(all)), make([]float64, len(all))
	rows := mat.NewDense(len(all), columns+len(all), nil)
	for i, s := range all {
		for k := range columns {
			rows.Set(i, k, size(s, k))
			sum[k] += size(s, k)
		}
		rows.Set(i, columns+i, -1)
		takes[i] = margin * inUnits(s.took)
	}
	const tolerance = 1e-9
	_, found, err := lp.Simplex(sum, rows, takes, tolerance, nil)
	if err != nil {
		return nil, err
	}
	price := found[:columns]
	price[0] = math.Max(1, math.Ceil(price[0]))
	for k := 1; k < columns; k++ {
		price[k] = rounded(math.Max(price[k], least))
	}
	return price, nil
}

// least is the smallest rate that a price may have; the contract refuses 0.
const least = 1e-6

// size is what the k-th coefficient is multiplied by; the first stands alone.
func size(s sample, k int) float64 {
	if k == 0 {
		return 1
	}
	return s.sizes[k-1]
}

// rounded is the next number of two digits that is not below x.
func rounded(x float64) float64 {
	step := math.Pow(10, math.Floor(math.Log10(x))-1)
	up, err := strconv.ParseFloat(fmt.Sprintf("%.4g", math.Ceil(x/step-1e-9)*step), 64)
	if err != nil {
		panic(err) // a number was just written
	}
	return up
}

var (
	costLine  = regexp.MustCompile(`(?m)^    x-cost: \d+$`)
	unitsLine = regexp.MustCompile(`(?m)^      - \{units: [0-9.e-]+, `)
)

// put writes a price into the part of the contract that has the operation.
func put(o *contract.Operation, price []float64) error {
	file := fmt.Sprintf("api/src/%s/%s.yaml", o.Tag, o.Name())
	data, err := os.ReadFile(file)
	if err != nil {
		return err
	}
	text := string(data)
	if n := len(costLine.FindAllString(text, -1)); n != 1 {
		return fmt.Errorf("%s: %d lines x-cost", file, n)
	}
	if n := len(unitsLine.FindAllString(text, -1)); n != len(price)-1 {
		return fmt.Errorf("%s: %d entries of x-cost-plus, want %d", file, n, len(price)-1)
	}
	text = costLine.ReplaceAllString(text, fmt.Sprintf("    x-cost: %g", price[0]))
	k := 0
	text = unitsLine.ReplaceAllStringFunc(text, func(string) string {
		k++
		return "      - {units: " + strconv.FormatFloat(price[k], 'f', -1, 64) + ", "
	})
	return os.WriteFile(file, []byte(text), 0o600)
}
