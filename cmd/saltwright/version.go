package main

import (
	"cmp"
	"fmt"
	"io"
	"runtime/debug"

	"saltwright/internal/contract"
)

// printVersion says which contract this program serves, from which commit it was made, and by which Go.
func printVersion(out io.Writer) error {
	all, err := contract.Load()
	if err != nil {
		return err
	}
	revision, changed, made := "", "", ""
	if info, ok := debug.ReadBuildInfo(); ok {
		made = info.GoVersion
		for _, s := range info.Settings {
			switch {
			case s.Key == "vcs.revision":
				revision = s.Value
			case s.Key == "vcs.modified" && s.Value == "true":
				changed = ", changed"
			}
		}
	}
	_, err = fmt.Fprintf(out, "saltwright %s (commit %s%s; %s)\n",
		all.Version, cmp.Or(revision, "unknown"), changed, made)
	return err
}
