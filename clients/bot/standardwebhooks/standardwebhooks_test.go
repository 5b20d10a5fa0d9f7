package standardwebhooks

import (
	"context"
	"encoding/json"
	"io"
	"net/http"
	"net/http/httptest"
	"strconv"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/clients/bot"
	"saltwright/clients/bot/delivery"
)

// The example that is published with the reference implementations of Standard
// Webhooks 1.0 (test "sign"), found in public copies of that test. It is no secret of ours.
const (
	publishedSecret    = "whsec_MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw"
	publishedID        = "msg_p5jXN8AQM9LWM0D4loKWxJek"
	publishedTime      = "1614265330"
	publishedBody      = `{"test": 2432232314}`
	publishedSignature = "v1,g0hM9SsE+OTPJTGt/tmIKtSyZlE3uFJELVlNIOLJ1OE="
)

func key(t *testing.T, text string) []byte {
	t.Helper()
	k, err := Secret(text)
	require.NoError(t, err)
	return k
}

func header(id, timestamp, signature string) http.Header {
	h := http.Header{}
	h.Set("webhook-id", id)
	h.Set("webhook-timestamp", timestamp)
	h.Set("webhook-signature", signature)
	return h
}

func TestPublishedExample(t *testing.T) {
	k := key(t, publishedSecret)
	assert.Equal(t, publishedSignature, Sign(k, publishedID, publishedTime, []byte(publishedBody)))
	at := time.Unix(1614265330, 0)
	other := key(t, "whsec_"+strings.Repeat("QUFB", 8))
	for name, c := range map[string]struct {
		keys [][]byte
		raw  string
		h    http.Header
		now  time.Time
		good bool
	}{
		"as published": {
			[][]byte{k}, publishedBody, header(publishedID, publishedTime, publishedSignature), at, true,
		},
		"five minutes later": {
			[][]byte{k}, publishedBody, header(publishedID, publishedTime, publishedSignature), at.Add(5 * time.Minute),
			true,
		},
		"and a second": {
			[][]byte{k}, publishedBody, header(publishedID, publishedTime, publishedSignature),
			at.Add(5*time.Minute + time.Second), false,
		},
		"from the future": {
			[][]byte{k}, publishedBody, header(publishedID, publishedTime, publishedSignature),
			at.Add(-5*time.Minute - time.Second), false,
		},
		"the second key": {
			[][]byte{other, k}, publishedBody, header(publishedID, publishedTime, publishedSignature), at, true,
		},
		"the second signature": {
			[][]byte{k}, publishedBody, header(publishedID, publishedTime, "v1,AAAA v1a,xyz "+publishedSignature), at,
			true,
		},
		"another key": {
			[][]byte{other}, publishedBody, header(publishedID, publishedTime, publishedSignature), at, false,
		},
		"no key": {
			nil, publishedBody, header(publishedID, publishedTime, publishedSignature), at, false,
		},
		"serialised again": {
			[][]byte{k}, `{"test":2432232314}`, header(publishedID, publishedTime, publishedSignature), at, false,
		},
		"another id": {
			[][]byte{k}, publishedBody, header("msg_other", publishedTime, publishedSignature), at, false,
		},
		"another time": {
			[][]byte{k}, publishedBody, header(publishedID, "1614265331", publishedSignature), at, false,
		},
		"a time of other digits": {
			[][]byte{k}, publishedBody, header(publishedID, "16142653e0", publishedSignature), at, false,
		},
		"without version": {
			[][]byte{k}, publishedBody,
			header(publishedID, publishedTime, strings.TrimPrefix(publishedSignature, "v1,")), at, false,
		},
		"of another version": {
			[][]byte{k}, publishedBody, header(publishedID, publishedTime, "v2"+publishedSignature[2:]), at, false,
		},
		"cut off": {
			[][]byte{k}, publishedBody, header(publishedID, publishedTime, publishedSignature[:20]), at, false,
		},
		"no signature": {[][]byte{k}, publishedBody, header(publishedID, publishedTime, ""), at, false},
		"the eleventh signature": {
			[][]byte{k}, publishedBody,
			header(publishedID, publishedTime, strings.Repeat("v1,AAAA ", 10)+publishedSignature), at, false,
		},
		"no id": {
			[][]byte{k}, publishedBody, header("", publishedTime, Sign(k, "", publishedTime, []byte(publishedBody))),
			at, false,
		},
		"a full stop in the id": {
			[][]byte{k}, publishedBody,
			header("a.1", publishedTime, Sign(k, "a.1", publishedTime, []byte(publishedBody))), at, false,
		},
		"an id that moves a stop": {
			[][]byte{k}, "1." + publishedBody,
			header("a", publishedTime, Sign(k, "a", publishedTime, []byte("1."+publishedBody))), at, true,
		},
	} {
		t.Run(name, func(t *testing.T) {
			err := Verify(c.keys, []byte(c.raw), c.h, c.now)
			if c.good {
				assert.NoError(t, err)
			} else {
				assert.ErrorIs(t, err, delivery.ErrSignature)
			}
		})
	}
}

