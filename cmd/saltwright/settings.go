package main

import (
	"bytes"
	"flag"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"net/url"
	"os"
	"runtime"
	"strings"
	"time"

	"saltwright/internal/limit"
	"saltwright/internal/transport"
)

// Times and sizes that keep slow or careless clients from holding the server.
const (
	readHeaderTimeout = 5 * time.Second
	readTimeout       = 10 * time.Second
	idleTimeout       = 60 * time.Second
	maxHeaderBytes    = 16 << 10
)

// settings are what an operator can choose, from flags or the environment.
type settings struct {
	addr, adminAddr string
	publicURL       string
	proxies         []*net.IPNet
	keysFile        string
	secretFile      string
	secretPeriod    time.Duration
	limitStoreURL   string
	perMinute       int
	perDay          int
	places          int
	drainDelay      time.Duration
	shutdownTimeout time.Duration
	logLevel        slog.Level
	tracing         bool
	traceCallers    bool
	check           string
	version         bool
	licences        bool
	assistant       bool
}

func readSettings(args []string, getenv func(string) string) (settings, error) {
	var s settings
	var proxies string
	flags := flag.NewFlagSet("saltwright", flag.ContinueOnError)
	env := map[string]string{} // flag -> environment variable
	name := func(flag, usage string) string {
		env[flag] = "SALTWRIGHT_" + strings.ToUpper(strings.ReplaceAll(flag, "-", "_"))
		return usage + " (" + env[flag] + ")"
	}
	text := func(to *string, flag, value, usage string) { flags.StringVar(to, flag, value, name(flag, usage)) }
	text(&s.addr, "addr", "127.0.0.1:8080", "address to listen on")
	text(&s.adminAddr, "admin-addr", "", "address of /metrics, /healthz and /readyz for operators; empty: none")
	text(&s.publicURL, "public-url", "",
		"where the service is reached: beginning of the addresses in problems, the contract and on pages")
	text(&proxies, "trusted-proxies", "",
		"networks, such as 10.0.0.0/8, divided by commas, whose X-Forwarded-For is believed")
	text(&s.keysFile, "keys-file", "", "JSON file of the keys' hashes and quotas")
	text(&s.secretFile, "address-secret-file", "",
		"file of 32 random bytes or more, the same for all replicas, that hides addresses in the limit store")
	flags.DurationVar(&s.secretPeriod, "address-secret-period", 24*time.Hour,
		name("address-secret-period", "how long an address has the same name in the limit store"))
	text(&s.limitStoreURL, "limit-store-url", "",
		"redis:// address of a Redis or Valkey that replicas share; empty: each counts for itself")
	flags.IntVar(&s.places, "places", places(), name("places",
		"how many long calculations run at once; preset by processors and memory"))
	flags.IntVar(&s.perMinute, "per-minute", 1500,
		name("per-minute", "units a minute of a client without a key; 0: no limits"))
	flags.IntVar(&s.perDay, "per-day", 50000, name("per-day", "units a day of a client without a key"))
	flags.DurationVar(&s.drainDelay, "drain-delay", 0,
		name("drain-delay", "how long to go on serving after readiness has been withdrawn"))
	flags.DurationVar(&s.shutdownTimeout, "shutdown-timeout", 20*time.Second,
		name("shutdown-timeout", "how long the last requests may take"))
	flags.TextVar(&s.logLevel, "log-level", slog.LevelInfo, name("log-level", "debug, info, warn or error"))
	flags.BoolVar(&s.traceCallers, "trace-callers", false, name("trace-callers",
		"put a caller's address and user agent into traces, and go on with the trace that it names"))
	flags.BoolVar(&s.version, "version", false, "print the version and exit")
	flags.BoolVar(&s.licences, "licences", false, "print the licences of what is linked in and exit")
	flags.BoolVar(&s.assistant, "assistant", false,
		"offer the calculations as tools over standard input and output (Model Context Protocol) and serve nothing "+
			"else")
	flags.StringVar(&s.check, "check", "",
		"ask this address, such as http://127.0.0.1:9090/readyz, and exit with 0 if it answers 200")
	for flag, variable := range env {
		if v := getenv(variable); v != "" {
			if err := flags.Set(flag, v); err != nil {
				return s, fmt.Errorf("%s: %w", variable, err)
			}
		}
	}
	if err := flags.Parse(args); err != nil {
		return s, err
	}
	if flags.NArg() > 0 {
		return s, fmt.Errorf("unexpected argument %q", flags.Arg(0))
	}
	var err error
	if s.proxies, err = readNetworks(proxies); err != nil {
		return s, fmt.Errorf("trusted-proxies: %w", err)
	}
	s.tracing = getenv("OTEL_EXPORTER_OTLP_ENDPOINT") != "" || getenv("OTEL_EXPORTER_OTLP_TRACES_ENDPOINT") != ""
	return s, s.refuse()
}

