package delivery

import (
	"bytes"
	"context"
	"errors"
	"io"
	"net/http"
	"net/http/httptest"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/clients/bot"
)

func TestSigned(t *testing.T) {
	yes := func([]byte, http.Header) error { return nil }
	no := func([]byte, http.Header) error { return ErrSignature }
	for name, c := range map[string]struct {
		method string
		body   io.Reader
		verify func([]byte, http.Header) error
		status int
	}{
		"right":              {http.MethodPost, strings.NewReader("x"), yes, 200},
		"no signature":       {http.MethodPost, strings.NewReader("x"), no, 401},
		"GET":                {http.MethodGet, nil, yes, 405},
		"as large as may be": {http.MethodPost, bytes.NewReader(make([]byte, LargestBody)), yes, 200},
		"too large":          {http.MethodPost, bytes.NewReader(make([]byte, LargestBody+1)), yes, 413},
		"broken off":         {http.MethodPost, io.MultiReader(strings.NewReader("x"), broken{}), yes, 400},
	} {
		t.Run(name, func(t *testing.T) {
			w := httptest.NewRecorder()
			_, ok := Signed(w, httptest.NewRequest(c.method, "/", c.body), c.verify)
			assert.Equal(t, c.status, w.Code)
			assert.Equal(t, c.status == 200, ok)
		})
	}
}

type broken struct{}

func (broken) Read([]byte) (int, error) { return 0, errors.New("broken") }

func TestAcknowledge(t *testing.T) {
	for v, status := range map[bot.Verdict]int{
		bot.Taken: 202, bot.Own: 204, bot.OtherBot: 204, bot.Again: 204, bot.ThreadCap: 204, bot.QueueFull: 503,
		bot.Closing: 503,
	} {
		w := httptest.NewRecorder()
		Acknowledge(w, v)
		assert.Equal(t, status, w.Code, v)
		assert.Equal(t, status == 503, w.Header().Get("Retry-After") != "", v)
	}
}

// timeless is a clock that only sleeping moves.
type timeless struct {
	at    time.Time
	slept []time.Duration
}

func (c *timeless) sender() *Sender {
	s := NewSender()
	s.Now = func() time.Time { return c.at }
	s.Sleep = func(_ context.Context, d time.Duration) error {
		c.slept, c.at = append(c.slept, d), c.at.Add(d)
		return nil
	}
	return s
}

func TestSend(t *testing.T) {
	date := time.Date(2025, 6, 1, 12, 0, 0, 0, time.UTC)
	for name, c := range map[string]struct {
		statuses []int // one after the other; the last stays
		after    string
		requests int
		slept    []time.Duration // nil: not looked at
		says     string          // of the error
	}{
		"taken":              {[]int{200}, "", 1, []time.Duration{}, ""},
		"created":            {[]int{201}, "", 1, []time.Duration{}, ""},
		"asked to wait":      {[]int{429, 200}, "7", 2, []time.Duration{7 * time.Second}, ""},
		"a part of a second": {[]int{429, 200}, "0.5", 2, []time.Duration{500 * time.Millisecond}, ""},
		"until a date": {
			[]int{503, 200}, date.Add(9 * time.Second).Format(http.TimeFormat), 2, []time.Duration{9 * time.Second}, "",
		},
		"without a time": {[]int{429, 200}, "", 2, nil, ""},
		"too long":       {[]int{429}, "61", 1, []time.Duration{}, "longer than"},
		"never": {
			[]int{429}, "1", 4, []time.Duration{time.Second, time.Second, time.Second}, "after 4 tries",
		},
		"refused":                {[]int{403}, "", 1, []time.Duration{}, "answers 403"},
		"maybe taken: not again": {[]int{500}, "", 1, []time.Duration{}, "answers 500"},
		"a gateway: not again":   {[]int{502}, "", 1, []time.Duration{}, "answers 502"},
		"elsewhere: not there":   {[]int{307}, "", 1, []time.Duration{}, "answers 307"},
	} {
		t.Run(name, func(t *testing.T) {
			var n atomic.Int32
			platform := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
				i := int(n.Add(1)) - 1
				body, _ := io.ReadAll(r.Body)
				assert.Equal(t, "body", string(body), "each try sends all of it")
				if c.after != "" {
					w.Header().Set("Retry-After", c.after)
				}
				w.Header().Set("Location", "/elsewhere")
				w.WriteHeader(c.statuses[min(i, len(c.statuses)-1)])
			}))
			defer platform.Close()
			clock := &timeless{at: date, slept: []time.Duration{}}
			err := clock.sender().Send(context.Background(), http.MethodPost, platform.URL, []byte("body"), nil)
			if c.says == "" {
				assert.NoError(t, err)
			} else {
				assert.ErrorContains(t, err, c.says)
			}
			assert.Equal(t, c.requests, int(n.Load()))
			if c.slept != nil {
				assert.Equal(t, c.slept, clock.slept)
			}
		})
	}
}

