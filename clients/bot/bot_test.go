package bot

import (
	"context"
	"errors"
	"fmt"
	"os/exec"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/limit"
)

// clock is a time that tests move.
type clock struct {
	mu sync.Mutex
	at time.Time
}

func newClock() *clock { return &clock{at: time.Date(2025, 6, 1, 12, 0, 0, 0, time.UTC)} }

func (c *clock) now() time.Time {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.at
}

func (c *clock) pass(d time.Duration) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.at = c.at.Add(d)
}

var me = Identity{Name: "saltwright", OwnIDs: []string{"42", "SaltBot"}, Ignore: []string{"other-bot"}}

func event(id string, change func(*Event)) Event {
	e := Event{
		Platform: "p", ID: id, ThreadID: "t", AuthorID: "7", AuthorName: "ann",
		Text: "@saltwright heaters for 48x24x20 in, room 64F",
	}
	if change != nil {
		change(&e)
	}
	return e
}

func TestGuard(t *testing.T) {
	c := newClock()
	for name, one := range map[string]struct {
		change func(*Event)
		want   Verdict
	}{
		"a question":         {nil, Taken},
		"own id":             {func(e *Event) { e.AuthorID = "42" }, Own},
		"own name":           {func(e *Event) { e.AuthorName = "saltbot" }, Own},
		"own, marked as bot": {func(e *Event) { e.AuthorID, e.AuthorIsBot = "42", true }, Own},
		"a bot":              {func(e *Event) { e.AuthorIsBot = true }, OtherBot},
		"a listed bot":       {func(e *Event) { e.AuthorName = "Other-Bot" }, OtherBot},
		"an edit":            {func(e *Event) { e.IsEdit = true }, Edited},
		"old":                {func(e *Event) { e.At = c.now().Add(-24 * time.Hour) }, Stale},
		"not so old":         {func(e *Event) { e.At = c.now().Add(-23 * time.Hour) }, Taken},
		"not called":         {func(e *Event) { e.Text = "heaters for 48x24x20 in, room 64F" }, NotCalled},
		"direct":             {func(e *Event) { e.Text, e.Direct = "heaters for 48x24x20 in, room 64F", true }, Taken},
		"a direct bot":       {func(e *Event) { e.Direct, e.AuthorIsBot = true, true }, OtherBot},
	} {
		t.Run(name, func(t *testing.T) {
			g := guard{limits: Limits{}.withDefaults(), identity: me}
			_, v := g.question(event("1", one.change), c.now())
			assert.Equal(t, one.want, v)
		})
	}
}

func TestCalls(t *testing.T) {
	for text, want := range map[string]string{
		"@saltwright heaters":  "heaters",
		"@SaltWright: heaters": "heaters",
		"!saltwright heaters":  "heaters",
		"/saltwright heaters":  "heaters",
		"<@42> heaters":        " heaters",
		"<@!42> heaters":       " heaters",
		"hello all\n@saltwright heaters\nroom 64F\n\nthank you": "heaters\nroom 64F",
		"@saltwright":                            "",
		"> @saltwright quoted\n@saltwright mine": "mine",
		"[quote=\"bob, post:1\"]\n@saltwright theirs\n[/quote]\n@saltwright mine": "mine",
		"[quote][quote]a[/quote]\n@saltwright b[/quote]\n@saltwright c":           "c",
		"```\n@saltwright code\n```\n@saltwright mine":                            "mine",
	} {
		got, called := me.questionIn(Event{Text: text})
		assert.True(t, called, text)
		assert.Equal(t, want, got, text)
	}
	for _, text := range []string{
		"", "heaters", "hello @saltwright heaters", "@saltwrights heaters", "@saltwright2", "x@saltwright heaters",
		"> @saltwright heaters", "  > @saltwright heaters",
		"`@saltwright heaters`", "```\n@saltwright heaters\n```", "~~~ text\n@saltwright heaters",
		"    @saltwright heaters", "text\n\n\t@saltwright heaters",
		"[quote]\n@saltwright heaters\n[/quote]", "[quote]\n@saltwright heaters", "````\n```\n@saltwright " +
			"heaters\n```\n````", "<@43> heaters", "<@> heaters",
	} {
		_, called := me.questionIn(Event{Text: text})
		assert.False(t, called, text)
	}
	got, _ := me.questionIn(Event{Direct: true, Text: "> theirs 10C\nheaters\n```\ncode\n```"})
	assert.Equal(t, "heaters", got, "quotes and code are not the author's words in a direct message either")
}