// config opens what the settings name. The limit store is closed by the function returned.
func (s settings) config(log *slog.Logger) (cfg transport.Config, closeStore func() error, err error) {
	closeStore = func() error { return nil }
	cfg = transport.Config{PublicURL: s.publicURL, Listen: s.addr, Logger: log, TrustedProxies: s.proxies,
		Places: s.places}
	if s.perMinute > 0 {
		cfg.Quotas = transport.Quotas("anon", s.perMinute, s.perDay)
	}
	if s.keysFile != "" {
		data, err := os.ReadFile(s.keysFile)
		if err != nil {
			return cfg, closeStore, err
		}
		if cfg.Keys, err = transport.ReadKeys(data); err != nil {
			return cfg, closeStore, fmt.Errorf("%s: %w", s.keysFile, err)
		}
	}
	secret, err := s.secret()
	if err != nil {
		return cfg, closeStore, fmt.Errorf("address-secret-file: %w", err)
	}
	if cfg.Names, err = limit.NewPseudonyms(secret, s.secretPeriod, time.Now); err != nil {
		return cfg, closeStore, fmt.Errorf("address-secret: %w", err)
	}
	if s.limitStoreURL != "" {
		store, err := limit.OpenRedis(s.limitStoreURL, "saltwright:")
		if err != nil {
			return cfg, closeStore, err
		}
		cfg.LimitStore, closeStore = store, store.Close
	}
	return cfg, closeStore, nil
}

// knownSecret hides nothing. It is what replicas agree on that share a store and were given no secret; warnings says
// so.
var knownSecret = make([]byte, limit.LeastSecret)

// secret is what addresses are hidden by.
func (s settings) secret() ([]byte, error) {
	switch {
	case s.secretFile != "":
		data, err := os.ReadFile(s.secretFile)
		return bytes.TrimSpace(data), err
	case s.limitStoreURL != "":
		return knownSecret, nil
	}
	return limit.RandomSecret(), nil
}

func (s settings) server(h http.Handler, log *slog.Logger) *http.Server {
	return &http.Server{
		Handler: h, ReadHeaderTimeout: readHeaderTimeout, ReadTimeout: readTimeout, IdleTimeout: idleTimeout,
		MaxHeaderBytes: maxHeaderBytes, // an answer's time is its listener's matter
		ErrorLog:       slog.NewLogLogger(log.Handler(), slog.LevelWarn),
	}
}

// attributes are the settings for the log, without secrets.
func (s settings) attributes() []slog.Attr {
	store := ""
	if u, err := url.Parse(s.limitStoreURL); err == nil {
		store = u.Redacted()
	}
	var proxies []string
	for _, p := range s.proxies {
		proxies = append(proxies, p.String())
	}
	return []slog.Attr{
		slog.String("addr", s.addr), slog.String("admin_addr", s.adminAddr), slog.String("public_url", s.publicURL),
		slog.Any("trusted_proxies", proxies), slog.String("keys_file", s.keysFile),
		slog.String("limit_store_url", store),
		slog.String("address_secret_file", s.secretFile),
		slog.Float64("address_secret_period_s", s.secretPeriod.Seconds()),
		slog.Int("per_minute", s.perMinute), slog.Int("per_day", s.perDay),
		slog.Int("places", s.places), slog.Int("processors", runtime.GOMAXPROCS(0)),
		slog.Int64("memory_limit_bytes", memoryLimit()),
		slog.Float64("drain_delay_s", s.drainDelay.Seconds()),
		slog.Float64("shutdown_timeout_s", s.shutdownTimeout.Seconds()),
		slog.String("log_level", s.logLevel.String()), slog.Bool("tracing", s.tracing),
		slog.Bool("trace_callers", s.traceCallers),
	}
}

// refuse returns what no operator can mean: settings that would turn a protection off in silence.
func (s settings) refuse() error {
	switch {
	case s.perMinute < 0:
		return fmt.Errorf("per-minute %d: want 1 or more, or 0 for no limits", s.perMinute)
	case s.perMinute > 0 && s.perDay < s.perMinute:
		return fmt.Errorf("per-day %d: want no less than per-minute, %d", s.perDay, s.perMinute)
	case s.places < 1:
		return fmt.Errorf("places %d: want 1 or more", s.places)
	case s.drainDelay < 0:
		return fmt.Errorf("drain-delay %v: want 0 or more", s.drainDelay)
	case s.shutdownTimeout <= 0:
		return fmt.Errorf("shutdown-timeout %v: want more than 0, or nobody's last request is answered",
			s.shutdownTimeout)
	}
	return nil
}

// warnings are settings that an operator may mean and should know of.
func (s settings) warnings() []string {
	var out []string
	if s.perMinute == 0 {
		out = append(out, "per-minute is 0: clients without a key have no limits")
	}
	if s.traceCallers {
		out = append(out, "trace-callers is set: traces hold addresses and user agents of callers")
	}
	if s.limitStoreURL != "" && s.secretFile == "" {
		out = append(out, "the limit store has no address-secret-file: "+
			"whoever reads the store, or a refusal in the log, can find a client's address by trying them all")
	}
	return out
}
