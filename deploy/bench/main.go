// Command bench compares, in one run and on the same payloads, the service with
// a bare echo handler that returns the same bytes and with Fastify and ajv on
// the same contract that return a canned answer. Rounds alternate, since
// machines are noisy: read the ratios. Loopback only; about three minutes.
//
//	go run ./deploy/bench
package main

import (
	"bytes"
	"flag"
	"fmt"
	"io"
	"log"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"
)

// payloads are asked of all; bodies are the cases that the tests share.
var payloads = []struct{ name, method, calculation, query, body string }{
	{"salinity GET", "GET", "salinity-conversion", "scale=specific_gravity&value=1.026", ""},
	{"salinity POST", "POST", "salinity-conversion", "", "postSalinityConversion"},
	{"evaporation GET", "GET", "evaporation", "length_mm=900&width_mm=500&room_c=21", ""},
	{"heater sizing POST", "POST", "heater-sizing", "", "postHeaterSizing"},
	{"light score POST", "POST", "light-schedule-score", "", "postLightScheduleScore"},
}

type contestant struct {
	name string
	addr string
	cmd  *exec.Cmd
}

func main() {
	span := flag.Duration("span", 3*time.Second, "of one run")
	rounds := flag.Int("rounds", 3, "how often each is run")
	flag.Parse()
	if err := bench(*span, *rounds); err != nil {
		log.Fatal(err)
	}
}

func bench(span time.Duration, rounds int) error {
	dir, err := os.MkdirTemp("", "bench")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	for name, pkg := range map[string]string{"service": "./cmd/saltwright", "echo": "./deploy/bench/echo"} {
		if out, err := exec.Command("go", "build", "-o", filepath.Join(dir, name), pkg).CombinedOutput(); err != nil {
			return fmt.Errorf("build %s: %w\n%s", pkg, err, out)
		}
	}
	service, err := start("saltwright", exec.Command(filepath.Join(dir, "service"), "--addr", "127.0.0.1:0", "--per-minute", "1000000000", "--per-day", "1000000000", "--log-level", "warn"))
	if err != nil {
		return err
	}
	defer service.stop()
	answers, contract := filepath.Join(dir, "answers"), filepath.Join(dir, "contract.json")
	if err := os.Mkdir(answers, 0o755); err != nil {
		return err
	}
	requests := make([][]byte, len(payloads))
	for i, p := range payloads {
		var body []byte
		if p.body != "" {
			if body, err = os.ReadFile(filepath.Join("testdata/api", p.body, "example.request.json")); err != nil {
				return err
			}
		}
		requests[i] = wire(p.method, p.calculation, p.query, body)
		got, err := ask(service.addr, p.method, "/v1/"+p.calculation+"?"+p.query, body)
		if err != nil {
			return err
		}
		if err := os.WriteFile(filepath.Join(answers, p.calculation+".json"), got, 0o644); err != nil {
			return err
		}
	}
	document, err := ask(service.addr, "GET", "/openapi.json", nil)
	if err != nil {
		return err
	}
	if err := os.WriteFile(contract, document, 0o644); err != nil {
		return err
	}
	all := []contestant{service}
	bare, err := start("bare echo", exec.Command(filepath.Join(dir, "echo"), "--answers", answers))
	if err != nil {
		return err
	}
	defer bare.stop()
	all = append(all, bare)
	if _, err := os.Stat("deploy/bench/fastify/node_modules"); err == nil {
		node, err := start("fastify + ajv", exec.Command("node", "deploy/bench/fastify/server.js", "0", contract, answers))
		if err != nil {
			return err
		}
		defer node.stop()
		all = append(all, node)
	} else {
		fmt.Println("fastify + ajv: left out; run npm install in deploy/bench/fastify first")
	}
	return compare(all, requests, span, rounds)
}

