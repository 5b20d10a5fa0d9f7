package limit

import (
	"context"
	"errors"
	"fmt"
	"strconv"
	"time"

	"github.com/redis/go-redis/v9"
)

// Redis counts in a Redis or Valkey server that several replicas share. The
// server's clock is the only clock; one script reads, decides and writes.
type Redis struct {
	client *redis.Client
	prefix string
}

// dialTimeout is how long a connection to a store may take. Requests do not
// wait for it: they have deadlines of their own.
const dialTimeout = time.Second

// OpenRedis returns a limiter whose keys begin with prefix, in the server at a
// redis:// or rediss:// address. It connects when it is first asked.
func OpenRedis(address, prefix string) (*Redis, error) {
	o, err := redis.ParseURL(address)
	if err != nil { // which may hold the password
		return nil, errors.New("limit store: want an address such as redis://host:port/0")
	}
	o.ContextTimeoutEnabled = true // otherwise no deadline of a request reaches the socket
	o.DialTimeout, o.DialerRetries = dialTimeout, 1
	o.MaxRetries = -1 // the local limiter is the second try
	return &Redis{client: redis.NewClient(o), prefix: prefix}, nil
}

// Close ends the connections. Nothing is buffered.
func (r *Redis) Close() error { return r.client.Close() }

// take does what decide does, and keeps each arrival time under a key of its own, for as long as it matters. It
// answers the time and the arrival times before.
var take = redis.NewScript(`
local t = redis.call('TIME')
local now = tonumber(t[1]) * 1000000 + tonumber(t[2])
local before, after, allowed = {}, {}, true
for i, key in ipairs(KEYS) do
  local charge, window = tonumber(ARGV[2*i-1]), tonumber(ARGV[2*i])
  local arrival = tonumber(redis.call('GET', key) or '0')
  if arrival < now or arrival - now > window then arrival = now end
  before[i] = string.format('%.0f', arrival)
  after[i] = arrival + charge
  if after[i] - now > window then allowed = false end
end
if allowed then
  for i, key in ipairs(KEYS) do
    if tonumber(ARGV[2*i-1]) > 0 then
      redis.call('SET', key, string.format('%.0f', after[i]), 'PX', math.ceil((after[i] - now) / 1000))
    end
  end
end
return {string.format('%.0f', now), unpack(before)}
`)

// give does what restore does. It answers as take does.
var give = redis.NewScript(`
local t = redis.call('TIME')
local now = tonumber(t[1]) * 1000000 + tonumber(t[2])
local before = {}
for i, key in ipairs(KEYS) do
  local charge, window = tonumber(ARGV[2*i-1]), tonumber(ARGV[2*i])
  local arrival = tonumber(redis.call('GET', key) or '0')
  if arrival < now or arrival - now > window then arrival = now end
  before[i] = string.format('%.0f', arrival)
  if arrival - charge > now then
    redis.call('SET', key, string.format('%.0f', arrival - charge), 'PX', math.ceil((arrival - charge - now) / 1000))
  else
    redis.call('DEL', key)
  end
end
return {string.format('%.0f', now), unpack(before)}
`)

// Take implements Limiter. It fails when the server does not answer as it should.
func (r *Redis) Take(ctx context.Context, client string, cost int, policies []Policy) (Decision, error) {
	now, arrivals, err := r.run(ctx, take, client, cost, policies)
	if err != nil {
		return Decision{}, err
	}
	_, d := decide(arrivals, now, cost, policies)
	return d, nil
}

// Give implements Limiter. It fails when the server does not answer as it should.
func (r *Redis) Give(ctx context.Context, client string, cost int, taken Decision) (Decision, error) {
	policies := taken.policies()
	now, arrivals, err := r.run(ctx, give, client, cost, policies)
	if err != nil {
		return Decision{}, err
	}
	_, d := restore(arrivals, now, cost, policies)
	return d, nil
}

// run has the server run a script on a client's accounts, and returns its time and the arrival times before.
func (r *Redis) run(
	ctx context.Context, script *redis.Script, client string, cost int, policies []Policy,
) (now int64, arrivals []int64, err error) {
	if err := Check(cost, policies); err != nil {
		return 0, nil, err
	}
	keys, args := make([]string, len(policies)), make([]any, 0, 2*len(policies))
	for i, p := range policies {
		keys[i] = r.prefix + p.owner(client) + ":" + p.Name
		args = append(args, p.charge(cost), p.Window.Microseconds())
	}
	said, err := script.Run(ctx, r.client, keys, args...).StringSlice()
	if err != nil {
		return 0, nil, fmt.Errorf("limit store: %w", err)
	}
	if len(said) != 1+len(policies) {
		return 0, nil, fmt.Errorf("limit store: %d values for %d policies", len(said), len(policies))
	}
	times := make([]int64, len(said))
	for i, text := range said {
		if times[i], err = strconv.ParseInt(text, 10, 64); err != nil {
			return 0, nil, fmt.Errorf("limit store: %w", err)
		}
	}
	return times[0], times[1:], nil
}
