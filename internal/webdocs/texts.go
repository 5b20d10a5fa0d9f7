package webdocs

import (
	"encoding/json"
	"net/http"
)

// textCode is a text that an answer may hold, as the API gives it.
type textCode struct {
	Code, One, Other string
	Params           []struct{ Name, Kind, Quantity, Unit string }
}

// texts lists the codes of all texts.
func (s *Site) texts(w http.ResponseWriter, r *http.Request) {
	data, err := s.ask(r, http.MethodGet, "/v1/texts", "application/json", nil)
	if err != nil {
		s.broken(w, r, err)
		return
	}
	var list struct{ Texts []textCode }
	if err := json.Unmarshal(data, &list); err != nil {
		s.broken(w, r, err)
		return
	}
	to := readerOf(r)
	s.show(w, r, http.StatusOK, "texts", view{
		Title: to.Say("texts_title"), About: to.Say("texts_about"),
		Section: "texts", Body: list.Texts,
	})
}
