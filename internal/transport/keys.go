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
	"sync/atomic"
	"time"

	"saltwright/internal/limit"
)

// apiKeyHeader carries an optional key.
const apiKeyHeader = "X-API-Key" // #nosec G101 -- the name of a header

// Keys are the clients that have quotas of their own. Only hashes are known here.
// They may be replaced while requests are served.
type Keys struct {
	byHash atomic.Pointer[map[[sha256.Size]byte]keyHolder]
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
	Previous  string   `json:"previous_sha256"` // a key that this one replaces and that still works, of the same quota
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
	byHash, seen := map[[sha256.Size]byte]keyHolder{}, map[string]bool{}
	for i, e := range entries {
		if !keyID.MatchString(e.ID) || seen[e.ID] {
			return nil, fmt.Errorf("keys[%d].id %q: want up to 40 of a-z, 0-9 and -, each id once", i, e.ID)
		}
		seen[e.ID] = true
		for _, origin := range e.Origins {
			u, err := url.Parse(origin)
			if err != nil || u.Host == "" || u.Scheme+"://"+u.Host != origin {
				return nil, fmt.Errorf("keys[%d].origins of %s: %q: want an origin such as https://shop.example",
					i, e.ID, origin)
			}
		}
		if e.PerMinute < 1 || e.PerDay < e.PerMinute {
			return nil, fmt.Errorf("keys[%d] %s: want per_minute of at least 1 and per_day not below it", i, e.ID)
		}
		holder := keyHolder{id: e.ID, origins: e.Origins, policies: Quotas("key", e.PerMinute, e.PerDay)}
		hashes := []string{e.SHA256}
		if e.Previous != "" {
			hashes = append(hashes, e.Previous)
		}
		for _, text := range hashes {
			raw, err := hex.DecodeString(text)
			if err != nil || len(raw) != sha256.Size {
				return nil, fmt.Errorf("keys[%d].sha256 of %s: want the 64 hex digits of the key's SHA-256", i, e.ID)
			}
			hash := [sha256.Size]byte(raw)
			if _, twice := byHash[hash]; twice {
				return nil, fmt.Errorf("keys[%d] %s: the same key is given twice", i, e.ID)
			}
			byHash[hash] = holder
		}
	}
	k := &Keys{}
	k.byHash.Store(&byHash)
	return k, nil
}

// Replace makes the keys of another list the only ones.
func (k *Keys) Replace(by *Keys) { k.byHash.Store(by.byHash.Load()) }

// Len is how many keys there are.
func (k *Keys) Len() int { return len(*k.byHash.Load()) }

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
	h, ok := (*k.byHash.Load())[sha256.Sum256([]byte(key))]
	switch {
	case !ok:
		return keyHolder{}, &requestError{code: "unknown_key"}
	case len(h.origins) > 0 && !slices.Contains(h.origins, origin):
		return keyHolder{}, &requestError{code: "origin_not_allowed"}
	}
	return h, nil
}
