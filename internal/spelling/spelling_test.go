package spelling

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

// Counted by hand.
func TestNearest(t *testing.T) {
	known := []string{"target_c", "room_c", "canister", "room_k"}
	for name, want := range map[string]string{
		"traget_c": "target_c", // neighbours swapped
		"canistre": "canister",
		"room":     "room_c",
		"room_x":   "room_c", // as near to two: the first of the alphabet
		"roomc":    "room_c",
		"rooom_cc": "room_c",
		"sump":     "",
		"":         "",
	} {
		assert.Equal(t, want, Nearest(name, known), name)
	}
	assert.Empty(t, Nearest(strings.Repeat("a", 1000), known))
	assert.Empty(t, Nearest("x", nil))
}
