package saltwright

import (
	"context"
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// tagged answers GET with a tag that is the address's, and 304 to who has it; it counts the bodies that it sent.
func tagged(t *testing.T, bodies *int, tag *string) string {
	t.Helper()
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		now := fmt.Sprintf("%q", *tag+r.URL.String())
		w.Header().Set("ETag", now)
		if r.Method == http.MethodGet && r.Header.Get("If-None-Match") == now {
			w.WriteHeader(http.StatusNotModified)
			return
		}
		*bodies++
		_, _ = fmt.Fprintf(w, `{"summary":"body %d"}`, *bodies)
	}))
	t.Cleanup(server.Close)
	return server.URL
}

func TestAKeptAnswerIsNotSentAgain(t *testing.T) {
	bodies, tag := 0, "a"
	c, err := New(tagged(t, &bodies, &tag), WithKept(2))
	require.NoError(t, err)
	ask := func(room float64) (string, *Meta) {
		request := EvaporationRequest{LengthMm: 900, WidthMm: 500, RoomC: room}
		a, meta, err := c.GetEvaporation(context.Background(), request)
		require.NoError(t, err)
		return a.Summary, meta
	}
	summary, meta := ask(20)
	assert.Equal(t, "body 1", summary)
	assert.False(t, meta.Kept)
	summary, meta = ask(20)
	assert.Equal(t, "body 1", summary)
	assert.True(t, meta.Kept)
	assert.Equal(t, 304, meta.Status)
	ask(21)
	summary, _ = ask(20)
	assert.Equal(t, "body 1", summary, "two are kept")
	ask(22) // 21 was not used for longest, so it goes
	summary, _ = ask(20)
	assert.Equal(t, "body 1", summary)
	summary, meta = ask(21)
	assert.Equal(t, "body 4", summary)
	assert.False(t, meta.Kept)
	tag = "b"
	summary, meta = ask(21)
	assert.Equal(t, "body 5", summary, "a changed answer is sent")
	assert.False(t, meta.Kept)
	for range 2 {
		_, meta, err = c.PostEvaporation(context.Background(), EvaporationRequest{})
		require.NoError(t, err)
		assert.False(t, meta.Kept, "a POST is always asked")
	}
}

func TestNothingIsKeptUnlessAskedFor(t *testing.T) {
	for name, option := range map[string]Option{"preset": WithTries(1, 0), "none": WithKept(0)} {
		bodies, tag := 0, "a"
		c, err := New(tagged(t, &bodies, &tag), option)
		require.NoError(t, err)
		for range 2 {
			_, meta, err := c.ListSources(context.Background())
			require.NoError(t, err)
			assert.False(t, meta.Kept, name)
		}
		assert.Equal(t, 2, bodies, name)
	}
}

// A 304 that nobody asked for holds no answer.
func TestAnUnaskedNotModifiedIsAProblem(t *testing.T) {
	_, c := newFake(t, canned{304, "", ""})
	_, _, err := c.ListSources(context.Background())
	var p *ProblemError
	require.ErrorAs(t, err, &p)
	assert.Equal(t, 304, p.Status)
}

// Where somebody waits, a long wait is a problem at once, and a service that says nothing ends with the budget.
func TestInteractiveEndsSoon(t *testing.T) {
	f, _ := newFake(t, canned{429, "5", tooMany})
	c, err := New(f.server.URL, Interactive())
	require.NoError(t, err)
	began := time.Now()
	_, _, err = c.ListSources(context.Background())
	var p *ProblemError
	require.ErrorAs(t, err, &p)
	assert.Equal(t, 5*time.Second, p.RetryAfter)
	assert.Equal(t, 1, f.asked)
	assert.Less(t, time.Since(began), 3*time.Second)

	f, _ = newFake(t, canned{502, "", ""})
	c, err = New(f.server.URL, Interactive())
	require.NoError(t, err)
	_, _, err = c.ListSources(context.Background())
	require.ErrorAs(t, err, &p)
	assert.Equal(t, 2, f.asked)
}

func TestABudgetEndsACall(t *testing.T) {
	f, _ := newFake(t, canned{429, "20", tooMany})
	c, err := New(f.server.URL, WithBudget(time.Second))
	require.NoError(t, err)
	began := time.Now()
	_, _, err = c.ListSources(context.Background())
	var p *ProblemError
	require.ErrorAs(t, err, &p, "a wait that outlasts the budget is not begun")
	assert.Less(t, time.Since(began), 900*time.Millisecond)

	silent := httptest.NewServer(http.HandlerFunc(func(_ http.ResponseWriter, r *http.Request) {
		_, _ = io.Copy(io.Discard, r.Body)
		<-r.Context().Done()
	}))
	defer silent.Close()
	c, err = New(silent.URL, WithBudget(50*time.Millisecond))
	require.NoError(t, err)
	_, _, err = c.ListSources(context.Background())
	assert.ErrorIs(t, err, context.DeadlineExceeded)
}

func TestViolationsByField(t *testing.T) {
	e := &ProblemError{Problem: Problem{Errors: []Violation{
		{Pointer: Of("#/room_c"), Detail: "must be at most 45"},
		{Pointer: Of("#/heaters/0/power_w"), Detail: "a"},
		{Pointer: Of("#/heaters/0/power_w"), Detail: "b"},
		{Pointer: Of("/odd~1name~0"), Detail: "c"},
		{Pointer: Of("#"), Detail: "a member is missing"},
		{Parameter: Of("lid"), Detail: "d"},
		{Detail: "e"},
	}}}
	fields := e.Fields()
	details := map[string][]string{}
	for name, all := range fields {
		for _, v := range all {
			details[name] = append(details[name], v.Detail)
		}
	}
	assert.Equal(t, map[string][]string{
		"room_c": {"must be at most 45"}, "heaters.0.power_w": {"a", "b"}, "odd/name~": {"c"},
		"": {"a member is missing", "e"}, "lid": {"d"},
	}, details)
}
