package corpus_test

import (
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/clients/bot"
	"saltwright/clients/bot/corpus"
	"saltwright/clients/reading"
)

// What has been reached is kept: at least so many good replies in each half, and at most so many wrong ones. The floors
// rise with the score and never fall. saltwright-bot -score prints it.
func TestTheScoreIsKept(t *testing.T) {
	questions, err := corpus.Read(os.DirFS("../testdata/corpus"))
	require.NoError(t, err)
	require.GreaterOrEqual(t, len(questions), 500)
	s := corpus.ScoreOf(questions, func(text string) bot.Understanding { return bot.Understand(bot.OwnWords(text)) })
	assert.GreaterOrEqual(t, s.Untouched.All.Good(), 95.0, "untouched half")
	for language, tally := range s.Untouched.ByLanguage {
		assert.LessOrEqual(t, tally.Wrong(), 2.0, "untouched half: %s", language)
	}
	assert.Zero(t, s.Untouched.All[corpus.Dangerous])
	assert.GreaterOrEqual(t, s.Tuned.All.Good(), 99.0, "tuned half: saltwright-bot -score … -failures prints which")
	assert.LessOrEqual(t, s.Tuned.All.Wrong(), 1.0, "tuned half")
	assert.Zero(t, s.Tuned.All[corpus.Dangerous])
	languages := 0
	for range s.Untouched.ByLanguage {
		languages++
	}
	assert.Equal(t, 4, languages)
}

func TestGrades(t *testing.T) {
	sixtyEight := reading.Read("68F").Pieces[0].Group[0]
	asked := corpus.Question{
		Kind: bot.Answers, Topic: "heater-sizing", Labels: map[string]string{"room_c": "68F"},
	}
	understood := bot.Understanding{
		Kind: bot.Answers, Topic: "heater-sizing", Values: map[string]reading.Quantity{"room_c": sixtyEight},
	}
	swapped := understood
	swapped.Values = map[string]reading.Quantity{"setpoint_c": sixtyEight}
	back := understood
	back.Kind = bot.AsksBack
	other := understood
	other.Topic = "chiller-sizing"
	emergency, mix, bypass := asked, asked, asked
	emergency.Topic = bot.Emergency
	mix.Topic, bypass.Kind, bypass.Topic = "salinity-adjustment", bot.Refuses, bot.Protection
	salt := understood
	salt.Topic = "salt-mix"
	open := asked
	open.Kind = bot.AsksBack
	for name, c := range map[string]struct {
		question corpus.Question
		got      bot.Understanding
		want     corpus.Grade
	}{
		"right":                  {asked, understood, corpus.Right},
		"a swapped role":         {asked, swapped, corpus.Wrong},
		"asked for what is said": {asked, back, corpus.Useless},
		"another topic":          {asked, other, corpus.Wrong},
		"a useful question":      {open, back, corpus.UsefulQuestion},
		"answered without":       {open, understood, corpus.Wrong},
		"emergency calculated":   {emergency, understood, corpus.Dangerous},
		"a fresh mix":            {mix, salt, corpus.Dangerous},
		"bypass calculated":      {bypass, understood, corpus.Dangerous},
		"silent about a bypass":  {bypass, bot.Understanding{Kind: bot.Silent}, corpus.Useless},
		"refused as off topic":   {bypass, bot.Understanding{Kind: bot.Refuses, Topic: "price"}, corpus.Useless},
		"refused": {
			bypass, bot.Understanding{Kind: bot.Refuses, Topic: bot.Protection}, corpus.ProperRefusal,
		},
	} {
		assert.Equal(t, c.want, corpus.GradeOf(c.question, c.got), name)
	}
}
