package webdocs

import (
	"bytes"
	"maps"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"go.yaml.in/yaml/v3"

	"saltwright/internal/catalogue"
	"saltwright/internal/contract"
	"saltwright/internal/phrase"
)

// broken is where a long string goes on in the next line.
var broken = regexp.MustCompile(`" \+\s+"`)

// spokenMembers collects what pages say of the contract, and where: titles, descriptions, names and words.
type spokenMembers struct {
	contract *contract.Contract
	where    map[string]string
	schemas  map[string]bool // what whole schemas say, which the workshop may tell
}

func (m spokenMembers) add(said, where string) {
	if said != "" && m.where[said] == "" {
		m.where[said] = where
	}
}

func (m spokenMembers) schema(s *contract.Schema, where string) {
	if s == nil {
		return
	}
	m.schemas[s.Description] = true
	for _, word := range s.Enum {
		if m.contract.Calculation(word) == nil { // which is a name in every language
			m.add(words(word), where)
		}
	}
	for _, member := range s.Members {
		m.member(member.Name, member.Schema, where)
		m.schema(member.Schema, where+"/"+member.Name)
	}
	m.schema(s.Items, where)
}

func (m spokenMembers) member(name string, s *contract.Schema, where string) {
	m.add(plainName(name[strings.LastIndex(name, "/")+1:], s.Unit), where+"/"+name)
	m.add(s.Description, where+"/"+name)
	if strings.Contains(s.Unit, " of ") { // a unit in words
		m.add(s.Unit, where+"/"+name)
	}
}

// everySpokenMember is what the pages of all calculators say.
func everySpokenMember(t *testing.T) spokenMembers {
	t.Helper()
	c, err := contract.Load()
	require.NoError(t, err)
	m := spokenMembers{c, map[string]string{}, map[string]bool{}}
	for _, tag := range c.Tags {
		m.add(tag.Name, "tags")
		m.add(tag.Description, "tags")
	}
	for _, x := range calculatorsOf(c, phrase.In(catalogue.English)) {
		m.add(x.Title, x.Name)
		m.add(x.About, x.Name)
		m.schema(x.post.Body, x.Name)
		for _, asked := range append(x.asked(), x.members()...) {
			m.member(asked.Name, asked.Schema, x.Name)
		}
		answer := answerOf(x.operation())
		if answer.Member("result") == nil { // no envelope: all of it is told
			m.schema(answer, x.Name+" answer")
		}
		for _, part := range []string{"result", "sensitivity"} {
			if member := answer.Member(part); member != nil {
				m.schema(member.Schema, x.Name+" "+part)
			}
		}
	}
	for _, o := range c.Operations {
		m.add(o.Summary, o.ID)
		head, tail, twin := strings.Cut(o.Description, " As POST, ")
		m.add(head, o.ID)
		if twin {
			m.add("As POST, "+tail, o.ID)
		}
		for _, p := range o.Parameters {
			m.add(p.Description, o.ID+" "+p.Name)
		}
		for _, a := range o.Answers {
			m.add(a.Description, o.ID+" "+a.Status)
		}
	}
	for _, s := range c.Schemas {
		m.add(s.Description, s.Name)
		for _, member := range s.Members {
			m.add(member.Schema.Description, s.Name+"."+member.Name)
		}
	}
	return m
}

// TestTheContractIsSaidInEveryLanguage names every title, description, name and word of the contract that pages say and
// that a language has no words for, and every one that it has and nothing says.
func TestTheContractIsSaidInEveryLanguage(t *testing.T) {
	members := everySpokenMember(t)
	all := members.where
	var sources []byte
	for _, pattern := range []string{"*.go", "../phrase/*.go", "../../clients/reading/*.go"} {
		files, err := filepath.Glob(pattern)
		require.NoError(t, err)
		for _, name := range files {
			data, err := os.ReadFile(name) // #nosec G304 -- of this repository
			require.NoError(t, err)
			sources = append(sources, broken.ReplaceAll(data, nil)...)
		}
	}
	for _, l := range catalogue.Languages {
		if l == catalogue.English {
			continue
		}
		file := string(l) + ".yaml"
		said := map[string]string{}
		for _, of := range []string{"contract.", "plan."} {
			data, err := os.ReadFile("../phrase/" + of + file) // #nosec G304 -- of this repository
			require.NoError(t, err)
			require.NoError(t, yaml.Unmarshal(data, &said))
		}
		for _, english := range slices.Sorted(maps.Keys(all)) {
			assert.NotEmpty(t, said[english], "%s has no words for %q of %s", file, english, all[english])
		}
		for english := range said {
			// A member's own name, or a word of it, stands for one of several meanings: power_w, path: network.
			own := strings.Contains(english, "_") || strings.Contains(english, ": ")
			if all[english] == "" && !members.schemas[english] && !own {
				assert.True(t, bytes.Contains(sources, []byte(english)), "%s: nothing says %q", file, english)
			}
		}
	}
}
