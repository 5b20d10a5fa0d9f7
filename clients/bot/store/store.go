// Package store keeps what a bot has taken in a Redis or Valkey server until it is answered, so that a process that is
// killed loses nothing, and that several processes answer each event once. Its tasks are those of asynq.
package store

import (
	"cmp"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"log/slog"
	"slices"
	"time"

	"github.com/hibiken/asynq"
	"github.com/redis/go-redis/v9"

	"saltwright/clients/bot"
)

// Names in the server.
const (
	queueName = "saltwright-bot"
	taskName  = "answer"
	prefix    = "saltwright-bot:"
)

// Tries of one job: 10 s after the first, and twice as long each time, some 42 minutes in all.
const (
	mostTries  = 9
	firstDelay = 10 * time.Second
)

const (
	dialTimeout = 2 * time.Second
	// looksEvery is how long an idle process waits before it looks for work again.
	looksEvery = 200 * time.Millisecond
	// longestNote bounds the notes beside a job, in which the server is asked.
	longestNote = 5 * time.Second
)

// Queue is a bot.Queue. It is safe for concurrent use.
type Queue struct {
	limits Limits
	redis  redis.UniversalClient
	client *asynq.Client
	looker *asynq.Inspector
	server *asynq.Server
	log    *slog.Logger
}

// Limits are what Open needs besides the address.
type Limits struct {
	QueueLength int           // jobs that wait, of all processes together, at least 1
	Workers     int           // answered at a time by this process, at least 1
	Remember    time.Duration // how long an answered event is known
	OneJob      time.Duration // longest time of one job
	Stop        time.Duration // how long Close waits for jobs that are being answered

	tries int           // 0 means mostTries
	delay time.Duration // 0 means firstDelay
}

// Open returns a queue in the server at a redis:// or rediss:// address. It asks the server once.
//
// Errors: for an address of another form, and when the server does not answer.
func Open(ctx context.Context, address string, l Limits, log *slog.Logger) (*Queue, error) {
	l.tries, l.delay = cmp.Or(l.tries, mostTries), cmp.Or(l.delay, firstDelay)
	o, err := redis.ParseURL(address)
	if err != nil { // which may hold the password
		return nil, errors.New("store: want an address such as redis://host:port/0")
	}
	o.ContextTimeoutEnabled = true // otherwise no deadline of a request reaches the socket
	o.DialTimeout = dialTimeout
	q := &Queue{limits: l, redis: redis.NewClient(o), log: log}
	if err := q.redis.Ping(ctx).Err(); err != nil {
		return nil, errors.Join(fmt.Errorf("store: %w", err), q.redis.Close())
	}
	q.client, q.looker = asynq.NewClientFromRedisClient(q.redis), asynq.NewInspectorFromRedisClient(q.redis)
	q.server = asynq.NewServerFromRedisClient(q.redis, asynq.Config{
		Concurrency: l.Workers, Queues: map[string]int{queueName: 1}, ShutdownTimeout: l.Stop,
		TaskCheckInterval: looksEvery, DelayedTaskCheckInterval: time.Second, RetryDelayFunc: l.wait,
		Logger: lines{log}, LogLevel: asynq.WarnLevel,
	})
	return q, nil
}

// wait is how long a job waits after a try that failed; not at all when its process ended.
func (l Limits) wait(tried int, err error, _ *asynq.Task) time.Duration {
	if errors.Is(err, asynq.ErrLeaseExpired) {
		return 0
	}
	return l.delay << min(tried, l.tries)
}

// id is the name of an event's job.
func id(j bot.Job) string {
	sum := sha256.Sum256([]byte(j.Platform + "\x00" + j.EventID))
	return hex.EncodeToString(sum[:16])
}

func answered(j bot.Job) string { return prefix + "answered:" + id(j) }

func sending(j bot.Job) string { return prefix + "sending:" + id(j) }