// What may arrive twice is sent again when nobody knows whether it arrived, and never when it was refused.
func TestSendRepeatable(t *testing.T) {
	for name, c := range map[string]struct {
		statuses []int // one after the other; the last stays; 0 breaks the connection
		requests int
		says     string // of the error
	}{
		"a gateway, then taken":            {[]int{502, 200}, 2, ""},
		"too late, then taken":             {[]int{504, 200}, 2, ""},
		"broken, then taken":               {[]int{0, 200}, 2, ""},
		"a mistake, a gateway, then taken": {[]int{500, 502, 201}, 3, ""},
		"asked to wait, a gateway, taken":  {[]int{429, 502, 200}, 3, ""},
		"a gateway for ever":               {[]int{502}, 4, "answers 502 after 4 tries"},
		"broken for ever":                  {[]int{0}, 4, "was not reached"},
		"refused":                          {[]int{403}, 1, "answers 403"},
		"not there":                        {[]int{404}, 1, "answers 404"},
	} {
		t.Run(name, func(t *testing.T) {
			var n atomic.Int32
			platform := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
				status := c.statuses[min(int(n.Add(1))-1, len(c.statuses)-1)]
				body, _ := io.ReadAll(r.Body)
				assert.Equal(t, "body", string(body), "each try sends all of it")
				if status == 0 {
					panic(http.ErrAbortHandler)
				}
				w.WriteHeader(status)
			}))
			defer platform.Close()
			clock := &timeless{at: time.Date(2025, 6, 1, 12, 0, 0, 0, time.UTC)}
			s := clock.sender()
			s.Client.Transport = &http.Transport{DisableKeepAlives: true} // which would try again by itself
			err := s.SendRepeatable(context.Background(), http.MethodPatch, platform.URL, []byte("body"), nil)
			if c.says == "" {
				assert.NoError(t, err)
			} else {
				assert.ErrorContains(t, err, c.says)
			}
			assert.Equal(t, c.requests, int(n.Load()))
			assert.Len(t, clock.slept, c.requests-1)
		})
	}
}

// When a platform asks one reply to wait, the others wait as well.
func TestAPauseIsForAll(t *testing.T) {
	var n atomic.Int32
	platform := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) {
		n.Add(1)
		w.Header().Set("Retry-After", "30")
		w.WriteHeader(429)
	}))
	defer platform.Close()
	clock := &timeless{at: time.Now()}
	s := clock.sender()
	s.Tries = 2
	require.Error(t, s.Send(context.Background(), http.MethodPost, platform.URL, nil, nil))
	s.Sleep = func(context.Context, time.Duration) error { return context.DeadlineExceeded }
	s.paused = clock.at.Add(20 * time.Second)
	before := n.Load()
	assert.ErrorIs(t, s.Send(context.Background(), http.MethodPost, platform.URL, nil, nil), context.DeadlineExceeded)
	ctx, cancel := context.WithTimeout(context.Background(), 10*time.Second)
	defer cancel()
	s.Sleep = func(context.Context, time.Duration) error { panic("not waited for") }
	assert.ErrorContains(t, s.Send(ctx, http.MethodPost, platform.URL, nil, nil), "longer than there is time")
	assert.Equal(t, before, n.Load(), "nothing is sent during a pause")
}

func TestErrorsDoNotNameTheAddress(t *testing.T) {
	platform := httptest.NewServer(http.NotFoundHandler())
	platform.Close()
	err := NewSender().Send(context.Background(), http.MethodPost, platform.URL+"/webhooks/77/a-token", nil, nil)
	require.Error(t, err)
	assert.NotContains(t, err.Error(), "a-token")
	err = NewSender().Send(context.Background(), http.MethodPost, "http://%zz/a-token", nil, nil)
	require.Error(t, err)
	assert.NotContains(t, err.Error(), "a-token")
}

func TestFresh(t *testing.T) {
	now := time.Unix(1_000_000, 0)
	for text, want := range map[string]bool{
		"1000000": true, "999700": true, "999699": false, "1000300": true, "1000301": false, "": false, "x": false,
		"1e6": false, "99999999999999999999": false, "9223372036854775807": false, "-9223372036854775808": false,
	} {
		assert.Equal(t, want, Fresh(text, now), text)
	}
}
