package report

import (
	"encoding/xml"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The three finder patterns of ISO/IEC 18004 stand in the corners behind a quiet zone of four squares, and the version
// follows from the length of the address. Both from memory.
func TestCode(t *testing.T) {
	drawn, err := codeOf("https://salt.example/v1/plan-audit?plan=abc", `this "audit" again`)
	require.NoError(t, err)
	assert.NoError(t, xml.Unmarshal([]byte(drawn), new(struct{})))
	assert.Contains(t, string(drawn), `viewBox="0 0 37 37"`, "29 squares hold 43 bytes at the least correction")
	assert.Contains(t, string(drawn), "M4 4h7v1h-7z", "the top of the first finder pattern")
	assert.Contains(t, string(drawn), "M26 4h7v1h-7z")
	assert.Contains(t, string(drawn), "M4 32h7v1h-7z")
	assert.Contains(t, string(drawn), `aria-label="this &#34;audit&#34; again"`)

	for _, none := range []string{"", strings.Repeat("x", mostInCode+1)} {
		drawn, err = codeOf(none, "")
		require.NoError(t, err)
		assert.Empty(t, drawn)
	}
	long, err := codeOf(strings.Repeat("x", mostInCode), "")
	require.NoError(t, err)
	assert.Contains(t, string(long), `viewBox="0 0 149 149"`)
}

func TestTrialsOfAPartStandTogether(t *testing.T) {
	got := byPart([]trial{{"a", "do", "see"}, {"b", "do", "see"}, {"a", "other", "see"}, {"a", "do", "see"}})
	want := []part{{"a", []trial{{"a", "do", "see"}, {"a", "other", "see"}}}, {"b", []trial{{"b", "do", "see"}}}}
	assert.Equal(t, want, got)
}
