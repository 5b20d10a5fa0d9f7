package plan

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestRemedySummaryIsHonest(t *testing.T) {
	cure := remedySet{Changes: []remedyChange{{Code: "x", Sentence: "Do this."}}}
	cases := []struct {
		in   planRemediesResponse
		want string
	}{
		{planRemediesResponse{Sound: true}, "nothing needs to be changed"},
		{planRemediesResponse{Lost: 1, Sets: []remedySet{cure}, Audits: 4},
			"1 single failure harms or loses this tank. The smallest cure, audited: Do this. In 4 audits 1 cure of " +
				"that size was found."},
		{planRemediesResponse{Sets: []remedySet{cure, cure}}, "fails with nothing broken"},
		{planRemediesResponse{Lost: 3, Best: []remedySet{{Lost: 1}}}, "the best one leaves 1 failure."},
		{planRemediesResponse{Lost: 3, Audits: 2, LeftOut: true},
			"The search ended at its budget after 2 audits. None of the changes tried helps."},
	}
	for _, c := range cases {
		assert.Contains(t, remedySummary(c.in), c.want)
	}
}

func TestARiskOfNothingIsSaidInWords(t *testing.T) {
	r := planRiskResponse{Singles: 1, Sets: []riskSet{{Faults: []string{"heater.dead"}, Loss: "chilled", LossH: 36}}}
	assert.Contains(t, riskSummary(r), "only as the longest absence ends")
	assert.NotContains(t, riskSummary(r), "0 %")
	r.Per100 = 3.3
	assert.Contains(t, riskSummary(r), "about 3.3 losses in 100 tank-years")
}
