package forumwebhook

import (
	"context"
	"encoding/hex"
	"encoding/json"
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
	"saltwright/clients/bot/delivery"
)

// RFC 4231, section 4: test cases 1, 2, 3 and 6.
func TestHMACVectors(t *testing.T) {
	for name, c := range map[string]struct{ key, data, mac string }{
		"4.2": {
			strings.Repeat("0b", 20), hex.EncodeToString([]byte("Hi There")),
			"b0344c61d8db38535ca8afceaf0bf12b881dc200c9833da726e9376c2e32cff7",
		},
		"4.3": {
			hex.EncodeToString([]byte("Jefe")), hex.EncodeToString([]byte("what do ya want for nothing?")),
			"5bdcc146bf60754e6a042426089575c75a003f089d2739839dec58b964ec3843",
		},
		"4.4": {
			strings.Repeat("aa", 20), strings.Repeat("dd", 50),
			"773ea91e36800e46854db8ebd09181a72959098b3ef8c122d9635514ced565fe",
		},
		"4.7": {
			strings.Repeat("aa", 131),
			hex.EncodeToString([]byte("Test Using Larger Than Block-Size Key - Hash Key First")),
			"60e431591ee0b67f0d8a26aacbf5b77f8e0bc6213728c5140546040f0ee37f54",
		},
	} {
		t.Run(name, func(t *testing.T) {
			key, err := hex.DecodeString(c.key)
			require.NoError(t, err)
			data, err := hex.DecodeString(c.data)
			require.NoError(t, err)
			assert.Equal(t, "sha256="+c.mac, Sign(key, data))
			other := []byte("another secret of ours")
			verify := func(signature string, secrets ...[]byte) error {
				return Verify(secrets, data, http.Header{headerSignature: {signature}}, time.Time{})
			}
			assert.NoError(t, verify("sha256="+c.mac, key))
			assert.NoError(t, verify("sha256="+c.mac, other, key), "the second secret of a change")
			assert.NoError(t, verify("sha256="+strings.ToUpper(c.mac), key))
			for what, signature := range map[string]string{
				"nothing": "", "no algorithm": c.mac, "another algorithm": "sha1=" + c.mac, "cut off": "sha256=" +
					c.mac[:32], "empty": "sha256=", "no digits": "sha256=" + strings.Repeat("z", 64),
				"the last digit": "sha256=" + c.mac[:63] + "0",
			} {
				assert.ErrorIs(t, verify(signature, key), delivery.ErrSignature, what)
			}
			assert.ErrorIs(t, verify("sha256="+c.mac, other), delivery.ErrSignature)
			assert.ErrorIs(t, verify("sha256="+c.mac), delivery.ErrSignature, "no secret")
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

var (
	secret  = []byte("sixteen characters and more")
	created = time.Date(2025, 6, 1, 12, 0, 0, 0, time.UTC)
)

// aPost is a body in the protocol's shape, the members from memory; people and text are invented.
const aPost = `{"post":{"id":101,"user_id":7,"username":"ann","topic_id":55,"post_number":3,"post_type":1,` +
	`"version":1,"created_at":"2025-06-01T12:00:00.000Z","raw":"@saltwright help",` +
	`"cooked":"<p>@saltwright help</p>","reply_to_post_number":null}}`

func deliver(a http.Handler, body, event string) *httptest.ResponseRecorder {
	r := httptest.NewRequest(http.MethodPost, "/hooks/forum", strings.NewReader(body))
	r.Header.Set(headerSignature, Sign(secret, []byte(body)))
	r.Header.Set(headerEvent, event)
	w := httptest.NewRecorder()
	a.ServeHTTP(w, r)
	return w
}

func TestDeliveries(t *testing.T) {
	for name, c := range map[string]struct {
		body, event string
		verdict     bot.Verdict
		status      int
		want        *bot.Event
	}{
		"a post":  {aPost, "post_created", bot.Taken, 202, &bot.Event{}},
		"an edit": {aPost, "post_edited", bot.Edited, 204, &bot.Event{IsEdit: true}},
		"an edit by version, whatever the field says": {
			strings.Replace(aPost, `"version":1`, `"version":2`, 1), "post_created", bot.Edited, 204,
			&bot.Event{IsEdit: true},
		},
		"the system": {
			strings.Replace(aPost, `"user_id":7`, `"user_id":-1`, 1), "post_created", bot.OtherBot, 204,
			&bot.Event{AuthorIsBot: true, AuthorID: "-1"},
		},
		"queue full": {aPost, "post_created", bot.QueueFull, 503, &bot.Event{}},
		"a note": {
			strings.Replace(aPost, `"post_type":1`, `"post_type":3`, 1), "post_created", bot.Taken, 204, nil,
		},
		"a ping":        {`{"ping":"OK"}`, "ping", bot.Taken, 204, nil},
		"another event": {aPost, "post_destroyed", bot.Taken, 204, nil},
		"no topic": {
			strings.Replace(aPost, `"topic_id":55`, `"topic_id":0`, 1), "post_created", bot.Taken, 400, nil,
		},
		"no time": {
			strings.Replace(aPost, `"created_at":"2025-06-01T12:00:00.000Z",`, ``, 1), "post_created", bot.Taken, 400,
			nil,
		},
		"signed, no JSON": {"{", "post_created", bot.Taken, 400, nil},
	} {
		t.Run(name, func(t *testing.T) {
			in := &inbox{verdict: c.verdict}
			w := deliver(&Adapter{Secrets: [][]byte{secret}, Inbox: in}, c.body, c.event)
			assert.Equal(t, c.status, w.Code, w.Body)
			if c.want == nil {
				assert.Empty(t, in.events)
				return
			}
			want := bot.Event{
				Platform: "forum", ID: "101", ThreadID: "55", AuthorID: "7", AuthorName: "ann",
				Text: "@saltwright help", At: created, ReplyTo: `{"topic":55,"post":3}`,
				IsEdit: c.want.IsEdit, AuthorIsBot: c.want.AuthorIsBot,
			}
			if c.want.AuthorID != "" {
				want.AuthorID = c.want.AuthorID
			}
			require.Len(t, in.events, 1)
			assert.Equal(t, want, in.events[0])
		})
	}
	in := &inbox{}
	assert.Equal(
		t, http.StatusUnauthorized,
		deliver(&Adapter{Secrets: [][]byte{[]byte("another secret of ours")}, Inbox: in}, "{", "post_created").Code,
		"before any parsing",
	)
	assert.Empty(t, in.events)
}

// Only the body is signed. A recorded one is answered once, whatever its other fields say, and never after a day.
func TestReplay(t *testing.T) {
	var at atomic.Pointer[time.Time]
	set := func(to time.Time) { at.Store(&to) }
	set(created)
	sent := make(chan string, 10)
	a := &Adapter{Secrets: [][]byte{secret}, Limit: 8000}
	newBot := func() *bot.Bot {
		c := a.Channel()
		c.Send = func(_ context.Context, _, text string) error { sent <- text; return nil }
		b, err := bot.New(bot.Config{
			Identity: bot.Identity{Name: "saltwright"}, Now: func() time.Time { return *at.Load() },
			Channels: map[string]bot.Channel{Platform: c},
		})
		require.NoError(t, err)
		return b
	}
	b := newBot()
	a.SetInbox(b)
	assert.Equal(t, 202, deliver(a, aPost, "post_created").Code)
	require.Eventually(t, func() bool { return len(sent) == 1 }, 5*time.Second, time.Millisecond)
	assert.Equal(t, 204, deliver(a, aPost, "post_created").Code)
	assert.Equal(t, 204, deliver(a, aPost, "post_edited").Code)
	set(created.Add(23 * time.Hour))
	assert.Equal(t, 204, deliver(a, aPost, "post_created").Code)
	set(created.Add(25 * time.Hour))
	assert.Equal(t, 204, deliver(a, aPost, "post_created").Code)
	require.NoError(t, b.Close(context.Background()))
	assert.Len(t, sent, 1)
	started := newBot() // with an empty memory
	a.SetInbox(started)
	assert.Equal(t, 204, deliver(a, aPost, "post_created").Code, "nor after a start anew")
	require.NoError(t, started.Close(context.Background()))
	assert.Len(t, sent, 1)
}

func TestReplies(t *testing.T) {
	var got newPost
	var h http.Header
	var path string
	forum := httptest.NewServer(http.HandlerFunc(func(_ http.ResponseWriter, r *http.Request) {
		data, _ := io.ReadAll(r.Body)
		_ = json.Unmarshal(data, &got)
		h, path = r.Header, r.URL.Path
	}))
	defer forum.Close()
	in := &inbox{verdict: bot.Taken}
	a := &Adapter{
		Secrets: [][]byte{secret}, Forum: forum.URL + "/community/", Key: "k", Username: "SaltBot", Inbox: in,
		Sender: delivery.NewSender(),
	}
	deliver(a, aPost, "post_created")
	require.NoError(t, a.Channel().Send(context.Background(), in.events[0].ReplyTo, "an answer"))
	assert.Equal(t, bot.CommonMark, a.Channel().Dialect)
	assert.False(t, a.Channel().Repeatable, "a post that arrives twice is two posts")
	assert.Equal(t, newPost{TopicID: 55, ReplyTo: 3, Raw: "an answer"}, got)
	assert.Equal(t, "/community/posts.json", path)
	assert.Equal(t, "k", h.Get("Api-Key"))
	assert.Equal(t, "SaltBot", h.Get("Api-Username"))
}
