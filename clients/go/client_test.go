package saltwright

import (
	"bufio"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"net/http"
	"net/http/httptest"
	"net/http/httputil"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"reflect"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"go.yaml.in/yaml/v3"
)

func operationIDs(t *testing.T) []string {
	t.Helper()
	data, err := os.ReadFile("../../api/openapi.yaml")
	require.NoError(t, err)
	var c struct {
		Paths map[string]map[string]struct {
			OperationID string `yaml:"operationId"`
		} `yaml:"paths"`
	}
	require.NoError(t, yaml.Unmarshal(data, &c))
	var ids []string
	for _, item := range c.Paths {
		for _, o := range item {
			ids = append(ids, o.OperationID)
		}
	}
	require.Greater(t, len(ids), 40)
	return ids
}

func methodOf(id string) string { return strings.ToUpper(id[:1]) + id[1:] }

func TestEveryOperationHasAMethod(t *testing.T) {
	for _, id := range operationIDs(t) {
		_, ok := reflect.TypeFor[*Client]().MethodByName(methodOf(id))
		assert.True(t, ok, "operation %s has no method: go generate ./clients/go", id)
	}
}

// service starts the real program behind a proxy, so that the base has a path before /v1.
func service(t *testing.T) *Client {
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
	u, err := url.Parse(regexp.MustCompile(`http://[0-9.:]+`).FindString(line))
	require.NoError(t, err)
	proxy := httptest.NewServer(http.StripPrefix("/under/a/path", httputil.NewSingleHostReverseProxy(u)))
	t.Cleanup(proxy.Close)
	c, err := New(proxy.URL + "/under/a/path/")
	require.NoError(t, err)
	return c
}

// The cases that server and documents share, each through the method of its
// operation and the types of its request and answer: nothing may get lost on the way.
func TestSharedCases(t *testing.T) {
	c := service(t)
	files, err := filepath.Glob("../../testdata/api/*/*.request.json")
	require.NoError(t, err)
	require.Greater(t, len(files), 60)
	ran, refused := 0, 0
	for _, file := range files {
		id := filepath.Base(filepath.Dir(file))
		if strings.Contains(file, "member-twice") {
			continue // a mistake that types cannot make
		}
		if strings.Contains(file, "postPlanRemedies/example.") {
			continue // some seconds; small has every type of it
		}
		t.Run(id+"/"+filepath.Base(file), func(t *testing.T) {
			request, err := os.ReadFile(file)
			require.NoError(t, err)
			want, err := os.ReadFile(strings.Replace(file, ".request.", ".response.", 1))
			require.NoError(t, err)
			method := reflect.ValueOf(c).MethodByName(methodOf(id))
			args := []reflect.Value{reflect.ValueOf(context.Background())}
			if in := method.Type(); in.NumIn() == 3 { // context, request, options
				if in.In(1).Kind() == reflect.String {
					var code struct{ Code string }
					require.NoError(t, json.Unmarshal(request, &code))
					args = append(args, reflect.ValueOf(code.Code))
				} else {
					typed := reflect.New(in.In(1))
					if err := json.Unmarshal(request, typed.Interface()); err != nil {
						require.Contains(t, file, "-problem", "%v", err)
						return // a mistake that types cannot make
					}
					args = append(args, typed.Elem())
				}
			}
			var shape struct {
				Units         string
				Samples, Seed int
			}
			require.NoError(t, json.Unmarshal(request, &shape)) // the request of a GET holds these too
			if shape.Samples > 0 {
				args = append(args, reflect.ValueOf(Samples(shape.Samples, max(1, shape.Seed))))
			}
			if shape.Units == "us" {
				args = append(args, reflect.ValueOf(US()))
			}
			answer := method.Call(args)
			failure, _ := answer[2].Interface().(error)
			if strings.Contains(file, "-problem") {
				var p *ProblemError
				require.ErrorAs(t, failure, &p)
				assert.Contains(t, []int{404, 422}, p.Status)
				assert.Equal(t, p.Status == 422, len(p.Errors) > 0)
				refused++
				return
			}
			require.NoError(t, failure)
			got, err := json.Marshal(answer[0].Interface())
			require.NoError(t, err)
			var a, b any
			require.NoError(t, json.Unmarshal(want, &a))
			require.NoError(t, json.Unmarshal(got, &b))
			same(t, "", a, b)
			meta := answer[1].Interface().(*Meta)
			assert.Equal(t, 200, meta.Status)
			assert.Len(t, meta.RequestID, 36)
			if strings.HasPrefix(id, "get") {
				assert.NotEmpty(t, meta.ETag)
			}
			ran++
		})
	}
	t.Logf("%d answers compared, %d problems", ran, refused)
	assert.Greater(t, ran, 60)

	t.Run("report", func(t *testing.T) {
		data, err := os.ReadFile("../../testdata/api/postPlanAudit/first-timer.request.json")
		require.NoError(t, err)
		var plan PlanRequest
		require.NoError(t, json.Unmarshal(data, &plan))
		text, _, err := c.PostPlanAuditMarkdown(context.Background(), plan, US())
		require.NoError(t, err)
		assert.True(t, strings.HasPrefix(string(text), "# "))
		page, _, err := c.PostPlanAuditHtml(context.Background(), plan)
		require.NoError(t, err)
		assert.True(t, strings.HasPrefix(string(page), "<!DOCTYPE html>"))
	})
	t.Run("a plan in its link", func(t *testing.T) {
		data, err := os.ReadFile("../../testdata/api/postPlanAudit/first-timer.request.json")
		require.NoError(t, err)
		var plan PlanRequest
		require.NoError(t, json.Unmarshal(data, &plan))
		posted, _, err := c.PostPlanCheck(context.Background(), plan)
		require.NoError(t, err)
		read, meta, err := c.GetPlanCheck(context.Background(), plan)
		require.NoError(t, err)
		assert.Equal(t, posted, read)
		assert.NotEmpty(t, meta.ETag)
		_, _, err = c.GetPlanRisk(context.Background(), PlanRiskRequest{Plan: plan, Rates: []StatedRate{{}}})
		assert.ErrorContains(t, err, "rates is no single value: ask by POST")
	})
	t.Run("options", func(t *testing.T) {
		r := EvaporationRequest{LengthMm: 900, WidthMm: 500, RoomC: 21}
		plain, meta, err := c.PostEvaporation(context.Background(), r, US(), Samples(20, 7))
		require.NoError(t, err)
		require.NotNil(t, plain.Sensitivity)
		assert.Contains(t, plain.Summary, "gal")
		assert.Equal(
			t, "/v1/evaporation?length_mm=900&room_c=21&samples=20&seed=7&units=us&width_mm=500", meta.Location,
		)
		again, _, err := c.GetEvaporation(context.Background(), r, US(), Samples(20, 7))
		require.NoError(t, err)
		assert.Equal(t, plain, again)
	})
}