func FuzzCalls(f *testing.F) {
	for _, text := range []string{
		"@saltwright heaters", "> q\n!saltwright x", "```\n@saltwright\n```", "[quote][/quote][/quote][quote]", "@",
		"@salt\xff", "<@42", "/saltwright\u00a0x", "~~~\n```\n~~~\n@saltwright y",
	} {
		f.Add(text, false)
		f.Add(text, true)
	}
	f.Fuzz(func(t *testing.T, text string, direct bool) {
		question, called := me.questionIn(Event{Text: text, Direct: direct})
		if !called {
			require.False(t, direct, "a direct message always calls")
			require.Empty(t, question)
			return
		}
		if direct {
			return
		}
		low := strings.ToLower(text)
		require.True(t, strings.Contains(low, "saltwright") || strings.Contains(text, "<@42>") ||
			strings.Contains(text, "<@!42>"), "nobody called")
		_, again := me.questionIn(Event{Text: "> " + strings.ReplaceAll(text, "\n", "\n> ")})
		require.False(t, again, "quoted by somebody else it calls nobody")
	})
}

func TestAnEventIsTakenOnce(t *testing.T) {
	c := newClock()
	q := newMemoryQueue(Limits{}.withDefaults(), c.now)
	add := func(platform, id string) error {
		return q.Add(context.Background(), Job{Platform: platform, EventID: id})
	}
	assert.NoError(t, add("p", "1"))
	assert.ErrorIs(t, add("p", "1"), ErrKnown)
	c.pass(24*time.Hour - time.Second)
	assert.ErrorIs(t, add("p", "1"), ErrKnown)
	c.pass(time.Second)
	assert.NoError(t, add("p", "1"), "after the memory's time")
	assert.NoError(t, add("q", "1"), "ids of another platform are others")
}

func TestMemoryIsBounded(t *testing.T) {
	q := newMemoryQueue(Limits{Remembered: 10, QueueLength: 100}.withDefaults(), newClock().now)
	for i := range 100 {
		require.NoError(t, q.Add(context.Background(), Job{Platform: "p", EventID: fmt.Sprint(i)}))
	}
	assert.Equal(t, 10, q.seen.order.Len())
	assert.Len(t, q.seen.byKey, 10)
	assert.ErrorIs(t, q.Add(context.Background(), Job{Platform: "p", EventID: "99"}), ErrKnown, "the newest are known")
	assert.LessOrEqual(t, len(memoryKey("p", strings.Repeat("x", 1<<16))), 100, "a long id takes no more room")
	assert.NotEqual(t, memoryKey("p", strings.Repeat("x", 200)), memoryKey("p", strings.Repeat("x", 201)))
}

// counting returns what counts one reply in a thread to an author, by the time of c.
func counting(t *testing.T, c *clock, l Limits) func(thread, author string) Verdict {
	g := guard{limits: l.withDefaults(), identity: me, limiter: limit.NewMemory(c.now)}
	return func(thread, author string) Verdict {
		_, v, err := g.count(context.Background(), Event{Platform: "p", ThreadID: thread, AuthorID: author})
		require.NoError(t, err)
		return v
	}
}

func TestCaps(t *testing.T) {
	c := newClock()
	t.Run("thread", func(t *testing.T) {
		take, n := counting(t, c, Limits{ThreadAnHour: 3}), 0
		in := func(thread string) Verdict { n++; return take(thread, fmt.Sprint("author ", n)) }
		assert.Equal(t, []Verdict{Taken, Taken, Taken, ThreadCap}, []Verdict{in("t"), in("t"), in("t"), in("t")})
		assert.Equal(t, Taken, in("u"), "another thread")
		c.pass(20*time.Minute - time.Second)
		assert.Equal(t, ThreadCap, in("t"))
		c.pass(time.Second) // a third of an hour
		assert.Equal(t, []Verdict{Taken, ThreadCap}, []Verdict{in("t"), in("t")})
	})
	t.Run("author", func(t *testing.T) {
		take, n := counting(t, c, Limits{AuthorBurst: 2, AuthorEvery: time.Minute}), 0
		by := func(author string) Verdict { n++; return take(fmt.Sprint(n), author) }
		assert.Equal(t, []Verdict{Taken, Taken, TooFast, Taken}, []Verdict{by("a"), by("a"), by("a"), by("b")})
		c.pass(59 * time.Second)
		assert.Equal(t, TooFast, by("a"))
		c.pass(time.Second)
		assert.Equal(t, []Verdict{Taken, TooFast}, []Verdict{by("a"), by("a")})
		c.pass(time.Hour)
		assert.Equal(
			t, []Verdict{Taken, Taken, TooFast}, []Verdict{by("a"), by("a"), by("a")},
			"no more than the burst is saved",
		)
	})
	t.Run("total", func(t *testing.T) {
		take, n := counting(t, c, Limits{TotalAMinute: 2}), 0
		one := func() Verdict { n++; return take(fmt.Sprint(n), fmt.Sprint("author ", n)) }
		assert.Equal(t, []Verdict{Taken, Taken, TotalCap}, []Verdict{one(), one(), one()})
		c.pass(30 * time.Second)
		assert.Equal(t, []Verdict{Taken, TotalCap}, []Verdict{one(), one()})
	})
}

