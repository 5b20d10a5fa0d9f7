// Package saltwright is the Go client of the saltwright service. It has one method for every operation of the contract,
// returns problems as typed errors, and tries again where that can help. Types and methods are generated from the
// contract. Numbers are metric with the unit in the name; units.go converts others.
package saltwright

import (
	"bytes"
	"compress/flate"
	"context"
	"encoding/base64"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"net/http"
	"net/url"
	"strconv"
	"strings"
	"time"
)

//go:generate go run ./generate

// Client calls one service. It is safe for concurrent use.
type Client struct {
	base      string
	http      *http.Client
	key       string
	userAgent string
	tries     int
	longest   time.Duration
	budget    time.Duration // of one call with all its tries; 0: as long as its context lasts
	kept      *kept         // nil: nothing is kept
	sleep     func(ctx context.Context, d time.Duration) error
}

// Option changes a client.
type Option func(*Client)

// New returns a client of the service at base, such as https://saltwright.example
// or an address with a path before /v1.
//
// Errors: when base is no absolute http or https address.
func New(base string, options ...Option) (*Client, error) {
	u, err := url.Parse(base)
	if err != nil || (u.Scheme != "http" && u.Scheme != "https") || u.Host == "" || u.RawQuery != "" ||
		u.Fragment != "" {
		return nil, fmt.Errorf(
			"saltwright: base %q: want the beginning of an address, such as https://saltwright.example", base,
		)
	}
	c := &Client{
		base: strings.TrimRight(base, "/"), http: http.DefaultClient, userAgent: "saltwright-go/" + ContractVersion,
		tries: 4, longest: 30 * time.Second, sleep: sleep,
	}
	for _, o := range options {
		o(c)
	}
	return c, nil
}

// WithHTTPClient sends requests through h.
func WithHTTPClient(h *http.Client) Option { return func(c *Client) { c.http = h } }

// WithKey sends a key, which has quotas of its own.
func WithKey(key string) Option { return func(c *Client) { c.key = key } }

// WithUserAgent names the program that asks.
func WithUserAgent(name string) Option { return func(c *Client) { c.userAgent = name } }

// WithTries sets how often a request is sent at most (at least once) and the longest wait between two tries. A problem
// whose Retry-After is longer is returned at once.
func WithTries(tries int, longest time.Duration) Option {
	return func(c *Client) { c.tries, c.longest = max(1, tries), longest }
}

// WithBudget ends every call after a time, with all its tries and waits. A wait that would outlast it is not begun: the
// problem is returned at once.
func WithBudget(budget time.Duration) Option { return func(c *Client) { c.budget = budget } }

// Interactive suits a program in which somebody waits: two tries, a second between them at most, ten seconds in all.
func Interactive() Option {
	return func(c *Client) {
		WithTries(2, time.Second)(c)
		WithBudget(10 * time.Second)(c)
	}
}

// WithKept keeps the last most answers to GET in memory and asks for each again with its ETag: what has not changed is
// answered by 304, without a body. Meta.Kept tells. Without it nothing is kept.
func WithKept(most int) Option {
	return func(c *Client) {
		c.kept = nil
		if most > 0 {
			c.kept = newKept(most)
		}
	}
}

// WithSleep replaces the function that waits between two tries, for tests.
func WithSleep(f func(ctx context.Context, d time.Duration) error) Option {
	return func(c *Client) { c.sleep = f }
}

func sleep(ctx context.Context, d time.Duration) error {
	t := time.NewTimer(d)
	defer t.Stop()
	select {
	case <-t.C:
		return nil
	case <-ctx.Done():
		return ctx.Err()
	}
}

// CallOption changes one call: a query parameter that shapes the answer.
type CallOption func(url.Values)

// US writes the answer's texts in US units; numbers stay metric.
func US() CallOption { return func(q url.Values) { q.Set("units", "us") } }

// In writes the answer's texts in a language: en, de or es. Without it they are English.
func In(language string) CallOption { return func(q url.Values) { q.Set("language", language) } }

// WithCharts asks for the answer as pictures, too.
func WithCharts() CallOption { return func(q url.Values) { q.Set("include", "charts") } }

// Detail asks how much plan-audit tells: brief, usual or full, which has every fault.
func Detail(detail string) CallOption { return func(q url.Values) { q.Set("detail", detail) } }

// OfFault asks plan-audit for the course of one fault, by its id.
func OfFault(id string) CallOption { return func(q url.Values) { q.Set("fault", id) } }

