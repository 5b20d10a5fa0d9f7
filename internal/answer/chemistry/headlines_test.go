package chemistry

import (
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"

	"saltwright/internal/calc/carbonate"
	"saltwright/internal/calc/text"
	"saltwright/internal/catalogue"
)

// short says a headline in both systems of units and holds it to its length.
func short(t *testing.T, headline text.Text, code string) {
	t.Helper()
	assert.Equal(t, code, headline.Code)
	for _, u := range []catalogue.Units{catalogue.Metric, catalogue.US} {
		said := catalogue.For(u).Say(headline)
		assert.LessOrEqual(t, utf8.RuneCountInString(said), 140, said)
	}
}

func TestCarbonateHeadlines(t *testing.T) {
	for omega, code := range map[float64]string{
		0.99: "carbonate_dissolves", 1: "carbonate_stays", 5: "carbonate_stays", 5.01: "carbonate_near_the_limit",
		7: "carbonate_near_the_limit", 7.01: "carbonate_falls_out", 12345.6: "carbonate_falls_out",
	} {
		short(t, carbonateHeadline(carbonate.State{OmegaAragonite: omega}), code)
	}
}
