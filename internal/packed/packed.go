// Package packed puts a JSON document into an address and takes it out again: compressed by DEFLATE without a wrapper
// (RFC 1951), and written in base64url without padding (RFC 4648, section 5). It knows nothing of what the document
// means.
package packed

import (
	"bytes"
	"compress/flate"
	"encoding/base64"
	"encoding/json"
	"errors"
	"fmt"
	"io"
)

// MostBytes is the largest document that is unpacked: as large as a body may be.
const MostBytes = 64 << 10

// MostCharacters is the longest text that stands in an address. The contract's parameter has the same bound, and the
// proxies in deploy take a request line of 8 kB.
const MostCharacters = 7000

// What a text can be refused for.
var (
	ErrDamaged  = errors.New("the text was changed or cut on its way")
	ErrTooLarge = errors.New("the document is larger than what is unpacked")
)

// alphabet refuses bits that carry nothing, so that no two texts unpack from the same compressed bytes.
var alphabet = base64.RawURLEncoding.Strict()

// Pack returns the text for a JSON document, whose white space is left out. Errors: what is no JSON.
func Pack(document []byte) (string, error) {
	var plain, small bytes.Buffer
	if err := json.Compact(&plain, document); err != nil {
		return "", fmt.Errorf("packed: %w", err)
	}
	to, err := flate.NewWriter(&small, flate.BestCompression)
	if err != nil {
		return "", fmt.Errorf("packed: %w", err)
	}
	_, err = to.Write(plain.Bytes())
	if err := errors.Join(err, to.Close()); err != nil {
		return "", fmt.Errorf("packed: %w", err)
	}
	return alphabet.EncodeToString(small.Bytes()), nil
}

// Unpack returns the document in a text. It reads no more than MostBytes, whatever the text would grow to. Errors:
// ErrDamaged, ErrTooLarge.
func Unpack(text string) ([]byte, error) {
	small, err := alphabet.DecodeString(text)
	if err != nil {
		return nil, ErrDamaged
	}
	rest := bytes.NewReader(small)
	document, err := io.ReadAll(io.LimitReader(flate.NewReader(rest), MostBytes+1))
	switch {
	case len(document) > MostBytes:
		return nil, ErrTooLarge
	case err != nil || rest.Len() > 0:
		return nil, ErrDamaged
	}
	return document, nil
}
