// Command attribution writes licences.txt: the licences of everything that is linked into the service and the bot, each
// text once. Run it from cmd/saltwright, by go generate.
package main

import (
	"cmp"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
)

func main() {
	text, err := attributions("saltwright/cmd/saltwright", "saltwright/clients/bot/cmd/saltwright-bot")
	if err == nil {
		err = os.WriteFile("licences.txt", []byte(text), 0o600)
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, "attribution:", err)
		os.Exit(1)
	}
}

// linked is a package that is part of a program.
type linked struct {
	Dir      string
	Standard bool
	Root     string // of Go, for its own packages
	Module   *struct {
		Path, Dir string
		Main      bool
	}
}

// owner is whose package this is, and the folder that owner's files begin at.
func (p linked) owner() (name, folder string) {
	switch {
	case p.Module == nil:
		return "Go", p.Root
	case p.Module.Main:
		return "saltwright", p.Module.Dir
	}
	return p.Module.Path, p.Module.Dir
}

var licenceFile = regexp.MustCompile(`(?i)^(licen[cs]e|copying|notice)([.-].*)?$`)

// attributions are the licence texts of programs. Errors: an owner without one.
func attributions(programs ...string) (string, error) {
	packages, err := packagesOf(programs)
	if err != nil {
		return "", err
	}
	ownersOf, found := map[string]map[string]bool{}, map[string]bool{} // by text; by owner
	for _, p := range packages {
		owner, top := p.owner()
		folder := p.Dir
		if p.Standard { // one licence for all; below it are those of experiments that no build here turns on
			folder = top
		}
		texts, err := licencesFrom(folder, top)
		if err != nil {
			return "", err
		}
		found[owner] = found[owner] || len(texts) > 0
		for _, text := range texts {
			if ownersOf[text] == nil {
				ownersOf[text] = map[string]bool{}
			}
			ownersOf[text][owner] = true
		}
	}
	for owner, any := range found {
		if !any {
			return "", fmt.Errorf("%s has no licence file", owner)
		}
	}
	return write(ownersOf), nil
}

// packagesOf lists the packages of programs as they are built for the image.
func packagesOf(programs []string) ([]linked, error) {
	arguments := append([]string{"list", "-deps", "-json=Dir,Standard,Root,Module"}, programs...)
	list := exec.Command("go", arguments...) // #nosec G204 -- the programs are named in this file
	list.Env = append(os.Environ(), "CGO_ENABLED=0", "GOOS=linux")
	list.Stderr = os.Stderr
	out, err := list.Output()
	if err != nil {
		return nil, fmt.Errorf("go list: %w", err)
	}
	var all []linked
	for dec := json.NewDecoder(strings.NewReader(string(out))); ; {
		var p linked
		if err := dec.Decode(&p); errors.Is(err, io.EOF) {
			return all, nil
		} else if err != nil {
			return nil, fmt.Errorf("go list: %w", err)
		}
		all = append(all, p)
	}
}

// licencesFrom reads the licence files of a folder and of those above it, up to a topmost one.
func licencesFrom(folder, top string) ([]string, error) {
	var texts []string
	for ; strings.HasPrefix(folder, top); folder = filepath.Dir(folder) {
		entries, err := os.ReadDir(folder)
		if err != nil {
			return nil, err
		}
		for _, e := range entries {
			if e.IsDir() || !licenceFile.MatchString(e.Name()) {
				continue
			}
			data, err := os.ReadFile(filepath.Join(folder, e.Name())) // #nosec G304 -- a folder of Go's own listing
			if err != nil {
				return nil, err
			}
			texts = append(texts, strings.TrimSpace(strings.ReplaceAll(string(data), "\r\n", "\n")))
		}
	}
	return texts, nil
}

// write puts each text under the names it belongs to, this project's own first.
func write(ownersOf map[string]map[string]bool) string {
	type entry struct{ names, text string }
	var all []entry
	for text, owners := range ownersOf {
		all = append(all, entry{strings.Join(slices.Sorted(maps.Keys(owners)), "\n"), text})
	}
	own := func(e entry) int {
		if e.names == "saltwright" {
			return 0
		}
		return 1
	}
	slices.SortFunc(all, func(a, b entry) int {
		return cmp.Or(cmp.Compare(own(a), own(b)), strings.Compare(a.names, b.names), strings.Compare(a.text, b.text))
	})
	var out strings.Builder
	out.WriteString("What these programs are made of, and the licences it comes under.\n")
	line := strings.Repeat("-", 72)
	for _, e := range all {
		fmt.Fprintf(&out, "\n%s\n%s\n%s\n\n%s\n", line, e.names, line, e.text)
	}
	return out.String()
}
