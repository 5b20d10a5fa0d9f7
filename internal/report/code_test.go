package report

import (
	"encoding/xml"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc/audit"
	"saltwright/internal/calc/text"
	"saltwright/internal/catalogue"
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

// Parts on which the same is tried stand together, in words that fit each of them; a part with trials of its own keeps
// them in its own name.
func TestPartsOnWhichTheSameIsTriedStandTogether(t *testing.T) {
	in := Input{Speaker: catalogue.Reader{Units: catalogue.Metric}.Speaker()}
	raise := func(id string) audit.Trial {
		return audit.Trial{Element: id, Do: text.Of("try_raise_alarm", text.Params{"element": id}),
			Expect: text.Of("try_drop_network", nil)}
	}
	press := audit.Trial{Element: "b", Do: text.Of("try_press_button", text.Params{"element": "b"})}
	got := in.parts([]audit.Trial{raise("a"), raise("b"), raise("a"), press, raise("c")})
	require.Len(t, got, 2)
	assert.Equal(t, "a, c", got[0].Part)
	require.Len(t, got[0].Trials, 1)
	assert.Contains(t, got[0].Trials[0].Do, "each of them")
	assert.Equal(t, "b", got[1].Part)
	require.Len(t, got[1].Trials, 2)
	assert.Contains(t, got[1].Trials[0].Do, " b ")
	assert.Contains(t, got[1].Trials[1].Do, " b.")
}
