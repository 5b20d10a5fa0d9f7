package service

import (
	"bufio"
	"context"
	"encoding/json"
	"html"
	"io"
	"net/http"
	"net/http/httptest"
	"net/http/httputil"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/clients/bot"
	"saltwright/clients/bot/corpus"
	saltwright "saltwright/clients/go"
)

// start starts the real program behind a proxy, so that its base has a path before /v1.
func start(t *testing.T) (base string) {
	t.Helper()
	if testing.Short() {
		t.Skip("builds and runs the service")
	}
	program := filepath.Join(t.TempDir(), "saltwright")
	out, err := exec.Command("go", "build", "-o", program, "saltwright/cmd/saltwright").CombinedOutput()
	require.NoError(t, err, "%s", out)
	cmd := exec.Command(program, "--addr", "127.0.0.1:0", "--per-minute", "0", "--log-level", "error")
	stdout, err := cmd.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, cmd.Start())
	t.Cleanup(func() { _ = cmd.Process.Kill(); _ = cmd.Wait() })
	line, err := bufio.NewReader(stdout).ReadString('\n')
	require.NoError(t, err)
	go func() { _, _ = io.Copy(io.Discard, stdout) }()
	u, err := url.Parse(regexp.MustCompile(`http://[^\s"]+`).FindString(line))
	require.NoError(t, err)
	proxy := httptest.NewServer(http.StripPrefix("/under/a/path", httputil.NewSingleHostReverseProxy(u)))
	t.Cleanup(proxy.Close)
	return proxy.URL + "/under/a/path"
}

func client(t *testing.T, base string) *saltwright.Client {
	t.Helper()
	c, err := saltwright.New(base, saltwright.WithTries(1, time.Second))
	require.NoError(t, err)
	return c
}

// english are words of which every English sentence has one, and which German and Spanish have not.
var english = regexp.MustCompile(`(?i)\b(the|of|and|with|is|are|without|from|left|for|days|must|water|room)\b`)

// contractName is a name as the contract writes it, its underscores disarmed or not.
var contractName = regexp.MustCompile(`[a-z]\\?_[a-z]`)

// Every question of the corpus in German and Spanish is replied to in that language, within the limits of chats and
// forums, with a page in it; one in French with the service's English. None names what only the contract names.
func TestGermanAndSpanishRepliesLeaveNoEnglish(t *testing.T) {
	base := start(t)
	patient, err := saltwright.New(base) // with several tries: the machine may be busy
	require.NoError(t, err)
	asked := New(patient, base+"/")
	answerer := bot.Answerer{Service: asked, Page: asked.Page}
	questions, err := corpus.Read(os.DirFS("../testdata/corpus"))
	require.NoError(t, err)
	address := regexp.MustCompile(`https?://\S+`)
	linked := 0
	for _, q := range questions {
		translated := q.Language == "de" || q.Language == "es"
		if !translated && q.Language != "fr" {
			continue
		}
		reply, err := answerer.Reply(t.Context(), bot.OwnWords(q.Text), true)
		require.NoError(t, err, "%s: %s", q.Place, q.Text)
		for dialect, limit := range map[bot.Dialect]int{bot.Chat: bot.ChatLimit, bot.CommonMark: bot.ForumLimit} {
			said := bot.Render(reply, dialect, limit)
			assert.LessOrEqual(t, len([]rune(said)), limit, q.Place)
			if link := address.FindString(said); link != "" {
				linked++
				assert.Equal(t, translated, strings.Contains(link, "language="+q.Language), q.Place)
			}
			for _, line := range strings.Split(address.ReplaceAllString(said, ""), "\n") {
				if translated {
					assert.NotRegexp(t, english, line, "%s: %s", q.Place, q.Text)
				}
				assert.NotRegexp(t, contractName, line, "%s: %s", q.Place, q.Text)
			}
		}
	}
	assert.Positive(t, linked)
}

