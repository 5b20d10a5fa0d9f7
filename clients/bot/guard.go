package bot

import (
	"container/list"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"time"

	"saltwright/internal/limit"
)

// Verdict says what is done with an event.
type Verdict string

// The verdicts.
const (
	Taken     Verdict = "taken"      // it will be answered
	Own       Verdict = "own"        // the bot wrote it
	OtherBot  Verdict = "other_bot"  // another bot wrote it
	Edited    Verdict = "edited"     // an edit of an old message
	NotCalled Verdict = "not_called" // nobody called the bot
	Again     Verdict = "again"      // it was taken before
	Stale     Verdict = "stale"      // older than the bot's memory of events
	TooFast   Verdict = "too_fast"   // the author asks too often
	ThreadCap Verdict = "thread_cap" // the thread has had all its replies
	TotalCap  Verdict = "total_cap"  // all threads together have had theirs
	QueueFull Verdict = "queue_full" // the platform may deliver it again
	Closing   Verdict = "closing"    // the bot is stopping
)

// Limits bound how much the bot says. Zero values mean the defaults.
type Limits struct {
	ThreadAnHour  int           // replies in one thread at once; they grow back evenly within an hour; default 6
	AuthorBurst   int           // questions of one author at once; default 4
	AuthorEvery   time.Duration // one more after each; default 30 s
	TotalAMinute  int           // replies of the bot at once; they grow back evenly within a minute; default 60
	Remember      time.Duration // how long the id of an event is remembered; default 24 h
	Remembered    int           // how many ids are kept; default 10000
	QueueLength   int           // questions waiting; default 64
	Workers       int           // answered at a time; default 4
	AnswerTimeout time.Duration // for the service; default 20 s
	SendTimeout   time.Duration // for the platform, its pauses included; default 90 s
}

func (l Limits) withDefaults() Limits {
	set := func(v *int, d int) {
		if *v <= 0 {
			*v = d
		}
	}
	span := func(v *time.Duration, d time.Duration) {
		if *v <= 0 {
			*v = d
		}
	}
	set(&l.ThreadAnHour, 6)
	set(&l.AuthorBurst, 4)
	span(&l.AuthorEvery, 30*time.Second)
	set(&l.TotalAMinute, 60)
	span(&l.Remember, 24*time.Hour)
	set(&l.Remembered, 10000)
	set(&l.QueueLength, 64)
	set(&l.Workers, 4)
	span(&l.AnswerTimeout, 20*time.Second)
	span(&l.SendTimeout, 90*time.Second)
	return l
}

// memory keeps one value for each key, up to size; the one written longest ago is dropped first.
type memory[V any] struct {
	size  int
	order *list.List // of entry[V], the newest at the front
	byKey map[string]*list.Element
}

type entry[V any] struct {
	key   string
	value V
}

func newMemory[V any](size int) *memory[V] {
	return &memory[V]{size: size, order: list.New(), byKey: map[string]*list.Element{}}
}

func (m *memory[V]) value(key string) (v V, ok bool) {
	if e := m.byKey[key]; e != nil {
		return e.Value.(entry[V]).value, true
	}
	return v, false
}

func (m *memory[V]) put(key string, v V) {
	if e := m.byKey[key]; e != nil {
		e.Value = entry[V]{key, v}
		m.order.MoveToFront(e)
		return
	}
	m.byKey[key] = m.order.PushFront(entry[V]{key, v})
	if m.order.Len() > m.size {
		oldest := m.order.Back()
		m.order.Remove(oldest)
		delete(m.byKey, oldest.Value.(entry[V]).key)
	}
}

// memoryKey returns the key of an id; a long id is replaced by its hash, so that memory stays bounded.
func memoryKey(platform, id string) string {
	if len(id) > 100 {
		sum := sha256.Sum256([]byte(id))
		id = string(sum[:])
	}
	return platform + "\x00" + id
}

// guard decides which events are answered.
type guard struct {
	limits   Limits
	identity Identity
	limiter  limit.Limiter
}

// question returns the question of an event that is to be answered, if the caps allow it.
func (g guard) question(e Event, now time.Time) (question string, v Verdict) {
	switch {
	case g.identity.wrote(g.identity.OwnIDs, e):
		return "", Own
	case e.AuthorIsBot || g.identity.wrote(g.identity.Ignore, e):
		return "", OtherBot
	case e.IsEdit:
		return "", Edited
	case !e.At.IsZero() && now.Sub(e.At) >= g.limits.Remember:
		return "", Stale
	}
	question, called := g.identity.questionIn(e)
	if !called {
		return "", NotCalled
	}
	return question, Taken
}

// Names of the caps, in the limiter's keys.
const (
	capOfAuthor = "author"
	capOfThread = "thread"
	capOfAll    = "all"
)

// caps are those that a reply to an event counts for, in the order in which a refusal names them.
func (g guard) caps(e Event) []limit.Policy {
	of := func(kind, id string) string {
		sum := sha256.Sum256([]byte(e.Platform + "\x00" + id))
		return kind + ":" + hex.EncodeToString(sum[:16])
	}
	return []limit.Policy{
		{Name: capOfAuthor, Client: of(capOfAuthor, e.AuthorID), Quota: g.limits.AuthorBurst,
			Window: max(time.Second, time.Duration(g.limits.AuthorBurst)*g.limits.AuthorEvery)},
		{Name: capOfThread, Client: of(capOfThread, e.ThreadID), Quota: g.limits.ThreadAnHour, Window: time.Hour},
		{Name: capOfAll, Client: capOfAll, Quota: g.limits.TotalAMinute, Window: time.Minute},
	}
}

// count counts a reply to an event for its author, its thread and the bot, or for none of them.
func (g guard) count(ctx context.Context, e Event) (limit.Decision, Verdict, error) {
	d, err := g.limiter.Take(ctx, capOfAll, 1, g.caps(e))
	if err != nil {
		return d, QueueFull, err
	}
	if d.Allowed {
		return d, Taken, nil
	}
	for _, s := range d.States {
		switch {
		case !s.Violated:
		case s.Policy.Name == capOfAuthor:
			return d, TooFast, nil
		case s.Policy.Name == capOfThread:
			return d, ThreadCap, nil
		}
	}
	return d, TotalCap, nil
}

// takeBack forgets a counted event that could not be queued.
func (g guard) takeBack(ctx context.Context, counted limit.Decision) error {
	_, err := g.limiter.Give(ctx, capOfAll, 1, counted)
	return err
}
