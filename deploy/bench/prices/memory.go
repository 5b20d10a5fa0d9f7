package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"net"
	"net/http"
	"os"
	"os/exec"
	"strconv"
	"strings"
	"sync"
	"time"

	"saltwright/internal/contract"
)

// What cmd/saltwright counts for the process and for one long calculation.
const idleBytes, placeBytes = 112 << 20, 32 << 20

// peakOf starts a built service with so many places and the memory that they are counted with, keeps every place busy
// with the largest requests that the operations of plans take, and prints what the process took at most (VmHWM).
func peakOf(binary string, places, draws int, lasting time.Duration) error {
	all, err := contract.Load()
	if err != nil {
		return err
	}
	asked, err := heaviest(all, draws)
	if err != nil {
		return err
	}
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		return err
	}
	address := listener.Addr().String()
	if err := listener.Close(); err != nil {
		return err
	}
	limit := idleBytes + places*placeBytes
	// #nosec G204 -- the developer's own binary
	service := exec.Command(binary, "-addr", address, "-per-minute", "0", "-places", strconv.Itoa(places),
		"-log-level", "error")
	service.Env = append(os.Environ(), fmt.Sprint("GOMEMLIMIT=", limit))
	if err := service.Start(); err != nil {
		return err
	}
	defer func() { _ = service.Process.Kill(); _ = service.Wait() }()
	if err := answers("http://" + address + "/v1/texts"); err != nil {
		return err
	}
	idle, err := highWaterMB(service.Process.Pid)
	if err != nil {
		return err
	}
	ctx, cancel := context.WithTimeout(context.Background(), lasting)
	defer cancel()
	counts := make([]map[int]int, places)
	var group sync.WaitGroup
	for k := range places {
		counts[k] = map[int]int{}
		group.Go(func() {
			for n := k; ctx.Err() == nil; n += places {
				x := asked[n%len(asked)]
				counts[k][ask(ctx, "http://"+address+x.path, x.body)]++
			}
		})
	}
	group.Wait()
	peak, err := highWaterMB(service.Process.Pid)
	if err != nil {
		return err
	}
	statuses := map[int]int{}
	for _, c := range counts {
		for status, n := range c {
			statuses[status] += n
		}
	}
	fmt.Printf("%d places, GOMEMLIMIT %d MiB: idle %.0f MiB, peak %.0f MiB, %.1f MiB a place; answers by status %v\n",
		places, limit>>20, idle, peak, (peak-idle)/float64(places), statuses)
	return nil
}

// call is one request.
type call struct {
	path string
	body []byte
}

// heaviest are the largest requests: the samples of each operation of more than half its longest.
func heaviest(all *contract.Contract, draws int) ([]call, error) {
	queries := map[string]string{"plan-audit": "?detail=full&include=charts", "plan-risk": "", "plan-remedies": ""}
	var out []call
	for _, o := range all.Operations {
		query, wanted := queries[o.Name()]
		if !wanted || o.Body == nil {
			continue
		}
		samples, err := samplesOf(o, draws)
		if err != nil {
			return nil, err
		}
		longest := 0
		for _, s := range samples {
			longest = max(longest, len(s.body))
		}
		for _, s := range samples {
			if 2*len(s.body) > longest {
				out = append(out, call{o.Path + query, s.body})
			}
		}
	}
	if len(out) == 0 {
		return nil, errors.New("no sample is heavy")
	}
	return out, nil
}

// answers waits until the service does.
func answers(address string) error {
	var err error
	for range 100 {
		var res *http.Response
		if res, err = http.Get(address); err == nil { // #nosec G107 -- loopback
			return res.Body.Close()
		}
		time.Sleep(100 * time.Millisecond)
	}
	return err
}

// ask returns the status of an answer, 0 where none came in time.
func ask(ctx context.Context, address string, body []byte) int {
	req, err := http.NewRequestWithContext(ctx, http.MethodPost, address, bytes.NewReader(body))
	if err != nil {
		return 0
	}
	req.Header.Set("Content-Type", "application/json")
	res, err := http.DefaultClient.Do(req)
	if err != nil {
		return 0
	}
	_, err = io.Copy(io.Discard, res.Body)
	if err = errors.Join(err, res.Body.Close()); err != nil {
		return 0
	}
	return res.StatusCode
}

// highWaterMB is the most that a process has had in memory, MiB.
func highWaterMB(pid int) (float64, error) {
	status, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", pid))
	if err != nil {
		return 0, err
	}
	_, line, found := strings.Cut(string(status), "VmHWM:")
	if !found {
		return 0, errors.New("no VmHWM: only Linux tells")
	}
	kib, err := strconv.ParseFloat(strings.Fields(line)[0], 64)
	return kib / 1024, err
}
