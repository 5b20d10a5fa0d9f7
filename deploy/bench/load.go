package main

import (
	"bufio"
	"bytes"
	"fmt"
	"io"
	"net"
	"net/http/httputil"
	"slices"
	"strconv"
	"sync"
	"time"
)

// connections is how many requests are under way at once.
const connections = 8

// load is what one run found.
type load struct {
	requests int
	failed   int
	took     time.Duration
	times    []time.Duration // of paced runs, sorted
}

func (l load) perSecond() float64 { return float64(l.requests) / l.took.Seconds() }

func (l load) percentile(p float64) time.Duration {
	if len(l.times) == 0 {
		return 0
	}
	return l.times[min(len(l.times)-1, int(p*float64(len(l.times))))]
}

// press sends one request over and over on a few connections: as fast as the
// answers come, or at a pace, whose times count from when a request was due.
func press(addr string, request []byte, span time.Duration, perSecond float64) (load, error) {
	var mu sync.Mutex
	var all load
	var first error
	var wg sync.WaitGroup
	start := time.Now()
	for n := range connections {
		wg.Go(func() {
			one, err := worker(addr, request, start, span, perSecond, n)
			mu.Lock()
			defer mu.Unlock()
			all.requests += one.requests
			all.failed += one.failed
			all.times = append(all.times, one.times...)
			if first == nil {
				first = err
			}
		})
	}
	wg.Wait()
	all.took = time.Since(start)
	slices.Sort(all.times)
	return all, first
}

func worker(addr string, request []byte, start time.Time, span time.Duration, perSecond float64, n int) (load, error) {
	var l load
	conn, err := net.Dial("tcp", addr)
	if err != nil {
		return l, err
	}
	defer conn.Close()
	if err := conn.SetDeadline(start.Add(span + 10*time.Second)); err != nil {
		return l, err
	}
	r := bufio.NewReaderSize(conn, 64<<10)
	for i := 0; ; i++ {
		due := time.Now()
		if perSecond > 0 {
			due = start.Add(time.Duration(float64(i*connections+n) / perSecond * float64(time.Second)))
			time.Sleep(time.Until(due))
		}
		if due.Sub(start) > span {
			return l, nil
		}
		if _, err := conn.Write(request); err != nil {
			return l, err
		}
		status, err := answer(r)
		if err != nil {
			return l, err
		}
		l.requests++
		if status != 200 {
			l.failed++
		}
		if perSecond > 0 {
			l.times = append(l.times, time.Since(due))
		}
	}
}

// answer reads one response, and looks at no more of it than a client must.
func answer(r *bufio.Reader) (status int, err error) {
	line, err := r.ReadSlice('\n')
	if err != nil {
		return 0, err
	}
	if len(line) < 12 {
		return 0, fmt.Errorf("no status line: %q", line)
	}
	if status, err = strconv.Atoi(string(line[9:12])); err != nil {
		return 0, err
	}
	length, chunked := -1, false
	for {
		if line, err = r.ReadSlice('\n'); err != nil {
			return 0, err
		}
		line = bytes.TrimRight(line, "\r\n")
		if len(line) == 0 {
			break
		}
		name, value, _ := bytes.Cut(line, []byte(":"))
		switch {
		case bytes.EqualFold(name, []byte("transfer-encoding")):
			chunked = true
		case bytes.EqualFold(name, []byte("content-length")):
			if length, err = strconv.Atoi(string(bytes.TrimSpace(value))); err != nil {
				return 0, err
			}
		}
	}
	switch {
	case chunked:
		if _, err := io.Copy(io.Discard, httputil.NewChunkedReader(r)); err != nil {
			return 0, err
		}
		_, err = r.ReadSlice('\n') // no trailers
		return status, err
	case length < 0:
		return 0, fmt.Errorf("an answer without a length")
	}
	_, err = io.CopyN(io.Discard, r, int64(length))
	return status, err
}
