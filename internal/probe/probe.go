// Package probe asks whether a program is well: a health check for images without a shell.
package probe

import (
	"context"
	"fmt"
	"net/http"
	"time"
)

// longest is how long an answer may take.
const longest = 3 * time.Second

// Check asks an address once.
//
// Errors: for an answer other than 200, and for none within 3 s.
func Check(ctx context.Context, address string) error {
	ctx, cancel := context.WithTimeout(ctx, longest)
	defer cancel()
	req, err := http.NewRequestWithContext(ctx, http.MethodGet, address, nil)
	if err != nil {
		return err
	}
	res, err := http.DefaultClient.Do(req)
	if err != nil {
		return err
	}
	if err := res.Body.Close(); err != nil {
		return err
	}
	if res.StatusCode != http.StatusOK {
		return fmt.Errorf("%s answers %s", address, res.Status)
	}
	return nil
}
