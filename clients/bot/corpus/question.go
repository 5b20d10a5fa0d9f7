package corpus

import (
	"fmt"
	"io/fs"
	"strings"

	"saltwright/clients/bot"
)

// Question is a labelled question.
type Question struct {
	Untouched bool
	Language  string
	Kind      bot.Kind
	Topic     string            // empty for silence
	Labels    map[string]string // by member, as people write it: 48in
	Text      string
	Place     string // file and line
}

// Read reads all files of a directory.
//
// Errors: what fs reports; a record without a kind that is known.
func Read(directory fs.FS) ([]Question, error) {
	names, err := fs.Glob(directory, "*.txt")
	if err != nil {
		return nil, err
	}
	var out []Question
	for _, name := range names {
		data, err := fs.ReadFile(directory, name)
		if err != nil {
			return nil, err
		}
		questions, err := readFile(name, string(data))
		if err != nil {
			return nil, err
		}
		out = append(out, questions...)
	}
	return out, nil
}

func readFile(name, text string) ([]Question, error) {
	half, rest, _ := strings.Cut(strings.TrimSuffix(name, ".txt"), "-")
	language, _, _ := strings.Cut(rest, "-")
	var out []Question
	for n, line := range strings.Split(text, "\n") {
		head, begins := strings.CutPrefix(line, "= ")
		if !begins {
			if len(out) > 0 {
				out[len(out)-1].Text += line + "\n"
			}
			continue
		}
		words := strings.Fields(head)
		q := Question{
			Untouched: half == "untouched", Language: language, Labels: map[string]string{},
			Place: fmt.Sprintf("%s:%d", name, n+1),
		}
		for i, word := range words {
			member, value, labelled := strings.Cut(word, "=")
			switch {
			case labelled:
				q.Labels[member] = value
			case i == 0:
				q.Kind = bot.Kind(word)
			default:
				q.Topic = word
			}
		}
		switch q.Kind {
		case bot.Answers, bot.AsksBack, bot.Refuses, bot.Silent:
		default:
			return nil, fmt.Errorf("%s: %q is no kind of reply", q.Place, q.Kind)
		}
		out = append(out, q)
	}
	for i := range out {
		out[i].Text = strings.TrimSpace(out[i].Text)
	}
	return out, nil
}
