package transport

import (
	"bytes"
	"net"
	"os"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/assert"
)

// How long somebody may take over an answer, by a clock of the test's own.
func TestAnAnswerHasTimeWhileItIsRead(t *testing.T) {
	for _, c := range []struct {
		name  string
		bytes int
		every time.Duration // between two reads of 1000 bytes
		ends  time.Duration
		sent  int
	}{
		{"nobody reads", 4000, time.Hour, readPatience, 0},
		{"slow and steady", 20_000, 5 * time.Second, 100 * time.Second, 20_000},
		{"as slow as may be", 11_000, readPatience - time.Second/2, 11 * (readPatience - time.Second/2), 11_000},
		{"slower than that", 4000, 2 * readPatience, readPatience, 0},
		{"steady without end", 100_000, 5 * time.Second, longestSending, 24_000},
	} {
		t.Run(c.name, func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				near, far := net.Pipe()
				defer near.Close()
				dropped := 0
				conn := patientConn{Conn: near, dropped: func() { dropped++ }}
				var reading sync.WaitGroup
				reading.Go(func() {
					defer far.Close()
					for piece := make([]byte, 1000); ; {
						time.Sleep(c.every)
						if n, err := far.Read(piece); n == 0 || err != nil {
							return
						}
					}
				})
				begun := time.Now()
				n, err := conn.Write(bytes.Repeat([]byte("a"), c.bytes))
				assert.InDelta(t, c.ends.Seconds(), time.Since(begun).Seconds(), 1, "it is looked every second")
				assert.InDelta(t, c.sent, n, 1000)
				if c.sent == c.bytes {
					assert.NoError(t, err)
					assert.Zero(t, dropped)
				} else {
					assert.ErrorIs(t, err, os.ErrDeadlineExceeded)
					assert.Equal(t, 1, dropped)
				}
				assert.NoError(t, near.Close())
				reading.Wait()
			})
		})
	}
}
