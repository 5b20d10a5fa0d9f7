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

// Header fields of the protocol. Only the body is signed, so that nothing is
// decided by a field that a replay could change, but for what is dropped.
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

// Verify tells whether the raw body is signed by one of the secrets. The protocol
// signs no time: a post older than the bot's memory of posts is dropped instead.
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

// Adapter takes webhooks of posts. It is an http.Handler.
type Adapter struct {
	Secrets  [][]byte // two during a change
	Forum    string   // where the forum is, before /posts.json
	Key      string   // of its API
	Username string   // of the bot's account
	Inbox    delivery.Inbox
	Sender   *delivery.Sender
	Limit    int
	Now      func() time.Time
	Reply    func(ctx context.Context, text string) error // nil: to Forum
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

// regular is the type of posts that people write; others are notes of moderators and of the forum itself.
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
		w.WriteHeader(http.StatusNoContent) // a ping, or nothing that is answered
		return
	}
	if p.ID <= 0 || p.TopicID <= 0 || p.CreatedAt.IsZero() {
		http.Error(w, "post needs id, topic_id and created_at", http.StatusBadRequest)
		return
	}
	send := a.Reply
	if send == nil {
		send = func(ctx context.Context, text string) error { return a.send(ctx, p, text) }
	}
	delivery.Acknowledge(w, a.Inbox.Take(bot.Event{
		Platform: "forum", ID: strconv.FormatInt(p.ID, 10), ThreadID: strconv.FormatInt(p.TopicID, 10),
		AuthorID: strconv.FormatInt(p.UserID, 10), AuthorName: p.Username,
		AuthorIsBot: p.UserID <= 0, // accounts of the system
		IsEdit:      p.Version > 1 || event == "post_edited",
		Text:        p.Raw, At: p.CreatedAt,
	}, bot.Channel{Dialect: bot.CommonMark, Limit: a.Limit, Send: send}))
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

func (a *Adapter) send(ctx context.Context, p *post, text string) error {
	body, err := json.Marshal(newPost{TopicID: p.TopicID, ReplyTo: p.Number, Raw: text})
	if err != nil {
		return err
	}
	h := http.Header{"Api-Key": {a.Key}, "Api-Username": {a.Username}}
	return a.Sender.Send(ctx, http.MethodPost, strings.TrimRight(a.Forum, "/")+"/posts.json", body, h)
}
