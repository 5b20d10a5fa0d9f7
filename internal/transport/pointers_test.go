package transport

import (
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"net/url"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// pointed is what the tests read of a problem, or of a check's violations.
type pointed struct {
	Errors []struct {
		Pointer string `json:"pointer"`
		In      string `json:"in"`
		Code    string `json:"code"`
		Detail  string `json:"detail"`
	} `json:"errors"`
	Result struct {
		Violations []struct {
			Pointers []string `json:"pointers"`
			Detail   string   `json:"detail"`
		} `json:"violations"`
	} `json:"result"`
}

// sent tells whether a JSON pointer, as a URI fragment, names something in a document.
func sent(document any, pointer string) bool {
	if !strings.HasPrefix(pointer, "#") {
		return false
	}
	for _, token := range strings.Split(pointer, "/")[1:] {
		token, err := url.PathUnescape(token)
		if err != nil {
			return false
		}
		token = strings.NewReplacer("~1", "/", "~0", "~").Replace(token)
		switch v := document.(type) {
		case map[string]any:
			inside, ok := v[token]
			if !ok {
				return false
			}
			document = inside
		case []any:
			i, err := strconv.Atoi(token)
			if err != nil || i >= len(v) {
				return false
			}
			document = v[i]
		default:
			return false
		}
	}
	return true
}

// members lists the pointers of all members of a document, parents before what is in them.
func members(document any, at string) []string {
	var out []string
	switch v := document.(type) {
	case map[string]any:
		for name, inside := range v {
			out = append(append(out, at+"/"+name), members(inside, at+"/"+name)...)
		}
	case []any:
		for i, inside := range v {
			out = append(append(out, fmt.Sprintf("%s/%d", at, i)), members(inside, fmt.Sprintf("%s/%d", at, i))...)
		}
	}
	return out
}

// spoilt returns a copy of a document with the member at a pointer taken out, or set to something else.
func spoilt(t *testing.T, document any, pointer string, r *rand.Rand) any {
	t.Helper()
	raw, err := json.Marshal(document)
	require.NoError(t, err)
	var out any
	require.NoError(t, json.Unmarshal(raw, &out))
	tokens := strings.Split(pointer, "/")[1:]
	at := out
	for _, token := range tokens[:len(tokens)-1] {
		switch v := at.(type) {
		case map[string]any:
			at = v[token]
		case []any:
			i, err := strconv.Atoi(token)
			require.NoError(t, err)
			at = v[i]
		}
	}
	last := tokens[len(tokens)-1]
	v, isObject := at.(map[string]any)
	if !isObject {
		return out
	}
	switch old := v[last].(type) {
	case float64:
		switch r.IntN(4) {
		case 0:
			v[last] = -old
		case 1:
			v[last] = 3 * old
		case 2:
			v[last] = old / 3
		default:
			delete(v, last)
		}
	case string:
		if r.IntN(2) == 0 {
			delete(v, last)
		} else {
			v[last] = "somewhere-else"
		}
	default:
		delete(v, last)
	}
	return out
}

// Whatever is taken out of the gallery's plans or made wrong in them, what plan operations answer points at something
// that was sent, or at the member that lacks something.
func TestProblemsOfPlansPointAtWhatWasSent(t *testing.T) {
	files, err := filepath.Glob(filepath.Join(root(t), "testdata/api/postPlanAudit/example*.request.json"))
	require.NoError(t, err)
	require.NotEmpty(t, files)
	s, r, told := newTestServer(t), rand.New(rand.NewPCG(15, 10)), 0
	each := 150
	if testing.Short() {
		each = 25
	}
	check := func(path, body string, document any) reply {
		reply := post(t, s, path, body)
		var p pointed
		require.NoError(t, json.Unmarshal(reply.body, &p), "%s", reply.body)
		for _, e := range p.Errors {
			told++
			if e.Code == "required" { // what is missing is named, so that a form can show it; its parent was sent
				e.Pointer = e.Pointer[:strings.LastIndex(e.Pointer, "/")]
			}
			assert.True(t, sent(document, e.Pointer), "%s: %s is not in the request: %s", path, e.Pointer, e.Detail)
		}
		for _, v := range p.Result.Violations {
			told++
			assert.NotEmpty(t, v.Pointers, v.Detail)
			for _, pointer := range v.Pointers {
				assert.True(t, sent(document, pointer), "%s: %s is not in the request: %s", path, pointer, v.Detail)
			}
		}
		return reply
	}
	for _, file := range files {
		raw, err := os.ReadFile(file)
		require.NoError(t, err)
		var plan any
		require.NoError(t, json.Unmarshal(raw, &plan))
		all := members(plan, "#")
		slices.Sort(all)
		for range each {
			wrong := plan
			for range 1 + r.IntN(3) {
				at := all[r.IntN(len(all))]
				if sent(wrong, at) {
					wrong = spoilt(t, wrong, at, r)
				}
			}
			body, err := json.Marshal(wrong)
			require.NoError(t, err)
			checked := check("/v1/plan-check", string(body), wrong)
			if !strings.Contains(string(checked.body), `"valid":false`) {
				continue
			}
			for _, name := range []string{"audit", "risk", "remedies", "hand-over"} {
				check("/v1/plan-"+name, string(body), wrong)
			}
		}
	}
	assert.Greater(t, told, 100, "or the test says nothing")
	t.Logf("%d pointers or violations looked at", told)
}
