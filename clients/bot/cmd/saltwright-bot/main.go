// Command saltwright-bot answers sizing questions in forums and chats, or one on the
// command line: saltwright-bot -ask heaters for 48x24x20 in, room 64F, keep 78F
package main

import (
	"context"
	"encoding/json"
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

	"github.com/redis/go-redis/v9/logging"

	"saltwright/clients/bot"
	"saltwright/clients/bot/delivery"
	"saltwright/clients/bot/forumwebhook"
	"saltwright/clients/bot/interactions"
	"saltwright/clients/bot/service"
	"saltwright/clients/bot/standardwebhooks"
	"saltwright/clients/bot/store"
	saltwright "saltwright/clients/go"
	"saltwright/internal/limit"
	"saltwright/internal/probe"
)

func main() {
	logging.Disable() // failures of the store are told by the bot
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	err := run(ctx, os.Args[1:], os.Getenv, os.Stdin, os.Stdout, os.Stderr)
	stop()
	if err != nil && !errors.Is(err, flag.ErrHelp) {
		fmt.Fprintln(os.Stderr, "saltwright-bot:", err)
		os.Exit(1)
	}
}

// run answers until the context ends. The log has the real address, so ":0" works.
func run(ctx context.Context, args []string, getenv func(string) string, in io.Reader, out, errOut io.Writer) error {
	s, err := readSettings(args, getenv, errOut)
	if err != nil {
		return err
	}
	if s.check != "" {
		return probe.Check(ctx, s.check)
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
		return answerOne(ctx, bot.Answerer{Service: asked, Page: asked.Page}, s, in, out)
	}
	log := slog.New(slog.NewJSONHandler(errOut, nil))
	return serve(ctx, s, asked, log, out)
}

// serve answers platforms until the context ends.
func serve(ctx context.Context, s settings, asked *service.Service, log *slog.Logger, out io.Writer) (err error) {
	platforms := s.platforms()
	if len(platforms) == 0 {
		return errors.New("no platform is set up: see the README for the variables, or use -ask")
	}
	watch := newWatch()
	config := bot.Config{
		Identity: s.identity, Limits: s.limits, Service: asked, Page: asked.Page, Log: log, Observer: watch,
		Channels: map[string]bot.Channel{},
	}
	for name, p := range platforms {
		config.Channels[name] = s.channel(p, out)
	}
	if s.storeURL != "" {
		closed, err := s.share(ctx, &config, log)
		if err != nil {
			return err
		}
		defer func() { err = errors.Join(err, closed()) }()
	}
	b, err := bot.New(config)
	if err != nil {
		return err
	}
	watch.waiting = b.Waiting
	if s.public == s.service && !s.dryRun {
		log.Warn(
			"links in replies begin with the address of -service: set -public to where people reach it", "service",
			s.service,
		)
	}
	public, err := net.Listen("tcp", s.addr)
	if err != nil {
		return errors.Join(err, b.Close(ctx))
	}
	servers := []*http.Server{server(logRefused(log, routes(b, platforms)))}
	failed := make(chan error, 2)
	log.Info("listens", "url", "http://"+public.Addr().String())
	go func(s *http.Server) { failed <- s.Serve(public) }(servers[0])
	if s.adminAddr != "" {
		admin, err := net.Listen("tcp", s.adminAddr)
		if err != nil {
			return errors.Join(err, servers[0].Close(), b.Close(ctx))
		}
		servers = append(servers, server(watch.handler()))
		log.Info("listens for operators", "url", "http://"+admin.Addr().String())
		go func(s *http.Server) { failed <- s.Serve(admin) }(servers[1])
	}
	select {
	case err = <-failed:
	case <-ctx.Done():
	}
	deadline, cancel := context.WithTimeout(context.Background(), s.stopTimeout)
	defer cancel()
	err = errors.Join(err, servers[0].Shutdown(deadline), b.Close(deadline))
	if len(servers) > 1 {
		err = errors.Join(err, servers[1].Shutdown(deadline))
	}
	log.Info("stopped")
	return err
}

func server(h http.Handler) *http.Server {
	return &http.Server{
		Handler: h, ReadHeaderTimeout: 5 * time.Second, ReadTimeout: 10 * time.Second,
		WriteTimeout: 10 * time.Second, IdleTimeout: time.Minute, MaxHeaderBytes: 16 << 10,
	}
}

