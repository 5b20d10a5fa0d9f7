package catalogue

import (
	"regexp"
	"strings"
	"testing"
	"unicode"

	"github.com/stretchr/testify/assert"
)

// Flesch reading ease, [R. Flesch, A new readability yardstick, Journal of Applied Psychology 32 (1948) 221-233; the
// constants from memory]:
//
//	206.835 - 1.015 words/sentence - 84.6 syllables/word
//
// 60 to 70 is plain English, 50 to 60 fairly difficult. Syllables are counted as groups of vowels without a silent e,
// which is right within a few per cent over a long text.
func TestEnglishIsPlain(t *testing.T) {
	words, sentences, syllables := 0, 0, 0
	for code, m := range messages[English] {
		for _, sentence := range sentencesOf(m.Other) {
			list := wordsOf(sentence)
			if len(list) < 4 {
				continue // a label
			}
			assert.LessOrEqual(t, len(list), 34, "%s: %s", code, sentence)
			sentences++
			words += len(list)
			for _, w := range list {
				syllables += syllablesOf(w)
			}
		}
	}
	ease := 206.835 - 1.015*float64(words)/float64(sentences) - 84.6*float64(syllables)/float64(words)
	t.Logf("%d sentences of %.1f words, %.2f syllables a word: reading ease %.1f", sentences,
		float64(words)/float64(sentences), float64(syllables)/float64(words), ease)
	assert.Greater(t, ease, 65.0)
}

var (
	endOfSentence = regexp.MustCompile(`[.:;!?]+(\s+|$)`)
	vowels        = regexp.MustCompile(`[aeiouy]+`)
)

func sentencesOf(message string) []string {
	return endOfSentence.Split(placeholder.ReplaceAllString(message, "ten"), -1)
}

func wordsOf(sentence string) []string {
	return strings.FieldsFunc(sentence, func(r rune) bool { return !unicode.IsLetter(r) && r != '\'' })
}

func syllablesOf(word string) int {
	w := strings.ToLower(word)
	if len(w) > 2 && strings.HasSuffix(w, "e") && !strings.HasSuffix(w, "le") {
		w = strings.TrimSuffix(w, "e")
	}
	return max(1, len(vowels.FindAllString(w, -1)))
}

func TestSyllables(t *testing.T) {
	for word, want := range map[string]int{
		"heater": 2, "the": 1, "evaporation": 5, "little": 2, "tank": 1, "temperature": 4, "water": 2,
	} {
		assert.Equal(t, want, syllablesOf(word), word)
	}
}