// seen is an observer that keeps what it is told.
type seen struct {
	mu       sync.Mutex
	verdicts map[Verdict]int
	outcomes map[Outcome]int
}

func newSeen() *seen { return &seen{verdicts: map[Verdict]int{}, outcomes: map[Outcome]int{}} }

func (s *seen) Took(_ string, v Verdict) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.verdicts[v]++
}

func (s *seen) Replied(_ string, o Outcome, _ time.Duration) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.outcomes[o]++
}

// start starts a bot whose one platform, p, has a channel.
func start(t testing.TB, c Config, channel Channel) *Bot {
	t.Helper()
	c.Channels = map[string]Channel{"p": channel}
	b, err := New(c)
	require.NoError(t, err)
	return b
}

// gate is a service that waits until it is opened.
type gate struct{ open chan struct{} }

func (g gate) Ask(ctx context.Context, _ Request) (*Answer, error) {
	select {
	case <-g.open:
		return &sample, nil
	case <-ctx.Done():
		return nil, ctx.Err()
	}
}

func TestTheQueueIsBoundedAndDrained(t *testing.T) {
	g, saw, sent := gate{make(chan struct{})}, newSeen(), make(chan string, 10)
	b := start(t, Config{
		Identity: me, Service: g, Observer: saw,
		Limits: Limits{QueueLength: 2, Workers: 1, ThreadAnHour: 100, AuthorBurst: 100},
	}, Channel{
		Dialect: Plain, Limit: 2000, Send: func(_ context.Context, _, text string) error { sent <- text; return nil },
	})
	take := func(id string) Verdict { return b.Take(context.Background(), event(id, nil)) }
	empty := func() bool { n, err := b.Waiting(context.Background()); return err == nil && n == 0 }
	require.Equal(t, Taken, take("1"))
	// Until the worker holds the first, it takes a place in the queue.
	require.Eventually(t, empty, 5*time.Second, time.Millisecond)
	require.NoError(t, b.Ready(context.Background()))
	start := time.Now()
	assert.Equal(t, Taken, take("2"))
	assert.Equal(t, Taken, take("3"))
	assert.Equal(t, QueueFull, take("4"))
	assert.Equal(t, QueueFull, take("4"), "and not Again: it may be delivered once more")
	assert.ErrorIs(t, b.Ready(context.Background()), ErrFull)
	assert.Less(t, time.Since(start), time.Second, "Take does not wait for an answer")
	close(g.open)
	require.Eventually(t, empty, 5*time.Second, time.Millisecond)
	assert.Equal(t, Taken, take("4"))
	assert.Equal(t, Again, take("4"))
	require.NoError(t, b.Close(context.Background()))
	assert.Len(t, sent, 4, "one reply an event, all sent before the end")
	assert.Contains(t, <-sent, sample.Headline)
	assert.Equal(t, Closing, take("5"))
	assert.Error(t, b.Ready(context.Background()))
	assert.Equal(t, map[Verdict]int{Taken: 4, QueueFull: 2, Again: 1, Closing: 1}, saw.verdicts)
	assert.Equal(t, map[Outcome]int{Replied: 4}, saw.outcomes)
}

// What is not queued costs its author nothing.
func TestWhatIsNotQueuedIsNotCounted(t *testing.T) {
	g := gate{make(chan struct{})}
	b := start(t, Config{
		Identity: me, Service: g, Limits: Limits{QueueLength: 1, Workers: 1, ThreadAnHour: 3, AuthorBurst: 3},
	}, Channel{Dialect: Plain, Limit: 2000, Send: func(context.Context, string, string) error { return nil }})
	take := func(id string) Verdict { return b.Take(context.Background(), event(id, nil)) }
	require.Equal(t, Taken, take("1"))
	require.Eventually(t, func() bool { return take("2") == Taken }, 5*time.Second, time.Millisecond)
	for range 10 {
		require.Equal(t, QueueFull, take("3"))
		require.Equal(t, Again, take("2"))
	}
	close(g.open)
	require.Eventually(t, func() bool { return take("3") == Taken }, 5*time.Second, time.Millisecond)
	assert.Equal(t, TooFast, take("4"))
	require.NoError(t, b.Close(context.Background()))
}

