package bot

import (
	"context"
	"errors"
	"log/slog"
	"sync"
	"time"

	"saltwright/internal/limit"
)

// Channel is where the replies to the events of one platform go, and how they must be written.
type Channel struct {
	Dialect Dialect
	Limit   int // characters
	// MustAnswer says that the platform shows that an answer is being written: silence is not possible there.
	MustAnswer bool
	// Repeatable says that a reply which arrives twice does no harm: the platform takes it once, or replaces the first.
	Repeatable bool
	// Within is how long after its event a reply is still of use; 0 means as long as the bot remembers events.
	Within time.Duration
	// Send sends a reply to the place that an event named. Its error wraps ErrNotSent where the reply has certainly not
	// arrived.
	Send func(ctx context.Context, replyTo, text string) error
}

// ErrNotSent says that a reply has certainly not arrived, so that it may be sent again.
var ErrNotSent = errors.New("the reply was not sent")

// Observer is told what happens, for metrics. It must be safe for concurrent use.
type Observer interface {
	Took(platform string, v Verdict)
	// Replied is told how an event ended, and how long after it was taken.
	Replied(platform string, o Outcome, after time.Duration)
}

// Outcome says how a taken event ended.
type Outcome string

// The outcomes.
const (
	Replied   Outcome = "replied"
	Silence   Outcome = "silence"    // there was nothing to say
	Lost      Outcome = "lost"       // the reply could not be sent, or nobody knows if it arrived
	Late      Outcome = "late"       // its time had passed
	TriedOnce Outcome = "tried_once" // not sent, and the store tries again
)

// Config holds what New needs to start a bot.
type Config struct {
	Identity Identity
	Limits   Limits
	Service  Service
	Channels map[string]Channel                  // by platform
	Page     func(topic, language string) string // as in Answerer
	Queue    Queue                               // nil: in the memory of this process
	Limiter  limit.Limiter                       // of replies; nil: in the memory of this process
	Observer Observer                            // nil is told nothing
	Log      *slog.Logger                        // nil logs nothing; ids and verdicts are logged, texts never
	Now      func() time.Time                    // nil means time.Now
}

// Bot takes events from any platform, and its queue has them answered. It is safe for concurrent use.
type Bot struct {
	answerer Answerer
	guard    guard
	limits   Limits
	channels map[string]Channel
	queue    Queue
	observer Observer
	log      *slog.Logger
	now      func() time.Time

	mu      sync.RWMutex
	closing bool
}

// New starts a bot. The caller must close it.
//
// Errors: where the queue does not start.
func New(c Config) (*Bot, error) {
	limits := c.Limits.withDefaults()
	b := &Bot{
		answerer: Answerer{Service: c.Service, Name: c.Identity.Name, Page: c.Page}, limits: limits,
		channels: c.Channels, queue: c.Queue, observer: c.Observer, log: c.Log, now: c.Now,
	}
	if b.log == nil {
		b.log = slog.New(slog.DiscardHandler)
	}
	if b.now == nil {
		b.now = time.Now
	}
	if b.observer == nil {
		b.observer = unobserved{}
	}
	if b.queue == nil {
		b.queue = newMemoryQueue(limits, b.now)
	}
	b.guard = guard{limits: limits, identity: c.Identity, limiter: c.Limiter}
	if b.guard.limiter == nil {
		b.guard.limiter = limit.NewMemory(b.now)
	}
	return b, b.queue.Start(b.answer)
}

// longestTake bounds how long a platform waits for the store before its event is refused.
const longestTake = 3 * time.Second

// Take decides what to do with an event and returns without an answer to it. A Taken event is answered later, with one
// message to the channel of its platform. After QueueFull the same event may be delivered again.
func (b *Bot) Take(ctx context.Context, e Event) Verdict {
	ctx, cancel := context.WithTimeout(ctx, longestTake)
	defer cancel()
	v := b.take(ctx, e)
	b.observer.Took(e.Platform, v)
	b.log.Info("event", "platform", e.Platform, "event", e.ID, "verdict", string(v))
	return v
}

