package limit

import (
	"crypto/hmac"
	"crypto/rand"
	"crypto/sha256"
	"encoding/base64"
	"encoding/binary"
	"errors"
	"sync/atomic"
	"time"
)

// Pseudonyms are names for addresses, for stores and logs that must not show
// them: HMAC-SHA-256 (RFC 2104) under a key that changes every period and is
// made from a secret. Whoever does not have the secret cannot find an address by
// trying them all, nor follow it from one period to the next. Processes with
// the same secret and the same clock say the same names.
type Pseudonyms struct {
	secret []byte
	period time.Duration
	now    func() time.Time
	today  atomic.Pointer[periodKey]
}

type periodKey struct {
	number int64
	key    []byte
}

// Bounds of a secret and of how long its names last.
const (
	LeastSecret = 32 // bytes
	LeastPeriod = time.Hour
)

// NewPseudonyms makes names from a secret, new ones every period. Errors: a secret or a period below the least.
func NewPseudonyms(secret []byte, period time.Duration, now func() time.Time) (*Pseudonyms, error) {
	if len(secret) < LeastSecret {
		return nil, errors.New("a secret for pseudonyms wants at least 32 bytes, and random ones")
	}
	if period < LeastPeriod {
		return nil, errors.New("pseudonyms want to last an hour or longer: whoever is counted by one starts anew " +
			"with the next")
	}
	return &Pseudonyms{secret: secret, period: period, now: now}, nil
}

// RandomSecret is for a process that shares its pseudonyms with nobody.
func RandomSecret() []byte {
	secret := make([]byte, LeastSecret)
	_, _ = rand.Read(secret) // never fails (crypto/rand)
	return secret
}

// Of returns the name of a text in this period: 22 letters, digits, - and _.
func (p *Pseudonyms) Of(text string) string {
	number := p.now().Unix() / int64(p.period/time.Second)
	k := p.today.Load()
	if k == nil || k.number != number {
		// #nosec G115 -- any value will do
		k = &periodKey{number, sum(p.secret, binary.BigEndian.AppendUint64(nil, uint64(number)))}
		p.today.Store(k)
	}
	return base64.RawURLEncoding.EncodeToString(sum(k.key, []byte(text))[:16])
}

func sum(key, text []byte) []byte {
	h := hmac.New(sha256.New, key)
	h.Write(text)
	return h.Sum(nil)
}