func TestSecrets(t *testing.T) {
	for _, bad := range []string{"", "whsec_", "whsec_MTIz", "whsec_???", "whsec_" + strings.Repeat("QUFB", 22)} {
		_, err := Secret(bad)
		assert.ErrorContains(t, err, "24 to 64 bytes", bad)
	}
	assert.Len(t, key(t, " "+publishedSecret+"\n"), 24)
	assert.Equal(t, key(t, publishedSecret), key(t, strings.TrimPrefix(publishedSecret, "whsec_")))
}

// inbox says one verdict and keeps what it was given.
type inbox struct {
	verdict bot.Verdict
	events  []bot.Event
}

func (i *inbox) Take(_ context.Context, e bot.Event) bot.Verdict {
	i.events = append(i.events, e)
	return i.verdict
}

const message = `{"type":"message.created","data":{"message_id":"m1","thread_id":"t1","author":{"id":"a1",` +
	`"name":"ann"},"text":"@saltwright help","sent_at":"2025-06-01T12:00:00Z"}}`

func post(a http.Handler, k []byte, id, body string, now time.Time) *httptest.ResponseRecorder {
	r := httptest.NewRequest(http.MethodPost, "/hooks/standard", strings.NewReader(body))
	timestamp := strconv.FormatInt(now.Unix(), 10)
	r.Header = header(id, timestamp, Sign(k, id, timestamp, []byte(body)))
	w := httptest.NewRecorder()
	a.ServeHTTP(w, r)
	return w
}

func TestDeliveries(t *testing.T) {
	k, now := key(t, publishedSecret), time.Date(2025, 6, 1, 12, 0, 0, 0, time.UTC)
	for name, c := range map[string]struct {
		body    string
		verdict bot.Verdict
		status  int
		taken   int
	}{
		"a message":           {message, bot.Taken, 202, 1},
		"an edit":             {strings.Replace(message, "created", "edited", 1), bot.Edited, 204, 1},
		"declined":            {message, bot.ThreadCap, 204, 1},
		"queue full":          {message, bot.QueueFull, 503, 1},
		"closing":             {message, bot.Closing, 503, 1},
		"our own reply":       {strings.Replace(message, "created", "reply", 1), bot.Taken, 204, 0},
		"another event":       {`{"type":"x"}`, bot.Taken, 204, 0},
		"signed, and no JSON": {`{`, bot.Taken, 400, 0},
		"no message id":       {strings.Replace(message, "m1", "", 1), bot.Taken, 400, 0},
		"no author":           {strings.Replace(message, "a1", "", 1), bot.Taken, 400, 0},
	} {
		t.Run(name, func(t *testing.T) {
			in := &inbox{verdict: c.verdict}
			w := post(
				&Adapter{Keys: [][]byte{k}, Inbox: in, Now: func() time.Time { return now }}, k, "d1", c.body, now,
			)
			assert.Equal(t, c.status, w.Code, w.Body)
			require.Len(t, in.events, c.taken)
			if c.status == 503 {
				assert.NotEmpty(t, w.Header().Get("Retry-After"))
			}
		})
	}
	in := &inbox{verdict: bot.Taken}
	post(&Adapter{Keys: [][]byte{k}, Inbox: in, Now: func() time.Time { return now }}, k, "d1", message, now)
	assert.Equal(
		t,
		bot.Event{
			Platform: "standard", ID: "m1", ThreadID: "t1", AuthorID: "a1", AuthorName: "ann", Text: "@saltwright help",
			At: now, ReplyTo: `{"thread":"t1","message":"m1"}`,
		},
		in.events[0],
	)
	assert.Equal(
		t, http.StatusUnauthorized,
		post(
			&Adapter{
				Keys: [][]byte{key(t, "whsec_"+strings.Repeat("QUFB", 8))}, Inbox: in,
				Now: func() time.Time { return now },
			},
			k, "d1", "{", now,
		).Code,
		"before any parsing",
	)
	assert.Len(t, in.events, 1)
}

