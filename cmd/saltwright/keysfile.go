package main

import (
	"bytes"
	"context"
	"log/slog"
	"os"
	"os/signal"
	"syscall"
	"time"

	"saltwright/internal/transport"
)

// keysEvery is how often the keys file is compared with what was read of it. It is read, not watched: a mounted
// Secret changes by a link, a file by being replaced, and both by what they hold.
const keysEvery = 5 * time.Second

// followKeys reads a keys file again on SIGHUP, which would end the process otherwise, and when its contents have
// changed, until the context ends or the function returned is called. Without keys SIGHUP does nothing.
func followKeys(ctx context.Context, file string, keys *transport.Keys, log *slog.Logger) (stop func()) {
	ctx, cancel := context.WithCancel(ctx)
	again := make(chan os.Signal, 1)
	signal.Notify(again, syscall.SIGHUP)
	if keys != nil {
		go rereadKeys(ctx, file, keys, again, log)
	}
	return func() { signal.Stop(again); cancel() }
}

// rereadKeys replaces the keys at once and whenever there is something new. A file that cannot be read leaves them as
// they were.
func rereadKeys(ctx context.Context, file string, keys *transport.Keys, again <-chan os.Signal, log *slog.Logger) {
	ticks := time.NewTicker(keysEvery)
	defer ticks.Stop()
	var known []byte // what was read last
	failure := ""    // what was said last
	for asked := true; ; {
		data, err := os.ReadFile(file) // #nosec G304 -- the operator names the file
		if err != nil || asked || !bytes.Equal(data, known) {
			known = data
			var read *transport.Keys
			if err == nil {
				read, err = transport.ReadKeys(data)
			}
			switch {
			case err == nil:
				keys.Replace(read)
				failure = ""
				log.Info("keys read", slog.Int("keys", keys.Len()))
			case asked || err.Error() != failure: // once, not at every look
				failure = err.Error()
				log.Error("keys not read; the ones before stay", slog.String("cause", failure))
			}
		}
		select {
		case <-ctx.Done():
			return
		case <-again:
			asked = true
		case <-ticks.C:
			asked = false
		}
	}
}
