// Command prices measures what every operation that costs more than a unit takes of a processor at its dearest, and
// fits the prices of the contract (x-cost-plus) to it. The service runs in this process, without the network. Dear plans
// are found by drawing plans at random with narrow bands, small and large tanks. Some four minutes; read ratios, since
// machines differ.
//
//	go run ./deploy/bench/prices
//	go run ./deploy/bench/prices --only plan-audit --draws 200
//	go run ./deploy/bench/prices --write && go generate ./api
//
// With --write it puts the fitted price into api/src wherever the contract's does not cover a request, or keeps more
// than twice what the dearest takes.
//
// With --memory-of it measures instead what a built service takes at most with every place busy:
//
//	go run ./deploy/bench/prices --memory-of ./saltwright --places 8
package main

import (
	"flag"
	"fmt"
	"log"
	"net/http"
	"net/http/httptest"
	"runtime"
	"runtime/debug"
	"slices"
	"strings"
	"syscall"
	"time"

	"saltwright/internal/contract"
	"saltwright/internal/transport"
)

func main() {
	only := flag.String("only", "", "operations by the last parts of their paths, with commas")
	write := flag.Bool("write", false, "put fitted prices into api/src where the contract's do not fit")
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
	if err := measureAll(*only, *draws, *write); err != nil {
		log.Fatal(err)
	}
}

func measureAll(only string, draws int, write bool) error {
	all, err := contract.Load()
	if err != nil {
		return err
	}
	service, err := transport.New(transport.Config{Budget: time.Hour})
	if err != nil {
		return err
	}
	fmt.Println("| operation | dearest request | CPU | most | ms a unit of that | paid | ms a unit paid | contract | fitted | contract's fits |")
	fmt.Println("|---|---|---|---|---|---|---|---|---|---|")
	for _, o := range all.Operations {
		if o.Body == nil || o.ModelVersion == "" || only != "" && !slices.Contains(strings.Split(only, ","), o.Name()) {
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
		if err := report(o, dearest(asked), write); err != nil {
			return err
		}
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
