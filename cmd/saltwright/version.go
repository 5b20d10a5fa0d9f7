package main

import (
	"fmt"
	"io"

	"saltwright/internal/contract"
	"saltwright/internal/transport"
)

// printVersion says which contract this program serves, from which commit it was made, and by which Go.
func printVersion(out io.Writer) error {
	all, err := contract.Load()
	if err != nil {
		return err
	}
	b := transport.ReadBuild()
	_, err = fmt.Fprintf(out, "saltwright %s (commit %s; %s)\n", all.Version, b.Commit, b.Go)
	return err
}
