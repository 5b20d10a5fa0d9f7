// Package delivery holds the HTTP that the three adapters share: reading a signed request in full before anything
// else, and sending replies within the limits of the platform.
package delivery

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"net"
	"net/http"
	"net/url"
	"strconv"
	"sync"
	"time"

	"saltwright/clients/bot"
)

// ErrSignature means that a request is not signed with a key we know, or that its time is off. It gives no details:
// whoever signs can find out, and nobody else needs to know.
var ErrSignature = errors.New("the signature is not right")

// LargestBody is the most bytes that a request may have.
const LargestBody = 256 << 10

// Tolerance is the largest difference between a signed time and ours.
const Tolerance = 5 * time.Minute

// Fresh reports whether a time, written in whole seconds since 1970, is within the tolerance of now.
func Fresh(text string, now time.Time) bool {
	seconds, err := strconv.ParseInt(text, 10, 64)
	if err != nil {
		return false
	}
	age := now.Sub(time.Unix(seconds, 0))
	return age <= Tolerance && age >= -Tolerance
}

// Inbox takes events; a *bot.Bot is one.
type Inbox interface {
	Take(ctx context.Context, e bot.Event) bot.Verdict
}

// Signed returns the raw body of a POST that verify accepts, or answers the request
// itself: 405, 413, 400, or 401 for a wrong signature.
func Signed(
	w http.ResponseWriter, r *http.Request, verify func(raw []byte, h http.Header) error,
) (raw []byte, ok bool) {
	if r.Method != http.MethodPost {
		w.Header().Set("Allow", http.MethodPost)
		http.Error(w, "use POST", http.StatusMethodNotAllowed)
		return nil, false
	}
	raw, err := io.ReadAll(http.MaxBytesReader(w, r.Body, LargestBody))
	var large *http.MaxBytesError
	switch {
	case errors.As(err, &large):
		http.Error(w, "the body is larger than 256 KiB", http.StatusRequestEntityTooLarge)
		return nil, false
	case err != nil:
		http.Error(w, "the body could not be read", http.StatusBadRequest)
		return nil, false
	}
	if err := verify(raw, r.Header); err != nil {
		http.Error(w, ErrSignature.Error(), http.StatusUnauthorized)
		return nil, false
	}
	return raw, true
}

// Place writes the place where a reply belongs as an event keeps it. P is a struct of texts and numbers.
func Place[P any](place P) string {
	text, err := json.Marshal(place)
	if err != nil {
		panic(err) // such a struct always has a JSON form
	}
	return string(text)
}

// PlaceOf reads what Place wrote.
//
// Errors: for a text that Place did not write.
func PlaceOf[P any](replyTo string) (P, error) {
	var place P
	if err := json.Unmarshal([]byte(replyTo), &place); err != nil {
		return place, fmt.Errorf("the place of a reply: %w", err)
	}
	return place, nil
}

// Acknowledge answers a webhook: 202 for an event that will be answered, 204 for one that will not, and 503 to ask for
// the same delivery again.
func Acknowledge(w http.ResponseWriter, v bot.Verdict) {
	switch v {
	case bot.Taken:
		w.WriteHeader(http.StatusAccepted)
	case bot.QueueFull, bot.Closing:
		w.Header().Set("Retry-After", "30")
		http.Error(w, "too much to do: deliver it again later", http.StatusServiceUnavailable)
	default:
		w.WriteHeader(http.StatusNoContent)
	}
}

// Sender sends replies to one platform. When the platform asks for a pause (429 or 503), all replies wait, and then the
// reply is sent again. After any other failure it may have arrived: Send gives up then, and SendRepeatable does not.
type Sender struct {
	Client      *http.Client  // must have a timeout
	Tries       int           // at most, the first included; default 4
	LongestWait time.Duration // longest wait that is accepted; default 60 s
	Now         func() time.Time
	Sleep       func(ctx context.Context, d time.Duration) error

	mu     sync.Mutex
	paused time.Time
}

// NewSender returns a sender whose client follows no redirect, which would send the keys to another address.
func NewSender() *Sender {
	return &Sender{
		Client: &http.Client{
			Timeout:       10 * time.Second,
			CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse },
		},
	}
}

func (s *Sender) now() time.Time {
	if s.Now != nil {
		return s.Now()
	}
	return time.Now()
}

func (s *Sender) sleep(ctx context.Context, d time.Duration) error {
	if s.Sleep != nil {
		return s.Sleep(ctx, d)
	}
	t := time.NewTimer(d)
	defer t.Stop()
	select {
	case <-t.C:
		return nil
	case <-ctx.Done():
		return ctx.Err()
	}
}

// Send sends a request that must not arrive twice: again only where the platform refuses it and asks for a pause.
//
// Errors: when the platform does not take it, or asks for a longer wait than LongestWait or the context allows.
func (s *Sender) Send(ctx context.Context, method, address string, body []byte, header http.Header) error {
	return s.send(ctx, false, method, address, body, header)
}

