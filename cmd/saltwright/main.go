// Command saltwright serves the HTTP JSON service.
package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"log/slog"
	"net"
	"net/http"
	"os"
	"os/signal"
	"syscall"
	"time"

	"saltwright/internal/httpapi"
)

// Times and sizes that keep slow or careless clients from holding the server.
const (
	readHeaderTimeout = 5 * time.Second
	readTimeout       = 10 * time.Second
	writeTimeout      = 60 * time.Second // the largest plans the contract takes are answered in half of it
	idleTimeout       = 60 * time.Second
	shutdownTimeout   = 20 * time.Second
	maxHeaderBytes    = 16 << 10
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	err := run(ctx, os.Args[1:], os.Getenv, os.Stdout)
	stop()
	if err != nil && !errors.Is(err, flag.ErrHelp) {
		fmt.Fprintln(os.Stderr, "saltwright:", err)
		os.Exit(1)
	}
}

// run serves until the context ends. It prints the real address, so ":0" works.
func run(ctx context.Context, args []string, getenv func(string) string, out io.Writer) error {
	orDefault := func(name, value string) string {
		if v := getenv(name); v != "" {
			return v
		}
		return value
	}
	flags := flag.NewFlagSet("saltwright", flag.ContinueOnError)
	addr := flags.String("addr", orDefault("SALTWRIGHT_ADDR", "127.0.0.1:8080"), "address to listen on (SALTWRIGHT_ADDR)")
	public := flags.String("public-url", getenv("SALTWRIGHT_PUBLIC_URL"), "beginning of the problem types' addresses (SALTWRIGHT_PUBLIC_URL)")
	if err := flags.Parse(args); err != nil {
		return err
	}
	handler, err := httpapi.New(httpapi.Config{PublicURL: *public, Logger: slog.New(slog.NewJSONHandler(out, nil))})
	if err != nil {
		return err
	}
	listener, err := net.Listen("tcp", *addr)
	if err != nil {
		return err
	}
	server := &http.Server{
		Handler: handler, ReadHeaderTimeout: readHeaderTimeout, ReadTimeout: readTimeout, WriteTimeout: writeTimeout,
		IdleTimeout: idleTimeout, MaxHeaderBytes: maxHeaderBytes,
	}
	fmt.Fprintf(out, "saltwright listens on http://%s\n", listener.Addr())
	failed := make(chan error, 1)
	go func() { failed <- server.Serve(listener) }()
	select {
	case err := <-failed:
		return err
	case <-ctx.Done():
	}
	deadline, cancel := context.WithTimeout(context.Background(), shutdownTimeout)
	defer cancel()
	return server.Shutdown(deadline)
}