// share puts the queue and the caps into the store.
func (s settings) share(ctx context.Context, c *bot.Config, log *slog.Logger) (closed func() error, err error) {
	queue, err := store.Open(ctx, s.storeURL, store.Limits{
		QueueLength: s.limits.QueueLength, Workers: s.limits.Workers, Remember: s.limits.Remember,
		OneJob: s.limits.AnswerTimeout + s.limits.SendTimeout + 10*time.Second, Stop: s.stopTimeout,
	}, log)
	if err != nil {
		return nil, err
	}
	caps, err := limit.OpenRedis(s.storeURL, "saltwright-bot:cap:")
	if err != nil {
		return nil, err
	}
	c.Queue, c.Limiter = queue, caps
	return caps.Close, nil
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

// platform is one that is set up.
type platform interface {
	http.Handler
	Channel() bot.Channel
	SetInbox(inbox delivery.Inbox)
}

// platforms are those that are set up, by name.
func (s settings) platforms() map[string]platform {
	out := map[string]platform{}
	if len(s.standardKeys) > 0 {
		out[standardwebhooks.Platform] = &standardwebhooks.Adapter{
			Keys: s.standardKeys, ReplyURL: s.standardURL, Sender: delivery.NewSender(), Dialect: bot.CommonMark,
			Limit: bot.ForumLimit,
		}
	}
	if len(s.forumSecrets) > 0 {
		out[forumwebhook.Platform] = &forumwebhook.Adapter{
			Secrets: s.forumSecrets, Forum: s.forumURL, Key: s.forumKey, Username: s.forumBot,
			Sender: delivery.NewSender(), Limit: bot.ForumLimit,
		}
	}
	if len(s.interactionKeys) > 0 {
		out[interactions.Platform] = &interactions.Adapter{
			Keys: s.interactionKeys, API: s.interactionsAPI, Application: s.interactionApp,
			Sender: delivery.NewSender(),
		}
	}
	return out
}

// channel is where a platform's replies go: to the output in a dry run.
func (s settings) channel(p platform, out io.Writer) bot.Channel {
	c := p.Channel()
	if s.dryRun {
		var one sync.Mutex
		c.Send = func(_ context.Context, _, text string) error {
			one.Lock()
			defer one.Unlock()
			_, err := fmt.Fprintf(out, "would send:\n%s\n\n", text)
			return err
		}
	}
	return c
}

// routes has one path for each platform, and those that say whether the bot runs and can take events.
func routes(b *bot.Bot, platforms map[string]platform) http.Handler {
	mux := http.NewServeMux()
	mux.HandleFunc("GET /healthz", func(w http.ResponseWriter, _ *http.Request) { fmt.Fprintln(w, "ok") })
	mux.HandleFunc("GET /readyz", func(w http.ResponseWriter, r *http.Request) {
		ctx, cancel := context.WithTimeout(r.Context(), 2*time.Second)
		defer cancel()
		if err := b.Ready(ctx); err != nil {
			http.Error(w, "events cannot be taken just now", http.StatusServiceUnavailable)
			return
		}
		fmt.Fprintln(w, "ready")
	})
	for name, p := range platforms {
		p.SetInbox(b)
		mux.Handle("/hooks/"+name, p)
	}
	return mux
}

// answerOne answers the question in the arguments or, without one, in the input.
func answerOne(ctx context.Context, a bot.Answerer, s settings, in io.Reader, out io.Writer) error {
	question := s.question
	if strings.TrimSpace(question) == "" {
		data, err := io.ReadAll(io.LimitReader(in, 64<<10))
		if err != nil {
			return err
		}
		question = string(data)
	}
	question = bot.OwnWords(question)
	if s.askJSON {
		object, err := a.Object(ctx, question)
		if err != nil {
			return err
		}
		encoder := json.NewEncoder(out)
		encoder.SetEscapeHTML(false)
		return encoder.Encode(object)
	}
	reply, err := a.Reply(ctx, question, true)
	if err != nil {
		return err
	}
	_, err = fmt.Fprintln(out, bot.Render(reply, bot.Plain, bot.ForumLimit))
	return err
}