// SendRepeatable sends a request that does no harm when it arrives twice, as one that replaces a text, or one by whose
// id the receiver knows it: again also after 500, 502, 504 and broken connections, when nobody knows if it arrived.
//
// Errors: as Send.
func (s *Sender) SendRepeatable(
	ctx context.Context, method, address string, body []byte, header http.Header,
) error {
	return s.send(ctx, true, method, address, body, header)
}

func (s *Sender) send(
	ctx context.Context, repeatable bool, method, address string, body []byte, header http.Header,
) error {
	tries, most := s.Tries, s.LongestWait
	if tries <= 0 {
		tries = 4
	}
	if most <= 0 {
		most = time.Minute
	}
	for try := 1; ; try++ {
		if err := s.wait(ctx, s.pause()); err != nil {
			return errors.Join(bot.ErrNotSent, err)
		}
		status, after, err := s.sendOnce(ctx, method, address, body, header)
		asked := err == nil && (status == http.StatusTooManyRequests || status == http.StatusServiceUnavailable)
		switch {
		case err == nil && status >= 200 && status < 300:
			return nil
		case err == nil && !asked:
			err = fmt.Errorf("the platform answers %d", status)
		}
		if !asked && !(repeatable && unclear(status) && ctx.Err() == nil) {
			return err
		}
		if try >= tries {
			return errors.Join(err, certain(asked), fmt.Errorf("the platform answers %d after %d tries", status, try))
		}
		if after == 0 { // exponential, with full jitter
			// #nosec G404 -- chance against crowding, no secret
			after = time.Duration(rand.Int64N(int64(500*time.Millisecond)<<try) + 1)
		}
		if after > most {
			return errors.Join(
				certain(asked),
				fmt.Errorf("the platform answers %d and asks to wait %v, longer than %v", status, after, most),
			)
		}
		if !asked { // a broken way for one reply is no reason for the others to wait
			if slept := s.wait(ctx, after); slept != nil {
				return errors.Join(err, slept)
			}
			continue
		}
		s.mu.Lock()
		if until := s.now().Add(after); until.After(s.paused) {
			s.paused = until
		}
		s.mu.Unlock()
	}
}

// certain is the error that a refusal has besides: what a platform asks to send later has not arrived.
func certain(asked bool) error {
	if asked {
		return bot.ErrNotSent
	}
	return nil
}

// unclear tells whether a request may or may not have done its work: no answer at all (0), or one from in between.
func unclear(status int) bool {
	switch status {
	case 0, http.StatusInternalServerError, http.StatusBadGateway, http.StatusGatewayTimeout:
		return true
	}
	return false
}

// wait sleeps, unless the context ends before.
func (s *Sender) wait(ctx context.Context, wait time.Duration) error {
	if wait <= 0 {
		return nil
	}
	if deadline, ok := ctx.Deadline(); ok && wait > time.Until(deadline) {
		return fmt.Errorf("the platform asks to wait %v, longer than there is time", wait)
	}
	if err := s.sleep(ctx, wait); err != nil {
		return fmt.Errorf("the platform asks to wait %v: %w", wait, err)
	}
	return nil
}

func (s *Sender) pause() time.Duration {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.paused.Sub(s.now())
}

func (s *Sender) sendOnce(
	ctx context.Context, method, address string, body []byte, header http.Header,
) (status int, after time.Duration, err error) {
	req, err := http.NewRequestWithContext(ctx, method, address, bytes.NewReader(body))
	if err != nil {
		return 0, 0, errors.New("the platform's address is none")
	}
	for name, values := range header {
		req.Header[name] = values
	}
	req.Header.Set("Content-Type", "application/json")
	req.Header.Set("User-Agent", "saltwright-bot (an open bot that answers sizing questions)")
	res, err := s.Client.Do(req)
	if err != nil {
		var way *net.OpError
		if errors.As(err, &way) && way.Op == "dial" { // nobody was there
			return 0, 0, errors.Join(bot.ErrNotSent, withoutAddress(err))
		}
		return 0, 0, withoutAddress(err)
	}
	defer res.Body.Close()
	_, err = io.Copy(io.Discard, io.LimitReader(res.Body, 64<<10))
	if err != nil && res.StatusCode/100 != 2 {
		return 0, 0, withoutAddress(err)
	}
	return res.StatusCode, retryAfter(res.Header.Get("Retry-After"), s.now()), nil
}

// withoutAddress removes the address from an error: some platforms put tokens into it.
func withoutAddress(err error) error {
	var withAddress *url.Error
	if errors.As(err, &withAddress) {
		err = withAddress.Err
	}
	return fmt.Errorf("the platform was not reached: %w", err)
}

// retryAfter reads a number of seconds, which may have decimals, or a date.
func retryAfter(text string, now time.Time) time.Duration {
	if seconds, err := strconv.ParseFloat(text, 64); err == nil && seconds > 0 && seconds < 1e9 {
		return time.Duration(seconds * float64(time.Second))
	}
	if at, err := http.ParseTime(text); err == nil && at.After(now) {
		return at.Sub(now)
	}
	return 0
}
