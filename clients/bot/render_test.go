package bot

import (
	"context"
	"flag"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"unicode"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var update = flag.Bool("update", false, "write the golden files anew; read the difference")

var dialects = map[string]Dialect{"plain": Plain, "commonmark": CommonMark, "chat": Chat}

// answered is a service that answers all alike, in the shape of the real one.
type answered struct {
	answer Answer
	err    error
	asked  []Request
}

func (s *answered) Ask(_ context.Context, r Request) (*Answer, error) {
	s.asked = append(s.asked, r)
	if s.err != nil {
		return nil, s.err
	}
	a := s.answer
	return &a, nil
}

func pointerTo(v float64) *float64 { return &v }

// sample is an invented answer; the numbers mean nothing.
var sample = Answer{
	Headline: "Holding 77.9 °F in a room of 56.8 °F takes 502 W of heating.",
	Assumptions: []Assumption{
		{Member: "altitude_m", Number: pointerTo(0), Unit: "m"}, {
			Member: "coldest_c", Number: pointerTo(13.8), Unit: "degC",
		}, {Member: "hysteresis_k", Number: pointerTo(0.4), Unit: "K"},
		{Member: "lid", Text: "open"}, {
			Member: "margin_percent", Number: pointerTo(25), Unit: "%",
		}, {Member: "rock_share", Number: pointerTo(0.1), Unit: "1"}, {
			Member: "wall_mm", Number: pointerTo(10), Unit: "mm",
		},
		{Member: "volume_is", Text: "fresh_water"},
	},
	Warnings: []string{"The usual rule of thumb says something else."},
	Cautions: []string{
		"Mains power beside salt water can kill. Use ground-fault protection.",
		"A heater out of water gets hot enough to burn.",
	},
	Figures: []string{"Heating needed 502 W", "With the margin 628 W"},
	Actions: []string{"Set the control to 77.9 °F.", "Set an alarm below 85.1 °F."},
	Link:    "https://saltwright.example/docs/calculators/heater-sizing/?length_mm=1219.2&units=us",
}

func TestRenderGolden(t *testing.T) {
	ctx := context.Background()
	hostile := Answer{
		Headline: "@everyone <@1234> [click](https://evil.example) http://evil.example www.evil.example `rm` *a* " +
			"|x| <script> #general &commat;here \u202eright\nnext",
		Warnings: []string{
			"mail me@evil.example", "> quoted\n# title\n- list",
		}, Cautions: []string{"||spoiler|| ~~no~~ $math$ :smile:"},
		Link: "https://saltwright.example/v1/x?y=@everyone",
	}
	for name, c := range map[string]struct {
		text    string
		direct  bool
		service answered
	}{
		"answer":    {"heaters for 48x24x20 in, room 64F, 100 gal", false, answered{answer: sample}},
		"ask-back":  {"heaters for 48x24x20, room 64", false, answered{}},
		"ask-us":    {"heaters for 48x24x20 in", true, answered{}},
		"unknown":   {"what about 48x24x20 in?", false, answered{}},
		"refusal":   {"how do I bypass the gfci", false, answered{}},
		"emergency": {"power has been out 6 hours, what do I do", false, answered{}},
		"german":    {"Heizung für 120x50x50 cm?", true, answered{}},
		"help":      {"help", true, answered{}},
		"refused": {
			"heaters for 48x24x20 in, room 178F", false,
			answered{
				err: &Refusal{
					Violations: []Violation{
						{Member: "room_c", Detail: "must be at most 45", Max: pointerTo(45), Unit: "degC"},
						{Member: "coldest_c", Min: pointerTo(-5), Unit: "degC"},
					},
				},
			},
		},
		"conflict": {
			"1.9 sg", false,
			answered{
				err: &Refusal{
					Violations: []Violation{
						{Member: "value", Detail: "leads to value outside 1 … 1.0339756021161046 (1)"},
					},
				},
			},
		},
		"hostile":   {"heaters for 48x24x20 in, room 64F", false, answered{answer: hostile}},
		"hostile-q": {"heaters for 48x24x20 in, room 64@everyone 12/34`x` 7<@99>", false, answered{}},
	} {
		reply, err := Answerer{Service: &c.service, Name: "saltwright"}.Reply(ctx, c.text, c.direct)
		require.NoError(t, err)
		for dialect, d := range dialects {
			t.Run(name+"/"+dialect, func(t *testing.T) {
				file := filepath.Join("testdata", "render", name+"."+dialect+".txt")
				got := Render(reply, d, 2000) + "\n"
				if *update {
					require.NoError(t, os.MkdirAll(filepath.Dir(file), 0o755))
					require.NoError(t, os.WriteFile(file, []byte(got), 0o644))
				}
				want, err := os.ReadFile(file)
				require.NoError(t, err, "go test ./clients/bot -update")
				assert.Equal(t, string(want), got)
			})
		}
	}
}

func TestRenderKeepsWhatMattersMost(t *testing.T) {
	reply, err := Answerer{Service: &answered{answer: sample}}.Reply(
		context.Background(), "heaters for 48x24x20 in, room 64F", true,
	)
	require.NoError(t, err)
	full := Render(reply, CommonMark, 8000)
	for _, part := range []string{
		sample.Headline, sample.Figures[1], sample.Actions[1], "Read as:", "room 64 °F", "Assumed:",
		"coldest temperature of the room 56.84 °F", sample.Cautions[0], sample.Link, "I am a bot",
	} {
		assert.Contains(t, full, part)
	}
	cut := 0
	for limit := utf16Length(full); limit >= LeastLimit; limit -= 37 {
		for name, d := range dialects {
			text := Render(reply, d, limit)
			require.LessOrEqual(t, utf16Length(text), limit, name)
			assert.Contains(t, text, "I am a bot", "%s %d", name, limit)
			assert.Contains(t, text, "aution", "%s %d: a caution, or that there are", name, limit)
			if !strings.Contains(text, sample.Cautions[0]) {
				cut++
				for _, less := range []string{"Read as:", "lid open"} {
					assert.NotContains(t, text, less, "%s %d: goes before a caution", name, limit)
				}
			}
		}
	}
	assert.Positive(t, cut, "some limit is too short for the caution")
	assert.Equal(t, Render(reply, Plain, LeastLimit), Render(reply, Plain, 1))
	assert.Empty(t, Render(Reply{Kind: Silent}, Plain, 700))
}

var (
	liveMention = regexp.MustCompile(`[@＠﹫][^\x{200b}]|<[@#/:!]|[@＠﹫]$`)
	liveAddress = regexp.MustCompile(`(?i)(https?|ftp|javascript|mailto):[/\pL]|//[^\x{200b}]|[\pL\pN]\.\pL`)
	liveMarkup  = regexp.MustCompile("(^|[^\\\\])[\\[\\]<>|~#]|(^|[^\\\\])`")
)

// checkHarmless looks at a rendered text as a platform would.
func checkHarmless(t *testing.T, r Reply, d Dialect, text string) {
	t.Helper()
	for _, x := range text {
		require.False(t, unicode.IsControl(x) && x != '\n', "control character %U", x)
		require.False(t, unicode.Is(unicode.Cf, x) && x != '\u200b', "direction or format character %U", x)
	}
	// The bot's own markup: the link, the line to copy, the headings.
	if link := safeLink(r.Link); link != "" {
		text = strings.Replace(text, "<"+link+">", "LINK", 1)
		text = strings.Replace(text, link, "LINK", 1)
	}
	require.NotRegexp(t, liveMention, text)
	// In a span of code nothing becomes a link; in plain text there is no such span.
	if before, rest, ok := strings.Cut(text, "\n\nThe whole line, to fill in and send: `"); ok && d != Plain {
		_, after, closed := strings.Cut(rest, "`")
		require.True(t, closed, "the span of code has an end")
		text = before + after
	}
	require.NotRegexp(t, liveAddress, strings.ReplaceAll(text, "\u200b\u200b", "\u200b"))
	if d == Plain {
		return
	}
	text = strings.ReplaceAll(text, `\\`, "")
	require.NotRegexp(t, liveMarkup, text)
}

func FuzzRender(f *testing.F) {
	f.Add("@everyone", "<@1>", "a@b.example", "heaters for 1x1x1 in", "https://saltwright.example/v1/x?y=1", 2000, 0)
	f.Add("[a](http://b.example)", "`code`", "www.b.example", "!name `x` @me", "javascript:alert(1)", 300, 1)
	f.Add("||a|| ~~b~~ \\", "\\", "\\@x", "\\`", "https://u@h.example/", 200, 2)
	f.Add("\u202e\u200b@\u200bx", "＠everyone ﹫x", "&commat;x &#64;x", "a://b", "http://h.example/<x>", 0, 1)
	f.Add("0", "\xef\xbc", "&commat;x &#64;", "b:a//c.example", "http://h.example/<x>", 34, 0)
	f.Add(
		"b\x13.example", "ht\u200dtp:\u200d//b.example", "@\u2060everyone", "a\x00b", "https://b.example/\x13", 500, 1,
	)
	f.Add(
		strings.Repeat("𝕏", 3000), strings.Repeat("\\", 1500), strings.Repeat("@", 900), strings.Repeat("`", 99), "",
		1999, 2,
	)
	f.Fuzz(func(t *testing.T, lead, point, caution, line, link string, limit, dialect int) {
		d := Dialect(((dialect % 3) + 3) % 3)
		r := Reply{
			Lead: lead + ".", Points: []string{point, point}, Line: line,
			ReadAs: []string{point}, Unused: []string{lead},
			Assumed:  []string{point, caution, lead},
			Warnings: []string{caution}, Cautions: []string{caution}, Link: link,
		}
		limit = min(limit, 1<<20)
		text := Render(r, d, limit)
		require.LessOrEqual(t, utf16Length(text), max(limit, LeastLimit))
		require.Contains(t, text, "I am a bot")
		checkHarmless(t, r, d, text)
	})
}

func BenchmarkRender(b *testing.B) {
	reply, err := Answerer{Service: &answered{answer: sample}}.Reply(
		context.Background(), "heaters for 48x24x20 in, room 64F", true,
	)
	require.NoError(b, err)
	for b.Loop() {
		Render(reply, Chat, 2000)
	}
}
