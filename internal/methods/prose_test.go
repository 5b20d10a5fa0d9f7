package methods

import (
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc/source"
	"saltwright/internal/catalogue"
)

// TestEveryPageIsSaidInEveryLanguage demands of each language the paragraphs and names of each subject and comparison,
// of each page published cases or the reason why it has none, and of each key that the bibliography has it.
func TestEveryPageIsSaidInEveryLanguage(t *testing.T) {
	subjects, err := Read()
	require.NoError(t, err)
	compared, err := ReadMeasured()
	require.NoError(t, err)
	english, err := ProseIn(catalogue.English)
	require.NoError(t, err)
	for _, l := range catalogue.Languages {
		said, err := ProseIn(l)
		require.NoError(t, err)
		assert.Len(t, said.Subjects, len(subjects), l)
		assert.Len(t, said.Groups, len(Groups), l)
		for _, s := range subjects {
			page, want := said.Subjects[s.Package], english.Subjects[s.Package]
			assert.NotEmpty(t, page.Title, "%s in %s", s.Package, l)
			assert.NotEmpty(t, page.About, "%s in %s", s.Package, l)
			assert.Contains(t, Groups, page.Group, "%s in %s", s.Package, l)
			assert.Equal(t, want.Group, page.Group, "%s in %s", s.Package, l)
			require.Len(t, page.Text, len(want.Text), "%s in %s", s.Package, l)
			measured, err := s.Measured()
			require.NoError(t, err)
			assert.True(t, len(measured) > 0 || page.Unmeasured != "", "%s in %s says nothing of cases", s.Package, l)
			for i, paragraph := range page.Text {
				assert.Equal(t, keysIn(want.Text[i]), keysIn(paragraph), "%s in %s", s.Package, l)
				for _, k := range keysIn(paragraph) {
					known := func(e source.Entry) bool { return e.Key == k }
					assert.True(t, slices.ContainsFunc(source.All(), known), "%s in %s cites %s", s.Package, l, k)
				}
			}
		}
		codes := map[string]bool{}
		for _, m := range compared {
			codes[m.Code] = true
			assert.NotEmpty(t, said.Measured[m.Code].Short, "%s in %s", m.Code, l)
			short := []rune(said.Measured[m.Code].Short)
			assert.LessOrEqual(t, len(short), 20, "%s in %s is too long beside a row", m.Code, l)
			assert.NotEmpty(t, said.Measured[m.Code].Long, "%s in %s", m.Code, l)
		}
		assert.Len(t, said.Measured, len(codes), l)
	}
}

// TestEveryRelationIsSaidInEveryLanguage names each first sentence of a doc comment that a language lacks, and each
// that it has and no relation says.
func TestEveryRelationIsSaidInEveryLanguage(t *testing.T) {
	subjects, err := Read()
	require.NoError(t, err)
	all, err := sentences()
	require.NoError(t, err)
	for _, l := range catalogue.Languages {
		if l == catalogue.English {
			continue
		}
		says := map[string]bool{}
		for _, s := range subjects {
			for _, r := range s.Relations {
				says[r.Sentence] = true
				assert.NotEmpty(t, all[l][r.Sentence], "relations.%s.yaml has no words for %q", l, r.Sentence)
			}
		}
		for english := range all[l] {
			assert.True(t, says[english], "relations.%s.yaml: no relation says %q", l, english)
		}
	}
}

var longSentence = regexp.MustCompile(`[.;:!?](\s|$)`)

// TestSentencesOfPagesAreShort counts the words between two stops.
func TestSentencesOfPagesAreShort(t *testing.T) {
	const most = 40 // a list of parts is long; most sentences have half
	for _, l := range catalogue.Languages {
		said, err := ProseIn(l)
		require.NoError(t, err)
		for name, page := range said.Subjects {
			for _, s := range longSentence.Split(strings.Join(page.Text, " "), -1) {
				assert.LessOrEqual(t, len(strings.Fields(s)), most, "%s in %s: %s", name, l, s)
			}
		}
	}
}

func keysIn(text string) []string {
	var out []string
	for _, m := range key.FindAllStringSubmatch(text, -1) {
		out = append(out, m[1])
	}
	slices.Sort(out)
	return out
}