func compare(all []contestant, requests [][]byte, span time.Duration, rounds int) error {
	fmt.Println("| payload | server | requests/s | to bare echo | CPU us/request | p50 at half load | p99 | p99/p50 |")
	fmt.Println("|---|---|---|---|---|---|---|---|")
	for i, p := range payloads {
		rate, cpu := make([][]float64, len(all)), make([][]float64, len(all))
		for range rounds {
			for c := range all {
				before, err := all[c].cpu()
				if err != nil {
					return err
				}
				l, err := press(all[c].addr, requests[i], span, 0)
				if err != nil {
					return fmt.Errorf("%s, %s: %w", all[c].name, p.name, err)
				}
				if l.failed > 0 {
					return fmt.Errorf("%s, %s: %d of %d answers were not 200", all[c].name, p.name, l.failed, l.requests)
				}
				after, err := all[c].cpu()
				if err != nil {
					return err
				}
				rate[c] = append(rate[c], l.perSecond())
				cpu[c] = append(cpu[c], float64((after-before).Microseconds())/float64(l.requests))
			}
		}
		for c := range all {
			half, err := press(all[c].addr, requests[i], span, median(rate[c])/2)
			if err != nil {
				return err
			}
			p50, p99 := half.percentile(.5), half.percentile(.99)
			fmt.Printf("| %s | %s | %.0f | %.0f %% | %.0f | %v | %v | %.1f |\n", p.name, all[c].name, median(rate[c]), 100*median(rate[c])/median(rate[1]),
				median(cpu[c]), p50.Round(time.Microsecond), p99.Round(time.Microsecond), float64(p99)/float64(p50))
		}
	}
	return nil
}

func median(x []float64) float64 {
	x = slices.Sorted(slices.Values(x))
	return x[len(x)/2]
}

func wire(method, calculation, query string, body []byte) []byte {
	var b bytes.Buffer
	path := "/v1/" + calculation
	if query != "" {
		path += "?" + query
	}
	fmt.Fprintf(&b, "%s %s HTTP/1.1\r\nHost: bench\r\n", method, path)
	if body != nil {
		fmt.Fprintf(&b, "Content-Type: application/json\r\nContent-Length: %d\r\n", len(body))
	}
	b.WriteString("\r\n")
	b.Write(body)
	return b.Bytes()
}

func ask(addr, method, path string, body []byte) ([]byte, error) {
	req, err := http.NewRequest(method, "http://"+addr+path, bytes.NewReader(body))
	if err != nil {
		return nil, err
	}
	req.Header.Set("Content-Type", "application/json")
	res, err := http.DefaultClient.Do(req)
	if err != nil {
		return nil, err
	}
	defer res.Body.Close()
	data, err := io.ReadAll(res.Body)
	if err == nil && res.StatusCode != http.StatusOK {
		err = fmt.Errorf("%s %s answered %s: %.300s", method, path, res.Status, data)
	}
	return data, err
}

var listens = regexp.MustCompile(`listens.*http://([^"\s]+)`)

// start runs a server and waits until it has said where it listens.
func start(name string, cmd *exec.Cmd) (contestant, error) {
	out, err := cmd.StdoutPipe()
	if err != nil {
		return contestant{}, err
	}
	cmd.Stderr = os.Stderr
	if err := cmd.Start(); err != nil {
		return contestant{}, fmt.Errorf("%s: %w", name, err)
	}
	said, buf := "", make([]byte, 4096)
	for {
		n, err := out.Read(buf)
		said += string(buf[:n])
		if m := listens.FindStringSubmatch(said); m != nil {
			go func() { _, _ = io.Copy(io.Discard, out) }() // its log is not ours
			if _, _, err := net.SplitHostPort(m[1]); err != nil {
				return contestant{}, err
			}
			return contestant{name, m[1], cmd}, nil
		}
		if err != nil {
			return contestant{}, fmt.Errorf("%s ended before it listened: %s", name, said)
		}
	}
}

func (c contestant) stop() {
	_ = c.cmd.Process.Kill() // it may be gone already
	_ = c.cmd.Wait()
}

// cpu is the processor time a server has used, by Linux' /proc in ticks of 10 ms.
func (c contestant) cpu() (time.Duration, error) {
	data, err := os.ReadFile(fmt.Sprintf("/proc/%d/stat", c.cmd.Process.Pid))
	if err != nil {
		return 0, err
	}
	_, rest, ok := strings.Cut(string(data), ") ")
	fields := strings.Fields(rest)
	if !ok || len(fields) < 13 {
		return 0, fmt.Errorf("%s: no times in /proc", c.name)
	}
	user, errUser := strconv.Atoi(fields[11])
	system, errSystem := strconv.Atoi(fields[12])
	if errUser != nil || errSystem != nil {
		return 0, fmt.Errorf("%s: times in /proc are no numbers", c.name)
	}
	return time.Duration(user+system) * 10 * time.Millisecond, nil
}
