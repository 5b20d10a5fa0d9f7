// Command neighbour measures what others feel of clients that ask for the dearest calculations: how long light requests
// take beside eight of them, when a stranger's first ten audits are answered beside one of them, and how much memory the
// service takes. Every client has an address of its own, by X-Forwarded-For. Another build of the service can be
// measured in the same run. Loopback only; about a minute a build.
//
//	go run ./deploy/bench/neighbour
//	go run ./deploy/bench/neighbour --before /path/to/older/saltwright
package main

import (
	"bytes"
	"context"
	"encoding/json"
	"flag"
	"fmt"
	"io"
	"log"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"time"
)

// rounds alternate, since machines are noisy; medians of them are printed.
const rounds = 7

func main() {
	before := flag.String("before", "", "another build of the service, to measure first")
	span := flag.Duration("span", 2*time.Second, "of one round, idle and beside the others")
	one := flag.Bool("one", false, "on one processor (taskset)")
	flag.Parse()
	if err := compare(*before, *span, *one); err != nil {
		log.Fatal(err)
	}
}

func compare(before string, span time.Duration, one bool) error {
	dir, err := os.MkdirTemp("", "neighbour")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	now := filepath.Join(dir, "saltwright")
	if out, err := exec.Command("go", "build", "-o", now, "./cmd/saltwright").CombinedOutput(); err != nil {
		return fmt.Errorf("build: %w\n%s", err, out)
	}
	audit, err := os.ReadFile("testdata/api/postPlanAudit/example-household-sound.request.json")
	if err != nil {
		return err
	}
	dear, err := json.Marshal(restless())
	if err != nil {
		return err
	}
	fmt.Println("| build | light p50, p99 idle | beside eight | ratios | dear ones done | ten audits of a stranger: " +
		"answered, last after | turned away | most memory |")
	fmt.Println("|---|---|---|---|---|---|---|---|")
	for _, build := range []struct{ name, program string }{{"before", before}, {"now", now}} {
		if build.program == "" {
			continue
		}
		line, err := measure(build.program, audit, dear, span, one)
		if err != nil {
			return fmt.Errorf("%s: %w", build.name, err)
		}
		fmt.Printf("| %s | %s |\n", build.name, line)
	}
	return nil
}

// restless is a plan that switches as often as it can: sixteen heaters with bands of no width.
func restless() map[string]any {
	type object = map[string]any
	var heaters, controls, sensors []any
	for i := range 16 {
		heaters = append(heaters, object{"id": fmt.Sprint("heater-", i), "power_w": 12})
		sensors = append(sensors, object{"id": fmt.Sprint("probe-", i), "kind": "temperature"})
		controls = append(controls, object{"id": fmt.Sprint("warm-", i), "kind": "heating",
			"sensor": fmt.Sprint("probe-", i), "setpoint_c": 25.5, "hysteresis_k": 0.02,
			"outputs": []any{fmt.Sprint("heater-", i)}})
	}
	return object{
		"display": object{"volume_l": 250}, "room": object{"usual": object{"temp_c": 21}},
		"attendance": object{"look_every_h": 24, "longest_absence_h": 48},
		"heaters":    heaters, "controls": controls, "sensors": sensors,
	}
}

func measure(program string, audit, dear []byte, span time.Duration, one bool) (string, error) {
	s, err := start(program, one)
	if err != nil {
		return "", err
	}
	defer s.stop()
	s.light(time.Second)                // warm
	var idle, beside [2][]time.Duration // p50 and p99 of each round
	var done int64
	for range rounds {
		note(&idle, s.light(span))
		heavy := s.flood(8, 1, dear)
		time.Sleep(500 * time.Millisecond)
		note(&beside, s.light(span))
		done += heavy.stop()
		time.Sleep(500 * time.Millisecond)
	}

	heavy := s.flood(1, 24, dear)
	time.Sleep(time.Second)
	answered, refused, last := s.stranger(audit)
	heavy.stop()
	return fmt.Sprintf("%v, %v | %v, %v | %.1f, %.1f | %d | %d, %v | %d | %s", median(idle[0]), median(idle[1]),
		median(beside[0]), median(beside[1]), ratio(beside[0], idle[0]), ratio(beside[1], idle[1]), done, answered,
		last.Round(time.Millisecond), refused, s.mostMemory()), nil
}

func note(to *[2][]time.Duration, times []time.Duration) {
	to[0], to[1] = append(to[0], at(times, .5)), append(to[1], at(times, .99))
}

func median(of []time.Duration) time.Duration { return at(slices.Sorted(slices.Values(of)), .5) }

func ratio(a, b []time.Duration) float64 { return median(a).Seconds() / median(b).Seconds() }

type service struct {
	address string
	cmd     *exec.Cmd
}