// Samples asks how sure the answer is, from n random draws (1 to 1000) that a seed determines.
func Samples(n, seed int) CallOption {
	return func(q url.Values) { q.Set("samples", strconv.Itoa(n)); q.Set("seed", strconv.Itoa(seed)) }
}

// Meta is what came with an answer.
type Meta struct {
	Status    int
	RequestID string  // identifies the request in the service's log
	ETag      string  // of answers to GET
	Location  string  // the address that gives the same answer by GET, where there is one
	Cost      int     // units of the quotas that it cost
	Limits    []Limit // where this client stands with its quotas; empty where there are none
	Tries     int
	Kept      bool // 304: unchanged since it was asked for before, and taken from what WithKept keeps
}

// ProblemError is an answer other than 200: an RFC 9457 document. Use errors.As to get it.
type ProblemError struct {
	Problem
	RetryAfter time.Duration // how long to wait; 0 when the answer does not say
	Meta       Meta
}

// Error says what is wrong and where.
func (e *ProblemError) Error() string {
	text := fmt.Sprintf("saltwright: %d %s: %s", e.Status, e.Title, e.Detail)
	for _, v := range e.Errors {
		at := ""
		switch {
		case v.Pointer != nil:
			at = *v.Pointer
		case v.Parameter != nil:
			at = *v.Parameter
		}
		text += "; " + at + " " + v.Detail
	}
	return text
}

func pathEscape(s string) string { return url.PathEscape(s) }

// call asks for JSON.
func call[Answer any](
	ctx context.Context, c *Client, method, path string, request any, options []CallOption,
) (*Answer, *Meta, error) {
	data, meta, err := c.send(ctx, method, path, "application/json", request, options)
	if err != nil {
		return nil, meta, err
	}
	out := new(Answer)
	if err := json.Unmarshal(data, out); err != nil {
		return nil, meta, fmt.Errorf(
			"saltwright: %s %s answered something else than the contract says: %w", method, path, err,
		)
	}
	return out, meta, nil
}

func (c *Client) report(
	ctx context.Context, path, media string, request any, options []CallOption,
) ([]byte, *Meta, error) {
	return c.send(ctx, http.MethodPost, path, media, request, options)
}

// send sends a request until there is an answer, or an error that another try would not change.
func (c *Client) send(
	ctx context.Context, method, path, accept string, request any, options []CallOption,
) ([]byte, *Meta, error) {
	query := url.Values{}
	for _, o := range options {
		o(query)
	}
	var body []byte
	if request != nil {
		var err error
		if body, err = json.Marshal(request); err != nil {
			return nil, nil, fmt.Errorf("saltwright: %w", err)
		}
		if method == http.MethodGet {
			if err := addMembers(query, body); err != nil {
				return nil, nil, err
			}
			body = nil
		}
	}
	address := c.base + path
	if len(query) > 0 {
		address += "?" + query.Encode()
	}
	if c.budget > 0 {
		var cancel context.CancelFunc
		ctx, cancel = context.WithTimeout(ctx, c.budget)
		defer cancel()
	}
	for try := 1; ; try++ {
		data, meta, err := c.sendOnce(ctx, method, address, accept, body)
		if meta != nil {
			meta.Tries = try
		}
		if err == nil {
			return data, meta, nil
		}
		wait, again := c.wait(err, try)
		if deadline, ok := ctx.Deadline(); ok && wait >= time.Until(deadline) {
			again = false
		}
		if !again || ctx.Err() != nil {
			return nil, meta, err
		}
		if slept := c.sleep(ctx, wait); slept != nil {
			return nil, meta, errors.Join(err, slept)
		}
	}
}

// wait returns whether another try can help, and how long to wait first: as long as the service asks or, failing that,
// a random part of a span that doubles. Operations only calculate, so any of them may be sent again.
func (c *Client) wait(err error, try int) (time.Duration, bool) {
	if try >= c.tries {
		return 0, false
	}
	// #nosec G404 -- chance against crowding, no secret
	backoff := time.Duration(rand.Int64N(int64(min(c.longest, 250*time.Millisecond<<try)) + 1))
	var p *ProblemError
	if !errors.As(err, &p) {
		return backoff, true // a failure of the network
	}
	switch p.Status {
	case http.StatusTooManyRequests, http.StatusServiceUnavailable:
		if p.Code == "out_of_time" {
			return 0, false
		}
		if p.RetryAfter > 0 {
			return p.RetryAfter, p.RetryAfter <= c.longest
		}
		return backoff, p.Status == http.StatusServiceUnavailable
	case http.StatusBadGateway, http.StatusGatewayTimeout:
		return backoff, true
	}
	return 0, false
}