func TestCloseGivesUpAtItsDeadline(t *testing.T) {
	saw := newSeen()
	b := start(t, Config{Identity: me, Service: gate{make(chan struct{})}, Observer: saw}, Channel{
		Send: func(ctx context.Context, _, _ string) error { return ctx.Err() },
	})
	require.Equal(t, Taken, b.Take(context.Background(), event("1", nil)))
	ctx, cancel := context.WithTimeout(context.Background(), 20*time.Millisecond)
	defer cancel()
	assert.ErrorIs(t, b.Close(ctx), context.DeadlineExceeded)
	assert.Equal(t, map[Outcome]int{Lost: 1}, saw.outcomes, "what was not sent is counted")
}

// patient is a queue that says of itself that it tries again.
type patient struct{ *memoryQueue }

func (patient) TriesAgain() bool { return true }

// How a reply ends, by what its channel says, and whether the queue tries again.
func TestOutcomes(t *testing.T) {
	broken := errors.New("the connection broke")
	for name, c := range map[string]struct {
		channel Channel
		send    error
		want    Outcome
	}{
		"sent":                         {Channel{}, nil, Replied},
		"may have arrived":             {Channel{}, broken, Lost},
		"certainly not sent":           {Channel{}, ErrNotSent, Lost},
		"repeatable, may have arrived": {Channel{Repeatable: true}, broken, Lost},
		"too late":                     {Channel{Within: time.Nanosecond}, nil, Late},
	} {
		t.Run(name, func(t *testing.T) {
			saw := newSeen()
			c.channel.Send = func(context.Context, string, string) error { return c.send }
			b := start(t, Config{Identity: me, Service: &answered{answer: sample}, Observer: saw}, c.channel)
			require.Equal(t, Taken, b.Take(context.Background(), event("1", nil)))
			require.NoError(t, b.Close(context.Background()))
			assert.Equal(t, map[Outcome]int{c.want: 1}, saw.outcomes)
		})
	}
	for name, c := range map[string]Channel{"certainly not sent": {}, "repeatable": {Repeatable: true}} {
		saw := newSeen()
		c.Send = func(context.Context, string, string) error { return ErrNotSent }
		limits := Limits{}.withDefaults()
		b := start(t, Config{Identity: me, Service: &answered{answer: sample}, Observer: saw,
			Queue: patient{newMemoryQueue(limits, time.Now)}}, c)
		require.Equal(t, Taken, b.Take(context.Background(), event("1", nil)), name)
		require.NoError(t, b.Close(context.Background()))
		assert.Equal(t, map[Outcome]int{TriedOnce: 1}, saw.outcomes, "%s, with a store that tries again", name)
	}
	saw := newSeen()
	b := start(t, Config{Identity: me, Observer: saw}, Channel{})
	require.Equal(t, Taken, b.Take(context.Background(), event("1", func(e *Event) { e.Platform = "q" })))
	require.NoError(t, b.Close(context.Background()))
	assert.Equal(t, map[Outcome]int{Lost: 1}, saw.outcomes, "a platform that is not set up")
}

func TestRepliesWhenTheServiceDoesNotAnswer(t *testing.T) {
	for name, c := range map[string]struct {
		err  error
		says string
	}{
		"busy":       {&BusyError{After: 17 * time.Second}, "Ask again in 17 s"},
		"busy short": {&BusyError{After: 300 * time.Millisecond}, "Ask again in 1 s"},
		"busy long":  {&BusyError{}, "Ask again in 60 s"},
		"down":       {errors.New("dial tcp 10.0.0.1: refused"), "does not answer just now"},
	} {
		t.Run(name, func(t *testing.T) {
			r, err := Answerer{Service: &answered{err: c.err}}.Reply(
				context.Background(), "heaters for 48x24x20 in, room 64F", true,
			)
			assert.ErrorIs(t, err, c.err, "for the log")
			text := Render(r, Plain, 2000)
			assert.Contains(t, text, c.says)
			assert.NotContains(t, text, "10.0.0.1", "addresses of ours are nobody's business")
		})
	}
}

