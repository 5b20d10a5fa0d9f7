package webdocs

import (
	"encoding/json"
	"errors"
	"io"
	"maps"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"saltwright/internal/packed"
)

// workshopPosted takes a change of a plan and leads to the address of what comes of it.
func (s *Site) workshopPosted(w http.ResponseWriter, r *http.Request) {
	r.Body = http.MaxBytesReader(w, r.Body, mostPosted)
	err := r.ParseMultipartForm(mostPosted)
	if errors.Is(err, http.ErrNotMultipart) {
		err = r.ParseForm()
	}
	if err != nil {
		s.fail(w, r, http.StatusBadRequest, "The form could not be read: send its fields, at most 256 kB.")
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

// change takes a part's form, or takes a part away.
func (s *Site) change(w http.ResponseWriter, r *http.Request, sent url.Values) {
	document, err := unpackedPlan(sent.Get("plan"))
	if err != nil {
		s.fail(w, r, http.StatusUnprocessableEntity, sentence(err.Error()))
		return
	}
	b := s.newBench(sent)
	b.Was = sent.Get("plan")
	form := s.partFormOf(document, b.Part, b.US)
	if form == nil {
		s.fail(w, r, http.StatusUnprocessableEntity, "The plan has no such part.")
		return
	}
	if sent.Get("do") == "remove" {
		removeAt(document, b.Part)
		s.goOn(w, r, document, b, "")
		return
	}
	_, part, _ := s.find(document, b.Part)
	if part == nil {
		part = plan{}
	}
	old, _ := part["id"].(string)
	form.read(sent, part, sent.Get(labelled) == usUnits)
	if len(form.Errors) > 0 {
		b.Was = sent.Get("was")
		s.bench(w, r, http.StatusUnprocessableEntity, document, b, form)
		return
	}
	at := storeAt(document, b.Part, part)
	if id, _ := part["id"].(string); old != "" && id != "" && id != old {
		rename(document, old, id)
	}
	s.goOn(w, r, document, b, at)
}

// storeAt puts a part where it belongs and returns where that is.
func storeAt(document plan, at string, part plan) string {
	if at == about {
		return at
	}
	tokens := strings.Split(at, "/")
	inside := document
	for i, token := range tokens[:len(tokens)-1] {
		if list, ok := inside[token].([]any); ok || i == len(tokens)-2 && tokens[i+1] == "+" {
			if tokens[i+1] == "+" {
				inside[token] = append(list, part)
				return strings.Join(tokens[:i+1], "/") + "/" + strconv.Itoa(len(list))
			}
			return at // it is there: what was read into it is in the plan
		}
		next, ok := inside[token].(plan)
		if !ok {
			next = plan{}
			inside[token] = next
		}
		inside = next
	}
	inside[tokens[len(tokens)-1]] = part
	return at
}

// removeAt takes a part away.
func removeAt(document plan, at string) {
	tokens := strings.Split(at, "/")
	inside := document
	for i, token := range tokens {
		switch v := inside[token].(type) {
		case plan:
			if i == len(tokens)-1 {
				delete(inside, token)
				return
			}
			inside = v
		case []any:
			if i+1 < len(tokens) {
				if n, err := strconv.Atoi(tokens[i+1]); err == nil && n >= 0 && n < len(v) {
					inside[token] = slices.Delete(v, n, n+1)
				}
			}
			return
		default:
			return
		}
	}
}

// goOn leads to the bench of a plan, with the one before for the way back.
func (s *Site) goOn(w http.ResponseWriter, r *http.Request, document plan, b *benchPage, part string) {
	link, err := packPlan(document)
	if err != nil {
		s.broken(w, r, err)
		return
	}
	if len(link) > packed.MostCharacters {
		b.Part = part
		s.bench(w, r, http.StatusOK, document, b, nil)
		return
	}
	q := url.Values{"plan": {link}}
	if b.Was != "" && b.Was != link && len(link)+len(b.Was) < packed.MostCharacters {
		q.Set("was", b.Was)
	}
	for name, value := range map[string]string{"part": part, "units": b.Units} {
		if value != "" {
			q.Set(name, value)
		}
	}
	http.Redirect(w, r, workshopPath+"?"+q.Encode(), http.StatusSeeOther)
}

// open takes a plan from a file, from a link, or as it was pasted.
func (s *Site) open(w http.ResponseWriter, r *http.Request, sent url.Values) {
	start := newStart(sent)
	raw := []byte(strings.TrimSpace(sent.Get("document")))
	if r.MultipartForm != nil && len(r.MultipartForm.File["file"]) > 0 {
		if f, err := r.MultipartForm.File["file"][0].Open(); err == nil {
			read, err := io.ReadAll(io.LimitReader(f, mostPosted))
			if closed := f.Close(); err == nil && closed == nil && len(read) > 0 {
				raw = read
			}
		}
	}
	document, err := readPlan(raw)
	if err != nil {
		start.Problem, start.Link = err.Error(), sent.Get("document")
		s.workshopStart(w, r, http.StatusUnprocessableEntity, start)
		return
	}
	s.goOn(w, r, document, s.newBench(sent), "")
}

// readPlan reads a plan's JSON, or a link that carries one. Errors: what a reader can do about it.
func readPlan(raw []byte) (plan, error) {
	text := string(raw)
	if len(raw) == 0 {
		return nil, errors.New("choose a file, or paste a link or a plan")
	}
	if at, err := url.Parse(text); err == nil && at.Query().Get("plan") != "" {
		return unpackedPlan(at.Query().Get("plan"))
	}
	var document plan
	if err := json.Unmarshal(raw, &document); err != nil || document == nil {
		return nil, errors.New("this is no plan: its text must be the JSON of one, or a link with plan= in it")
	}
	if inner, ok := document["plan"].(plan); ok { // an answer or a request around it
		document = inner
	}
	return document, nil
}

// planFile is a plan to keep: readable, with the address of its schema.
func (s *Site) planFile(w http.ResponseWriter, r *http.Request) {
	document, err := unpackedPlan(r.URL.Query().Get("plan"))
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