var listens = regexp.MustCompile(`"listens".*(http://[^\s"]+)`)

func start(program string, one bool) (*service, error) {
	args := []string{program, "--addr", "127.0.0.1:0", "--per-minute", "1000000", "--per-day", "1000000",
		"--trusted-proxies", "127.0.0.1/32", "--log-level", "error"}
	if one {
		args = append([]string{"taskset", "-c", "0"}, args...)
	}
	cmd := exec.Command(args[0], args[1:]...)
	out, err := cmd.StdoutPipe()
	if err != nil {
		return nil, err
	}
	cmd.Stderr = os.Stderr
	if err := cmd.Start(); err != nil {
		return nil, err
	}
	said, buf := "", make([]byte, 4096)
	for {
		n, err := out.Read(buf)
		said += string(buf[:n])
		if m := listens.FindStringSubmatch(said); m != nil {
			go func() { _, _ = io.Copy(io.Discard, out) }() // its log is not ours
			return &service{m[1], cmd}, nil
		}
		if err != nil {
			return nil, fmt.Errorf("%s ended before it listened: %s", program, said)
		}
	}
}

func (s *service) stop() {
	_ = s.cmd.Process.Kill() // it may be gone already
	_ = s.cmd.Wait()
}

func (s *service) mostMemory() string {
	data, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", s.cmd.Process.Pid))
	if err != nil {
		return "unknown"
	}
	for line := range strings.Lines(string(data)) {
		if most, ok := strings.CutPrefix(line, "VmHWM:"); ok {
			return strings.TrimSpace(most)
		}
	}
	return "unknown"
}

var client = &http.Client{Transport: &http.Transport{MaxIdleConnsPerHost: 64}}

func (s *service) ask(ctx context.Context, who, path string, body []byte) (int, error) {
	method := http.MethodGet
	if body != nil {
		method = http.MethodPost
	}
	req, err := http.NewRequestWithContext(ctx, method, s.address+path, bytes.NewReader(body))
	if err != nil {
		return 0, err
	}
	req.Header.Set("Content-Type", "application/json")
	req.Header.Set("X-Forwarded-For", who)
	res, err := client.Do(req)
	if err != nil {
		return 0, err
	}
	defer res.Body.Close()
	_, err = io.Copy(io.Discard, res.Body)
	return res.StatusCode, err
}

// light asks for little a hundred times a second and returns how long each took from when it was due, sorted.
func (s *service) light(span time.Duration) []time.Duration {
	const every = 10 * time.Millisecond
	times := make([]time.Duration, int(span/every))
	start := time.Now()
	var all sync.WaitGroup
	for i := range times {
		due := start.Add(time.Duration(i) * every)
		time.Sleep(time.Until(due))
		all.Go(func() {
			if status, err := s.ask(context.Background(), "198.51.100.1",
				"/v1/salinity-conversion?scale=specific_gravity&value=1.026", nil); err != nil || status != http.StatusOK {
				log.Fatalf("a light request: %d %v", status, err)
			}
			times[i] = time.Since(due)
		})
	}
	all.Wait()
	slices.Sort(times)
	return times
}

func at(times []time.Duration, p float64) time.Duration {
	return times[min(len(times)-1, int(p*float64(len(times))))].Round(10 * time.Microsecond)
}

// flooding is clients that ask for the dearest again as soon as they are answered.
type flooding struct {
	end  context.CancelFunc
	all  sync.WaitGroup
	done atomic.Int64
}

func (s *service) flood(clients, connections int, dear []byte) *flooding {
	ctx, end := context.WithCancel(context.Background())
	f := &flooding{end: end}
	for c := range clients {
		for range connections {
			f.all.Go(func() {
				for ctx.Err() == nil {
					status, err := s.ask(ctx, fmt.Sprint("203.0.113.", c), "/v1/plan-remedies", dear)
					if err == nil && status != http.StatusServiceUnavailable {
						f.done.Add(1)
					} else {
						time.Sleep(10 * time.Millisecond)
					}
				}
			})
		}
	}
	return f
}

func (f *flooding) stop() int64 {
	f.end()
	f.all.Wait()
	return f.done.Load()
}

// stranger asks for ten audits at once, once each.
func (s *service) stranger(audit []byte) (answered, refused int64, last time.Duration) {
	var all sync.WaitGroup
	var good, bad atomic.Int64
	start := time.Now()
	for range 10 {
		all.Go(func() {
			if status, err := s.ask(context.Background(), "198.51.100.2", "/v1/plan-audit", audit); err == nil &&
				status == http.StatusOK {
				good.Add(1)
			} else {
				bad.Add(1)
			}
		})
	}
	all.Wait()
	return good.Load(), bad.Load(), time.Since(start)
}
