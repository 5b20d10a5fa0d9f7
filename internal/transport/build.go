package transport

import (
	"cmp"
	"runtime/debug"
)

// Build says what a program was made from.
type Build struct {
	Commit string // with "-changed" where the folder held more than the commit; "unknown" outside version control
	Go     string
}

// ReadBuild reads what the Go tools wrote into this program.
func ReadBuild() Build {
	b, changed := Build{}, ""
	if info, ok := debug.ReadBuildInfo(); ok {
		b.Go = info.GoVersion
		for _, s := range info.Settings {
			switch {
			case s.Key == "vcs.revision":
				b.Commit = s.Value
			case s.Key == "vcs.modified" && s.Value == "true":
				changed = "-changed"
			}
		}
	}
	b.Commit = cmp.Or(b.Commit, "unknown") + changed
	return b
}
