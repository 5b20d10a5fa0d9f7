package transport

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/url"
	"regexp"
	"slices"
	"time"

	"saltwright/internal/limit"
)

// apiKeyHeader carries an optional key.
const apiKeyHeader = "X-API-Key"

// Keys are the clients that have quotas of their own. Only hashes are known here.
type Keys struct {
	byHash map[[sha256.Size]byte]keyHolder
}

type keyHolder struct {
	id       string
	origins  []string // pages that may use the key; empty: whoever has it
	policies []limit.Policy
}

// keyEntry is one entry of the keys file.
type keyEntry struct {
	ID        string   `json:"id"`
	SHA256    string   `json:"sha256"`
	Origins   []string `json:"origins"`
	PerMinute int      `json:"per_minute"`
	PerDay    int      `json:"per_day"`
}

var keyID = regexp.MustCompile(`^[a-z0-9][a-z0-9-]{0,39}$`)

// ReadKeys reads a JSON list of keys. A key's text never stands in it, only the
// SHA-256 of it in hex; a key is meant to be random and long, so that the hash
// needs no salt.
func ReadKeys(data []byte) (*Keys, error) {
	dec := json.NewDecoder(bytes.NewReader(data))
	dec.DisallowUnknownFields()
	var entries []keyEntry
	if err := dec.Decode(&entries); err != nil {
		return nil, fmt.Errorf("keys: %w", err)
	}
	if _, err := dec.Token(); !errors.Is(err, io.EOF) {
		return nil, errors.New("keys: something follows the list")
	}
	k := &Keys{byHash: map[[sha256.Size]byte]keyHolder{}}
	seen := map[string]bool{}
	for i, e := range entries {
		if !keyID.MatchString(e.ID) || seen[e.ID] {
			return nil, fmt.Errorf("keys[%d].id %q: want up to 40 of a-z, 0-9 and -, each id once", i, e.ID)
		}
		seen[e.ID] = true
		var hash [sha256.Size]byte
		if raw, err := hex.DecodeString(e.SHA256); err != nil || len(raw) != len(hash) {
			return nil, fmt.Errorf("keys[%d].sha256 of %s: want the 64 hex digits of the key's SHA-256", i, e.ID)
		} else {
			copy(hash[:], raw)
		}
		if _, twice := k.byHash[hash]; twice {
			return nil, fmt.Errorf("keys[%d] %s: the same key is given twice", i, e.ID)
		}
		for _, origin := range e.Origins {
			u, err := url.Parse(origin)
			if err != nil || u.Host == "" || u.Scheme+"://"+u.Host != origin {
				return nil, fmt.Errorf(
					"keys[%d].origins of %s: %q: want an origin such as https://shop.example",
					i,
					e.ID,
					origin,
				)
			}
		}
		if e.PerMinute < 1 || e.PerDay < e.PerMinute {
			return nil, fmt.Errorf("keys[%d] %s: want per_minute of at least 1 and per_day not below it", i, e.ID)
		}
		k.byHash[hash] = keyHolder{id: e.ID, origins: e.Origins, policies: Quotas("key", e.PerMinute, e.PerDay)}
	}
	return k, nil
}

// Quotas are a minute's and a day's policy under one name.
func Quotas(name string, perMinute, perDay int) []limit.Policy {
	return []limit.Policy{
		{Name: name + "-minute", Quota: perMinute, Window: time.Minute},
		{Name: name + "-day", Quota: perDay, Window: 24 * time.Hour},
	}
}

// holder returns who a key belongs to, or the problem there is with it.
func (k *Keys) holder(key, origin string) (keyHolder, error) {
	if k == nil {
		return keyHolder{}, &requestError{code: "unknown_key"}
	}
	h, ok := k.byHash[sha256.Sum256([]byte(key))]
	switch {
	case !ok:
		return keyHolder{}, &requestError{code: "unknown_key"}
	case len(h.origins) > 0 && !slices.Contains(h.origins, origin):
		return keyHolder{}, &requestError{code: "origin_not_allowed"}
	}
	return h, nil
}