func same(t *testing.T, at string, a, b any) {
	t.Helper()
	switch x := a.(type) {
	case map[string]any:
		y, ok := b.(map[string]any)
		require.True(t, ok, at)
		for name := range x {
			same(t, at+"/"+name, x[name], y[name])
		}
		require.Len(t, y, len(x), at)
	case []any:
		y, ok := b.([]any)
		require.True(t, ok && len(x) == len(y), at)
		for i := range x {
			same(t, fmt.Sprint(at, "/", i), x[i], y[i])
		}
	case float64:
		y, ok := b.(float64)
		require.True(t, ok && math.Abs(x-y) <= 1e-9*math.Max(1, math.Abs(x)), "%s: %v and %v", at, a, b)
	default:
		require.Equal(t, a, b, at)
	}
}

// fake answers with a list of answers, one a request, and keeps the waits between them.
type fake struct {
	server *httptest.Server
	waits  []time.Duration
	asked  int
}

type canned struct {
	status     int
	retryAfter string
	body       string
}

const tooMany = `{"type":"https://iana.org/assignments/http-problem-types#quota-exceeded",` +
	`"title":"The quota is used up","status":429,"detail":"Wait.",` +
	`"instance":"urn:uuid:00000000-0000-4000-8000-000000000000","code":"quota_exceeded",` +
	`"violated-policies":["anon-minute"]}`

func newFake(t *testing.T, answers ...canned) (*fake, *Client) {
	f := &fake{}
	f.server = httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		a := answers[min(f.asked, len(answers)-1)]
		f.asked++
		if a.status == 0 {
			panic(http.ErrAbortHandler) // the connection breaks
		}
		if a.retryAfter != "" {
			w.Header().Set("Retry-After", a.retryAfter)
		}
		w.Header().Set("RateLimit", `"anon-minute";r=3;t=59, "anon-day";r=100;t=7`)
		w.Header().Set("RateLimit-Policy", `"anon-day";q=20000;w=86400, "anon-minute";q=600;w=60`)
		w.WriteHeader(a.status)
		_, _ = io.WriteString(w, a.body)
	}))
	t.Cleanup(f.server.Close)
	c, err := New(
		f.server.URL,
		WithSleep(func(_ context.Context, d time.Duration) error { f.waits = append(f.waits, d); return nil }),
	)
	require.NoError(t, err)
	return f, c
}

