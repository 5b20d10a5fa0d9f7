package bot

import (
	"context"
	"errors"
	"sync"
	"time"
)

// Job is a question that waits for its answer.
type Job struct {
	Platform string    `json:"platform"`
	EventID  string    `json:"event_id"`
	ReplyTo  string    `json:"reply_to"`
	Question string    `json:"question"`
	Direct   bool      `json:"direct"`
	Taken    time.Time `json:"taken"`
}

// Errors of Queue.Add.
var (
	ErrKnown = errors.New("the event was taken before")
	ErrFull  = errors.New("too many events wait")
)

// Queue keeps jobs until they are answered, and remembers their events for as long as limits say.
type Queue interface {
	// Add keeps a job. It returns ErrKnown for an event that it knows, and ErrFull when no more may wait.
	Add(ctx context.Context, j Job) error

	// Start has jobs answered, several at a time, until Close. A queue that outlives its process has a job answered
	// again later when answer returns an error.
	Start(answer func(ctx context.Context, j Job) error) error

	// Sending notes that the reply to a job is about to be sent. Before is true when that was noted already: then it
	// may have arrived.
	Sending(ctx context.Context, j Job) (before bool, err error)

	// NotSent takes that note back.
	NotSent(ctx context.Context, j Job) error

	// TriesAgain tells whether a job whose answer was an error is answered again later.
	TriesAgain() bool

	// Waiting is how many jobs wait.
	Waiting(ctx context.Context) (int, error)

	// Close ends. What waits in memory is answered first.
	Close(ctx context.Context) error
}

// memoryQueue is a queue of this process alone. Each job has one try.
type memoryQueue struct {
	limits Limits
	now    func() time.Time
	jobs   chan Job

	mu     sync.Mutex
	closed bool
	seen   *memory[time.Time] // event -> when it was taken

	workers sync.WaitGroup
	context context.Context
	cancel  context.CancelFunc
}

func newMemoryQueue(limits Limits, now func() time.Time) *memoryQueue {
	q := &memoryQueue{
		limits: limits, now: now, jobs: make(chan Job, limits.QueueLength),
		seen: newMemory[time.Time](limits.Remembered),
	}
	q.context, q.cancel = context.WithCancel(context.Background())
	return q
}

func (q *memoryQueue) Add(_ context.Context, j Job) error {
	q.mu.Lock()
	defer q.mu.Unlock()
	if q.closed {
		return ErrFull
	}
	id, now := memoryKey(j.Platform, j.EventID), q.now()
	if at, known := q.seen.value(id); known && now.Sub(at) < q.limits.Remember {
		return ErrKnown
	}
	select {
	case q.jobs <- j:
		q.seen.put(id, now)
		return nil
	default:
		return ErrFull
	}
}

func (q *memoryQueue) Start(answer func(context.Context, Job) error) error {
	for range q.limits.Workers {
		q.workers.Go(func() {
			for j := range q.jobs {
				_ = answer(q.context, j) // which is logged and counted there; there is one try
			}
		})
	}
	return nil
}

func (q *memoryQueue) Sending(context.Context, Job) (bool, error) { return false, nil }

func (q *memoryQueue) NotSent(context.Context, Job) error { return nil }

// TriesAgain implements Queue: what this process could not send is lost.
func (q *memoryQueue) TriesAgain() bool { return false }

func (q *memoryQueue) Waiting(context.Context) (int, error) { return len(q.jobs), nil }

func (q *memoryQueue) Close(ctx context.Context) error {
	q.mu.Lock()
	if !q.closed {
		q.closed = true
		close(q.jobs)
	}
	q.mu.Unlock()
	defer q.cancel()
	done := make(chan struct{})
	go func() { q.workers.Wait(); close(done) }()
	select {
	case <-done:
		return nil
	case <-ctx.Done():
		q.cancel()
		<-done
		return ctx.Err()
	}
}
