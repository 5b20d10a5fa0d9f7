package main

import (
	"fmt"
	"io"
	"os"

	"saltwright/clients/bot"
	"saltwright/clients/bot/corpus"
)

// score prints how well the questions of a corpus are read. It needs no service.
func score(directory string, failures bool, out io.Writer) error {
	questions, err := corpus.Read(os.DirFS(directory))
	if err != nil {
		return err
	}
	s := corpus.ScoreOf(questions, bot.Understand)
	if failures {
		for _, f := range s.Failures {
			fmt.Fprintf(out, "%s %s %s\n  %s\n  got %s %s %v %v missing %q unused %q\n", f.Question.Place,
				f.Question.Kind, f.Question.Topic, f.Question.Text, f.Got.Kind, f.Got.Topic, f.Got.Values, f.Got.Words,
				f.Got.Missing, f.Got.Unused)
		}
	}
	return s.Write(out)
}
