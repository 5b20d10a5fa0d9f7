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
			g := newGuard(me, Limits{}.withDefaults())
			_, v := g.admit(event("1", one.change), c.now())
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
	c, g := newClock(), newGuard(me, Limits{}.withDefaults())
	take := func(id string) Verdict { _, v := g.admit(event(id, nil), c.now()); return v }
	assert.Equal(t, Taken, take("1"))
	assert.Equal(t, Again, take("1"))
	c.pass(24*time.Hour - time.Second)
	assert.Equal(t, Again, take("1"))
	c.pass(time.Second)
	assert.Equal(t, Taken, take("1"), "after the memory's time")
	_, other := g.admit(event("1", func(e *Event) { e.Platform = "q" }), c.now())
	assert.Equal(t, Taken, other, "ids of another platform are others")
}

func TestMemoryIsBounded(t *testing.T) {
	c, g := newClock(), newGuard(me, Limits{Remembered: 10, TotalAMinute: 1000}.withDefaults())
	for i := range 100 {
		_, v := g.admit(
			event(fmt.Sprint(i), func(e *Event) { e.ThreadID, e.AuthorID = fmt.Sprint(i), fmt.Sprint("author ", i) }),
			c.now(),
		)
		require.Equal(t, Taken, v)
	}
	assert.Equal(t, 10, g.seen.order.Len())
	assert.Len(t, g.seen.byKey, 10)
	assert.Len(t, g.threads.byKey, 10)
	assert.Len(t, g.authors.byKey, 10)
	_, v := g.admit(event("99", nil), c.now())
	assert.Equal(t, Again, v, "the newest are known")
	assert.LessOrEqual(t, len(memoryKey("p", strings.Repeat("x", 1<<16))), 100, "a long id takes no more room")
	assert.NotEqual(t, memoryKey("p", strings.Repeat("x", 200)), memoryKey("p", strings.Repeat("x", 201)))
}

func TestCaps(t *testing.T) {
	c := newClock()
	t.Run("thread", func(t *testing.T) {
		g := newGuard(me, Limits{ThreadAnHour: 3}.withDefaults())
		take := func(id, thread string) Verdict {
			_, v := g.admit(event(id, func(e *Event) { e.ThreadID, e.AuthorID = thread, "author of "+id }), c.now())
			return v
		}
		for i := range 3 {
			assert.Equal(t, Taken, take(fmt.Sprint(i), "t"))
			c.pass(time.Minute)
		}
		assert.Equal(t, ThreadCap, take("4", "t"))
		assert.Equal(t, Again, take("4", "t"), "what was declined is not answered when it comes again")
		assert.Equal(t, Taken, take("5", "u"), "another thread")
		c.pass(57 * time.Minute) // an hour after the first
		assert.Equal(t, Taken, take("6", "t"))
		assert.Equal(t, ThreadCap, take("7", "t"))
	})
	t.Run("author", func(t *testing.T) {
		g := newGuard(me, Limits{AuthorBurst: 2, AuthorEvery: time.Minute}.withDefaults())
		n := 0
		take := func(author string) Verdict {
			n++
			_, v := g.admit(
				event(fmt.Sprint(n), func(e *Event) { e.ThreadID, e.AuthorID = fmt.Sprint(n), author }), c.now(),
			)
			return v
		}
		assert.Equal(t, []Verdict{Taken, Taken, TooFast, Taken}, []Verdict{take("a"), take("a"), take("a"), take("b")})
		c.pass(59 * time.Second)
		assert.Equal(t, TooFast, take("a"))
		c.pass(time.Second)
		assert.Equal(t, []Verdict{Taken, TooFast}, []Verdict{take("a"), take("a")})
		c.pass(time.Hour)
		assert.Equal(
			t, []Verdict{Taken, Taken, TooFast}, []Verdict{take("a"), take("a"), take("a")},
			"no more than the burst is saved",
		)
	})
	t.Run("total", func(t *testing.T) {
		g := newGuard(me, Limits{TotalAMinute: 2}.withDefaults())
		n := 0
		take := func() Verdict {
			n++
			_, v := g.admit(
				event(
					fmt.Sprint(n), func(e *Event) { e.ThreadID, e.AuthorID = fmt.Sprint(n), fmt.Sprint("author ", n) },
				),
				c.now(),
			)
			return v
		}
		assert.Equal(t, []Verdict{Taken, Taken, TotalCap}, []Verdict{take(), take(), take()})
		c.pass(30 * time.Second)
		assert.Equal(t, []Verdict{Taken, TotalCap}, []Verdict{take(), take()})
	})
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
	g := gate{make(chan struct{})}
	b := New(Config{
		Identity: me, Service: g, Limits: Limits{QueueLength: 2, Workers: 1, ThreadAnHour: 100, AuthorBurst: 100},
	})
	sent := make(chan string, 10)
	c := Channel{
		Dialect: Plain, Limit: 2000, Send: func(_ context.Context, text string) error { sent <- text; return nil },
	}
	require.Equal(t, Taken, b.Take(event("1", nil), c))
	// Until the worker holds the first, it takes a place in the queue.
	require.Eventually(t, func() bool { return len(b.jobs) == 0 }, 5*time.Second, time.Millisecond)
	start := time.Now()
	assert.Equal(t, Taken, b.Take(event("2", nil), c))
	assert.Equal(t, Taken, b.Take(event("3", nil), c))
	assert.Equal(t, QueueFull, b.Take(event("4", nil), c))
	assert.Equal(t, QueueFull, b.Take(event("4", nil), c), "and not Again: it may be delivered once more")
	assert.Less(t, time.Since(start), time.Second, "Take does not wait for an answer")
	close(g.open)
	require.Eventually(t, func() bool { return len(b.jobs) == 0 }, 5*time.Second, time.Millisecond)
	assert.Equal(t, Taken, b.Take(event("4", nil), c))
	require.NoError(t, b.Close(context.Background()))
	assert.Len(t, sent, 4, "one reply an event, all sent before the end")
	assert.Contains(t, <-sent, sample.Headline)
	assert.Equal(t, Closing, b.Take(event("5", nil), c))
	counts, failed := b.Counts()
	assert.Equal(t, map[Verdict]int{Taken: 4, QueueFull: 2, Closing: 1}, counts)
	assert.Zero(t, failed)
}