// Questions in both unit systems go through the real service, and every link
// answers GET with the same summary.
func TestQuestionsThroughTheService(t *testing.T) {
	base := start(t)
	patient, err := saltwright.New(base) // with several tries: the machine may be busy
	require.NoError(t, err)
	answerer := bot.Answerer{Service: New(patient, base+"/")}
	for _, c := range []struct {
		question string
		says     []string
		link     bool
	}{
		{
			"heaters for 48x24x20 in, room 64F, keep 78F",
			[]string{
				"Heating needed 490 W", "coldest temperature of the room 56.8 °F", "Caution: Mains power",
			},
			true,
		},
		{
			"heaters for 120x60x50 cm, room 18 °C",
			[]string{
				"Heating needed 466 W", "coldest temperature of the room 14 °C", "Caution: ",
			},
			true,
		},
		{
			"chiller 120x60x50 cm, room 26 C, warmest 32 C",
			[]string{"W chiller: it holds", "Caution: Mains power"}, true,
		},
		{
			"evaporation 48x24 in, room 68F, humidity 40%",
			[]string{"gal evaporate a day", "temperature of the water 77.9 °F"}, true,
		},
		{
			"top-off for 120x60 cm, chamber 30x30 cm, reservoir 40 l, tank 400 l, pump 20 l/h, away 10 days, room 22 C",
			[]string{"40 L are too little", "Caution: "}, true,
		},
		{"1.025 SG", []string{"The salinity is 33"}, true},
		{"53 mS/cm at 25 C", []string{"The salinity is 34.9"}, true},
		{"35 ppt", []string{"The salinity is 35.00", "1.0264"}, true},
		{
			"salt mix for 55 gal to 35 ppt", []string{"lb of salt", "Caution: Mix new salt water"},
			true,
		},
		{
			"raise 75 gal from 1.022 to 1.026",
			[]string{"34.5", "salinity now 1.022 SG"}, true,
		},
		{
			"lower the salinity of 300 L from 38 ppt to 35 ppt",
			[]string{"35", "salinity now 38 ppt"}, true,
		},
		{
			"heaters for 48x24x20 in, room 178F",
			[]string{"“178F”: usual temperature of the room must be at most 113 °F.", "room ___ °F"}, false,
		},
		{
			"heaters for 48x24x2000 in, room 64F",
			[]string{"“48x24x2000 in”: depth of the water must be at most 196.8 in."},
			false,
		},
		{
			"heaters for 120x60x50 cm, room 18 C, keep 3 C",
			[]string{"“3 C”: temperature to hold must be at least 5 °C."}, false,
		},
		{"1.9 SG", []string{"“1.9 SG”: reading "}, false},
		{
			"heaters for 120x60x50 cm, room 18 C, 35000 ppt", []string{"“35000 ppt”: salinity must be at most 42 ppt."},
			false,
		},
	} {
		t.Run(c.question, func(t *testing.T) {
			reply, err := answerer.Reply(context.Background(), c.question, true)
			require.NoError(t, err)
			text := bot.Render(reply, bot.Plain, 8000)
			for _, s := range append(c.says, "I am a bot") {
				assert.Contains(t, text, s)
			}
			assert.Equal(t, c.link, reply.Link != "")
			if !c.link {
				return
			}
			assert.Contains(t, text, reply.Link, "the link survives rendering")
			res, err := http.Get(reply.Link)
			require.NoError(t, err)
			defer res.Body.Close()
			page, err := io.ReadAll(res.Body)
			require.NoError(t, err)
			assert.Equal(t, http.StatusOK, res.StatusCode)
			assert.Contains(t, res.Header.Get("Content-Type"), "text/html", "a page for people, not JSON")
			assert.Contains(t, html.UnescapeString(string(page)), reply.Lead, "the same answer")
			for dialect, limit := range map[bot.Dialect]int{bot.Chat: bot.ChatLimit, bot.CommonMark: bot.ForumLimit} {
				rendered := bot.Render(reply, dialect, limit)
				assert.LessOrEqual(t, len([]rune(rendered)), limit)
				if len(reply.Cautions) > 0 {
					assert.Contains(t, rendered, reply.Cautions[0][:20], "a real answer has room for its caution")
				}
			}
		})
	}
}

// stand answers every request with one status and body.
func stand(t *testing.T, status int, header http.Header, body string) *saltwright.Client {
	t.Helper()
	s := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) {
		for name, v := range header {
			w.Header()[name] = v
		}
		w.WriteHeader(status)
		_, _ = io.WriteString(w, body)
	}))
	t.Cleanup(s.Close)
	return client(t, s.URL)
}

var heaters = bot.Request{
	Operation: "postHeaterSizing",
	Members:   map[string]any{"length_mm": 900.0, "width_mm": 500.0, "water_depth_mm": 500.0, "room_c": 21.0},
}

// The cases that server and clients share, as the service answers them.
func TestSharedCases(t *testing.T) {
	for operation := range operations {
		t.Run(operation, func(t *testing.T) {
			folder := filepath.Join("..", "..", "..", "testdata", "api", operation)
			var members map[string]any
			request, err := os.ReadFile(filepath.Join(folder, "example.request.json"))
			require.NoError(t, err)
			require.NoError(t, json.Unmarshal(request, &members))
			response, err := os.ReadFile(filepath.Join(folder, "example.response.json"))
			require.NoError(t, err)
			var want shared
			require.NoError(t, json.Unmarshal(response, &want))
			s := New(
				stand(t, 200, http.Header{"Content-Location": {"/v1/x?y=1"}}, string(response)),
				"https://saltwright.example/",
			)
			got, err := s.Ask(context.Background(), bot.Request{Operation: operation, Members: members})
			require.NoError(t, err)
			assert.Equal(t, want.Headline, got.Headline)
			assert.Equal(t, want.Actions, got.Actions)
			assert.Len(t, got.Figures, len(want.KeyFigures))
			assert.Len(t, got.Assumptions, len(want.Assumptions))
			assert.Len(t, got.Warnings, len(want.Warnings))
			assert.Len(t, got.Cautions, len(want.Cautions))
			page := "https://saltwright.example/docs/calculators/" + bot.TopicOf(operation) + "/?y=1"
			if strings.HasPrefix(operation, "postPlan") { // what the stand-in sends holds no plan
				page = "https://saltwright.example/plan/"
			}
			assert.Equal(t, page, got.Link)
			for _, a := range got.Assumptions {
				assert.True(t, a.Number != nil || a.Text != "", a.Member)
				assert.NotContains(t, a.Member, "/")
			}
		})
	}
}