// largestAnswer is the most bytes that are read; reports are the longest answers.
const largestAnswer = 16 << 20

func (c *Client) sendOnce(ctx context.Context, method, address, accept string, body []byte) ([]byte, *Meta, error) {
	req, err := http.NewRequestWithContext(ctx, method, address, bytes.NewReader(body))
	if err != nil {
		return nil, nil, fmt.Errorf("saltwright: %w", err)
	}
	req.Header.Set("Accept", accept+", application/problem+json")
	req.Header.Set("User-Agent", c.userAgent)
	if body != nil {
		req.Header.Set("Content-Type", "application/json")
	}
	if c.key != "" {
		req.Header.Set("X-API-Key", c.key)
	}
	known := keptAnswer{}
	if method == http.MethodGet {
		known = c.kept.find(accept + " " + address)
	}
	if known.tag != "" {
		req.Header.Set("If-None-Match", known.tag)
	}
	res, err := c.http.Do(req)
	if err != nil {
		return nil, nil, fmt.Errorf("saltwright: %w", err)
	}
	defer res.Body.Close()
	data, err := io.ReadAll(io.LimitReader(res.Body, largestAnswer+1))
	if err == nil && len(data) > largestAnswer {
		err = fmt.Errorf("the answer is longer than %d bytes", largestAnswer)
	}
	meta := metaOf(res)
	if err != nil {
		return nil, meta, fmt.Errorf("saltwright: %w", err)
	}
	if res.StatusCode == http.StatusNotModified && known.tag != "" {
		meta.Kept = true
		return known.body, meta, nil
	}
	if res.StatusCode != http.StatusOK {
		return nil, meta, problemOf(res, data, *meta)
	}
	if method == http.MethodGet {
		c.kept.keep(keptAnswer{accept + " " + address, meta.ETag, data})
	}
	return data, meta, nil
}

func metaOf(res *http.Response) *Meta {
	h := res.Header
	cost, _ := strconv.Atoi(h.Get("X-Request-Cost")) // 0 where something in between answered
	return &Meta{
		Status: res.StatusCode, RequestID: h.Get("X-Request-Id"), ETag: h.Get("ETag"),
		Location: h.Get("Content-Location"), Cost: cost,
		Limits: limitsOf(h.Get("RateLimit"), h.Get("RateLimit-Policy")),
	}
}

// problemOf reads a problem document, or makes one when a proxy in between answered something else.
func problemOf(res *http.Response, data []byte, meta Meta) error {
	e := &ProblemError{Meta: meta}
	if json.Unmarshal(data, &e.Problem) != nil || e.Code == "" {
		e.Problem = Problem{
			Title: http.StatusText(res.StatusCode), Detail: "Something between this client and the service answered.",
		}
	}
	e.Status = res.StatusCode
	if s, err := strconv.Atoi(res.Header.Get("Retry-After")); err == nil && s > 0 {
		e.RetryAfter = time.Duration(s) * time.Second
	}
	return e
}

// addMembers writes a flat request as query parameters.
func addMembers(query url.Values, body []byte) error {
	dec := json.NewDecoder(bytes.NewReader(body))
	dec.UseNumber()
	var members map[string]any
	if err := dec.Decode(&members); err != nil {
		return fmt.Errorf("saltwright: %w", err)
	}
	for name, v := range members {
		switch object := v.(type) {
		case map[string]any:
			packed, err := pack(object)
			if err != nil {
				return fmt.Errorf("saltwright: %s: %w", name, err)
			}
			v = packed
		case []any, nil:
			return fmt.Errorf("saltwright: %s is no single value: ask by POST", name)
		}
		query.Set(name, fmt.Sprint(v))
	}
	return nil
}

// pack writes a document as an address carries it: compressed by DEFLATE, in base64url.
func pack(document any) (string, error) {
	plain, err := json.Marshal(document)
	if err != nil {
		return "", err
	}
	var small bytes.Buffer
	to, err := flate.NewWriter(&small, flate.BestCompression)
	if err != nil {
		return "", err
	}
	_, err = to.Write(plain)
	err = errors.Join(err, to.Close())
	return base64.RawURLEncoding.EncodeToString(small.Bytes()), err
}

// Of returns a pointer to a value, for members that may be left out.
func Of[T any](v T) *T { return &v }
