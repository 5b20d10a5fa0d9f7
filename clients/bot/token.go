package bot

import (
	"strings"

	"golang.org/x/text/unicode/norm"

	"saltwright/clients/reading"
)

// token is a word, a number or a mark.
type token struct {
	word   string // folded
	number bool
	cost   float64 // of standing between a number and the word that names it
	piece  int     // of the reading
}

// What stands between a number and the word that names it makes the name less likely. Tuned on the corpus.
const (
	wordBetween, numberBetween, commaBetween, endBetween = 0.7, 4.0, 3.0, 4.0
)

func tokensOf(r reading.Reading) []token {
	var out []token
	for i, p := range r.Pieces {
		switch {
		case p.Word != "":
			for _, w := range strings.FieldsFunc(folded(p.Word), func(r rune) bool { return r == '-' || r == '/' }) {
				out = append(out, token{word: w, cost: wordBetween, piece: i})
			}
		case p.Group != nil:
			out = append(out, token{number: true, cost: numberBetween, piece: i})
		case p.Ends && r.Text[p.From] == ',':
			out = append(out, token{cost: commaBetween, piece: i})
		case p.Ends:
			out = append(out, token{cost: endBetween, piece: i})
		}
	}
	return out
}

// folded writes a text in small letters and without accents: Kühler is kuhler.
func folded(text string) string {
	return strings.Map(func(r rune) rune {
		if r >= 0x300 && r <= 0x36f {
			return -1
		}
		return r
	}, norm.NFD.String(strings.ReplaceAll(strings.ToLower(text), "ß", "ss")))
}
