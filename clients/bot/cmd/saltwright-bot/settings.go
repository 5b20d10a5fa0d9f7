package main

import (
	"crypto/ed25519"
	"errors"
	"flag"
	"fmt"
	"io"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"time"

	"saltwright/clients/bot"
	"saltwright/clients/bot/interactions"
	"saltwright/clients/bot/standardwebhooks"
)

// settings are the flags and the environment.
type settings struct {
	addr, service, public, serviceKey string
	adminAddr, storeURL, check        string
	identity                          bot.Identity
	limits                            bot.Limits
	dryRun, ask, askJSON              bool
	question                          string // of -ask
	score                             string // directory of a corpus
	failures                          bool
	stopTimeout                       time.Duration

	standardKeys [][]byte
	standardURL  string

	forumSecrets                 [][]byte
	forumURL, forumKey, forumBot string

	interactionKeys                 []ed25519.PublicKey
	interactionsAPI, interactionApp string
}

const prefix = "SALTWRIGHT_BOT_"

// shortestSecret is the least number of bytes of a forum's secret; common practice, no source.
const shortestSecret = 16

func readSettings(args []string, getenv func(string) string, errOut io.Writer) (settings, error) {
	env := func(name, otherwise string) string {
		if v := getenv(prefix + name); v != "" {
			return v
		}
		return otherwise
	}
	s := settings{}
	flags := flag.NewFlagSet("saltwright-bot", flag.ContinueOnError)
	flags.SetOutput(errOut)
	flags.StringVar(&s.addr, "addr", env("ADDR", "127.0.0.1:8090"), "where to listen ("+prefix+"ADDR)")
	flags.StringVar(
		&s.adminAddr, "admin-addr", env("ADMIN_ADDR", ""),
		"where to serve metrics to operators; empty: nowhere ("+prefix+"ADMIN_ADDR)",
	)
	flags.StringVar(&s.check, "check", "", "ask an address such as http://127.0.0.1:8090/readyz once, and end")
	flags.StringVar(
		&s.service, "service", env("SERVICE", "http://127.0.0.1:8080"),
		"the saltwright service, before /v1 ("+prefix+"SERVICE)",
	)
	flags.StringVar(
		&s.public, "public", env("PUBLIC", ""),
		"where people reach the service, for links; empty: as -service ("+prefix+"PUBLIC)",
	)
	flags.StringVar(
		&s.identity.Name, "name", env("NAME", "saltwright"),
		"what people call the bot: @name, !name or /name ("+prefix+"NAME)",
	)
	flags.IntVar(
		&s.limits.ThreadAnHour, "thread-an-hour", 6,
		"replies in one thread at once, which grow back within an hour",
	)
	flags.IntVar(
		&s.limits.TotalAMinute, "total-a-minute", 60,
		"replies of the bot at once, which grow back within a minute",
	)
	flags.IntVar(&s.limits.QueueLength, "queue", 64, "questions that may wait")
	flags.IntVar(&s.limits.Workers, "workers", 4, "questions answered at a time")
	flags.DurationVar(&s.stopTimeout, "stop-timeout", 30*time.Second, "how long to answer what waits when stopped")
	flags.BoolVar(&s.dryRun, "dry-run", false, "write replies to the output and send none")
	flags.BoolVar(&s.ask, "ask", false, "answer one question, from the arguments or the input, and end")
	flags.BoolVar(&s.askJSON, "ask-json", false, "as -ask, and print one JSON object with what was understood")
	flags.StringVar(&s.score, "score", "", "print how well a corpus in this directory is read, and end")
	flags.BoolVar(&s.failures, "failures", false, "with -score: print each failure of the tuned half")
	if err := flags.Parse(args); err != nil {
		return s, err
	}
	s.ask = s.ask || s.askJSON
	if s.ask {
		s.question = strings.Join(flags.Args(), " ")
	} else if flags.NArg() > 0 {
		return s, fmt.Errorf("%q is no flag: questions go behind -ask", flags.Arg(0))
	}
	for name, v := range map[string]int{
		"thread-an-hour": s.limits.ThreadAnHour, "total-a-minute": s.limits.TotalAMinute, "queue": s.limits.QueueLength,
		"workers": s.limits.Workers,
	} {
		if v < 1 {
			return s, fmt.Errorf("-%s %d: at least 1", name, v)
		}
	}
	if s.public == "" {
		s.public = s.service
	}
	s.identity.Ignore = list(env("IGNORE", ""))
	// A bridge may report the bot's own replies back.
	s.identity.OwnIDs = append(list(env("OWN_IDS", "")), standardwebhooks.OwnID)
	var err error
	if s.serviceKey, err = secret(getenv, "SERVICE_KEY"); err != nil {
		return s, err
	}
	if s.storeURL, err = secret(getenv, "STORE_URL"); err != nil {
		return s, err
	}
	s.limits.AnswerTimeout, s.limits.SendTimeout, s.limits.Remember = answerTimeout, sendTimeout, remember
	if err := errors.Join(s.readStandard(getenv), s.readForum(getenv), s.readInteractions(getenv)); err != nil {
		return s, err
	}
	return s, s.refuse()
}

// Times of one answer, as in the README.
const (
	answerTimeout = 20 * time.Second
	sendTimeout   = 90 * time.Second
	remember      = 24 * time.Hour
)

