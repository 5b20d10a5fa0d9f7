package webdocs

import (
	"bytes"
	"encoding/json"
	"fmt"
	"net/http"
)

// reply is what the API answered in this process.
type reply struct {
	status int
	header http.Header
	body   []byte
}

// writer keeps what a handler writes.
type writer struct{ reply }

func (w *writer) Header() http.Header { return w.header }

func (w *writer) WriteHeader(status int) {
	if w.status == 0 {
		w.status = status
	}
}

func (w *writer) Write(p []byte) (int, error) {
	w.WriteHeader(http.StatusOK)
	w.body = append(w.body, p...)
	return len(p), nil
}

// call asks the API on behalf of whoever asked for the page: with their context, and counted as theirs.
func (s *Site) call(r *http.Request, method, target, accept string, body []byte) (reply, error) {
	// #nosec G704 -- served by this process, nothing is dialled
	inner, err := http.NewRequestWithContext(r.Context(), method, target, bytes.NewReader(body))
	if err != nil {
		return reply{}, err
	}
	inner.RequestURI, inner.RemoteAddr, inner.Host, inner.TLS = target, r.RemoteAddr, r.Host, r.TLS
	for _, name := range []string{"X-Forwarded-For", "X-Real-Ip", "Forwarded", "User-Agent"} {
		if v := r.Header.Values(name); len(v) > 0 {
			inner.Header[name] = v
		}
	}
	inner.Header.Set("Accept", accept)
	inner.Header.Set(acceptLanguage, string(readerOf(r).Language))
	if body != nil {
		inner.Header.Set("Content-Type", "application/json")
	}
	w := &writer{reply{header: http.Header{}}}
	s.api.ServeHTTP(w, inner)
	w.WriteHeader(http.StatusOK)
	return w.reply, nil
}

// ask is call that takes 200 only; anything else is a *refusal.
func (s *Site) ask(r *http.Request, method, target, accept string, body []byte) ([]byte, error) {
	got, err := s.call(r, method, target, accept, body)
	if err != nil {
		return nil, err
	}
	if got.status != http.StatusOK {
		e := &refusal{status: got.status, header: got.header}
		if err := json.Unmarshal(got.body, &e.problem); err != nil {
			return nil, fmt.Errorf("%s %s answered %d without a problem document", method, target, got.status)
		}
		return nil, e
	}
	return got.body, nil
}