func TestASlowServiceDoesNotTakeTheReply(t *testing.T) {
	saw, sent := newSeen(), make(chan string, 1)
	b := start(t, Config{
		Identity: me, Service: gate{make(chan struct{})}, Limits: Limits{AnswerTimeout: 20 * time.Millisecond},
		Observer: saw,
	}, Channel{Dialect: Plain, Limit: 2000, Send: func(ctx context.Context, _, text string) error {
		sent <- text
		return ctx.Err()
	}})
	require.Equal(t, Taken, b.Take(context.Background(), event("1", nil)))
	require.NoError(t, b.Close(context.Background()))
	assert.Contains(t, <-sent, "does not answer just now")
	assert.Equal(t, map[Outcome]int{Replied: 1}, saw.outcomes, "the reply has time of its own")
}

// A refused value is told, and asked for again, in the units that it was written in.
func TestRefusedInThePersonsUnits(t *testing.T) {
	for question, c := range map[string]struct {
		member     string
		max        float64
		says, line string
	}{
		"heaters for 120x60x50 cm, room 178 F": {
			"room_c", 45, "“178 F”: usual temperature of the room must be at most 113 °F.",
			"heaters: 120x60x50 cm, room ___ °C",
		},
		"heaters for 48x24x20 in, room 78 C": {
			"room_c", 45, "“78 C”: usual temperature of the room must be at most 45 °C.",
			"heaters: 48x24x20 in, room ___ °F",
		},
		"heaters for 480x24x20 ft, room 64 F": {
			"length_mm", 20000, "“480x24x20 ft”: length of the water must be at most 65.61 ft.",
			"heaters: ___x___x___ in, room 64 °F",
		},
		"salt mix for 900000 gal at 35 ppt": {
			"volume_l", 1e6, "“900000 gal”: all water of the system must be at most 264100 gal.",
			"salt mix: system ___ gal, to 35 ppt",
		},
	} {
		s := &answered{
			err: &Refusal{
				Violations: []Violation{{Member: c.member, Max: &c.max, Detail: "must be at most something metric"}},
			},
		}
		r, err := Answerer{Service: s}.Reply(context.Background(), question, true)
		require.NoError(t, err)
		assert.Equal(t, []string{c.says}, r.Points)
		assert.Equal(t, c.line, r.Line)
		assert.Empty(t, read(r.Line).Troubles)
		assert.NotEmpty(t, read(r.Line).Missing, "what was refused, and not a value of ours")
	}
}

func TestTheServiceIsAskedInTheContractsUnits(t *testing.T) {
	s := &answered{answer: sample}
	_, err := Answerer{Service: s}.Reply(context.Background(), "chiller 120x60x50 cm, room 25C, lid closed", true)
	require.NoError(t, err)
	assert.Equal(
		t,
		[]Request{
			{
				Operation: "postChillerSizing", Language: "en",
				Members: map[string]any{
					"length_mm": 1200.0, "width_mm": 600.0, "water_depth_mm": 500.0, "room_c": 25.0, "lid": "closed",
				},
			},
		},
		s.asked,
	)
	_, err = Answerer{Service: s}.Reply(context.Background(), "salinity", true)
	require.NoError(t, err)
	assert.Len(t, s.asked, 1, "an incomplete question does not reach the service")
}

// platform is one thread in which every message is delivered to every bot, as a
// message to it: the worst platform there is. It stops after most messages.
type platform struct {
	mu       sync.Mutex
	bots     map[string]*Bot
	marked   bool // bots are marked as what they are
	messages []string
	most     int
	pending  sync.WaitGroup
}

func (p *platform) post(author, text string, isBot bool) {
	p.mu.Lock()
	p.messages = append(p.messages, author+": "+text)
	n := len(p.messages)
	full := n >= p.most
	p.mu.Unlock()
	if full {
		return
	}
	for _, b := range p.bots {
		p.pending.Add(1)
		v := b.Take(context.Background(), Event{
			Platform: "p", ID: fmt.Sprint(n), ThreadID: "thread", AuthorID: author, AuthorIsBot: isBot && p.marked,
			Direct: true, Text: text,
		})
		if v != Taken {
			p.pending.Done()
		}
	}
}

