package reading

import (
	"regexp"
	"strings"
)

// oneSpelling replaces the variants of a character that keyboards and word processors produce. A fraction of one
// character is written with a space before it, as 47½ means 47 and a half.
var oneSpelling = strings.NewReplacer(
	"−", "-", "–", "-", "—", "-", "‐", "-", "‑", "-",
	"\u00a0", " ", "\u202f", " ", "\u2009", " ", "\u3000", " ", "\u200b", "", "\ufeff", "",
	"`", " ", "\r\n", "\n", "\t", " ",
	"μ", "µ", "º", "°", "˚", "°", "⁄", "/", "∕", "/", "×", "x", "✕", "x", "，", ",", "．", ".", "％", "%", "：", ":",
	"“", `"`, "”", `"`, "„", `"`, "″", `"`, "＂", `"`, "''", `"`, "’’", `"`, "′′", `"`,
	"‘", "'", "’", "'", "′", "'", "´", "'", "＇", "'",
	"¼", " 1/4", "½", " 1/2", "¾", " 3/4", "⅓", " 1/3", "⅔", " 2/3", "⅛", " 1/8", "⅜", " 3/8", "⅝", " 5/8",
	"⅞", " 7/8",
	"²", "2", "³", "3", "→", " to ", "->", " to ",
)

// amperes is a current with its unit in capitals: a small a is a word of many languages.
var amperes = regexp.MustCompile(`([0-9]) ?A\b`)

// normalise writes a text with one spelling for each character, and full-width letters and digits as plain ones.
func normalise(text string) string {
	text = amperes.ReplaceAllString(oneSpelling.Replace(strings.ToValidUTF8(text, " ")), "$1 amp")
	return strings.Map(func(r rune) rune {
		if r >= '０' && r <= '９' || r >= 'Ａ' && r <= 'Ｚ' || r >= 'ａ' && r <= 'ｚ' {
			return r - '０' + '0'
		}
		return r
	}, text)
}

// smallLetters converts Latin capitals to small letters and keeps the position of every byte.
func smallLetters(text string) string {
	return strings.Map(func(r rune) rune {
		if r >= 'A' && r <= 'Z' {
			return r + 'a' - 'A'
		}
		return r
	}, text)
}