func TestProblems(t *testing.T) {
	const invalid = `{"title":"x","status":422,"code":"invalid_request","errors":[{"code":"out_of_range",` +
		`"in":"body","pointer":"#/room_c","detail":"must be at most 45","limit":{"maximum":45},"unit":"degC"}]}`
	for name, c := range map[string]struct {
		status int
		header http.Header
		body   string
		check  func(t *testing.T, err error)
	}{
		"invalid": {422, nil, invalid, func(t *testing.T, err error) {
			var r *bot.Refusal
			require.ErrorAs(t, err, &r)
			require.Len(t, r.Violations, 1)
			v := r.Violations[0]
			assert.Equal(t, "room_c", v.Member)
			assert.Equal(t, "degC", v.Unit)
			assert.Nil(t, v.Min)
			assert.Equal(t, 45.0, *v.Max)
		}},
		"quota": {
			429, http.Header{"Retry-After": {"17"}}, `{"title":"x","status":429,"code":"quota_exceeded"}`,
			func(t *testing.T, err error) {
				var b *bot.BusyError
				require.ErrorAs(t, err, &b)
				assert.Equal(t, 17*time.Second, b.After)
			},
		},
		"overloaded": {503, nil, `{"title":"x","status":503,"code":"overloaded"}`, func(t *testing.T, err error) {
			var b *bot.BusyError
			require.ErrorAs(t, err, &b)
		}},
		"broken": {500, nil, `oops`, func(t *testing.T, err error) {
			var b *bot.BusyError
			var r *bot.Refusal
			assert.NotErrorAs(t, err, &b)
			assert.NotErrorAs(t, err, &r)
			assert.Error(t, err)
		}},
		"no JSON": {200, nil, `oops`, func(t *testing.T, err error) { assert.Error(t, err) }},
	} {
		t.Run(name, func(t *testing.T) {
			_, err := New(stand(t, c.status, c.header, c.body), "").Ask(context.Background(), heaters)
			c.check(t, err)
		})
	}
}

func TestWhatIsNoneOfTheContract(t *testing.T) {
	s := New(
		stand(t, 200, http.Header{"Content-Location": {"https://elsewhere.example/"}}, `{"headline":"x"}`),
		"https://saltwright.example",
	)
	_, err := s.Ask(context.Background(), bot.Request{Operation: "postBatch"})
	assert.ErrorContains(t, err, "postBatch")
	_, err = s.Ask(
		context.Background(),
		bot.Request{Operation: "postHeaterSizing", Members: map[string]any{"no_such_member": 1.0}},
	)
	assert.ErrorContains(t, err, "no_such_member")
	got, err := s.Ask(context.Background(), heaters)
	require.NoError(t, err)
	assert.Equal(t, "https://saltwright.example/docs/calculators/heater-sizing/", got.Link, "only an address of ours")
}

// A question about a plan is answered with the workshop, that plan on its bench, where the link has room in the reply.
func TestThePlanIsBehindTheLink(t *testing.T) {
	base := start(t)
	asked := New(client(t, base), base+"/")
	answerer := bot.Answerer{Service: asked, Page: asked.Page}
	for _, question := range []string{
		"heater on a controller with one probe, one outlet, am I safe?",
		"Tank 200 L, 150 W Heizer an einem Regler mit einem Fühler, 10 Tage weg. Ist das sicher?",
	} {
		reply, err := answerer.Reply(t.Context(), question, true)
		require.NoError(t, err)
		require.Contains(t, reply.Link, "/plan/?", question)
		require.Contains(t, reply.Link, "plan=", question)
		t.Logf("%d characters: %s", len(reply.Link), reply.Link)
		response, err := http.Get(reply.Link) // #nosec G107 -- of the service that this test started
		require.NoError(t, err)
		page, err := io.ReadAll(response.Body)
		require.NoError(t, err)
		require.NoError(t, response.Body.Close())
		assert.Equal(t, http.StatusOK, response.StatusCode)
		assert.Contains(t, string(page), `name="plan"`)
		assert.Contains(t, string(page), "heater-1", "the plan is on the bench")
		forum := bot.Render(reply, bot.CommonMark, bot.ForumLimit)
		assert.Contains(t, forum, "plan=")
		assert.LessOrEqual(t, len([]rune(forum)), bot.ForumLimit)
		reply.Link += "&" + strings.Repeat("x", bot.ForumLimit)
		long := bot.Render(reply, bot.CommonMark, bot.ForumLimit)
		assert.NotContains(t, long, "plan=", "a link without room is left out")
		assert.Contains(t, long, "/plan/")
		assert.NotContains(t, long, reply.LinkSays)
		chat := bot.Render(reply, bot.Chat, bot.ChatLimit)
		assert.LessOrEqual(t, len([]rune(chat)), bot.ChatLimit)
	}
}
