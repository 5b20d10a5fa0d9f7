// Command mutation tells which changes of a package no test of its own notices. It makes the five kinds of change
// that are usual (arithmetic, boundary and negation of a comparison, steps up and down, a lost sign), all switched within one
// compiled test, so that no change is compiled by itself. A test is asked about a change only where it reaches it, the
// quickest first, with -short and a limit of time.
//
//	go run ./deploy/bench/mutation -sample 150 internal/calc/sim internal/calc/audit
//	go run ./deploy/bench/mutation -sample 150 -only 'room.go:' internal/calc/sim
//
// A sample is drawn without replacement by -seed; -sample 0 takes every change. Constants that are declared as such, and
// lengths of arrays, are never changed.
package main

import (
	"flag"
	"fmt"
	"log"
	"math/rand/v2"
	"os"
	"path/filepath"
	"regexp"
	"strings"
)

func main() {
	sample := flag.Int("sample", 0, "changes to draw in each package; 0: all")
	seed := flag.Uint64("seed", 1, "of the drawing")
	list := flag.Bool("list", false, "only name the changes that are drawn")
	only := flag.String("only", "", "of the drawn changes only those whose line of the report this expression finds")
	slow := flag.String("without", "^$", "tests that are not asked; what then lives may be killed by one of them")
	flag.Parse()
	wanted, err := regexp.Compile(*only)
	if err != nil {
		log.Fatal(err)
	}
	left, err := regexp.Compile(*slow)
	if err != nil {
		log.Fatal(err)
	}
	if flag.NArg() == 0 {
		log.Fatal("name at least one folder of a package")
	}
	for _, folder := range flag.Args() {
		if err := measure(filepath.Clean(folder), *sample, *seed, wanted, left, *list); err != nil {
			log.Fatalf("%s: %v", folder, err)
		}
	}
}

// measure prints the changes of one package that lived, and the shares.
func measure(folder string, size int, seed uint64, wanted, left *regexp.Regexp, list bool) error {
	source, err := read(folder)
	if err != nil {
		return err
	}
	drawn := draw(source.changes, size, seed)
	if list {
		for _, c := range drawn {
			fmt.Println(c)
		}
		return nil
	}
	work, err := os.MkdirTemp("", "saltwright-mutation")
	if err != nil {
		return err
	}
	defer func() { _ = os.RemoveAll(work) }() // a temporary folder
	binary, err := source.compile(work, drawn)
	if err != nil {
		return err
	}
	suite, err := observe(binary, folder, work, left)
	if err != nil {
		return err
	}
	count := map[outcome]int{}
	asked := 0
	for i, c := range drawn {
		if !wanted.MatchString(c.String()) {
			continue
		}
		asked++
		found, err := suite.try(i + 1)
		if err != nil {
			return fmt.Errorf("%v: %w", c, err)
		}
		count[found]++
		if found != killed {
			fmt.Printf("%-11s %v\n", found, c)
		}
	}
	name := strings.TrimPrefix(filepath.ToSlash(folder), "internal/calc/")
	fmt.Printf("%s: %d of %d changes, seed %d: %d killed, %d lived, %d not reached, %d timed out", name, asked,
		len(source.changes), seed, count[killed], count[lived], count[notReached], count[timedOut])
	if judged := count[killed] + count[lived] + count[notReached]; judged > 0 {
		fmt.Printf(": %.1f %% of those that ended", 100*float64(count[killed])/float64(judged))
	}
	fmt.Println()
	return nil
}

// draw returns size of the changes, in the order of the source.
func draw(all []*change, size int, seed uint64) []*change {
	if size <= 0 || size >= len(all) {
		return all
	}
	taken := make([]bool, len(all))
	for _, i := range rand.New(rand.NewPCG(seed, 0)).Perm(len(all))[:size] {
		taken[i] = true
	}
	var out []*change
	for i, c := range all {
		if taken[i] {
			out = append(out, c)
		}
	}
	return out
}