func TestCloseGivesUpAtItsDeadline(t *testing.T) {
	b := New(Config{Identity: me, Service: gate{make(chan struct{})}})
	require.Equal(
		t, Taken,
		b.Take(event("1", nil), Channel{Send: func(ctx context.Context, _ string) error { return ctx.Err() }}),
	)
	ctx, cancel := context.WithTimeout(context.Background(), 20*time.Millisecond)
	defer cancel()
	assert.ErrorIs(t, b.Close(ctx), context.DeadlineExceeded)
	_, failed := b.Counts()
	assert.Equal(t, 1, failed, "what was not sent is counted")
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
	b := New(Config{
		Identity: me, Service: gate{make(chan struct{})}, Limits: Limits{AnswerTimeout: 20 * time.Millisecond},
	})
	sent := make(chan string, 1)
	require.Equal(t, Taken, b.Take(event("1", nil), Channel{Dialect: Plain, Limit: 2000, Send: func(
		ctx context.Context, text string,
	) error {
		sent <- text
		return ctx.Err()
	}}))
	require.NoError(t, b.Close(context.Background()))
	assert.Contains(t, <-sent, "does not answer just now")
	_, failed := b.Counts()
	assert.Zero(t, failed, "the reply has time of its own")
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
	for id, b := range p.bots {
		p.pending.Add(1)
		v := b.Take(Event{
			Platform: "x", ID: fmt.Sprint(n), ThreadID: "thread", AuthorID: author, AuthorIsBot: isBot && p.marked,
			Direct: true, Text: text,
		},
			Channel{Dialect: CommonMark, Limit: 2000, Send: func(_ context.Context, reply string) error {
				defer p.pending.Done()
				p.post(id, reply, true)
				return nil
			}})
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
		p.bots[id] = New(Config{
			Identity: Identity{Name: id, OwnIDs: []string{id}}, Limits: limits, Service: &syncService{answer: sample},
			Now: c.now,
		})
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
	for _, banned := range []string{"net", "net/http", "os/exec", "saltwright/clients/go"} {
		assert.NotContains(t, deps, banned)
	}
}

// BenchmarkAnswer is a whole answer without a network: from Take to Send, one
// after the other. p95-ms is what 95 of 100 answers stay below.
func BenchmarkAnswer(b *testing.B) {
	bot := New(Config{
		Identity: me, Service: &syncService{answer: sample},
		Limits: Limits{ThreadAnHour: 1 << 30, AuthorBurst: 1 << 30, TotalAMinute: 1 << 30},
	})
	var took []time.Duration
	n := 0
	for b.Loop() {
		n++
		done := make(chan struct{})
		start := time.Now()
		v := bot.Take(
			event(fmt.Sprint(n), func(e *Event) { e.ThreadID = fmt.Sprint(n) }),
			Channel{Dialect: Chat, Limit: 2000, Send: func(context.Context, string) error { close(done); return nil }},
		)
		require.Equal(b, Taken, v)
		<-done
		took = append(took, time.Since(start))
	}
	slices.Sort(took)
	b.ReportMetric(float64(took[len(took)*95/100])/1e6, "p95-ms")
	require.NoError(b, bot.Close(context.Background()))
}
