// Package transport is HTTP and nothing else: it reads a request, has internal/answer answer it, and writes the answer.
// Paths, methods, types, bounds and defaults stand in api/openapi.yaml only; routes and checks follow from it.
package transport

import (
	"cmp"
	"context"
	"fmt"
	"log/slog"
	"maps"
	"net"
	"net/http"
	"net/url"
	"runtime"
	"strings"
	"time"

	"github.com/labstack/echo/v4"
	"github.com/modelcontextprotocol/go-sdk/mcp"
	"github.com/prometheus/client_golang/prometheus/promhttp"

	"saltwright/internal/answer"
	"saltwright/internal/assistant"
	"saltwright/internal/catalogue"
	"saltwright/internal/contract"
	"saltwright/internal/entity"
	"saltwright/internal/install"
	"saltwright/internal/limit"
	"saltwright/internal/negotiate"
	"saltwright/internal/webdocs"
)

// Config is what a server can be told. The zero value serves everybody without limits.
type Config struct {
	// beginning of the problem types' addresses, without a final slash; empty: root-relative
	PublicURL      string
	Listen         string            // host and port, as commands on the pages name it; empty: the default
	Logger         *slog.Logger      // nil: nothing is logged
	Quotas         []limit.Policy    // of a client without a key; none: no limits
	Keys           *Keys             // clients with quotas of their own; nil: every key is unknown
	LimitStore     limit.Limiter     // shared by replicas; nil: each counts for itself
	Names          *limit.Pseudonyms // of addresses, alike in replicas that share a store; nil: this process's own
	TrustedProxies []*net.IPNet      // whose X-Forwarded-For is believed; none: the peer is the client
	Budget         time.Duration     // that one request may take; 0: DefaultBudget
	Places         int               // long calculations at once; 0: one less than processors, and at least one
}

// DefaultBudget lies above what the largest plan takes and below what the proxies in deploy wait for.
const DefaultBudget = 50 * time.Second

// Server answers HTTP requests.
type Server struct {
	echo     *echo.Echo
	contract *contract.Contract
	metrics  *metrics
	gate     *gate
	ready    *readiness
	tools    *mcp.Server // of assistants
}

// New builds the server from the contract. It fails when an operation has no
// handler or a handler no operation, and when nobody could pay for an operation.
func New(cfg Config) (*Server, error) {
	return build(cfg, nil)
}

// build is New; change may put other handlers into the table of operations.
func build(cfg Config, change func(map[string]handler)) (*Server, error) {
	if err := checkPublicURL(cfg.PublicURL); err != nil {
		return nil, err
	}
	all, err := contract.Load()
	if err != nil {
		return nil, fmt.Errorf("contract: %w", err)
	}
	if cfg.Logger == nil {
		cfg.Logger = slog.New(slog.DiscardHandler)
	}
	cfg.PublicURL = strings.TrimRight(cfg.PublicURL, "/")
	s := &Server{echo: echo.New(), contract: all, metrics: newMetrics()}
	if cfg.Names == nil {
		if cfg.Names, err = limit.NewPseudonyms(limit.RandomSecret(), 24*time.Hour, time.Now); err != nil {
			return nil, err
		}
	}
	s.gate = &gate{
		quotas: cfg.Quotas, wide: customerQuotas(cfg.Quotas), names: cfg.Names, keys: cfg.Keys,
		guesses:   limit.NewMemory(time.Now),
		places:    newPlaces(cmp.Or(cfg.Places, max(1, runtime.GOMAXPROCS(0)-1))),
		budget:    cmp.Or(cfg.Budget, DefaultBudget),
		stopwatch: stopwatch, metrics: s.metrics, log: cfg.Logger, proxied: len(cfg.TrustedProxies) > 0,
	}
	s.metrics.watchBuild(all.Version)
	s.metrics.watchWork(s.gate.places.occupied)
	if err := limit.Check(costliest(all), cfg.Quotas); err != nil {
		return nil, fmt.Errorf("the costliest operation: %w", err)
	}
	s.gate.limiter = limiterOf(cfg, s.metrics)
	d := &desk{
		echo: s.echo, contract: all, gate: s.gate, problems: &problems{publicURL: cfg.PublicURL, log: cfg.Logger,
			metrics: s.metrics},
	}
	s.ready = &readiness{desk: d}
	if d.serve, err = handlers(d); err != nil {
		return nil, err
	}
	if change != nil {
		change(d.serve)
	}
	if s.tools, err = assistant.NewServer(all, cfg.PublicURL, d.askFor); err != nil {
		return nil, err
	}
	return s, s.route(cfg, d)
}

