// Package interactions is the adapter for chats that deliver a person's command as an interaction signed with Ed25519
// (Discord style). It is acknowledged at once as deferred, and the answer replaces that later.
package interactions

import (
	"context"
	"crypto/ed25519"
	"encoding/hex"
	"encoding/json"
	"errors"
	"net/http"
	"regexp"
	"strings"
	"time"

	"saltwright/clients/bot"
	"saltwright/clients/bot/delivery"
)

// Header fields of the protocol.
const (
	headerSignature = "X-Signature-Ed25519"
	headerTimestamp = "X-Signature-Timestamp"
)

// Kinds of interactions and of answers to them.
const (
	ping          = 1
	command       = 2
	pong          = 1
	message       = 4
	deferred      = 5
	onlyForAuthor = 64
)

// PublicKey reads a public key in hexadecimal digits.
func PublicKey(text string) (ed25519.PublicKey, error) {
	key, err := hex.DecodeString(strings.TrimSpace(text))
	if err != nil || len(key) != ed25519.PublicKeySize {
		return nil, errors.New("a public key is 64 hexadecimal digits")
	}
	return key, nil
}

// Verify checks that the timestamp and the raw body are signed with one of the keys, within five minutes of now.
func Verify(keys []ed25519.PublicKey, raw []byte, h http.Header, now time.Time) error {
	signature, err := hex.DecodeString(h.Get(headerSignature))
	timestamp := h.Get(headerTimestamp)
	if err != nil || len(signature) != ed25519.SignatureSize || !delivery.Fresh(timestamp, now) {
		return delivery.ErrSignature
	}
	if !signedByOne(keys, append([]byte(timestamp), raw...), signature) {
		return delivery.ErrSignature
	}
	return nil
}

func signedByOne(keys []ed25519.PublicKey, signed, signature []byte) bool {
	for _, key := range keys {
		if len(key) == ed25519.PublicKeySize && ed25519.Verify(key, signed, signature) {
			return true
		}
	}
	return false
}

// Platform is the name of this platform in events.
const Platform = "interactions"

// Adapter takes interactions. It is an http.Handler.
type Adapter struct {
	Keys        []ed25519.PublicKey // two while the key is changed
	API         string              // where answers go, before /webhooks
	Application string              // id of the bot's application; interactions of others are refused
	Inbox       delivery.Inbox
	Sender      *delivery.Sender
	Now         func() time.Time
}

type interaction struct {
	ID            string  `json:"id"`
	Type          int     `json:"type"`
	ApplicationID string  `json:"application_id"`
	Token         string  `json:"token"`
	ChannelID     string  `json:"channel_id"`
	User          *user   `json:"user"`
	Member        *member `json:"member"`
	Data          struct {
		Name    string   `json:"name"`
		Options []option `json:"options"`
	} `json:"data"`
}

type user struct {
	ID       string `json:"id"`
	Username string `json:"username"`
	Bot      bool   `json:"bot"`
}

type member struct {
	User *user `json:"user"`
}

type option struct {
	Value any `json:"value"`
}

type answer struct {
	Type int      `json:"type"`
	Data *content `json:"data,omitempty"`
}

type content struct {
	Content  string    `json:"content,omitempty"`
	Flags    int       `json:"flags,omitempty"`
	Mentions *mentions `json:"allowed_mentions,omitempty"`
}

// mentions allows none: the protocol reads an empty list as nobody.
type mentions struct {
	Parse []string `json:"parse"`
}

var (
	digits = regexp.MustCompile(`^[0-9]{1,32}$`)
	token  = regexp.MustCompile(`^[A-Za-z0-9._~-]{1,512}$`)
)

