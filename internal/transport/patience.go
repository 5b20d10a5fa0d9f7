package transport

import (
	"errors"
	"net"
	"os"
	"time"
)

// How long an answer may stand still, and how long one may take: a client that takes nothing for readPatience is cut
// off, and so is one that has not taken an answer after longestSending, however steadily it reads, since the answer
// is held in memory meanwhile. The largest answers, some 400 kB, then need 3.5 kB/s.
const (
	readPatience   = 10 * time.Second
	longestSending = 2 * time.Minute
	sendingLook    = time.Second // how often it is looked whether anything was taken
)

// Listener gives connections whose answers have time for as long as the client takes some of them.
func (s *Server) Listener(l net.Listener) net.Listener {
	return patientListener{Listener: l, dropped: s.metrics.slowReaders.Inc}
}

type patientListener struct {
	net.Listener
	dropped func()
}

func (l patientListener) Accept() (net.Conn, error) {
	conn, err := l.Listener.Accept()
	if err != nil {
		return nil, err
	}
	return patientConn{Conn: conn, dropped: l.dropped}, nil
}

// patientConn has no deadline for an answer, but for the client's taking some of it.
type patientConn struct {
	net.Conn
	dropped func()
}

// Write implements net.Conn. Errors: os.ErrDeadlineExceeded when the client takes too little, and the connection's.
func (c patientConn) Write(data []byte) (int, error) {
	begun := time.Now()
	sent, moved := 0, begun
	for {
		if err := c.SetWriteDeadline(time.Now().Add(sendingLook)); err != nil {
			return sent, err
		}
		n, err := c.Conn.Write(data[sent:])
		sent += n
		if !errors.Is(err, os.ErrDeadlineExceeded) {
			return sent, err
		}
		now := time.Now()
		if n > 0 {
			moved = now
		}
		if now.Sub(moved) >= readPatience || now.Sub(begun) >= longestSending {
			c.dropped()
			return sent, err
		}
	}
}

// CloseWrite lets net/http end a connection in the order TCP wants: first its own half.
func (c patientConn) CloseWrite() error {
	half, ok := c.Conn.(interface{ CloseWrite() error })
	if !ok {
		return errors.ErrUnsupported
	}
	return half.CloseWrite()
}
