package interactions

import (
	"context"
	"crypto/ed25519"
	"encoding/hex"
	"io"
	"net/http"
	"net/http/httptest"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/clients/bot"
	"saltwright/clients/bot/delivery"
)

func unhex(t *testing.T, text string) []byte {
	t.Helper()
	out, err := hex.DecodeString(text)
	require.NoError(t, err)
	return out
}

// RFC 8032, section 7.1: TEST 1, 2 and 3.
func TestEd25519Vectors(t *testing.T) {
	for name, c := range map[string]struct{ public, message, signature string }{
		"TEST 1": {
			"d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a", "",
			"e5564300c360ac729086e2cc806e828a84877f1eb8e5d974d873e06522490155" +
				"5fb8821590a33bacc61e39701cf9b46bd25bf5f0595bbe24655141438e7a100b",
		},
		"TEST 2": {
			"3d4017c3e843895a92b70aa74d1b7ebc9c982ccf2ec4968cc0cd55f12af4660c", "72",
			"92a009a9f0d4cab8720e820b5f642540a2b27b5416503f8fb3762223ebdb69da" +
				"085ac1e43e15996e458f3613d0f11d8c387b2eaeb4302aeeb00d291612bb0c00",
		},
		"TEST 3": {
			"fc51cd8e6218a1a38da47ed00230f0580816ed13ba3303ac5deb911548908025", "af82",
			"6291d657deec24024827e69c3abe01a30ce548a284743a445e3680d7db5ac3ac" +
				"18ff9b538d16f290ae67f760984dc6594a7c15e9716ed28dc027beceea1ec40a",
		},
	} {
		t.Run(name, func(t *testing.T) {
			key, err := PublicKey(c.public)
			require.NoError(t, err)
			other := ed25519.NewKeyFromSeed(make([]byte, 32)).Public().(ed25519.PublicKey)
			message, signature := unhex(t, c.message), unhex(t, c.signature)
			assert.True(t, signedByOne([]ed25519.PublicKey{key}, message, signature))
			assert.True(t, signedByOne([]ed25519.PublicKey{other, key}, message, signature))
			assert.False(t, signedByOne([]ed25519.PublicKey{other}, message, signature))
			assert.False(t, signedByOne(nil, message, signature))
			assert.False(t, signedByOne([]ed25519.PublicKey{key, nil}, append(message, 0), signature))
			signature[0] ^= 1
			assert.False(t, signedByOne([]ed25519.PublicKey{key}, message, signature))
		})
	}
	for _, bad := range []string{"", "zz", strings.Repeat("a", 63), strings.Repeat("a", 66)} {
		_, err := PublicKey(bad)
		assert.ErrorContains(t, err, "64 hexadecimal digits", bad)
	}
}

var (
	private = ed25519.NewKeyFromSeed([]byte("a seed for tests, 32 bytes long."))
	public  = private.Public().(ed25519.PublicKey)
	now     = time.Date(2025, 6, 1, 12, 0, 0, 0, time.UTC)
)

func signed(body string, at time.Time) http.Header {
	timestamp := strconv.FormatInt(at.Unix(), 10)
	return http.Header{
		headerSignature: {hex.EncodeToString(ed25519.Sign(private, []byte(timestamp+body)))},
		headerTimestamp: {timestamp},
	}
}

