package limit

import (
	"context"
	"fmt"
	"strconv"

	"github.com/redis/go-redis/v9"
)

// Redis counts in a Redis or Valkey server that several replicas share. The
// server's clock is the only clock; one script reads, decides and writes.
type Redis struct {
	client redis.Scripter
	prefix string
}

// NewRedis returns a limiter whose keys begin with prefix.
func NewRedis(client redis.Scripter, prefix string) *Redis {
	return &Redis{client: client, prefix: prefix}
}

// take does what decide does, and keeps the arrival times in one hash a client,
// field by policy. It answers the time and the arrival times before and after.
var take = redis.NewScript(`
local t = redis.call('TIME')
local now = tonumber(t[1]) * 1000000 + tonumber(t[2])
local n = #ARGV / 3
local before, after, allowed, last = {}, {}, 1, now
for i = 1, n do
  local name, charge, window = ARGV[3*i-2], tonumber(ARGV[3*i-1]), tonumber(ARGV[3*i])
  local arrival = tonumber(redis.call('HGET', KEYS[1], name) or '0')
  before[i] = string.format('%.0f', arrival)
  local following = math.max(arrival, now) + charge
  after[i] = string.format('%.0f', following)
  if following - now > window then allowed = 0 end
  if charge > 0 and following > last then last = following end
end
if allowed == 1 and last > now then
  for i = 1, n do redis.call('HSET', KEYS[1], ARGV[3*i-2], after[i]) end
  redis.call('PEXPIRE', KEYS[1], math.ceil((last - now) / 1000))
end
return {string.format('%.0f', now), unpack(before)}
`)

// Take implements Limiter. It fails when the server does not answer as it should.
func (r *Redis) Take(ctx context.Context, client string, cost int, policies []Policy) (Decision, error) {
	if err := Check(cost, policies); err != nil {
		return Decision{}, err
	}
	args := make([]any, 0, 3*len(policies))
	for _, p := range policies {
		args = append(args, p.Name, p.charge(cost), p.Window.Microseconds())
	}
	said, err := take.Run(ctx, r.client, []string{r.prefix + client}, args...).StringSlice()
	if err != nil {
		return Decision{}, fmt.Errorf("limit store: %w", err)
	}
	if len(said) != 1+len(policies) {
		return Decision{}, fmt.Errorf("limit store: %d values for %d policies", len(said), len(policies))
	}
	times := make([]int64, len(said))
	for i, text := range said {
		if times[i], err = strconv.ParseInt(text, 10, 64); err != nil {
			return Decision{}, fmt.Errorf("limit store: %w", err)
		}
	}
	_, d := decide(times[1:], times[0], cost, policies)
	return d, nil
}