func TestItTriesAgainWhereThatIsRight(t *testing.T) {
	good := canned{200, "", `{"sources":[]}`}
	overloaded := canned{503, "5", `{"code":"overloaded","status":503,"title":"t","detail":"d"}`}
	for name, c := range map[string]struct {
		answers []canned
		asked   int
		status  int // 0: answered in the end
	}{
		"at once":                      {[]canned{good}, 1, 0},
		"quota, then well":             {[]canned{{429, "2", tooMany}, good}, 2, 0},
		"quota for an hour":            {[]canned{{429, "3600", tooMany}}, 1, 429},
		"quota that waiting mends not": {[]canned{{429, "", tooMany}}, 1, 429},
		"overloaded, then well":        {[]canned{overloaded, overloaded, good}, 3, 0},
		"overloaded for ever":          {[]canned{overloaded}, 4, 503},
		"out of time":                  {[]canned{{503, "", `{"code":"out_of_time","status":503}`}}, 1, 503},
		"bad gateway, then well":       {[]canned{{502, "", "<html>"}, good}, 2, 0},
		"broken connection":            {[]canned{{}, good}, 2, 0},
		"invalid":                      {[]canned{{422, "", `{"code":"invalid_request","status":422}`}}, 1, 422},
		"our mistake":                  {[]canned{{500, "", `{"code":"internal_error","status":500}`}}, 1, 500},
	} {
		t.Run(name, func(t *testing.T) {
			f, client := newFake(t, c.answers...)
			_, meta, err := client.ListSources(context.Background())
			assert.Equal(t, c.asked, f.asked)
			if c.status == 0 {
				require.NoError(t, err)
				assert.Equal(t, c.asked, meta.Tries)
				return
			}
			var p *ProblemError
			require.ErrorAs(t, err, &p)
			assert.Equal(t, c.status, p.Status)
		})
	}
	f, client := newFake(t, canned{429, "2", tooMany}, good)
	_, meta, err := client.ListSources(context.Background())
	require.NoError(t, err)
	assert.Equal(t, []time.Duration{2 * time.Second}, f.waits, "what the service asked for")
	assert.Equal(
		t,
		[]Limit{
			{"anon-minute", 600, time.Minute, 3, 59 * time.Second},
			{"anon-day", 20000, 24 * time.Hour, 100, 7 * time.Second},
		},
		meta.Limits,
	)

	gone, cancel := context.WithCancel(context.Background())
	cancel()
	_, _, err = client.ListSources(gone)
	assert.ErrorIs(t, err, context.Canceled)
}

func TestAProblemSaysWhere(t *testing.T) {
	_, c := newFake(
		t,
		canned{
			422, "",
			`{"type":"/problems/invalid_request","title":"The request has 1 invalid value","status":422,` +
				`"detail":"Correct it.","instance":"urn:uuid:0","code":"invalid_request",` +
				`"errors":[{"code":"out_of_range","in":"body","pointer":"#/room_c","detail":"must be at most 45",` +
				`"unit":"degC"}]}`,
		},
	)
	_, _, err := c.PostEvaporation(context.Background(), EvaporationRequest{})
	assert.EqualError(
		t, err, "saltwright: 422 The request has 1 invalid value: Correct it.; #/room_c must be at most 45",
	)
	_, c = newFake(t, canned{404, "", "<html>nobody here</html>"})
	var p *ProblemError
	_, _, err = c.GetIndex(context.Background())
	require.ErrorAs(t, err, &p)
	assert.Equal(t, "Not Found", p.Title)
}

func TestTheBaseMustBeAnAddress(t *testing.T) {
	for _, bad := range []string{"", "saltwright.example", "ftp://a", "https://", "https://a?b", "https://a#b"} {
		_, err := New(bad)
		assert.Error(t, err, bad)
	}
}

// NIST SP 811 (2008), appendix B.8: gallon (U.S.) 3.785412 L, foot 304.8 mm, inch
// 25.4 mm, pound 0.45359237 kg, t/°C = (t/°F - 32)/1.8. From memory.
func TestUnitsAgreeWithTheHandbook(t *testing.T) {
	assert.InDelta(t, 3.785412, FromGallons(1), 5e-7)
	assert.InDelta(t, 304.8, FromFeet(1), 1e-12)
	assert.Equal(t, 25.4, FromInches(1))
	assert.Equal(t, 0.45359237, FromPounds(1))
	assert.Equal(t, 25.0, FromFahrenheit(77))
	assert.Equal(t, -40.0, FromFahrenheit(-40))
	for _, x := range []float64{0, 1, 48, 123.456} {
		assert.InDelta(t, x, ToGallons(FromGallons(x)), 1e-12)
		assert.InDelta(t, x, ToInches(FromInches(x)), 1e-12)
		assert.InDelta(t, x, ToFahrenheit(FromFahrenheit(x)), 1e-12)
		assert.InDelta(t, x, ToPounds(FromPounds(x)), 1e-12)
	}
}

// FuzzProblem reads whatever a proxy or a mistake sends: it is always a problem, never a crash.
func FuzzProblem(f *testing.F) {
	f.Add(422, tooMany, "3", `"a";q=1;w=60`)
	f.Add(502, "<html>", "Wed, 21 Oct 2026 07:28:00 GMT", `"a";;q=,`)
	f.Fuzz(func(t *testing.T, status int, body, retry, policy string) {
		res := &http.Response{
			StatusCode: status,
			Header:     http.Header{"Retry-After": {retry}, "Ratelimit-Policy": {policy}, "Ratelimit": {policy}},
		}
		var p *ProblemError
		if err := problemOf(
			res, []byte(body), *metaOf(res),
		); !errors.As(err, &p) || p.Status != status || p.Error() == "" || p.RetryAfter < 0 {
			t.Fatalf("%v", err)
		}
	})
}