func TestVerify(t *testing.T) {
	h := signed("body", now)
	moved := func(name, value string) http.Header {
		out := h.Clone()
		out[name] = []string{value}
		return out
	}
	for name, c := range map[string]struct {
		raw  string
		h    http.Header
		now  time.Time
		good bool
	}{
		"right":                  {"body", h, now, true},
		"five minutes later":     {"body", h, now.Add(5 * time.Minute), true},
		"later":                  {"body", h, now.Add(5*time.Minute + time.Second), false},
		"from the future":        {"body", h, now.Add(-5*time.Minute - time.Second), false},
		"another body":           {"bodY", h, now, false},
		"a byte moved from time": {"0body", moved(headerTimestamp, h.Get(headerTimestamp)[:9]), now, false},
		"another time":           {"body", moved(headerTimestamp, strconv.FormatInt(now.Unix()+1, 10)), now, false},
		"no time":                {"body", moved(headerTimestamp, ""), now, false},
		"no signature":           {"body", moved(headerSignature, ""), now, false},
		"no digits":              {"body", moved(headerSignature, strings.Repeat("z", 128)), now, false},
		"cut off":                {"body", moved(headerSignature, h.Get(headerSignature)[:126]), now, false},
	} {
		t.Run(name, func(t *testing.T) {
			err := Verify([]ed25519.PublicKey{public}, []byte(c.raw), c.h, c.now)
			if c.good {
				assert.NoError(t, err)
			} else {
				assert.ErrorIs(t, err, delivery.ErrSignature)
			}
		})
	}
}

type inbox struct {
	verdict bot.Verdict
	events  []bot.Event
}

func (i *inbox) Take(_ context.Context, e bot.Event) bot.Verdict {
	i.events = append(i.events, e)
	return i.verdict
}

func deliver(a http.Handler, body string) *httptest.ResponseRecorder {
	r := httptest.NewRequest(http.MethodPost, "/hooks/interactions", strings.NewReader(body))
	r.Header = signed(body, now)
	w := httptest.NewRecorder()
	a.ServeHTTP(w, r)
	return w
}

// asked is an interaction in the protocol's shape; people and texts are invented.
const asked = `{"id":"9001","type":2,"application_id":"77","token":"aW50ZXJhY3Rpb24.x-y_z","channel_id":"55",` +
	`"member":{"user":{"id":"7","username":"ann"}},"data":{"name":"ask","options":[{"name":"question","type":3,` +
	`"value":"heaters for 48x24x20 in"}]}}`

func adapter(in delivery.Inbox) *Adapter {
	return &Adapter{
		Keys: []ed25519.PublicKey{public}, Application: "77", Inbox: in, Sender: delivery.NewSender(),
		Now: func() time.Time { return now },
	}
}

