// Command prices measures what every operation that costs more than a unit takes of a processor at its dearest, and
// fits the prices of the contract (x-cost-plus) to it. The service runs in this process, without the network. Dear plans
// are found by drawing plans at random with narrow bands, small and large tanks. Some four minutes; read ratios, since
// machines differ.
//
//	go run ./deploy/bench/prices
//	go run ./deploy/bench/prices --only plan-audit --draws 200
//
// With --memory-of it measures instead what a built service takes at most with every place busy:
//
//	go run ./deploy/bench/prices --memory-of ./saltwright --places 8
package main

import (
	"flag"
	"fmt"
	"log"
	"math"
	"net/http"
	"net/http/httptest"
	"runtime"
	"runtime/debug"
	"strings"
	"syscall"
	"time"

	"gonum.org/v1/gonum/mat"

	"saltwright/internal/contract"
	"saltwright/internal/transport"
)

// unit is what a unit is worth, as in internal/transport.
const unit = 20 * time.Millisecond

func main() {
	only := flag.String("only", "", "one operation, by the last part of its path")
	draws := flag.Int("draws", 60, "plans to draw for each size")
	memoryOf := flag.String("memory-of", "", "a built service whose peak of memory is measured")
	places := flag.Int("places", 8, "of it")
	lasting := flag.Duration("lasting", time.Minute, "how long all places are kept busy")
	flag.Parse()
	if *memoryOf != "" {
		if err := peakOf(*memoryOf, *places, *draws, *lasting); err != nil {
			log.Fatal(err)
		}
		return
	}
	debug.SetGCPercent(800) // as the service sets it
	if err := measureAll(*only, *draws); err != nil {
		log.Fatal(err)
	}
}

func measureAll(only string, draws int) error {
	all, err := contract.Load()
	if err != nil {
		return err
	}
	service, err := transport.New(transport.Config{Budget: time.Hour})
	if err != nil {
		return err
	}
	fmt.Println("| operation | dearest request | CPU | most | ms a unit of that | paid | ms a unit paid | contract | fitted |")
	fmt.Println("|---|---|---|---|---|---|---|---|---|")
	for _, o := range all.Operations {
		if o.Body == nil || o.ModelVersion == "" || only != "" && o.Name() != only {
			continue
		}
		samples, err := samplesOf(o, draws)
		if err != nil {
			return fmt.Errorf("%s: %w", o.ID, err)
		}
		var asked []sample
		for _, s := range samples {
			if s, err = measure(service, o, s); err != nil {
				return fmt.Errorf("%s %s: %w", o.ID, s.name, err)
			}
			asked = append(asked, s)
		}
		report(o, dearest(asked))
	}
	return nil
}

// measure asks once, or several times where that is quick, and keeps the least.
func measure(service *transport.Server, o *contract.Operation, s sample) (sample, error) {
	read, err := o.Read(s.body, s.query)
	if err != nil {
		return s, err
	}
	s.most, s.sizes = read.Cost(), read.Sizes()
	const enough = 50 * time.Millisecond
	for n := 0; n < 5 && (n == 0 || s.took < enough); n++ {
		runtime.GC()
		req := httptest.NewRequest(o.Method, o.Path+"?"+s.query, strings.NewReader(string(s.body)))
		req.Header.Set("Content-Type", "application/json")
		rec := httptest.NewRecorder()
		before, err := processorTime()
		if err != nil {
			return s, err
		}
		service.ServeHTTP(rec, req)
		after, err := processorTime()
		if err != nil {
			return s, err
		}
		if took := after - before; n == 0 || took < s.took {
			s.took = took
			_, err = fmt.Sscan(rec.Header().Get("X-Request-Cost"), &s.paid)
		}
		s.status = rec.Code
		if err != nil || rec.Code != http.StatusOK && rec.Code != http.StatusUnprocessableEntity {
			return s, fmt.Errorf("answered %d: %.300s", rec.Code, rec.Body)
		}
	}
	return s, nil
}

func processorTime() (time.Duration, error) {
	var u syscall.Rusage
	err := syscall.Getrusage(syscall.RUSAGE_SELF, &u)
	return time.Duration(u.Utime.Nano() + u.Stime.Nano()), err
}

// dearest keeps, of requests of the same sizes, the one that took longest.
func dearest(all []sample) []sample {
	var out []sample
	at := map[string]int{}
	for _, s := range all {
		key := fmt.Sprint(s.sizes)
		i, known := at[key]
		switch {
		case !known:
			at[key] = len(out)
			out = append(out, s)
		case s.took > out[i].took:
			out[i] = s
		}
	}
	return out
}

// report prints the dearest of all, then the fit.
func report(o *contract.Operation, all []sample) {
	worst := all[0]
	for _, s := range all {
		if s.took > worst.took {
			worst = s
		}
	}
	if o.DearestCost() == 1 && worst.took < unit {
		fmt.Printf("| %s | %s | %s | 1 | %s | 1 | | 1 | |\n", o.Name(), worst.name, ms(worst.took), ms(worst.took))
		return
	}
	fmt.Printf("| %s | %s (%d) | %s | %d | %s | %d | %s | %s | %s |\n", o.Name(), worst.name, worst.status, ms(worst.took),
		worst.most, ms(worst.took/time.Duration(worst.most)), worst.paid, ms(worst.took/time.Duration(worst.paid)),
		coefficients(o), fitted(o, all))
}

func ms(d time.Duration) string { return fmt.Sprintf("%.3g ms", d.Seconds()*1000) }

func coefficients(o *contract.Operation) string {
	text := fmt.Sprint(o.Price.Least)
	for _, term := range o.Price.Plus {
		text += fmt.Sprintf(" + %g x", term.Units)
	}
	return text
}

// fitted is the least squares of the relative error: units = c0 + c1 times the first term's sizes, and so on.
func fitted(o *contract.Operation, all []sample) string {
	columns := 1 + len(o.Price.Plus)
	if len(all) < columns {
		return "too few sizes"
	}
	a, b := mat.NewDense(len(all), columns, nil), mat.NewVecDense(len(all), nil)
	for i, s := range all {
		units := math.Max(s.took.Seconds()/unit.Seconds(), 0.1)
		a.Set(i, 0, 1/units)
		for k, size := range s.sizes {
			a.Set(i, 1+k, size/units)
		}
		b.SetVec(i, 1)
	}
	var c mat.VecDense
	if err := c.SolveVec(a, b); err != nil {
		return err.Error()
	}
	text := fmt.Sprintf("%.3g", c.AtVec(0))
	for k := 1; k < columns; k++ {
		text += fmt.Sprintf(" + %.3g x", c.AtVec(k))
	}
	return text
}
