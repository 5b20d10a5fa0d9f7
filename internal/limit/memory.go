package limit

import (
	"context"
	"sync"
	"time"
)

// Memory counts in this process alone. It reads the clock as the time since it
// was made, which goes on evenly when the computer's clock is set.
type Memory struct {
	now   func() time.Time
	start time.Time

	mu            sync.Mutex
	recent, older map[counted]int64 // theoretical arrival times
}

// counted is one client's account with one policy.
type counted struct{ client, policy string }

// mostRecent bounds the memory: when so many accounts were used lately, the ones used before them are forgotten. Two
// times as many are held at most, some 50 MB.
const mostRecent = 1 << 17

// NewMemory returns an empty limiter that reads the time from now.
func NewMemory(now func() time.Time) *Memory {
	return &Memory{now: now, start: now(), recent: map[counted]int64{}}
}

// Take implements Limiter. It fails only on policies or a cost that Check refuses.
func (m *Memory) Take(_ context.Context, client string, cost int, policies []Policy) (Decision, error) {
	return m.change(client, cost, policies, decide)
}

// Give implements Limiter. It fails only on a cost that Check refuses.
func (m *Memory) Give(_ context.Context, client string, cost int, taken Decision) (Decision, error) {
	return m.change(client, cost, taken.policies(), restore)
}

// change moves a client's accounts on by a rule.
func (m *Memory) change(
	client string, cost int, policies []Policy,
	rule func(arrivals []int64, now int64, cost int, policies []Policy) ([]int64, Decision),
) (Decision, error) {
	if err := Check(cost, policies); err != nil {
		return Decision{}, err
	}
	m.mu.Lock()
	defer m.mu.Unlock()
	now := m.now().Sub(m.start).Microseconds()
	arrivals := make([]int64, len(policies))
	for i, p := range policies {
		arrivals[i] = m.arrival(counted{p.owner(client), p.Name}, now)
	}
	after, d := rule(arrivals, now, cost, policies)
	if d.Allowed && cost > 0 {
		for i, p := range policies {
			m.put(counted{p.owner(client), p.Name}, after[i])
		}
	}
	return d, nil
}

func (m *Memory) arrival(of counted, now int64) int64 {
	if at, known := m.recent[of]; known {
		return at
	}
	if at, known := m.older[of]; known {
		return at
	}
	return now
}

func (m *Memory) put(of counted, arrival int64) {
	if len(m.recent) >= mostRecent {
		m.recent, m.older = make(map[counted]int64, mostRecent), m.recent
	}
	m.recent[of] = arrival
}
