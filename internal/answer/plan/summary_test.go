package plan

import (
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"

	"saltwright/internal/calc/audit"
	"saltwright/internal/calc/draft"
	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/text"
	"saltwright/internal/catalogue"
)

func TestRemediesSayWhatWasFound(t *testing.T) {
	cure := remedySet{Changes: []remedyChange{{Code: "guard", Sentence: text.Of("remedy_guard",
		text.Params{"cut": 28.1})}}}
	for _, c := range []struct {
		in       planRemediesResponse
		headline string
		details  []string
	}{
		{planRemediesResponse{Sound: true}, "remedies_not_needed", nil},
		{planRemediesResponse{Lost: 1, Sets: []remedySet{cure}, Audits: 4}, "remedies_found",
			[]string{"remedies_trouble", "remedy_guard", "remedies_ways", "remedies_proved"}},
		{planRemediesResponse{Sets: []remedySet{cure, cure}, Audits: 4}, "remedies_found",
			[]string{"remedies_trouble_by_itself", "remedy_guard", "remedies_ways", "remedies_proved"}},
		{planRemediesResponse{Lost: 3, Best: []remedySet{{Lost: 1}}, Audits: 4}, "remedies_partly",
			[]string{"remedies_trouble", "remedies_otherwise", "remedies_proved"}},
		{planRemediesResponse{Lost: 3, Audits: 2, LeftOut: true}, "remedies_none",
			[]string{"remedies_trouble", "remedies_otherwise", "remedies_stopped"}},
	} {
		assert.Equal(t, c.headline, remedyHeadline(c.in).Code)
		var said []string
		list, _ := remedyDetails(c.in).Params["list"].([]text.Text)
		for _, d := range list {
			said = append(said, d.Code)
		}
		assert.Equal(t, c.details, said)
	}
}

func TestARiskOfNothingIsSaidInWords(t *testing.T) {
	r := planRiskResponse{Singles: 1, Sets: []riskSet{{Faults: []string{"heater.dead"}, Loss: "chilled", LossH: 36}}}
	assert.Equal(t, text.Of("risk_at_the_end_only", text.Params{"time": 36.0}), riskHeadline(r))
	assert.Equal(t, "risk_singles", riskDetails(r, nil).Code, "no share of nothing")
	r.Per100 = 3.3
	assert.Equal(t, "risk_expected", riskHeadline(r).Code)
	assert.Equal(t, "risk_none", riskHeadline(planRiskResponse{}).Code)
}

// What comes first of an answer is read at a glance.
func TestHeadlinesAreShort(t *testing.T) {
	fault := func(v audit.Verdict, harmH, lossH *float64) audit.FaultReport {
		return audit.FaultReport{Verdict: v, HarmH: harmH, LossH: lossH}
	}
	lost := fault(audit.Lost, new(30.4), new(130.4))
	harmed := fault(audit.Harmed, new(30.4), nil)
	endless := fault(audit.Lost, nil, nil)
	many := func(f audit.FaultReport) audit.Report {
		r := audit.Report{HorizonH: 336}
		for range 1234 {
			r.Faults = append(r.Faults, f)
		}
		return r
	}
	byItself := many(harmed)
	byItself.Findings = []audit.Finding{{Code: "nominal_overheated", Severity: audit.Fatal}}
	for _, r := range []audit.Report{many(lost), many(harmed), many(endless), many(fault(audit.Held, nil, nil)),
		byItself} {
		short(t, auditHeadline(r))
		short(t, handOverHeadline(audit.HandOver{Report: r}))
		short(t, draftHeadline(draft.Result{Sound: r.Sound(), Report: r, Plan: plan.Plan{}}))
	}
	for _, r := range []planCheckResponse{
		{Valid: true, Elements: 1234}, {Valid: true, Weaknesses: make([]planFinding, 1234)},
		{Violations: make([]planCheckViolation, 1234)},
	} {
		short(t, checkHeadline(r))
	}
	for _, r := range []planRemediesResponse{
		{Sound: true}, {Sets: []remedySet{{Changes: make([]remedyChange, 3)}}}, {Best: []remedySet{{Lost: 1234}}}, {},
	} {
		short(t, remedyHeadline(r))
	}
	sets := []riskSet{{LossH: 1234.5}}
	for _, r := range []planRiskResponse{
		{}, {Sets: sets}, {Sets: sets, Per100: 12.345, P5: 0.012345, P95: 123.45},
	} {
		short(t, riskHeadline(r))
	}
}

func short(t *testing.T, headline text.Text) {
	t.Helper()
	for _, u := range []catalogue.Units{catalogue.Metric, catalogue.US} {
		said := catalogue.Reader{Units: u}.Speaker().Say(headline)
		assert.LessOrEqual(t, utf8.RuneCountInString(said), 140, said)
		assert.NotEmpty(t, said)
	}
}