func TestInteractions(t *testing.T) {
	const deferredAnswer = `{"type":5}`
	only := func(text string) string {
		return `{"type":4,"data":{"content":"` + text + `","flags":64,"allowed_mentions":{"parse":[]}}}`
	}
	for name, c := range map[string]struct {
		body    string
		verdict bot.Verdict
		status  int
		answer  string
		taken   int
	}{
		"a ping":    {`{"id":"1","type":1}`, bot.Taken, 200, `{"type":1}`, 0},
		"a command": {asked, bot.Taken, 200, deferredAnswer, 1},
		"in a direct message": {
			strings.Replace(
				asked, `"member":{"user":{"id":"7","username":"ann"}}`, `"user":{"id":"7","username":"ann"}`, 1,
			),
			bot.Taken, 200, deferredAnswer, 1,
		},
		"too often": {
			asked, bot.ThreadCap, 200,
			only("I have answered as often as I may here for now. Ask again later. I am a bot."), 1,
		},
		"too much": {
			asked, bot.QueueFull, 200, only("I have too much to do just now. Ask again in a minute. I am a bot."), 1,
		},
		"again":               {asked, bot.Again, 200, only("I have taken this one already. I am a bot."), 1},
		"a bot":               {asked, bot.OtherBot, 200, only("I do not answer this. I am a bot."), 1},
		"another kind":        {strings.Replace(asked, `"type":2`, `"type":3`, 1), bot.Taken, 400, "", 0},
		"another application": {strings.Replace(asked, `"77"`, `"78"`, 1), bot.Taken, 400, "", 0},
		"a token with a path": {strings.Replace(asked, `x-y_z`, `/../../x`, 1), bot.Taken, 400, "", 0},
		"a token of dots":     {strings.Replace(asked, `aW50ZXJhY3Rpb24.x-y_z`, `..`, 1), bot.Taken, 400, "", 0},
		"no user":             {strings.Replace(asked, `"member"`, `"other"`, 1), bot.Taken, 400, "", 0},
		"signed, and no JSON": {`{`, bot.Taken, 400, "", 0},
		"options that are no text": {
			strings.Replace(asked, `"heaters for 48x24x20 in"`, `12`, 1), bot.Taken, 200, deferredAnswer, 1,
		},
	} {
		t.Run(name, func(t *testing.T) {
			in := &inbox{verdict: c.verdict}
			w := deliver(adapter(in), c.body)
			assert.Equal(t, c.status, w.Code, w.Body)
			if c.answer != "" {
				assert.JSONEq(t, c.answer, w.Body.String())
				assert.Equal(t, "application/json", w.Header().Get("Content-Type"))
			}
			assert.Len(t, in.events, c.taken)
		})
	}
	in := &inbox{verdict: bot.Taken}
	deliver(adapter(in), asked)
	assert.Equal(
		t,
		bot.Event{
			Platform: "interactions", ID: "9001", ThreadID: "55/7", AuthorID: "7", AuthorName: "ann", Direct: true,
			Text: "heaters for 48x24x20 in", ReplyTo: `{"application":"77","token":"aW50ZXJhY3Rpb24.x-y_z"}`,
		},
		in.events[0],
	)
	deliver(adapter(in), strings.Replace(strings.Replace(asked, `"ask"`, `"chiller"`, 1), "heaters for ", "", 1))
	assert.Equal(t, "chiller 48x24x20 in", in.events[1].Text, "a command that is a topic")
	r := httptest.NewRequest(http.MethodPost, "/", strings.NewReader(`{"type":1}`))
	r.Header = signed(`{"type":1} `, now)
	w := httptest.NewRecorder()
	adapter(in).ServeHTTP(w, r)
	assert.Equal(t, http.StatusUnauthorized, w.Code, "even a ping: the platform tries this")
}

// A recorded interaction is answered once, and refused when it is old.
func TestReplay(t *testing.T) {
	sent := make(chan string, 10)
	a := adapter(nil)
	c := a.Channel()
	c.Send = func(_ context.Context, _, text string) error { sent <- text; return nil }
	b, err := bot.New(bot.Config{Channels: map[string]bot.Channel{Platform: c}})
	require.NoError(t, err)
	a.SetInbox(b)
	assert.JSONEq(t, `{"type":5}`, deliver(a, asked).Body.String())
	assert.Contains(t, deliver(a, asked).Body.String(), "already")
	a.Now = func() time.Time { return now.Add(6 * time.Minute) }
	assert.Equal(t, http.StatusUnauthorized, deliver(a, asked).Code)
	require.NoError(t, b.Close(context.Background()))
	assert.Len(t, sent, 1)
}

func TestTheAnswerTakesTheDeferredOnesPlace(t *testing.T) {
	var method, path, body string
	platform := httptest.NewServer(http.HandlerFunc(func(_ http.ResponseWriter, r *http.Request) {
		data, _ := io.ReadAll(r.Body)
		method, path, body = r.Method, r.URL.Path, string(data)
	}))
	defer platform.Close()
	in := &inbox{verdict: bot.Taken}
	a := adapter(in)
	a.API = platform.URL + "/api/"
	deliver(a, asked)
	assert.Equal(t, bot.Chat, a.Channel().Dialect)
	assert.Equal(t, bot.ChatLimit, a.Channel().Limit)
	assert.True(t, a.Channel().MustAnswer, "the platform shows that an answer is being written")
	require.NoError(t, a.Channel().Send(context.Background(), in.events[0].ReplyTo, "an answer"))
	assert.Equal(t, http.MethodPatch, method)
	assert.Equal(t, "/api/webhooks/77/aW50ZXJhY3Rpb24.x-y_z/messages/@original", path)
	assert.JSONEq(t, `{"content":"an answer","allowed_mentions":{"parse":[]}}`, body)
}
