package bot

import (
	"embed"
	"path"
	"slices"
	"strings"

	"go.yaml.in/yaml/v3"
)

//go:embed words/*.yaml
var wordFiles embed.FS

// lexicon holds the words of one language.
type lexicon struct {
	language string
	common   map[string]bool
	words    map[string]bool     // of all phrases
	phrases  map[string][]phrase // by their first word
	stems    []phrase            // one word that begins so
	texts    map[string]string
	members  map[string]string // "label | name" by member
	topics   map[string]string // "command | what it answers" by topic
	values   map[string]string // words of the contract and of units, as people say them
}

// phrase is one or several words that name a concept.
type phrase struct {
	words   []string
	concept string
}

// lexicons are those of all languages. English, the language of the trade, is the first.
var lexicons = func() []*lexicon {
	files, err := wordFiles.ReadDir("words")
	if err != nil {
		panic(err)
	}
	var out []*lexicon
	for _, f := range files {
		data, err := wordFiles.ReadFile("words/" + f.Name())
		if err != nil {
			panic(err)
		}
		l, err := newLexicon(strings.TrimSuffix(f.Name(), path.Ext(f.Name())), data)
		if err != nil {
			panic(err)
		}
		out = append(out, l)
	}
	slices.SortStableFunc(out, func(a, b *lexicon) int {
		return strings.Compare(strings.Replace(a.language, "en", "", 1), strings.Replace(b.language, "en", "", 1))
	})
	return out
}()

func newLexicon(language string, data []byte) (*lexicon, error) {
	var file struct {
		Common   string
		Concepts map[string]string
		Texts    map[string]string
		Members  map[string]string
		Topics   map[string]string
		Values   map[string]string
	}
	if err := yaml.Unmarshal(data, &file); err != nil {
		return nil, err
	}
	l := &lexicon{
		language: language, common: map[string]bool{}, words: map[string]bool{}, phrases: map[string][]phrase{},
		texts: file.Texts, members: file.Members, topics: file.Topics, values: file.Values,
	}
	for _, word := range strings.Split(file.Common, ",") {
		l.common[folded(strings.TrimSpace(word))] = true
	}
	for concept, list := range file.Concepts {
		for _, text := range strings.Split(list, ",") {
			words := strings.Fields(folded(text))
			for _, w := range words {
				l.words[strings.TrimSuffix(w, "*")] = true
			}
			if stem, ok := strings.CutSuffix(words[len(words)-1], "*"); ok && len(words) == 1 {
				l.stems = append(l.stems, phrase{[]string{stem}, concept})
				continue
			}
			l.phrases[words[0]] = append(l.phrases[words[0]], phrase{words, concept})
		}
	}
	return l, nil
}

// knows reports whether a word stands in the language's file.
func (l *lexicon) knows(word string) bool {
	if l.common[word] || l.words[word] {
		return true
	}
	return slices.ContainsFunc(l.stems, func(p phrase) bool { return strings.HasPrefix(word, p.words[0]) })
}

// nearest returns the word of the language that a mistyped one stands for, or nothing: one letter may be wrong,
// missing,
// too many or in its neighbour's place in words of five letters, two in words of eight. The first letter is right.
func (l *lexicon) nearest(word string) string {
	most := 0
	switch n := len(word); {
	case n >= 8 && n <= 20:
		most = 2
	case n >= 5 && n <= 20:
		most = 1
	}
	best := ""
	for candidate := range l.words {
		if len(candidate) < 4 || candidate[0] != word[0] {
			continue
		}
		if d := distance(word, candidate); d <= most && (d < most || best == "" || candidate < best) {
			best, most = candidate, d
		}
	}
	return best
}

// distance counts the letters to insert, remove, change or swap with a neighbour.
func distance(a, b string) int {
	before, row := make([]int, len(b)+1), make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := range len(a) {
		next := make([]int, len(b)+1)
		next[0] = i + 1
		for j := range len(b) {
			change := row[j]
			if a[i] != b[j] {
				change++
			}
			next[j+1] = min(change, row[j+1]+1, next[j]+1)
			if i > 0 && j > 0 && a[i] == b[j-1] && a[i-1] == b[j] {
				next[j+1] = min(next[j+1], before[j-1]+1)
			}
		}
		before, row = row, next
	}
	return row[len(b)]
}

// span is a part of a text that names a concept.
type span struct {
	concept  string
	from, to int // tokens
}

// spansIn finds the concepts of a language among tokens, and corrects what is mistyped.
func (l *lexicon) spansIn(tokens []token) []span {
	var out []span
	for i, t := range tokens {
		if t.word == "" {
			continue
		}
		for _, p := range l.phrases[t.word] {
			if matches(tokens[i:], p.words) {
				out = append(out, span{p.concept, i, i + len(p.words)})
			}
		}
		for _, p := range l.stems {
			if strings.HasPrefix(t.word, p.words[0]) {
				out = append(out, span{p.concept, i, i + 1})
			}
		}
	}
	return out
}

func matches(tokens []token, words []string) bool {
	if len(tokens) < len(words) {
		return false
	}
	for k, w := range words {
		if tokens[k].word != w && !(w == "#" && tokens[k].number) {
			return false
		}
	}
	return true
}