// A delivery sent again is answered once: at once by the message's id, and later not at all.
func TestReplay(t *testing.T) {
	k, now := key(t, publishedSecret), time.Date(2025, 6, 1, 12, 0, 0, 0, time.UTC)
	var at atomic.Pointer[time.Time]
	at.Store(&now)
	sent := make(chan string, 10)
	a := &Adapter{Keys: [][]byte{k}, Limit: 2000, Now: func() time.Time { return *at.Load() }}
	c := a.Channel()
	c.Send = func(_ context.Context, _, text string) error { sent <- text; return nil }
	b, err := bot.New(bot.Config{
		Identity: bot.Identity{Name: "saltwright"}, Now: func() time.Time { return *at.Load() },
		Channels: map[string]bot.Channel{Platform: c},
	})
	require.NoError(t, err)
	a.SetInbox(b)
	assert.Equal(t, 202, post(a, k, "d1", message, now).Code)
	assert.Equal(t, 204, post(a, k, "d1", message, now).Code, "the same delivery")
	assert.Equal(t, 204, post(a, k, "d2", message, now).Code, "the same message by another delivery")
	later := now.Add(6 * time.Minute)
	at.Store(&later)
	assert.Equal(t, 401, post(a, k, "d1", message, now).Code, "recorded and sent later")
	require.NoError(t, b.Close(context.Background()))
	assert.Len(t, sent, 1)
}

// A reply has one id, however often and by whichever process it is sent, so that a bridge can take it once; a failing
// gateway between does not lose it.
func TestAReplyHasOneID(t *testing.T) {
	k, now := key(t, publishedSecret), time.Date(2025, 6, 1, 12, 0, 0, 0, time.UTC)
	var ids []string
	platform := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		ids = append(ids, r.Header.Get(headerID))
		if len(ids) == 1 {
			w.WriteHeader(http.StatusBadGateway)
		}
	}))
	defer platform.Close()
	answer := func(body string) {
		in := &inbox{verdict: bot.Taken}
		a := &Adapter{
			Keys: [][]byte{k}, ReplyURL: platform.URL, Inbox: in, Sender: delivery.NewSender(),
			Now: func() time.Time { return now },
		}
		post(a, k, "d1", body, now)
		require.NoError(t, a.Channel().Send(context.Background(), in.events[0].ReplyTo, "an answer"))
	}
	answer(message)                                 // by one process, refused once
	answer(message)                                 // by another
	answer(strings.Replace(message, "m1", "m2", 1)) // to another message
	require.Len(t, ids, 4)
	assert.NotEmpty(t, ids[0])
	assert.Equal(t, ids[0], ids[1])
	assert.Equal(t, ids[0], ids[2])
	assert.NotEqual(t, ids[0], ids[3])
}

func TestRepliesAreSigned(t *testing.T) {
	k, now := key(t, publishedSecret), time.Date(2025, 6, 1, 12, 0, 0, 0, time.UTC)
	var got []byte
	var h http.Header
	platform := httptest.NewServer(http.HandlerFunc(func(_ http.ResponseWriter, r *http.Request) {
		got, _ = io.ReadAll(r.Body)
		h = r.Header
	}))
	defer platform.Close()
	in := &inbox{verdict: bot.Taken}
	a := &Adapter{
		Keys: [][]byte{k}, ReplyURL: platform.URL, Inbox: in, Sender: delivery.NewSender(),
		Now: func() time.Time { return now },
	}
	post(a, k, "d1", message, now)
	require.NoError(t, a.Channel().Send(context.Background(), in.events[0].ReplyTo, "an answer"))
	require.NoError(t, Verify([][]byte{k}, got, h, now), "by the same rules as what comes in")
	var r reply
	require.NoError(t, json.Unmarshal(got, &r))
	assert.Equal(
		t,
		reply{
			Type: "message.reply", Timestamp: now,
			Data: replyData{
				ThreadID: "t1", InReplyTo: "m1", Author: Author{ID: "saltwright-bot", Bot: true}, Text: "an answer",
			},
		},
		r,
	)
	// Delivered back to the bot by a mirror, it is dropped.
	assert.Equal(t, 204, post(a, k, "d9", string(got), now).Code)
	assert.Len(t, in.events, 1)
}