// Add implements bot.Queue.
func (q *Queue) Add(ctx context.Context, j bot.Job) error {
	known, err := q.redis.Exists(ctx, answered(j)).Result()
	switch {
	case err != nil:
		return fmt.Errorf("store: %w", err)
	case known > 0:
		return bot.ErrKnown
	}
	waiting, err := q.Waiting(ctx)
	switch {
	case err != nil:
		return err
	case waiting >= q.limits.QueueLength:
		return bot.ErrFull
	}
	body, err := json.Marshal(j)
	if err != nil {
		return fmt.Errorf("store: %w", err)
	}
	_, err = q.client.EnqueueContext(
		ctx, asynq.NewTask(taskName, body), asynq.TaskID(id(j)), asynq.Queue(queueName),
		asynq.MaxRetry(q.limits.tries), asynq.Timeout(q.limits.OneJob),
	)
	switch {
	case errors.Is(err, asynq.ErrTaskIDConflict):
		return bot.ErrKnown
	case err != nil:
		return fmt.Errorf("store: %w", err)
	}
	return nil
}

// Start implements bot.Queue.
func (q *Queue) Start(answer func(context.Context, bot.Job) error) error {
	return q.server.Start(asynq.HandlerFunc(func(ctx context.Context, t *asynq.Task) error {
		var j bot.Job
		if err := json.Unmarshal(t.Payload(), &j); err != nil {
			return errors.Join(asynq.RevokeTask, err) // written by another version
		}
		known, err := q.redis.Exists(ctx, answered(j)).Result()
		if err != nil || known > 0 {
			return err
		}
		if err := answer(ctx, j); err != nil {
			// Given up, it goes for good: what has been tried too often is not kept, as its text is a person's.
			if tried, known := asynq.GetRetryCount(ctx); known && tried+1 >= q.limits.tries {
				q.log.Warn("a reply is given up", "platform", j.Platform, "event", j.EventID, "tries", tried+1)
				return errors.Join(asynq.RevokeTask, err)
			}
			return err
		}
		noting, cancel := context.WithTimeout(context.WithoutCancel(ctx), longestNote)
		defer cancel()
		if err := q.redis.Set(noting, answered(j), 1, q.limits.Remember).Err(); err != nil {
			q.log.Error("an answered event could not be noted", "event", j.EventID, "error", err.Error())
		}
		return nil
	}))
}

// Sending implements bot.Queue.
func (q *Queue) Sending(ctx context.Context, j bot.Job) (before bool, err error) {
	err = q.redis.SetArgs(ctx, sending(j), 1, redis.SetArgs{Mode: "NX", TTL: q.limits.Remember}).Err()
	if errors.Is(err, redis.Nil) {
		return true, nil
	}
	return false, err
}

// NotSent implements bot.Queue.
func (q *Queue) NotSent(ctx context.Context, j bot.Job) error {
	return q.redis.Del(ctx, sending(j)).Err()
}

// TriesAgain implements bot.Queue: nine times, with growing pauses.
func (q *Queue) TriesAgain() bool { return true }

// Waiting implements bot.Queue. Jobs that are tried again later wait too.
func (q *Queue) Waiting(context.Context) (int, error) {
	queues, err := q.looker.Queues()
	if err != nil {
		return 0, fmt.Errorf("store: %w", err)
	}
	if !slices.Contains(queues, queueName) { // nothing was ever taken
		return 0, nil
	}
	info, err := q.looker.GetQueueInfo(queueName)
	if err != nil {
		return 0, fmt.Errorf("store: %w", err)
	}
	return info.Pending + info.Scheduled + info.Retry, nil
}

// Close implements bot.Queue. Jobs that are being answered have the time of Limits.Stop; they go back to the server
// after it, as all that wait, for whichever process comes next.
func (q *Queue) Close(context.Context) error {
	q.server.Shutdown()
	return q.redis.Close()
}

// lines writes what asynq has to say.
type lines struct{ log *slog.Logger }

func (l lines) Debug(args ...any) { l.log.Debug(fmt.Sprint(args...)) }
func (l lines) Info(args ...any)  { l.log.Info(fmt.Sprint(args...)) }
func (l lines) Warn(args ...any)  { l.log.Warn(fmt.Sprint(args...)) }
func (l lines) Error(args ...any) { l.log.Error(fmt.Sprint(args...)) }
func (l lines) Fatal(args ...any) { l.log.Error(fmt.Sprint(args...)) }
