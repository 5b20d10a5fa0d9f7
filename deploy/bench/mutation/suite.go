package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"syscall"
	"time"
)

type outcome string

const (
	killed     outcome = "KILLED"
	lived      outcome = "LIVED"
	notReached outcome = "NOT REACHED"
	timedOut   outcome = "TIMED OUT"
)

// test is one function, how long it takes and which changes it reaches.
type test struct {
	name    string
	took    time.Duration
	reaches map[int]bool
}

type suite struct {
	binary, folder string
	tests          []test // the quickest first
}

// observe runs every test but those that are left out, each by itself, with no change made.
func observe(binary, folder, work string, left *regexp.Regexp) (*suite, error) {
	s := &suite{binary: binary, folder: folder}
	list := exec.Command(binary, "-test.list", "^(Test|Example|Fuzz)") // #nosec G204 -- what was just built
	list.Env = append(os.Environ(), "SALTWRIGHT_MUTATION=0")
	names, err := list.Output()
	if err != nil {
		return nil, err
	}
	reached := filepath.Join(work, "reached")
	for _, name := range strings.Fields(string(names)) {
		if left.MatchString(name) {
			continue
		}
		if err := os.WriteFile(reached, nil, 0o600); err != nil {
			return nil, err
		}
		start := time.Now()
		passed, err := s.run(name, -1, 10*time.Minute, reached)
		if err != nil {
			return nil, err
		}
		if !passed {
			return nil, fmt.Errorf("%w: %s", errNoTests, name)
		}
		data, err := os.ReadFile(reached)
		if err != nil {
			return nil, err
		}
		t := test{name: name, took: time.Since(start), reaches: map[int]bool{}}
		for _, line := range strings.Fields(string(data)) {
			id, err := strconv.Atoi(line)
			if err != nil {
				return nil, err
			}
			t.reaches[id] = true
		}
		s.tests = append(s.tests, t)
	}
	slices.SortStableFunc(s.tests, func(a, b test) int { return cmp.Compare(a.took, b.took) })
	if len(s.tests) == 0 {
		return nil, errNoTests
	}
	return s, nil
}

// try makes one change and asks the tests that reach it.
func (s *suite) try(id int) (outcome, error) {
	found := notReached
	for _, t := range s.tests {
		if !t.reaches[id] {
			continue
		}
		passed, err := s.run(t.name, id, 4*t.took+10*time.Second, "")
		if err == context.DeadlineExceeded {
			return timedOut, nil
		}
		if err != nil {
			return "", err
		}
		if !passed {
			return killed, nil
		}
		found = lived
	}
	return found, nil
}

// run tells whether a test passes; context.DeadlineExceeded says that it did not end in time.
func (s *suite) run(name string, id int, limit time.Duration, reached string) (bool, error) {
	ctx, cancel := context.WithTimeout(context.Background(), limit)
	defer cancel()
	// #nosec G204 -- what was just built
	cmd := exec.CommandContext(ctx, s.binary, "-test.short", "-test.run", "^"+name+"$")
	cmd.Dir = s.folder
	cmd.Env = append(os.Environ(), fmt.Sprint("SALTWRIGHT_MUTATION=", id), "SALTWRIGHT_REACHED="+reached)
	cmd.SysProcAttr = &syscall.SysProcAttr{Pdeathsig: syscall.SIGKILL}
	err := cmd.Run()
	if ctx.Err() != nil {
		return false, ctx.Err()
	}
	if _, failed := err.(*exec.ExitError); failed {
		return false, nil
	}
	return err == nil, err
}

// errNoTests says that a package's tests show nothing.
var errNoTests = errors.New("no test, or one that fails without a change")
