package bot

import (
	"container/list"
	"crypto/sha256"
	"sync"
	"time"
)

// Verdict is what becomes of an event.
type Verdict string

// The verdicts.
const (
	Taken     Verdict = "taken"      // it is answered
	Own       Verdict = "own"        // the bot wrote it
	OtherBot  Verdict = "other_bot"  // a bot wrote it
	Edited    Verdict = "edited"     // an edit of an old message
	NotCalled Verdict = "not_called" // nobody called the bot
	Again     Verdict = "again"      // it was taken before
	Stale     Verdict = "stale"      // older than the memory of what was taken
	TooFast   Verdict = "too_fast"   // the author asks too often
	ThreadCap Verdict = "thread_cap" // the thread has had its replies
	TotalCap  Verdict = "total_cap"  // all threads together have
	QueueFull Verdict = "queue_full" // the platform may deliver it again
	Closing   Verdict = "closing"    // the bot is stopping
)

// Limits bound how much the bot says. Zero values mean the defaults.
type Limits struct {
	ThreadAnHour  int           // replies in one thread in an hour; default 6
	AuthorBurst   int           // questions of one author at once; default 4
	AuthorEvery   time.Duration // one more after each; default 30 s
	TotalAMinute  int           // replies of the bot in a minute; default 60
	Remember      time.Duration // how long an event's id is known; default 24 h
	Remembered    int           // ids, threads and authors in memory, each; default 10000
	QueueLength   int           // questions waiting; default 64
	Workers       int           // answered at a time; default 4
	AnswerTimeout time.Duration // for the service; default 20 s
	SendTimeout   time.Duration // for the platform, with the waits that it asks for; default 90 s
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

// memory keeps a value a key, at most size of them; the one not touched for longest goes first.
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

func (m *memory[V]) drop(key string) {
	if e := m.byKey[key]; e != nil {
		m.order.Remove(e)
		delete(m.byKey, key)
	}
}

// memoryKey is a place in a memory; a long id counts by its hash, so that memory stays bounded.
func memoryKey(platform, id string) string {
	if len(id) > 100 {
		sum := sha256.Sum256([]byte(id))
		id = string(sum[:])
	}
	return platform + "\x00" + id
}

// bucket holds tokens that come back one by one.
type bucket struct {
	tokens float64
	at     time.Time
}

func (b bucket) refilled(now time.Time, burst int, every time.Duration) bucket {
	if b.at.IsZero() {
		return bucket{float64(burst), now}
	}
	if now.After(b.at) {
		b.tokens = min(float64(burst), b.tokens+float64(now.Sub(b.at))/float64(every))
		b.at = now
	}
	return b
}

// guard decides which events are answered. It remembers ids and times, never texts.
type guard struct {
	limits   Limits
	identity Identity

	mu      sync.Mutex
	seen    *memory[time.Time]   // event -> when it was taken
	threads *memory[[]time.Time] // thread -> its replies of the last hour
	authors *memory[bucket]
	total   bucket
}

func newGuard(identity Identity, limits Limits) *guard {
	n := limits.Remembered
	return &guard{
		limits: limits, identity: identity, seen: newMemory[time.Time](n), threads: newMemory[[]time.Time](n),
		authors: newMemory[bucket](n),
	}
}

// admit decides. A Taken event counts as a reply of its thread and its author,
// unless the caller takes it back.
func (g *guard) admit(e Event, now time.Time) (question string, v Verdict) {
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
	g.mu.Lock()
	defer g.mu.Unlock()
	id := memoryKey(e.Platform, e.ID)
	if at, known := g.seen.value(id); known && now.Sub(at) < g.limits.Remember {
		return "", Again
	}
	// From here on the event is known, whatever becomes of it: delivered again it is not answered either.
	g.seen.put(id, now)
	author := memoryKey(e.Platform, e.AuthorID)
	old, _ := g.authors.value(author)
	tokens := old.refilled(now, g.limits.AuthorBurst, g.limits.AuthorEvery)
	if tokens.tokens < 1 {
		g.authors.put(author, tokens)
		return "", TooFast
	}
	thread := memoryKey(e.Platform, e.ThreadID)
	replies, _ := g.threads.value(thread)
	replies = notBefore(replies, now.Add(-time.Hour))
	if len(replies) >= g.limits.ThreadAnHour {
		g.threads.put(thread, replies)
		return "", ThreadCap
	}
	total := g.total.refilled(now, g.limits.TotalAMinute, time.Minute/time.Duration(g.limits.TotalAMinute))
	if total.tokens < 1 {
		return "", TotalCap
	}
	tokens.tokens--
	total.tokens--
	g.authors.put(author, tokens)
	g.threads.put(thread, append(replies, now))
	g.total = total
	return question, Taken
}

// takeBack forgets an admitted event that could not be queued, so that the platform may deliver it again.
func (g *guard) takeBack(e Event) {
	g.mu.Lock()
	defer g.mu.Unlock()
	g.seen.drop(memoryKey(e.Platform, e.ID))
	author := memoryKey(e.Platform, e.AuthorID)
	if b, ok := g.authors.value(author); ok {
		b.tokens++
		g.authors.put(author, b)
	}
	thread := memoryKey(e.Platform, e.ThreadID)
	if replies, ok := g.threads.value(thread); ok && len(replies) > 0 {
		g.threads.put(thread, replies[:len(replies)-1])
	}
	g.total.tokens++
}

// notBefore drops the times before from. The list is in order of time.
func notBefore(times []time.Time, from time.Time) []time.Time {
	for i, t := range times {
		if t.After(from) {
			return times[i:]
		}
	}
	return nil
}
