package webdocs

import (
	"encoding/json"
	"fmt"
	"net/http"
	"strings"
	"time"

	"saltwright/internal/drawing"
	"saltwright/internal/phrase"
)

// cause is a part that takes others down with it.
type cause struct {
	drawing.Cause
	List   string // what goes down, by name
	Chosen bool
}

// mostCauses are shown of the parts that others rest on.
const mostCauses = 8

func causesOf(m *drawing.Model, chosen string) []cause {
	var out []cause
	for _, c := range m.Causes() {
		if len(out) < mostCauses {
			var names []string
			for _, id := range c.Takes {
				names = append(names, m.NameOf(id))
			}
			out = append(out, cause{c, strings.Join(names, ", "), c.ID == chosen})
		}
	}
	return out
}

// risk is what two failures do together, and what such plans lose in many years.
type risk struct {
	Headline string
	Pairs    []twoFailures
	Tests    []riskTest
	Followed int
}

// twoFailures are two failures that lose the tank together.
type twoFailures struct{ First, Second, Loss, After, Share string }

type riskTest struct{ Element, Worth string }

const (
	mostPairs = 6
	mostTests = 3
)

// riskOf asks what happens where two things fail.
func (s *Site) riskOf(r *http.Request, document plan, units string, audited *auditedPlan) (*risk, error) {
	raw, err := json.Marshal(map[string]any{"plan": document})
	if err != nil {
		return nil, err
	}
	data, err := s.ask(r, http.MethodPost, "/v1/plan-risk"+query(units), "application/json", raw)
	if err != nil {
		return nil, err
	}
	var risky riskAnswer
	if err := json.Unmarshal(data, &risky); err != nil {
		return nil, fmt.Errorf("webdocs: risk: %w", err)
	}
	speaker := speakerOf(readerOf(r).Voice, units == usUnits)
	out := &risk{Headline: risky.Headline, Followed: risky.Result.Pairs.Considered}
	said := func(id string) string {
		if f := audited.fault(id); f != nil {
			return f.Sentence
		}
		return words(strings.ReplaceAll(id, ".", ", ")) // a common cause, which is no single failure of the audit
	}
	for _, set := range risky.Result.Sets {
		if len(set.Faults) == 2 && len(out.Pairs) < mostPairs {
			out.Pairs = append(out.Pairs, twoFailures{said(set.Faults[0]), said(set.Faults[1]),
				wordOf(readerOf(r).Voice, "harm_kind", set.Loss),
				speaker.Number(set.LossH, "duration", "h"), speaker.Number(set.Share, "share", "1")})
		}
	}
	for _, t := range risky.Result.Tests {
		if t.WorthPer100 > 0 && len(out.Tests) < mostTests {
			share := t.WorthPer100 / risky.Result.LossesPer100
			out.Tests = append(out.Tests, riskTest{t.Element, speaker.Number(share, "share", "1")})
		}
	}
	return out, nil
}

// riskAnswer is what the bench reads of plan-risk.
type riskAnswer struct {
	Headline string `json:"headline"`
	Result   struct {
		LossesPer100 float64 `json:"losses_per_100"`
		Sets         []struct {
			Loss   string   `json:"loss"`
			Faults []string `json:"faults"`
			LossH  float64  `json:"loss_h"`
			Share  float64  `json:"share"`
		} `json:"sets"`
		Tests []struct {
			Element     string  `json:"element"`
			WorthPer100 float64 `json:"worth_per_100"`
		} `json:"tests"`
		Pairs struct {
			Considered int `json:"considered"`
		} `json:"pairs"`
	} `json:"result"`
}

// howLong says how long cures and pairs take: they are some forty times the work of one audit (measured on the example
// plans: 15 to 40 times for cures, 6 to 7 for pairs).
func howLong(v *phrase.Voice, audit time.Duration) string {
	const times = 40
	switch t := audit * times; {
	case t < 3*time.Second:
		return v.Say("takes_seconds")
	case t < 20*time.Second:
		return v.Say("takes_twenty")
	}
	return v.Say("takes_a_minute")
}