func (b *Bot) take(ctx context.Context, e Event) Verdict {
	question, v := b.guard.question(e, b.now())
	if v != Taken {
		return v
	}
	b.mu.RLock()
	defer b.mu.RUnlock()
	if b.closing {
		return Closing
	}
	counted, v, err := b.guard.count(ctx, e)
	if err != nil {
		b.log.Error("the limits could not be asked", "event", e.ID, "error", err.Error())
	}
	if v != Taken {
		return v
	}
	err = b.queue.Add(ctx, Job{
		Platform: e.Platform, EventID: e.ID, ReplyTo: e.ReplyTo, Question: question, Direct: e.Direct, Taken: b.now(),
	})
	if err == nil {
		return Taken
	}
	if err := b.guard.takeBack(ctx, counted); err != nil {
		b.log.Error("the limits could not be asked", "event", e.ID, "error", err.Error())
	}
	switch {
	case errors.Is(err, ErrKnown):
		return Again
	case !errors.Is(err, ErrFull):
		b.log.Error("the queue does not take an event", "event", e.ID, "error", err.Error())
	}
	return QueueFull
}

// Ready returns why events cannot be taken just now, or nil.
func (b *Bot) Ready(ctx context.Context) error {
	b.mu.RLock()
	closing := b.closing
	b.mu.RUnlock()
	if closing {
		return errors.New("it is stopping")
	}
	waiting, err := b.queue.Waiting(ctx)
	switch {
	case err != nil:
		return err
	case waiting >= b.limits.QueueLength:
		return ErrFull
	}
	return nil
}

// Waiting is how many events wait for their answer.
//
// Errors: where the store does not answer.
func (b *Bot) Waiting(ctx context.Context) (int, error) { return b.queue.Waiting(ctx) }

// Close takes no more events. A queue in memory answers those that wait; a store keeps them.
//
// Errors: that of ctx, when it ends before the queue.
func (b *Bot) Close(ctx context.Context) error {
	b.mu.Lock()
	b.closing = true
	b.mu.Unlock()
	return b.queue.Close(ctx)
}

// answer answers a job. An error means that its reply has not arrived, and that it does no harm to try again.
func (b *Bot) answer(ctx context.Context, j Job) error {
	outcome, err := b.reply(ctx, j)
	if outcome == TriedOnce && !b.queue.TriesAgain() {
		outcome = Lost
	}
	b.observer.Replied(j.Platform, outcome, b.now().Sub(j.Taken))
	if outcome != Replied && outcome != Silence {
		reason := "its time has passed"
		if err != nil {
			reason = err.Error()
		}
		b.log.Warn("no reply", "platform", j.Platform, "event", j.EventID, "outcome", string(outcome), "error", reason)
	}
	if outcome == TriedOnce {
		return err
	}
	return nil
}

func (b *Bot) reply(ctx context.Context, j Job) (Outcome, error) {
	channel, ok := b.channels[j.Platform]
	if !ok {
		return Lost, errors.New("no platform of that name is set up here")
	}
	within := channel.Within
	if within <= 0 {
		within = b.limits.Remember
	}
	if b.now().Sub(j.Taken) >= within {
		return Late, nil
	}
	asking, cancel := context.WithTimeout(ctx, b.limits.AnswerTimeout)
	defer cancel()
	reply, err := b.answerer.Reply(asking, j.Question, j.Direct)
	if err != nil {
		b.log.Warn("the service did not answer", "event", j.EventID, "error", err.Error())
	}
	if reply.Kind == Silent {
		if !channel.MustAnswer {
			return Silence, nil
		}
		reply.Lead = lexicons[0].say("unknown")
	}
	// Sending has a time limit of its own: a slow service must not prevent the reply that says so.
	sending, cancelSending := context.WithTimeout(ctx, b.limits.SendTimeout)
	defer cancelSending()
	if !channel.Repeatable {
		before, err := b.queue.Sending(sending, j)
		switch {
		case err != nil:
			return TriedOnce, err
		case before:
			return Lost, errors.New("it was being sent when a process ended, and may have arrived")
		}
	}
	err = channel.Send(sending, j.ReplyTo, Render(reply, channel.Dialect, channel.Limit))
	switch {
	case err == nil:
		return Replied, nil
	case channel.Repeatable:
		return TriedOnce, err
	case !errors.Is(err, ErrNotSent):
		return Lost, err
	}
	// The context may be at its end, and the note must go.
	noting, cancelNoting := context.WithTimeout(context.WithoutCancel(ctx), longestTake)
	defer cancelNoting()
	return TriedOnce, errors.Join(err, b.queue.NotSent(noting, j))
}

// unobserved is told and does nothing.
type unobserved struct{}

func (unobserved) Took(string, Verdict)                   {}
func (unobserved) Replied(string, Outcome, time.Duration) {}
