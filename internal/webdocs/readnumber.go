package webdocs

import (
	"encoding/json"
	"net/http"

	"saltwright/clients/reading"
)

// readNumber is what the service says of a text that somebody wrote into a field of a widget: one of the two.
type readNumber struct {
	Number  *float64 `json:"number,omitempty"`  // in the contract's unit
	Unclear string   `json:"unclear,omitempty"` // why it could not be read and what to write, in the reader's language
}

// labelsOfWidgets are the units beside which widgets take numbers of readers of metric units, where that is not the
// contract's unit: people measure tanks in cm.
var labelsOfWidgets = map[string]string{"mm": "cm"}

// readNumber reads what somebody wrote into a field as the pages do: "36 in", "1,2 m", "68F".
func (s *Site) readNumber(w http.ResponseWriter, r *http.Request) {
	h, q := w.Header(), r.URL.Query()
	h.Set("Access-Control-Allow-Origin", "*")
	h.Set("Cross-Origin-Resource-Policy", "cross-origin")
	x := s.calculatorFor(r, q.Get("calculator"))
	if x == nil {
		http.Error(w, "calculator must be the name of one: /docs/calculators/ lists them.", http.StatusNotFound)
		return
	}
	m := memberAt(x.post.Body, q.Get("member"))
	if m == nil || m.Schema.Type != "number" && m.Schema.Type != "integer" {
		http.Error(w, "member must be a number that "+x.Name+" takes, such as room_c or channels/0/peak_ppfd.",
			http.StatusUnprocessableEntity)
		return
	}
	want := wanted(m, q.Get(labelled) == usUnits)
	if !want.US {
		want.Bare = labelsOfWidgets[want.Unit]
	}
	var said readNumber
	if number, err := reading.Field(q.Get("text"), want); err != nil {
		beside := unitFor(want.Unit, want.US)
		if want.Bare != "" {
			beside = want.Bare
		}
		said.Unclear = sentence(unclearIn(x.voice, err, beside))
	} else {
		said.Number = &number
	}
	data, err := json.Marshal(said)
	if err != nil {
		s.broken(w, r, err)
		return
	}
	f := newFile("application/json", "public, max-age=300", append(data, '\n'))
	f.language = x.voice.Language
	f.serve(w, r)
}
