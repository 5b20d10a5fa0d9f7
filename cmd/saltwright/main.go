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

	"github.com/modelcontextprotocol/go-sdk/mcp"
	"github.com/redis/go-redis/v9/logging"

	"saltwright/internal/probe"
	"saltwright/internal/transport"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	tuneRuntime(os.Getenv)
	logging.Disable() // the store's library writes lines in a form of its own; its failures are logged by who asks it
	err := run(ctx, os.Args[1:], os.Getenv, os.Stdout)
	stop()
	if err != nil && !errors.Is(err, flag.ErrHelp) {
		fmt.Fprintln(os.Stderr, "saltwright:", err)
		os.Exit(1)
	}
}

// serveAssistant offers the tools over standard input and output to the program that started this one, until it ends.
func serveAssistant(ctx context.Context) error {
	api, err := transport.New(transport.Config{})
	if err != nil {
		return err
	}
	return api.Assistant().Run(ctx, &mcp.StdioTransport{})
}

// run serves until the context ends. It prints the real address, so ":0" works.
func run(ctx context.Context, args []string, getenv func(string) string, out io.Writer) error {
	s, err := readSettings(args, getenv)
	if err != nil {
		return err
	}
	switch {
	case s.version:
		return printVersion(out)
	case s.licences:
		_, err := io.WriteString(out, licences)
		return err
	case s.check != "":
		return probe.Check(ctx, s.check)
	}
	log := slog.New(slog.NewJSONHandler(out, &slog.HandlerOptions{Level: s.logLevel}))
	for _, warning := range s.warnings() {
		log.Warn(warning) // #nosec G706 -- texts of ours; the log writes JSON
	}
	if s.assistant {
		return serveAssistant(ctx)
	}
	cfg, closeStore, err := s.config(log)
	if err != nil {
		return err
	}
	defer func() { _ = closeStore() }() // nothing is buffered
	defer followKeys(ctx, s.keysFile, cfg.Keys, log)()
	api, err := transport.New(cfg)
	if err != nil {
		return err
	}
	handler, stopTracing, err := traced(ctx, api, s, log)
	if err != nil {
		return err
	}
	defer stopTracing()

	always := slog.New(slog.NewJSONHandler(out, nil)) // whoever asks for port 0 must be told, whatever the log's level
	failed := make(chan error, 2)
	listen := func(name, addr string, h http.Handler) (*http.Server, error) {
		l, err := net.Listen("tcp", addr)
		if err != nil {
			return nil, err
		}
		always.Info("listens", slog.String("as", name), slog.String("url", "http://"+l.Addr().String()))
		server := s.server(h, log)
		go func() { failed <- server.Serve(api.Listener(l)) }()
		return server, nil
	}
	public, err := listen("service", s.addr, handler)
	if err != nil {
		return err
	}
	servers := []*http.Server{public}
	if s.adminAddr != "" {
		admin, err := listen("administration", s.adminAddr, api.Admin())
		if err != nil {
			return errors.Join(err, public.Close())
		}
		servers = append(servers, admin)
	}
	log.LogAttrs(ctx, slog.LevelInfo, "started", s.attributes()...)
	select {
	case err := <-failed:
		return err
	case <-ctx.Done():
	}
	// First nobody is sent here any more, then the last requests are answered.
	api.Drain()
	log.Info("stopping", slog.Float64("drain_delay_s", s.drainDelay.Seconds()))
	time.Sleep(s.drainDelay)
	deadline, cancel := context.WithTimeout(context.Background(), s.shutdownTimeout)
	defer cancel()
	for _, server := range servers {
		err = errors.Join(err, server.Shutdown(deadline))
	}
	return err
}
