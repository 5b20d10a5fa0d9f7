package webdocs

import (
	"encoding/json"
	"html/template"
	"net/http"
	"net/url"
	"strconv"
	"strings"

	"saltwright/internal/catalogue"
	"saltwright/internal/drawing"
)

// handOverPage is what to pin up beside the tank.
type handOverPage struct {
	Name, Headline, Back string
	Sound                bool
	Drawing              template.HTML
	Settings             []handOverSetting
	Alarms               []handOverAlarm
	Once, Monthly        []handOverTest
	Cautions             []string
}

type handOverSetting struct{ Element, What, Value, Why string }

type handOverAlarm struct{ Name, Sensor, When, Path string }

type handOverTest struct {
	Element string `json:"element"`
	Do      string `json:"do"`
	Expect  string `json:"expect"`
}

// handOver shows what to set and what to try, as a page to print.
func (s *Site) handOver(w http.ResponseWriter, r *http.Request) {
	q := r.URL.Query()
	link, units := q.Get("plan"), q.Get("units")
	document, err := unpackedPlan(readerOf(r).Voice, link)
	if err != nil {
		s.fail(w, r, http.StatusUnprocessableEntity, sentence(err.Error()))
		return
	}
	target := url.Values{"plan": {link}}
	back := workshopPath + "?plan=" + link
	if units == usUnits {
		target.Set("units", units)
		back += "&units=" + usUnits
	} else {
		units = "metric"
	}
	data, err := s.ask(r, http.MethodGet, "/v1/plan-hand-over?"+target.Encode(), "application/json", nil)
	if err != nil {
		s.broken(w, r, err)
		return
	}
	var told struct {
		Headline string `json:"headline"`
		Cautions []struct {
			Message string `json:"message"`
		} `json:"cautions"`
		Result struct {
			Sound    bool `json:"sound"`
			Settings []struct {
				Element string  `json:"element"`
				What    string  `json:"what"`
				Value   float64 `json:"value"`
				Unit    string  `json:"unit"`
				Why     string  `json:"why"`
			} `json:"settings"`
			Alarms []struct {
				Alarm      string   `json:"alarm"`
				Sensor     string   `json:"sensor"`
				When       string   `json:"when"`
				ThresholdC *float64 `json:"threshold_c"`
				DelayMin   float64  `json:"delay_min"`
				Paths      []struct {
					ID      string   `json:"id"`
					Kind    string   `json:"kind"`
					Reaches []string `json:"reaches"`
				} `json:"paths"`
			} `json:"alarms"`
			Commissioning []handOverTest `json:"commissioning"`
			Monthly       []handOverTest `json:"monthly"`
		} `json:"result"`
	}
	if err := json.Unmarshal(data, &told); err != nil {
		s.broken(w, r, err)
		return
	}
	to := readerOf(r)
	speaker := catalogue.Reader{Language: to.Language, Units: catalogue.Units(units)}.Speaker()
	p := &handOverPage{Headline: told.Headline, Back: back, Sound: told.Result.Sound,
		Once: told.Result.Commissioning, Monthly: told.Result.Monthly}
	p.Name, _ = document["name"].(string)
	named := p.Name
	if named == "" {
		named = to.Say("drawing_the_plan")
	}
	p.Drawing = drawing.Of(document, to.Voice).Figure(drawing.Shown{Title: to.Say("drawing_list_below", "plan", named)})
	for _, v := range told.Result.Settings {
		p.Settings = append(p.Settings, handOverSetting{v.Element, v.What, speaker.Number(v.Value, "", v.Unit), v.Why})
	}
	for _, a := range told.Result.Alarms {
		when := wordOf(to.Voice, "reading", a.When)
		if a.ThresholdC != nil {
			when += " " + speaker.Number(*a.ThresholdC, "temperature", "degC")
		}
		if a.DelayMin > 0 {
			when = to.Say("hand_over_for", "when", when,
				"number", decimal(to.Voice, strconv.FormatFloat(a.DelayMin, 'f', -1, 64)))
		}
		var paths []string
		for _, way := range a.Paths {
			path := wordOf(to.Voice, "path", way.Kind)
			if way.ID != way.Kind {
				path += " (" + way.ID + ")"
			}
			if len(way.Reaches) > 0 {
				path += ": " + strings.Join(way.Reaches, ", ")
			}
			paths = append(paths, path)
		}
		p.Alarms = append(p.Alarms, handOverAlarm{a.Alarm, a.Sensor, when, strings.Join(paths, "; ")})
	}
	for _, c := range told.Cautions {
		p.Cautions = append(p.Cautions, c.Message)
	}
	s.show(w, r, http.StatusOK, "handover", view{Title: to.Say("hand_over"), About: told.Headline, Section: "plan",
		Styles: []string{"workshop.css"}, Body: p})
}
