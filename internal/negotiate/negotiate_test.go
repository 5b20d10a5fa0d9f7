package negotiate

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestAccepts(t *testing.T) {
	for _, yes := range []string{"gzip", "GZIP", "br, gzip;q=0.5", "*", "*;q=0.1", "gzip;q=0.001, *;q=0"} {
		assert.True(t, Accepts(yes, "gzip"), yes)
	}
	for _, no := range []string{"", "br", "identity", "gzip;q=0", "*;q=0", "*, gzip;q=0", "gzip;q=x"} {
		assert.False(t, Accepts(no, "gzip"), no)
	}
	assert.True(t, Accepts("gzip, br;q=0.1", "br"))
	assert.False(t, Accepts("gzip", "br"))
}

func TestHas(t *testing.T) {
	for _, yes := range []string{`"a"`, `W/"a"`, `"b", "a"`, "*"} {
		assert.True(t, Has(yes, `"a"`), yes)
	}
	for _, no := range []string{"", `"b"`, "a", `"a`, `W/a`} {
		assert.False(t, Has(no, `"a"`), no)
	}
}

// FuzzFields reads anything.
func FuzzFields(f *testing.F) {
	f.Add("gzip;q=0, br", `W/"a", *`)
	f.Add("gzip;q=NaN", `"`)
	f.Fuzz(func(t *testing.T, coding, tags string) {
		if Accepts(coding, "gzip") && !strings.Contains(strings.ToLower(coding), "gzip") &&
			!strings.Contains(coding, "*") {
			t.Fatalf("%q takes no gzip", coding)
		}
		if Has(tags, `"x"`) && !strings.Contains(tags, `"x"`) && !strings.Contains(tags, "*") {
			t.Fatalf("%q does not name it", tags)
		}
	})
}
