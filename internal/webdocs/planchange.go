package webdocs

import (
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"saltwright/internal/packed"
)

// change takes a part's form, or takes a part away.
func (s *Site) change(w http.ResponseWriter, r *http.Request, sent url.Values) {
	document, err := unpackedPlan(readerOf(r).Voice, sent.Get("plan"))
	if err != nil {
		s.fail(w, r, http.StatusUnprocessableEntity, sentence(err.Error()))
		return
	}
	b := s.newBench(sent)
	b.Was = sent.Get("plan")
	form := s.partFormOf(readerOf(r).Voice, document, b.Part, b.US)
	if form == nil {
		s.fail(w, r, http.StatusUnprocessableEntity, readerOf(r).Say("no_such_part"))
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
	form.read(readerOf(r).Voice, sent, part, sent.Get(labelled) == usUnits)
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
	chosen := ""
	if to := readerOf(r); to.chosen {
		chosen = string(to.Language)
	}
	for name, value := range map[string]string{"part": part, "units": b.Units, languageParameter: chosen} {
		if value != "" {
			q.Set(name, value)
		}
	}
	http.Redirect(w, r, workshopPath+"?"+q.Encode(), http.StatusSeeOther)
}
