// Package forumwebhook is the adapter of forums that sign their webhooks by the
// HMAC-SHA256 of the raw body (Discourse style) and take replies by POST /posts.json.
package forumwebhook

import (
	"context"
	"crypto/hmac"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"net/http"
	"strconv"
	"strings"
	"time"

	"saltwright/clients/bot"
	"saltwright/clients/bot/delivery"
)

// Header fields of the protocol. Only the body is signed, so a field that a replay could change decides at most that
// an event is dropped.
const (
	headerSignature = "X-Discourse-Event-Signature"
	headerEvent     = "X-Discourse-Event"
	algorithm       = "sha256="
)

// Sign returns the signature of a body.
func Sign(secret, raw []byte) string {
	mac := hmac.New(sha256.New, secret)
	mac.Write(raw)
	return algorithm + hex.EncodeToString(mac.Sum(nil))
}

// Verify checks that the raw body is signed with one of the secrets. The protocol does not sign the time, so posts
// older than the bot's memory are dropped instead.
func Verify(secrets [][]byte, raw []byte, h http.Header, _ time.Time) error {
	given, err := hex.DecodeString(strings.TrimPrefix(h.Get(headerSignature), algorithm))
	if err != nil || !strings.HasPrefix(h.Get(headerSignature), algorithm) {
		return delivery.ErrSignature
	}
	good := false
	for _, secret := range secrets {
		mac := hmac.New(sha256.New, secret)
		mac.Write(raw)
		good = hmac.Equal(mac.Sum(nil), given) || good
	}
	if !good {
		return delivery.ErrSignature
	}
	return nil
}

// Platform is the name of this platform in events.
const Platform = "forum"

// Adapter takes webhooks of posts. It is an http.Handler.
type Adapter struct {
	Secrets  [][]byte // two while the secret is changed
	Forum    string   // where the forum is, before /posts.json
	Key      string   // of its API
	Username string   // of the bot's account
	Inbox    delivery.Inbox
	Sender   *delivery.Sender
	Limit    int
	Now      func() time.Time
}

type webhook struct {
	Post *post `json:"post"`
}

type post struct {
	ID        int64     `json:"id"`
	UserID    int64     `json:"user_id"`
	Username  string    `json:"username"`
	TopicID   int64     `json:"topic_id"`
	Number    int64     `json:"post_number"`
	Type      int       `json:"post_type"`
	Version   int       `json:"version"`
	CreatedAt time.Time `json:"created_at"`
	Raw       string    `json:"raw"`
}

// regular is the type of the posts that people write; others are notes by moderators or the forum itself.
const regular = 1

func (a *Adapter) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	raw, ok := delivery.Signed(
		w, r, func(raw []byte, h http.Header) error { return Verify(a.Secrets, raw, h, a.now()) },
	)
	if !ok {
		return
	}
	var body webhook
	if err := json.Unmarshal(raw, &body); err != nil {
		http.Error(w, "the body is no JSON of a post: "+err.Error(), http.StatusBadRequest)
		return
	}
	p := body.Post
	event := r.Header.Get(headerEvent)
	if p == nil || p.Type != regular || event != "post_created" && event != "post_edited" {
		w.WriteHeader(http.StatusNoContent) // a ping or something that is not answered
		return
	}
	if p.ID <= 0 || p.TopicID <= 0 || p.CreatedAt.IsZero() {
		http.Error(w, "post needs id, topic_id and created_at", http.StatusBadRequest)
		return
	}
	delivery.Acknowledge(w, a.Inbox.Take(r.Context(), bot.Event{
		Platform: Platform, ID: strconv.FormatInt(p.ID, 10), ThreadID: strconv.FormatInt(p.TopicID, 10),
		AuthorID: strconv.FormatInt(p.UserID, 10), AuthorName: p.Username,
		AuthorIsBot: p.UserID <= 0, // accounts of the system
		IsEdit:      p.Version > 1 || event == "post_edited",
		Text:        p.Raw, At: p.CreatedAt,
		ReplyTo: delivery.Place(place{Topic: p.TopicID, Post: p.Number}),
	}))
}

// place is where a reply belongs.
type place struct {
	Topic int64 `json:"topic"`
	Post  int64 `json:"post"`
}

// SetInbox says who takes the events.
func (a *Adapter) SetInbox(inbox delivery.Inbox) { a.Inbox = inbox }

// Channel is where the replies of this platform go.
func (a *Adapter) Channel() bot.Channel {
	return bot.Channel{Dialect: bot.CommonMark, Limit: a.Limit, Send: a.send}
}

func (a *Adapter) now() time.Time {
	if a.Now != nil {
		return a.Now()
	}
	return time.Now()
}

type newPost struct {
	TopicID int64  `json:"topic_id"`
	ReplyTo int64  `json:"reply_to_post_number"`
	Raw     string `json:"raw"`
}

func (a *Adapter) send(ctx context.Context, replyTo, text string) error {
	p, err := delivery.PlaceOf[place](replyTo)
	if err != nil {
		return err
	}
	body, err := json.Marshal(newPost{TopicID: p.Topic, ReplyTo: p.Post, Raw: text})
	if err != nil {
		return err
	}
	h := http.Header{"Api-Key": {a.Key}, "Api-Username": {a.Username}}
	return a.Sender.Send(ctx, http.MethodPost, strings.TrimRight(a.Forum, "/")+"/posts.json", body, h)
}