// costliest is the most that a single calculation may cost.
func costliest(all *contract.Contract) int {
	most := 0
	for _, o := range all.Operations {
		most = max(most, o.DearestCost())
	}
	return most
}

// limiterOf counts in this process, or in a shared store for as long as that answers.
func limiterOf(cfg Config, m *metrics) limit.Limiter {
	here := limit.NewMemory(time.Now)
	if cfg.LimitStore == nil {
		m.watchStore(func() bool { return false })
		return here
	}
	f := limit.NewFallback(cfg.LimitStore, here, limit.Watcher{
		Failed: func(error) { m.storeErr.Inc() },
		Left: func(err error) {
			cfg.Logger.Error("the limit store is left alone; counting here", slog.String("cause", err.Error()))
		},
		Back: func() { cfg.Logger.Info("the limit store is well; counting there") },
	})
	m.watchStore(f.Degraded)
	return f
}

// handlers is the table of operations: what the answer room answers, and what is about the service itself.
func handlers(d *desk) (map[string]handler, error) {
	answered, err := answer.Operations(d.contract)
	if err != nil {
		return nil, err
	}
	all, err := fixedJSON(asJSON, index(d.contract))
	if err != nil {
		return nil, err
	}
	table := map[string]handler{"getIndex": unchanging(all), "getProblem": getProblem, "postBatch": d.batch}
	for id, by := range answered {
		if by.Request != nil {
			table[id] = calculated(by, d.problems.publicURL)
			continue
		}
		if table[id], err = unasked(d.contract.Operation(id), by); err != nil {
			return nil, err
		}
	}
	return table, nil
}

// unasked serves an operation that is asked nothing, so that its answer is always the same, or the same in a language.
func unasked(o *contract.Operation, by answer.Operation) (handler, error) {
	of := map[catalogue.Language]*entity.Entity{}
	for _, l := range catalogue.Languages {
		query := ""
		if o.Parameter(contract.InQuery, languageParameter) != nil {
			query = languageParameter + "=" + string(l)
		}
		asked, err := o.Read(nil, query)
		if err != nil {
			return nil, err
		}
		out, err := by.Answer(context.Background(), asked)
		if err != nil {
			return nil, err
		}
		if of[l], err = fixedJSON(asJSON, out); err != nil {
			return nil, err
		}
		if query == "" {
			return unchanging(of[l]), nil
		}
	}
	return inEveryLanguage(of), nil
}

var pathParameters = strings.NewReplacer("{", ":", "}", "")