func (a *Adapter) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	raw, ok := delivery.Signed(w, r, func(raw []byte, h http.Header) error { return Verify(a.Keys, raw, h, a.now()) })
	if !ok {
		return
	}
	var i interaction
	if err := json.Unmarshal(raw, &i); err != nil {
		http.Error(w, "the body is no interaction: "+err.Error(), http.StatusBadRequest)
		return
	}
	switch i.Type {
	case ping:
		write(w, answer{Type: pong})
		return
	case command:
	default:
		http.Error(w, "only pings and commands are answered", http.StatusBadRequest)
		return
	}
	author := i.User
	if i.Member != nil && i.Member.User != nil {
		author = i.Member.User
	}
	// Token and application become part of an address, so their form is checked.
	if author == nil || !digits.MatchString(i.ID) || !digits.MatchString(i.ApplicationID) ||
		!token.MatchString(i.Token) || strings.Trim(i.Token, ".") == "" || i.ApplicationID != a.Application {
		http.Error(w, "the command needs id, token, user, and the application_id of this bot", http.StatusBadRequest)
		return
	}
	var words []string
	if bot.NamesTopic(i.Data.Name) { // /heaters as well as /ask heaters
		words = append(words, i.Data.Name)
	}
	for _, o := range i.Data.Options {
		if text, ok := o.Value.(string); ok {
			words = append(words, text)
		}
	}
	verdict := a.Inbox.Take(r.Context(), bot.Event{
		// A command always comes from a person, and a busy channel is not a loop: each author counts as a thread.
		Platform: Platform, ID: i.ID, ThreadID: i.ChannelID + "/" +
			author.ID, AuthorID: author.ID, AuthorName: author.Username,
		AuthorIsBot: author.Bot, Direct: true, Text: strings.Join(words, " "),
		ReplyTo: delivery.Place(place{Application: i.ApplicationID, Token: i.Token}),
	})
	if verdict == bot.Taken {
		write(w, answer{Type: deferred})
		return
	}
	write(
		w,
		answer{
			Type: message,
			Data: &content{Content: declined(verdict), Flags: onlyForAuthor, Mentions: &mentions{Parse: []string{}}},
		},
	)
}

// place is where a reply belongs. The token is good for that one reply, and for a quarter of an hour.
type place struct {
	Application string `json:"application"`
	Token       string `json:"token"`
}

// TokenLasts is a little less than the quarter of an hour for which the protocol's tokens are good.
const TokenLasts = 14 * time.Minute

// SetInbox says who takes the events.
func (a *Adapter) SetInbox(inbox delivery.Inbox) { a.Inbox = inbox }

// Channel is where the replies of this platform go.
func (a *Adapter) Channel() bot.Channel {
	return bot.Channel{
		Dialect: bot.Chat, Limit: bot.ChatLimit, MustAnswer: true, Repeatable: true, Within: TokenLasts, Send: a.send,
	}
}

// declined tells the author alone why there is no answer: the protocol expects a reply to every command.
func declined(v bot.Verdict) string {
	switch v {
	case bot.TooFast, bot.ThreadCap, bot.TotalCap:
		return "I have answered as often as I may here for now. Ask again later. I am a bot."
	case bot.QueueFull, bot.Closing:
		return "I have too much to do just now. Ask again in a minute. I am a bot."
	case bot.Again:
		return "I have taken this one already. I am a bot."
	}
	return "I do not answer this. I am a bot."
}

func write(w http.ResponseWriter, a answer) {
	w.Header().Set("Content-Type", "application/json")
	// This type always has a JSON form, and a broken connection cannot be mended here.
	_ = json.NewEncoder(w).Encode(a)
}

func (a *Adapter) now() time.Time {
	if a.Now != nil {
		return a.Now()
	}
	return time.Now()
}

// send replaces the deferred answer with the real one.
func (a *Adapter) send(ctx context.Context, replyTo, text string) error {
	p, err := delivery.PlaceOf[place](replyTo)
	if err != nil {
		return err
	}
	body, err := json.Marshal(content{Content: text, Mentions: &mentions{Parse: []string{}}})
	if err != nil {
		return err
	}
	address := strings.TrimRight(a.API, "/") + "/webhooks/" + p.Application + "/" + p.Token + "/messages/@original"
	return a.Sender.SendRepeatable(ctx, http.MethodPatch, address, body, nil)
}
