package deploy

import (
	"bufio"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/clients/bot/standardwebhooks"
)

// secretOfTheBridge signs events and replies.
const secretOfTheBridge = "whsec_QUFBQUFBQUFBQUFBQUFBQUFBQUFBQUFB"

// bridge keeps the replies that the bots send, by the message that they answer.
type bridge struct {
	mu      sync.Mutex
	replies map[string][]string // message -> the ids under which replies came
}

func (b *bridge) ServeHTTP(_ http.ResponseWriter, r *http.Request) {
	var reply struct {
		Data struct {
			InReplyTo string `json:"in_reply_to"`
		} `json:"data"`
	}
	data, _ := io.ReadAll(r.Body)
	_ = json.Unmarshal(data, &reply)
	b.mu.Lock()
	defer b.mu.Unlock()
	b.replies[reply.Data.InReplyTo] = append(b.replies[reply.Data.InReplyTo], r.Header.Get("webhook-id"))
}

// answered counts the messages that have a reply.
func (b *bridge) answered() int {
	b.mu.Lock()
	defer b.mu.Unlock()
	return len(b.replies)
}

// holding is a service that answers the sizing of a heater when it is let go.
func holding(t *testing.T) (url string, letGo func()) {
	t.Helper()
	data, err := os.ReadFile("../testdata/api/postHeaterSizing/example.response.json")
	require.NoError(t, err)
	open := make(chan struct{})
	var once sync.Once
	s := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		select {
		case <-open:
			_, _ = w.Write(data)
		case <-r.Context().Done():
		}
	}))
	letGo = func() { once.Do(func() { close(open) }) }
	t.Cleanup(func() { letGo(); s.Close() })
	return s.URL, letGo
}

func startBot(t *testing.T, binary, service, replies, store string) (*exec.Cmd, string) {
	t.Helper()
	cmd := exec.Command(binary, "-addr", "127.0.0.1:0", "-service", service, "-public", "https://saltwright.example")
	cmd.Env = append(os.Environ(), "SALTWRIGHT_BOT_STORE_URL="+store,
		"SALTWRIGHT_BOT_STANDARD_SECRET="+secretOfTheBridge, "SALTWRIGHT_BOT_STANDARD_REPLY_URL="+replies)
	log, err := cmd.StderrPipe()
	require.NoError(t, err)
	require.NoError(t, cmd.Start())
	t.Cleanup(func() { _ = cmd.Process.Kill(); _ = cmd.Wait() })
	lines := bufio.NewScanner(log)
	listens := regexp.MustCompile(`"msg":"listens","url":"(http://[^"]+)"`)
	for lines.Scan() {
		if m := listens.FindStringSubmatch(lines.Text()); m != nil {
			go func() { _, _ = io.Copy(io.Discard, log) }()
			return cmd, m[1]
		}
	}
	require.FailNow(t, "the bot did not start")
	return nil, ""
}

// tell delivers a message to a bot, in a thread and by an author of its own unless they are given.
func tell(t *testing.T, bot, message, thread, author string) int {
	t.Helper()
	body := fmt.Sprintf(`{"type":"message.created","data":{"message_id":%q,"thread_id":%q,"author":{"id":%q},`+
		`"text":"@saltwright heaters for 120x60x50 cm, room 18 C"}}`, message, thread, author)
	key, err := standardwebhooks.Secret(secretOfTheBridge)
	require.NoError(t, err)
	now := strconv.FormatInt(time.Now().Unix(), 10)
	r, err := http.NewRequest(http.MethodPost, bot+"/hooks/standard", strings.NewReader(body))
	require.NoError(t, err)
	r.Header = http.Header{
		"Webhook-Id": {"d" + message}, "Webhook-Timestamp": {now},
		"Webhook-Signature": {standardwebhooks.Sign(key, "d"+message, now, []byte(body))},
	}
	res, err := http.DefaultClient.Do(r)
	require.NoError(t, err)
	require.NoError(t, res.Body.Close())
	return res.StatusCode
}

// Two bots share a real Redis. One is killed while it holds four questions and eight wait; the other, which was told all
// of them too, answers each of the twelve once. The caps are those of both together.
func TestAKilledBotLosesNothing(t *testing.T) {
	redis := program(t, "redis-server")
	binary := filepath.Join(t.TempDir(), "saltwright-bot")
	out, err := exec.Command("go", "build", "-o", binary, "saltwright/clients/bot/cmd/saltwright-bot").CombinedOutput()
	require.NoError(t, err, string(out))
	listen := freePort(t)
	_, port, _ := strings.Cut(listen, ":")
	run(t, listen, redis, "--port", port, "--bind", "127.0.0.1", "--save", "", "--appendonly", "no", "--dir", t.TempDir())
	store := "redis://" + listen + "/0"
	got := &bridge{replies: map[string][]string{}}
	platform := httptest.NewServer(got)
	defer platform.Close()
	service, letGo := holding(t)

	first, one := startBot(t, binary, service, platform.URL, store)
	for n := range 12 {
		require.Equal(t, 202, tell(t, one, fmt.Sprint("m", n), fmt.Sprint("t", n), fmt.Sprint("a", n)))
	}
	time.Sleep(time.Second) // it holds four
	require.NoError(t, first.Process.Kill())
	killed := time.Now()
	_, two := startBot(t, binary, service, platform.URL, store)
	for n := range 12 {
		assert.Equal(t, 204, tell(t, two, fmt.Sprint("m", n), fmt.Sprint("t", n), fmt.Sprint("a", n)), "taken before")
	}
	letGo()
	require.Eventually(t, func() bool { return got.answered() >= 8 }, 20*time.Second, 20*time.Millisecond)
	t.Logf("what waited was answered %v after the kill", time.Since(killed).Round(100*time.Millisecond))
	require.Eventually(t, func() bool { return got.answered() == 12 }, 100*time.Second, 100*time.Millisecond)
	t.Logf("what was being answered, %v after it", time.Since(killed).Round(100*time.Millisecond))

	_, three := startBot(t, binary, service, platform.URL, store)
	status := map[int]int{}
	for n := range 6 {
		status[tell(t, two, fmt.Sprint("x", n), "one thread", fmt.Sprint("b", n))]++
		status[tell(t, three, fmt.Sprint("y", n), "one thread", fmt.Sprint("c", n))]++
	}
	assert.Equal(t, map[int]int{202: 6, 204: 6}, status, "six replies in a thread, of both together")
	require.Eventually(t, func() bool { return got.answered() == 18 }, 20*time.Second, 20*time.Millisecond)
	time.Sleep(time.Second)
	got.mu.Lock()
	defer got.mu.Unlock()
	for message, ids := range got.replies {
		assert.Len(t, ids, 1, message)
	}
}