func (s *Server) route(cfg Config, d *desk) error {
	e := s.echo
	for id := range d.serve {
		if s.contract.Operation(id) == nil {
			return fmt.Errorf("handler %s has no operation in the contract", id)
		}
	}
	known := map[string]bool{}
	e.HideBanner, e.HidePort = true, true
	e.HTTPErrorHandler = d.problems.write
	e.IPExtractor = extractor(cfg.TrustedProxies)
	e.Use(
		s.metrics.observe(func(route string) bool { return known[route] }),
		opened,
		accessLog(cfg.Logger),
		caught(cfg.Logger, s.metrics.panics),
	)
	site, err := webdocs.New(s, webdocs.Origin{Public: cfg.PublicURL, Listen: cfg.Listen})
	if err != nil {
		return err
	}
	for _, o := range s.contract.Operations {
		serve, ok := d.serve[o.ID]
		if !ok {
			return fmt.Errorf("operation %s of the contract has no handler", o.ID)
		}
		paged := o.ID == "getIndex" || o.ID == "getProblem"
		answer := func(c echo.Context) error {
			if paged {
				// The same for every form, though a short one is never compressed: caches ask one line for all.
				negotiate.Vary(c.Response().Header(), echo.HeaderAccept)
				negotiate.Vary(c.Response().Header(), acceptLanguage)
				negotiate.Vary(c.Response().Header(), echo.HeaderAcceptEncoding)
				if negotiate.Preferred(c.Request().Header.Get(echo.HeaderAccept), asJSON, asHTML) == asHTML {
					site.ServeHTTP(c.Response(), c.Request())
					return nil
				}
			}
			err := s.gate.attend(c, func(c echo.Context) error { return serve(c, o) })
			count(s.metrics, c, o.ID, err)
			return err
		}
		path := pathParameters.Replace(o.Path)
		known[path] = true
		e.Add(o.Method, path, answer)
		if o.Method == http.MethodGet {
			e.Add(http.MethodHead, path, answer)
		}
	}
	for _, path := range []string{"/docs/*", "/embed/*", "/plan/*"} {
		known[path] = true
		e.Any(path, echo.WrapHandler(site))
	}
	known["/mcp"] = true
	e.Match([]string{http.MethodGet, http.MethodPost, http.MethodDelete}, "/mcp",
		d.messages(assistant.Handler(s.tools)))
	catalog, err := apiCatalog(cfg.PublicURL)
	if err != nil {
		return err
	}
	documentJSON, documentYAML, err := s.contract.ServedAt(cfg.PublicURL)
	if err != nil {
		return err
	}
	planSchema, err := s.contract.JSONSchema("PlanRequest", cfg.PublicURL+planSchemaPath)
	if err != nil {
		return err
	}
	offer, err := install.Load()
	if err != nil {
		return err
	}
	documents := map[string]echo.HandlerFunc{
		planSchemaPath:  fixed(entity.New("application/schema+json", planSchema)),
		"/licence":      fixed(entity.New("text/plain; charset=utf-8", install.Licence)),
		"/docs":         func(c echo.Context) error { return c.Redirect(http.StatusMovedPermanently, "/docs/") },
		"/plan":         func(c echo.Context) error { return c.Redirect(http.StatusMovedPermanently, "/plan/") },
		"/openapi.json": fixed(entity.New(contractMedia, documentJSON)),
		"/openapi.yaml": fixed(entity.New("application/vnd.oai.openapi;version=3.0", documentYAML)),
		"/.well-known/api-catalog": func(c echo.Context) error {
			c.Response().Header().Set("Link", links)
			return fixed(catalog)(c)
		},
		"/openapi/:name":            partOf(parts(s.contract, cfg.PublicURL)),
		"/llms.txt":                 fixed(plainIndex(s.contract, cfg.PublicURL)),
		"/.well-known/security.txt": fixed(securityText(cfg.PublicURL)),
		"/healthz":                  echo.WrapHandler(http.HandlerFunc(healthz)),
		"/readyz":                   echo.WrapHandler(http.HandlerFunc(s.ready.readyz)),
	}
	maps.Copy(documents, installable(offer))
	for path, h := range documents {
		known[path] = true
		e.Match([]string{http.MethodGet, http.MethodHead}, path, h)
	}
	return nil
}

// Assistant returns the tools for a program that talks to one assistant over its own input and output, without
// limits.
func (s *Server) Assistant() *mcp.Server { return s.tools }

// extractor finds the client's address: the peer's, or, behind proxies that are
// trusted by name, the last one in X-Forwarded-For that is not a proxy.
func extractor(proxies []*net.IPNet) echo.IPExtractor {
	if len(proxies) == 0 {
		return echo.ExtractIPDirect()
	}
	trust := []echo.TrustOption{echo.TrustLoopback(false), echo.TrustLinkLocal(false), echo.TrustPrivateNet(false)}
	for _, p := range proxies {
		trust = append(trust, echo.TrustIPRange(p))
	}
	return echo.ExtractIPFromXFFHeader(trust...)
}

func checkPublicURL(text string) error {
	if text == "" {
		return nil
	}
	u, err := url.Parse(text)
	if err != nil || (u.Scheme != "http" && u.Scheme != "https") || u.Host == "" || u.RawQuery != "" ||
		u.Fragment != "" {
		return fmt.Errorf("public URL %q: want the beginning of an address, such as https://host/path", text)
	}
	return nil
}

// ServeHTTP implements http.Handler.
func (s *Server) ServeHTTP(w http.ResponseWriter, r *http.Request) { s.echo.ServeHTTP(w, r) }

// Drain makes readiness fail, so that a load balancer sends nobody here any
// more. Requests are served as before.
func (s *Server) Drain() { s.ready.drain() }

// Ready tells whether requests should be sent here: not draining, and the
// contract's examples come out as they should.
func (s *Server) Ready(ctx context.Context) error { return s.ready.check(ctx) }

// Admin answers the operators of the service, on an address of its own:
// /metrics, /healthz and /readyz.
func (s *Server) Admin() http.Handler {
	mux := http.NewServeMux()
	mux.Handle("GET /metrics", promhttp.HandlerFor(s.metrics.registry, promhttp.HandlerOpts{}))
	mux.HandleFunc("GET /healthz", healthz)
	mux.HandleFunc("GET /readyz", s.ready.readyz)
	return mux
}
