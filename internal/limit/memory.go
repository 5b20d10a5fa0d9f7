package limit

import (
	"context"
	"hash/maphash"
	"sync"
	"time"
)

// Memory counts in this process alone.
type Memory struct {
	now    func() time.Time
	seed   maphash.Seed
	shards [shardCount]shard
}

// A limiter holds at most shardCount x shardClients clients, some 20 MB. Beyond
// that the ones whose quota is whole again go, and if there are none, any.
const (
	shardCount   = 64
	shardClients = 2048
)

type shard struct {
	mu      sync.Mutex
	clients map[string][]int64 // theoretical arrival times, one for each policy
}

// NewMemory returns an empty limiter that reads the time from now.
func NewMemory(now func() time.Time) *Memory {
	m := &Memory{now: now, seed: maphash.MakeSeed()}
	for i := range m.shards {
		m.shards[i].clients = map[string][]int64{}
	}
	return m
}

// Take implements Limiter. It fails only on policies or a cost that Check refuses.
func (m *Memory) Take(_ context.Context, client string, cost int, policies []Policy) (Decision, error) {
	if err := Check(cost, policies); err != nil {
		return Decision{}, err
	}
	s := &m.shards[maphash.String(m.seed, client)%shardCount]
	s.mu.Lock()
	defer s.mu.Unlock()
	now := m.now().UnixMicro()
	arrivals := s.clients[client]
	if len(arrivals) != len(policies) {
		arrivals = make([]int64, len(policies))
	}
	after, d := decide(arrivals, now, cost, policies)
	if d.Allowed && cost > 0 {
		s.put(client, after, now)
	}
	return d, nil
}

func (s *shard) put(client string, arrivals []int64, now int64) {
	if _, known := s.clients[client]; !known && len(s.clients) >= shardClients {
		s.makeRoom(now)
	}
	s.clients[client] = arrivals
}

func (s *shard) makeRoom(now int64) {
	for client, arrivals := range s.clients {
		if whole(arrivals, now) {
			delete(s.clients, client)
		}
	}
	for client := range s.clients {
		if len(s.clients) <= shardClients*3/4 { // a quarter at once, so that the walk above stays rare
			return
		}
		delete(s.clients, client)
	}
}

// whole tells whether every quota is there again, so that nothing is forgotten with it.
func whole(arrivals []int64, now int64) bool {
	for _, a := range arrivals {
		if a > now {
			return false
		}
	}
	return true
}