// meet lets two bots loose on each other and returns how many messages each wrote.
func meet(t *testing.T, marked bool, limits Limits, most int) map[string]int {
	t.Helper()
	c := newClock() // time stands still: no cap lifts by waiting
	p := &platform{bots: map[string]*Bot{}, marked: marked, most: most}
	for _, id := range []string{"bot-a", "bot-b"} {
		p.bots[id] = start(t, Config{
			Identity: Identity{Name: id, OwnIDs: []string{id}}, Limits: limits, Service: &syncService{answer: sample},
			Now: c.now,
		}, Channel{Dialect: CommonMark, Limit: 2000, Send: func(_ context.Context, _, reply string) error {
			defer p.pending.Done()
			p.post(id, reply, true)
			return nil
		}})
	}
	p.post("ann", "heaters for 48x24x20 in, room 64F", false)
	done := make(chan struct{})
	go func() { p.pending.Wait(); close(done) }()
	select {
	case <-done:
	case <-time.After(30 * time.Second):
		require.FailNow(t, "the bots do not stop")
	}
	for _, b := range p.bots {
		require.NoError(t, b.Close(context.Background()))
	}
	out := map[string]int{}
	for _, m := range p.messages {
		author, _, _ := strings.Cut(m, ":")
		out[author]++
	}
	return out
}

// syncService is a service for several workers at a time.
type syncService struct{ answer Answer }

func (s *syncService) Ask(context.Context, Request) (*Answer, error) { a := s.answer; return &a, nil }

func TestTwoBotsMeetAndStop(t *testing.T) {
	generous := Limits{ThreadAnHour: 1 << 20, AuthorBurst: 1 << 20, TotalAMinute: 1 << 20, QueueLength: 1024}
	t.Run("without caps they do not stop by themselves", func(t *testing.T) {
		got := meet(t, false, generous, 300)
		assert.GreaterOrEqual(t, got["bot-a"]+got["bot-b"], 299, "or the cases below show nothing")
	})
	t.Run("the thread's cap stops them", func(t *testing.T) {
		limits := generous
		limits.ThreadAnHour = 6
		got := meet(t, false, limits, 300)
		assert.Equal(t, map[string]int{"ann": 1, "bot-a": 6, "bot-b": 6}, got)
	})
	t.Run("the author's bucket stops them as well", func(t *testing.T) {
		limits := generous
		limits.AuthorBurst = 4
		got := meet(t, false, limits, 300)
		assert.Equal(
			t, map[string]int{"ann": 1, "bot-a": 5, "bot-b": 5}, got, "one to the person, four to the other bot",
		)
	})
	t.Run("the defaults stop them", func(t *testing.T) {
		got := meet(t, false, Limits{}, 300)
		assert.LessOrEqual(t, got["bot-a"]+got["bot-b"], 12)
		assert.GreaterOrEqual(t, got["bot-a"], 1)
	})
	t.Run("bots that are marked as such are never answered", func(t *testing.T) {
		got := meet(t, true, generous, 300)
		assert.Equal(t, map[string]int{"ann": 1, "bot-a": 1, "bot-b": 1}, got, "both answer the person, none the other")
	})
}

// The core knows no HTTP: adapters do.
func TestTheCoreImportsNoHTTP(t *testing.T) {
	out, err := exec.Command("go", "list", "-deps", ".").Output()
	require.NoError(t, err)
	deps := strings.Fields(string(out))
	require.Contains(t, deps, "saltwright/clients/bot")
	for _, banned := range []string{"net/http", "os/exec", "saltwright/clients/go"} {
		assert.NotContains(t, deps, banned)
	}
}

// BenchmarkAnswer is a whole answer without a network: from Take to Send, one
// after the other. p95-ms is what 95 of 100 answers stay below.
func BenchmarkAnswer(b *testing.B) {
	done := make(chan struct{})
	bot := start(b, Config{
		Identity: me, Service: &syncService{answer: sample},
		Limits: Limits{ThreadAnHour: 1 << 30, AuthorBurst: 1 << 20, TotalAMinute: 1 << 30},
	}, Channel{Dialect: Chat, Limit: 2000, Send: func(context.Context, string, string) error {
		done <- struct{}{}
		return nil
	}})
	var took []time.Duration
	n := 0
	for b.Loop() {
		n++
		start := time.Now()
		v := bot.Take(context.Background(), event(fmt.Sprint(n), func(e *Event) { e.ThreadID = fmt.Sprint(n) }))
		require.Equal(b, Taken, v)
		<-done
		took = append(took, time.Since(start))
	}
	slices.Sort(took)
	b.ReportMetric(float64(took[len(took)*95/100])/1e6, "p95-ms")
	require.NoError(b, bot.Close(context.Background()))
}
