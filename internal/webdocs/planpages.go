package webdocs

import (
	"encoding/json"
	"errors"
	"io"
	"maps"
	"net/http"
	"net/url"
	"strings"
)

// workshop shows the start, or the bench of the plan in the address.
func (s *Site) workshop(w http.ResponseWriter, r *http.Request) {
	q := r.URL.Query()
	if q.Get("plan") == "" {
		s.workshopStart(w, r, http.StatusOK, newStart(readerOf(r).Voice, q))
		return
	}
	document, err := unpackedPlan(readerOf(r).Voice, q.Get("plan"))
	if err != nil {
		start := newStart(readerOf(r).Voice, url.Values{})
		start.Problem, start.Link = err.Error(), ""
		s.workshopStart(w, r, http.StatusUnprocessableEntity, start)
		return
	}
	s.bench(w, r, http.StatusOK, document, s.newBench(q), nil)
}

// workshopPosted takes a change of a plan and leads to the address of what comes of it.
func (s *Site) workshopPosted(w http.ResponseWriter, r *http.Request) {
	r.Body = http.MaxBytesReader(w, r.Body, mostPosted)
	err := r.ParseMultipartForm(mostPosted) // #nosec G120 -- the line above bounds the body
	if errors.Is(err, http.ErrNotMultipart) {
		err = r.ParseForm()
	}
	if err != nil {
		s.fail(w, r, http.StatusBadRequest, readerOf(r).Say("form_not_read"))
		return
	}
	sent := r.PostForm
	if r.MultipartForm != nil {
		sent = url.Values(maps.Clone(r.MultipartForm.Value))
	}
	switch sent.Get("do") {
	case "draft", "bare":
		s.begin(w, r, sent)
	case "open":
		s.open(w, r, sent)
	default:
		s.change(w, r, sent)
	}
}

// open takes a plan from a file, from a link, or as it was pasted.
func (s *Site) open(w http.ResponseWriter, r *http.Request, sent url.Values) {
	start := newStart(readerOf(r).Voice, sent)
	raw := []byte(strings.TrimSpace(sent.Get("document")))
	if r.MultipartForm != nil && len(r.MultipartForm.File["file"]) > 0 {
		if f, err := r.MultipartForm.File["file"][0].Open(); err == nil {
			read, err := io.ReadAll(io.LimitReader(f, mostPosted))
			if closed := f.Close(); err == nil && closed == nil && len(read) > 0 {
				raw = read
			}
		}
	}
	document, err := readPlan(readerOf(r).Voice, raw)
	if err != nil {
		start.Problem, start.Link = err.Error(), sent.Get("document")
		s.workshopStart(w, r, http.StatusUnprocessableEntity, start)
		return
	}
	s.goOn(w, r, document, s.newBench(sent), "")
}

// planFile is a plan to keep: readable, with the address of its schema.
func (s *Site) planFile(w http.ResponseWriter, r *http.Request) {
	document, err := unpackedPlan(readerOf(r).Voice, r.URL.Query().Get("plan"))
	if err != nil {
		s.fail(w, r, http.StatusUnprocessableEntity, sentence(err.Error()))
		return
	}
	if document["$schema"] == nil {
		document["$schema"] = schemaPath
	}
	raw, err := json.MarshalIndent(document, "", "  ")
	if err != nil {
		s.broken(w, r, err)
		return
	}
	w.Header().Set("Content-Disposition", `attachment; filename="plan.json"`)
	newFile("application/json", "no-store", append(raw, '\n')).serve(w, r)
}
