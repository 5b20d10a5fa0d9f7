// Command saltwright-bot answers sizing questions in forums and chats, or one on the
// command line: saltwright-bot -ask heaters for 48x24x20 in, room 64F, keep 78F
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
	"strings"
	"sync"
	"syscall"
	"time"

	"saltwright/clients/bot"
	"saltwright/clients/bot/delivery"
	"saltwright/clients/bot/forumwebhook"
	"saltwright/clients/bot/interactions"
	"saltwright/clients/bot/service"
	"saltwright/clients/bot/standardwebhooks"
	saltwright "saltwright/clients/go"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	err := run(ctx, os.Args[1:], os.Getenv, os.Stdin, os.Stdout, os.Stderr)
	stop()
	if err != nil && !errors.Is(err, flag.ErrHelp) {
		fmt.Fprintln(os.Stderr, "saltwright-bot:", err)
		os.Exit(1)
	}
}

// longestPost is the most characters that a reply in a forum or to a bridge may have.
const longestPost = 8000

// run answers until the context ends. The log has the real address, so ":0" works.
func run(ctx context.Context, args []string, getenv func(string) string, in io.Reader, out, errOut io.Writer) error {
	s, err := readSettings(args, getenv, errOut)
	if err != nil {
		return err
	}
	if s.score != "" {
		return score(s.score, s.failures, out)
	}
	// A redirect would send the key to another address.
	plain := &http.Client{
		Timeout:       15 * time.Second,
		CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse },
	}
	options := []saltwright.Option{
		saltwright.WithHTTPClient(plain), saltwright.WithUserAgent("saltwright-bot/" + service.Contract),
		saltwright.WithTries(3, 5*time.Second),
	}
	if s.serviceKey != "" {
		options = append(options, saltwright.WithKey(s.serviceKey))
	}
	client, err := saltwright.New(s.service, options...)
	if err != nil {
		return err
	}
	asked := service.New(client, s.public)
	if s.ask {
		return answerOne(ctx, asked, s.question, in, out)
	}
	log := slog.New(slog.NewJSONHandler(errOut, nil))
	b := bot.New(bot.Config{
		Identity: s.identity, Limits: s.limits, Service: asked, Contract: service.Contract, Log: log,
	})
	if s.public == s.service && !s.dryRun {
		log.Warn(
			"links in replies begin with the address of -service: set -public to where people reach it", "service",
			s.service,
		)
	}
	handler, adapters := s.routes(b, out)
	if adapters == 0 {
		return errors.Join(
			errors.New("no platform is set up: see the README for the variables, or use -ask"), b.Close(ctx),
		)
	}
	l, err := net.Listen("tcp", s.addr)
	if err != nil {
		return errors.Join(err, b.Close(ctx))
	}
	log.Info("listens", "url", "http://"+l.Addr().String())
	server := &http.Server{
		Handler: logRefused(log, handler), ReadHeaderTimeout: 5 * time.Second, ReadTimeout: 10 * time.Second,
		WriteTimeout: 10 * time.Second, IdleTimeout: time.Minute, MaxHeaderBytes: 16 << 10,
	}
	failed := make(chan error, 1)
	go func() { failed <- server.Serve(l) }()
	select {
	case err = <-failed:
	case <-ctx.Done():
	}
	deadline, cancel := context.WithTimeout(context.Background(), s.stopTimeout)
	defer cancel()
	err = errors.Join(err, server.Shutdown(deadline), b.Close(deadline))
	counts, unsent := b.Counts()
	log.Info("stopped", "events", counts, "unsent", unsent)
	return err
}

// logRefused logs the path and status of requests that were answered with an error, never their content.
func logRefused(log *slog.Logger, next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		seen := &statusWriter{ResponseWriter: w, status: http.StatusOK}
		next.ServeHTTP(seen, r)
		if seen.status >= http.StatusBadRequest && strings.HasPrefix(r.URL.Path, "/hooks/") {
			log.Warn("refused", "path", r.Pattern, "status", seen.status)
		}
	})
}

type statusWriter struct {
	http.ResponseWriter
	status int
}

func (w *statusWriter) WriteHeader(status int) {
	w.status = status
	w.ResponseWriter.WriteHeader(status)
}

// routes has one path for each platform that is set up.
func (s settings) routes(b *bot.Bot, out io.Writer) (http.Handler, int) {
	mux := http.NewServeMux()
	mux.HandleFunc("GET /healthz", func(w http.ResponseWriter, _ *http.Request) { fmt.Fprintln(w, "ok") })
	var reply func(context.Context, string) error
	if s.dryRun {
		var one sync.Mutex
		reply = func(_ context.Context, text string) error {
			one.Lock()
			defer one.Unlock()
			_, err := fmt.Fprintf(out, "would send:\n%s\n\n", text)
			return err
		}
	}
	adapters := 0
	if len(s.standardKeys) > 0 {
		mux.Handle("/hooks/standard", &standardwebhooks.Adapter{
			Keys: s.standardKeys, ReplyURL: s.standardURL, Inbox: b, Sender: delivery.NewSender(),
			Dialect: bot.CommonMark, Limit: longestPost, Reply: reply,
		})
		adapters++
	}
	if len(s.forumSecrets) > 0 {
		mux.Handle("/hooks/forum", &forumwebhook.Adapter{
			Secrets: s.forumSecrets, Forum: s.forumURL, Key: s.forumKey, Username: s.forumBot, Inbox: b,
			Sender: delivery.NewSender(), Limit: longestPost, Reply: reply,
		})
		adapters++
	}
	if len(s.interactionKeys) > 0 {
		mux.Handle("/hooks/interactions", &interactions.Adapter{
			Keys: s.interactionKeys, API: s.interactionsAPI, Application: s.interactionApp, Inbox: b,
			Sender: delivery.NewSender(), Reply: reply,
		})
		adapters++
	}
	return mux, adapters
}

// answerOne answers the question in the arguments or, without one, in the input.
func answerOne(ctx context.Context, s bot.Service, question string, in io.Reader, out io.Writer) error {
	if strings.TrimSpace(question) == "" {
		data, err := io.ReadAll(io.LimitReader(in, 64<<10))
		if err != nil {
			return err
		}
		question = string(data)
	}
	reply, err := bot.Answerer{Service: s, Contract: service.Contract}.Reply(ctx, question, true)
	if err != nil {
		return err
	}
	_, err = fmt.Fprintln(out, bot.Render(reply, bot.Plain, longestPost))
	return err
}
