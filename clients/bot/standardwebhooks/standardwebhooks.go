// Package standardwebhooks is the adapter for any platform that can be bridged: signed events come in and signed
// replies
// go out as the Standard Webhooks specification 1.0 says. The README of clients/bot describes the events.
package standardwebhooks

import (
	"context"
	"crypto/hmac"
	"crypto/sha256"
	"crypto/subtle"
	"encoding/base64"
	"encoding/hex"
	"encoding/json"
	"errors"
	"net/http"
	"strconv"
	"strings"
	"time"

	"saltwright/clients/bot"
	"saltwright/clients/bot/delivery"
)

// Header fields of the specification.
const (
	headerID        = "Webhook-Id"
	headerTimestamp = "Webhook-Timestamp"
	headerSignature = "Webhook-Signature"
)

const secretPrefix = "whsec_"

// OwnID is the author of the replies that go out.
const OwnID = "saltwright-bot"

// Secret reads a secret in the form of the specification, whsec_ and base64, of at least 24 bytes.
func Secret(text string) ([]byte, error) {
	key, err := base64.StdEncoding.DecodeString(strings.TrimPrefix(strings.TrimSpace(text), secretPrefix))
	if err != nil || len(key) < 24 || len(key) > 64 {
		return nil, errors.New("a secret is whsec_ and 24 to 64 bytes in base64, such as openssl rand -base64 32 " +
			"writes")
	}
	return key, nil
}

// Sign returns the signature of a delivery.
func Sign(key []byte, id, timestamp string, raw []byte) string {
	mac := hmac.New(sha256.New, key)
	mac.Write([]byte(id + "." + timestamp + "."))
	mac.Write(raw)
	return "v1," + base64.StdEncoding.EncodeToString(mac.Sum(nil))
}

// Verify checks that a delivery carries a signature with one of the keys and a time within five minutes of now. It
// takes
// the raw body, before any parsing.
func Verify(keys [][]byte, raw []byte, h http.Header, now time.Time) error {
	id, timestamp := h.Get(headerID), h.Get(headerTimestamp)
	// With a full stop in the id, two deliveries could share one signature.
	if id == "" || len(id) > 256 || strings.Contains(id, ".") || !delivery.Fresh(timestamp, now) {
		return delivery.ErrSignature
	}
	good := 0
	for _, key := range keys {
		want := []byte(Sign(key, id, timestamp, raw))
		for n, signature := range strings.Fields(h.Get(headerSignature)) {
			if n >= 10 {
				break
			}
			good |= subtle.ConstantTimeCompare(want, []byte(signature))
		}
	}
	if good != 1 {
		return delivery.ErrSignature
	}
	return nil
}

// Platform is the name of this platform in events.
const Platform = "standard"

// Adapter takes deliveries. It is an http.Handler.
type Adapter struct {
	Keys     [][]byte // the first signs replies; a second is accepted while the key is changed
	ReplyURL string   // where replies go; never taken from an event
	Inbox    delivery.Inbox
	Sender   *delivery.Sender
	Dialect  bot.Dialect
	Limit    int
	Now      func() time.Time
}

// Message is the event that the adapter reads; all others are acknowledged and dropped.
type Message struct {
	Type string `json:"type"` // message.created, or message.edited
	Data struct {
		MessageID string    `json:"message_id"`
		ThreadID  string    `json:"thread_id"`
		Author    Author    `json:"author"`
		Direct    bool      `json:"direct"`
		Text      string    `json:"text"`
		SentAt    time.Time `json:"sent_at"`
	} `json:"data"`
}

// Author is who wrote a message.
type Author struct {
	ID   string `json:"id"`
	Name string `json:"name"`
	Bot  bool   `json:"bot"`
}

// reply is the event that goes out.
type reply struct {
	Type      string    `json:"type"`
	Timestamp time.Time `json:"timestamp"`
	Data      replyData `json:"data"`
}

type replyData struct {
	ThreadID  string `json:"thread_id"`
	InReplyTo string `json:"in_reply_to"`
	Author    Author `json:"author"`
	Text      string `json:"text"`
}

func (a *Adapter) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	raw, ok := delivery.Signed(w, r, func(raw []byte, h http.Header) error { return Verify(a.Keys, raw, h, a.now()) })
	if !ok {
		return
	}
	var m Message
	if err := json.Unmarshal(raw, &m); err != nil {
		http.Error(w, "the body is no JSON event: "+err.Error(), http.StatusBadRequest)
		return
	}
	if m.Type != "message.created" && m.Type != "message.edited" {
		w.WriteHeader(http.StatusNoContent)
		return
	}
	if m.Data.MessageID == "" || m.Data.ThreadID == "" || m.Data.Author.ID == "" {
		http.Error(w, "data needs message_id, thread_id and author.id", http.StatusBadRequest)
		return
	}
	d := m.Data
	delivery.Acknowledge(w, a.Inbox.Take(r.Context(), bot.Event{
		Platform: Platform, ID: d.MessageID, ThreadID: d.ThreadID, AuthorID: d.Author.ID, AuthorName: d.Author.Name,
		AuthorIsBot: d.Author.Bot, IsEdit: m.Type == "message.edited", Direct: d.Direct, Text: d.Text, At: d.SentAt,
		ReplyTo: delivery.Place(place{Thread: d.ThreadID, Message: d.MessageID}),
	}))
}

// place is where a reply belongs.
type place struct {
	Thread  string `json:"thread"`
	Message string `json:"message"`
}

// SetInbox says who takes the events.
func (a *Adapter) SetInbox(inbox delivery.Inbox) { a.Inbox = inbox }

// Channel is where the replies of this platform go.
func (a *Adapter) Channel() bot.Channel {
	return bot.Channel{Dialect: a.Dialect, Limit: a.Limit, Repeatable: true, Send: a.send}
}

func (a *Adapter) now() time.Time {
	if a.Now != nil {
		return a.Now()
	}
	return time.Now()
}

func (a *Adapter) send(ctx context.Context, replyTo, text string) error {
	p, err := delivery.PlaceOf[place](replyTo)
	if err != nil {
		return err
	}
	now := a.now()
	body, err := json.Marshal(reply{
		Type: "message.reply", Timestamp: now.UTC(),
		Data: replyData{ThreadID: p.Thread, InReplyTo: p.Message, Author: Author{ID: OwnID, Bot: true}, Text: text},
	})
	if err != nil {
		return err
	}
	// One message has one reply: its id is the same whenever it is sent, so that the bridge takes it once.
	sum := sha256.Sum256([]byte(p.Thread + "\x00" + p.Message))
	id, timestamp := "msg_"+hex.EncodeToString(sum[:16]), strconv.FormatInt(now.Unix(), 10)
	h := http.Header{
		headerID: {id}, headerTimestamp: {timestamp}, headerSignature: {Sign(a.Keys[0], id, timestamp, body)},
	}
	return a.Sender.SendRepeatable(ctx, http.MethodPost, a.ReplyURL, body, h)
}
