package webdocs

import (
	"encoding/xml"
	"io"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/methods"
)

func TestFormula(t *testing.T) {
	for line, want := range map[string]string{
		"p = a / b": "<mi>p</mi><mo>=</mo><mfrac><mrow><mi>a</mi></mrow><mrow><mi>b</mi></mrow></mfrac>",
		"c_p t^(-2)": "<msub><mrow><mi>c</mi></mrow><mrow><mi>p</mi></mrow></msub>" +
			"<msup><mrow><mi>t</mi></mrow><mrow>" +
			"<mrow><mo>(</mo><mo>−</mo><mn>2</mn><mo>)</mo></mrow></mrow></msup>",
		"a < (b": "<mi>a</mi><mo>&lt;</mo><mrow><mo>(</mo><mi>b</mi></mrow>",
		"x ^":    "<mi>x</mi><mo>^</mo>",
		"10^-3":  "<msup><mrow><mn>10</mn></mrow><mrow><mo>−</mo><mn>3</mn></mrow></msup>",
	} {
		got := strings.TrimPrefix(string(formula(line)), `<math display="block"><mrow>`)
		got = strings.TrimSuffix(got, "</mrow></math>")
		assert.Equal(t, want, got, line)
	}
}

var signs = regexp.MustCompile(`[\s/_^\x{00a0}]`)

// Every formula of the methods is well formed and loses nothing but the signs that its layout stands for.
func TestFormulasAreWhole(t *testing.T) {
	all, err := methods.Read()
	require.NoError(t, err)
	lines := 0
	for _, s := range all {
		for _, r := range s.Relations {
			for _, line := range r.Equation {
				lines++
				var said strings.Builder
				dec := xml.NewDecoder(strings.NewReader(string(formula(line))))
				for {
					token, err := dec.Token()
					if err == io.EOF {
						break
					}
					require.NoError(t, err, line)
					if text, ok := token.(xml.CharData); ok {
						said.Write(text)
					}
				}
				want := signs.ReplaceAllString(strings.ReplaceAll(line, "-", "−"), "")
				assert.Equal(t, want, signs.ReplaceAllString(strings.ReplaceAll(said.String(), "-", "−"), ""), line)
			}
		}
	}
	assert.Greater(t, lines, 100)
}