// refuse returns what would lose replies in silence.
func (s *settings) refuse() error {
	if s.ask || s.score != "" || s.check != "" {
		return nil
	}
	// A queue that takes longer than a platform's token lasts answers into the void.
	if most := s.limits.Workers * int(interactions.TokenLasts/answerTimeout); s.limits.QueueLength > most {
		return fmt.Errorf(
			"-queue %d: at most %d with -workers %d: the last of more would be answered when it is too late",
			s.limits.QueueLength, most, s.limits.Workers,
		)
	}
	if s.storeURL == "" && s.stopTimeout < answerTimeout {
		return fmt.Errorf(
			"-stop-timeout %v: at least %v, the time of one answer, without a store (%sSTORE_URL), or replies are lost",
			s.stopTimeout, answerTimeout, prefix,
		)
	}
	return nil
}

func list(text string) []string {
	return strings.FieldsFunc(text, func(r rune) bool { return r == ',' || r == ' ' })
}

// secret reads a variable, or the file that is named by the variable with _FILE appended.
func secret(getenv func(string) string, name string) (string, error) {
	if v := getenv(prefix + name); v != "" {
		return v, nil
	}
	file := getenv(prefix + name + "_FILE")
	if file == "" {
		return "", nil
	}
	data, err := os.ReadFile(filepath.Clean(file))
	if err != nil {
		return "", fmt.Errorf("%s%s_FILE: %w", prefix, name, err)
	}
	return strings.TrimSpace(string(data)), nil
}

// secrets reads a secret and the previous one, which stays valid while the secret is changed.
func secrets(getenv func(string) string, name string) ([]string, error) {
	var out []string
	for _, n := range []string{name, name + "_OLD"} {
		v, err := secret(getenv, n)
		if err != nil {
			return nil, err
		}
		if v != "" {
			out = append(out, v)
		}
	}
	return out, nil
}

func (s *settings) readStandard(getenv func(string) string) error {
	texts, err := secrets(getenv, "STANDARD_SECRET")
	if err != nil {
		return err
	}
	for _, text := range texts {
		key, err := standardwebhooks.Secret(text)
		if err != nil {
			return fmt.Errorf("%sSTANDARD_SECRET: %w", prefix, err)
		}
		s.standardKeys = append(s.standardKeys, key)
	}
	s.standardURL = getenv(prefix + "STANDARD_REPLY_URL")
	return s.needAddress(len(s.standardKeys) > 0, "STANDARD_REPLY_URL", s.standardURL)
}

func (s *settings) readForum(getenv func(string) string) error {
	texts, err := secrets(getenv, "FORUM_SECRET")
	if err != nil {
		return err
	}
	for _, text := range texts {
		if len(text) < shortestSecret {
			return fmt.Errorf("%sFORUM_SECRET: at least %d characters", prefix, shortestSecret)
		}
		s.forumSecrets = append(s.forumSecrets, []byte(text))
	}
	if s.forumKey, err = secret(getenv, "FORUM_KEY"); err != nil {
		return err
	}
	s.forumURL, s.forumBot = getenv(prefix+"FORUM_URL"), getenv(prefix+"FORUM_USER")
	on := len(s.forumSecrets) > 0
	if s.forumBot != "" {
		s.identity.OwnIDs = append(s.identity.OwnIDs, s.forumBot)
	}
	// The name is needed in a dry run as well: without it the bot does not recognise its own posts.
	if on && s.forumBot == "" {
		return fmt.Errorf("%sFORUM_USER is needed: the bot must know its own posts", prefix)
	}
	return errors.Join(s.needAddress(on, "FORUM_URL", s.forumURL), s.need(on, "FORUM_KEY", s.forumKey))
}

func (s *settings) readInteractions(getenv func(string) string) error {
	for _, name := range []string{"INTERACTIONS_KEY", "INTERACTIONS_KEY_OLD"} {
		text := getenv(prefix + name)
		if text == "" {
			continue
		}
		key, err := interactions.PublicKey(text)
		if err != nil {
			return fmt.Errorf("%s%s: %w", prefix, name, err)
		}
		s.interactionKeys = append(s.interactionKeys, key)
	}
	s.interactionsAPI, s.interactionApp = getenv(prefix+"INTERACTIONS_API"), getenv(prefix+"INTERACTIONS_APPLICATION")
	on := len(s.interactionKeys) > 0
	if on && s.interactionApp == "" {
		return fmt.Errorf("%sINTERACTIONS_APPLICATION is needed", prefix)
	}
	return s.needAddress(on, "INTERACTIONS_API", s.interactionsAPI)
}

// need reports which setting an enabled adapter lacks to send replies.
func (s *settings) need(on bool, name, value string) error {
	if on && value == "" && !s.dryRun {
		return fmt.Errorf("%s%s is needed, or -dry-run", prefix, name)
	}
	return nil
}

// needAddress does so for one that is an address. What is written wrong is not shown: it may hold a token.
func (s *settings) needAddress(on bool, name, value string) error {
	if err := s.need(on, name, value); err != nil || !on || value == "" {
		return err
	}
	u, err := url.Parse(value)
	if err != nil || u.Scheme != "https" && u.Scheme != "http" || u.Host == "" {
		return fmt.Errorf("%s%s: want an address that begins with https://; every reply would be lost", prefix, name)
	}
	return nil
}
