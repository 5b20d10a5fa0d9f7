package bot

import (
	"context"
	"log/slog"
	"sync"
	"time"
)

// Channel is where a reply goes and how it must be written.
type Channel struct {
	Dialect Dialect
	Limit   int // characters
	// MustAnswer says that the platform shows that an answer is being written: silence is not possible there.
	MustAnswer bool
	Send       func(ctx context.Context, text string) error
}

// Config holds what New needs to start a bot.
type Config struct {
	Identity Identity
	Limits   Limits
	Service  Service
	Page     func(topic string) string // the address of a topic's page; nil without pages
	Log      *slog.Logger              // nil logs nothing; ids and verdicts are logged, texts never
	Now      func() time.Time          // nil means time.Now
}

// Bot takes events from any platform, and its workers answer them. It is safe for concurrent use.
type Bot struct {
	answerer Answerer
	guard    *guard
	limits   Limits
	log      *slog.Logger
	now      func() time.Time

	mu      sync.Mutex
	closed  bool
	jobs    chan job
	workers sync.WaitGroup
	context context.Context
	cancel  context.CancelFunc
	counts  map[Verdict]int
	failed  int
}

type job struct {
	event    Event
	question string
	channel  Channel
}

// New starts a bot. The caller must close it.
func New(c Config) *Bot {
	limits := c.Limits.withDefaults()
	b := &Bot{
		answerer: Answerer{Service: c.Service, Name: c.Identity.Name, Page: c.Page},
		guard:    newGuard(c.Identity, limits), limits: limits, log: c.Log, now: c.Now,
		jobs: make(chan job, limits.QueueLength), counts: map[Verdict]int{},
	}
	if b.log == nil {
		b.log = slog.New(slog.DiscardHandler)
	}
	if b.now == nil {
		b.now = time.Now
	}
	b.context, b.cancel = context.WithCancel(context.Background())
	for range limits.Workers {
		b.workers.Go(b.work)
	}
	return b
}

// Take decides what to do with an event and returns at once. A Taken event is answered later, with one message to its
// channel. After QueueFull the same event may be delivered again.
func (b *Bot) Take(e Event, c Channel) Verdict {
	v := b.take(e, c)
	b.log.Info("event", "platform", e.Platform, "event", e.ID, "verdict", string(v))
	return v
}

func (b *Bot) take(e Event, c Channel) (v Verdict) {
	question, v := b.guard.admit(e, b.now())
	b.mu.Lock()
	defer b.mu.Unlock()
	defer func() { b.counts[v]++ }()
	if v != Taken {
		return v
	}
	if b.closed {
		b.guard.takeBack(e)
		return Closing
	}
	select {
	case b.jobs <- job{e, question, c}:
		return Taken
	default:
		b.guard.takeBack(e)
		return QueueFull
	}
}

// Counts returns how many events had each verdict, and how many replies could not be sent.
func (b *Bot) Counts() (verdicts map[Verdict]int, failed int) {
	b.mu.Lock()
	defer b.mu.Unlock()
	out := map[Verdict]int{}
	for v, n := range b.counts {
		out[v] = n
	}
	return out, b.failed
}

// Close takes no more events and answers those that are waiting. When ctx ends first, it drops the rest and returns
// the error of ctx.
func (b *Bot) Close(ctx context.Context) error {
	b.mu.Lock()
	if !b.closed {
		b.closed = true
		close(b.jobs)
	}
	b.mu.Unlock()
	done := make(chan struct{})
	go func() { b.workers.Wait(); close(done) }()
	select {
	case <-done:
		b.cancel()
		return nil
	case <-ctx.Done():
		b.cancel()
		<-done
		return ctx.Err()
	}
}

func (b *Bot) work() {
	for j := range b.jobs {
		b.answer(j)
	}
}

func (b *Bot) answer(j job) {
	ctx, cancel := context.WithTimeout(b.context, b.limits.AnswerTimeout)
	defer cancel()
	reply, err := b.answerer.Reply(ctx, j.question, j.event.Direct)
	if err != nil {
		b.log.Warn("the service did not answer", "event", j.event.ID, "error", err.Error())
	}
	if reply.Kind == Silent {
		if !j.channel.MustAnswer {
			return
		}
		reply.Lead = lexicons[0].say("unknown")
	}
	// Sending has a time limit of its own: a slow service must not prevent the reply that says so.
	sending, cancelSending := context.WithTimeout(b.context, b.limits.SendTimeout)
	defer cancelSending()
	if err := j.channel.Send(sending, Render(reply, j.channel.Dialect, j.channel.Limit)); err != nil {
		b.mu.Lock()
		b.failed++
		b.mu.Unlock()
		b.log.Warn("a reply could not be sent", "platform", j.event.Platform, "event", j.event.ID, "error", err.Error())
	}
}
