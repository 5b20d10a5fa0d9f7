package report

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What is drawn passes, its styles as attributes; what acts does not.
func TestOnlyDrawingPasses(t *testing.T) {
	svg, err := themed(`<?xml version="1.0"?><svg width="1" viewBox="0 0 1 1"><script>x</script>`+
		`<path style="fill:none;stroke:#000000;background:url(x)" onclick="x" d="M0 0"/>`+
		`<text>a &lt; b</text></svg>`, `If "it" fails`)
	require.NoError(t, err)
	assert.Equal(t, `<svg role="img" aria-label="If &#34;it&#34; fails" viewBox="0 0 1 1">`+
		`<path fill="none" stroke="currentColor" d="M0 0"></path><text>a &lt; b</text></svg>`, svg)
}
