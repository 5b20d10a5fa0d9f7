package generated

import (
	"bytes"
	"context"
	"encoding/json"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"
	"time"

	"github.com/ogen-go/ogen/ogenerrors"
	"github.com/stretchr/testify/require"

	"saltwright/generated-clients/oapi"
	ogen "saltwright/generated-clients/ogen"
)

// eachCase runs a case of testdata/api as a test of its own.
func eachCase(
	t *testing.T, run func(t *testing.T, ctx context.Context, id string, request, response []byte, refused bool),
) {
	t.Helper()
	files, err := filepath.Glob("../../testdata/api/*/*.request.json")
	require.NoError(t, err)
	require.NotEmpty(t, files)
	requests, answers, problems := 0, 0, 0
	for _, file := range files {
		id, name := filepath.Base(filepath.Dir(file)), strings.TrimSuffix(filepath.Base(file), ".request.json")
		t.Run(id+"/"+name, func(t *testing.T) {
			request, err := os.ReadFile(file)
			require.NoError(t, err)
			response, err := os.ReadFile(strings.Replace(file, ".request.json", ".response.json", 1))
			require.NoError(t, err)
			ctx, cancel := context.WithTimeout(t.Context(), time.Minute)
			defer cancel()
			refused := strings.HasSuffix(name, "-problem")
			if refused {
				problems++
			} else {
				requests, answers = requests+1, answers+1
			}
			run(t, ctx, id, request, response, refused)
		})
	}
	t.Logf("%d requests, %d answers and %d problems", requests, answers, problems)
}

func service(t *testing.T) string {
	url := os.Getenv("SALTWRIGHT_URL")
	if url == "" {
		if os.Getenv("CI") == "true" {
			t.Fatal("CI must set SALTWRIGHT_URL")
		}
		t.Skip("needs a running service, by SALTWRIGHT_URL")
	}
	return url
}

// keeps reads a document into a generated type and back; no member may be lost or gained.
func keeps(t *testing.T, document []byte, into any) {
	t.Helper()
	require.NoError(t, json.Unmarshal(document, into), "%T", into)
	back, err := json.Marshal(into)
	require.NoError(t, err)
	same(t, document, back)
}

// same compares two documents as the other tests do: a number's last bits may differ between processors.
func same(t *testing.T, want, got []byte) {
	t.Helper()
	var w, g any
	require.NoError(t, json.Unmarshal(want, &w))
	require.NoError(t, json.Unmarshal(got, &g))
	equal(t, w, g, "")
}

func equal(t *testing.T, want, got any, at string) {
	t.Helper()
	switch w := want.(type) {
	case map[string]any:
		g, ok := got.(map[string]any)
		require.True(t, ok, at)
		for name := range g {
			require.Contains(t, w, name, at)
		}
		for name, v := range w {
			require.Contains(t, g, name, at)
			equal(t, v, g[name], at+"/"+name)
		}
	case []any:
		g, ok := got.([]any)
		require.True(t, ok, at)
		require.Len(t, g, len(w), at)
		for i := range w {
			equal(t, w[i], g[i], at)
		}
	case float64:
		g, ok := got.(float64)
		require.True(t, ok, at)
		require.InDelta(t, w, g, 1e-9*(1+max(w, -w)), at)
	default:
		require.Equal(t, want, got, at)
	}
}

func TestOapiCodegen(t *testing.T) {
	client, err := oapi.NewClientWithResponses(service(t))
	require.NoError(t, err)
	eachCase(t, func(t *testing.T, ctx context.Context, id string, request, response []byte, refused bool) {
		if refused { // the generated types cannot say some of what is refused
			keeps(t, response, &oapi.Problem{})
			return
		}
		method := reflect.ValueOf(client).MethodByName(strings.ToUpper(id[:1]) + id[1:] + "WithResponse")
		require.True(t, method.IsValid(), id)
		arguments := []reflect.Value{reflect.ValueOf(ctx)}
		for i := 1; i < method.Type().NumIn()-1; i++ { // the last are editors of the request
			kind := method.Type().In(i)
			switch {
			case kind.Kind() == reflect.String: // in the path
				var members map[string]string
				require.NoError(t, json.Unmarshal(request, &members))
				arguments = append(arguments, reflect.ValueOf(members["code"]).Convert(kind))
			case kind.Kind() == reflect.Pointer && (strings.HasPrefix(id, "post") || id == "getProblem"):
				// units, language, samples and seed
				arguments = append(arguments, reflect.New(kind.Elem()))
			default:
				body := reflect.New(kind)
				keeps(t, request, body.Interface())
				arguments = append(arguments, body.Elem())
			}
		}
		out := method.Call(arguments)
		require.Nil(t, out[1].Interface())
		answer := out[0].Elem().FieldByName("JSON200")
		require.False(t, answer.IsNil(), "%s", out[0].Elem().FieldByName("Body").Bytes())
		got, err := json.Marshal(answer.Interface())
		require.NoError(t, err)
		same(t, response, got)
		keeps(t, response, reflect.New(answer.Type().Elem()).Interface())
	})
}

func TestOgen(t *testing.T) {
	client, err := ogen.NewClient(service(t), keyless{})
	require.NoError(t, err)
	eachCase(t, func(t *testing.T, ctx context.Context, id string, request, response []byte, refused bool) {
		if refused {
			keeps(t, response, &ogen.Problem{})
			return
		}
		method := reflect.ValueOf(client).MethodByName(strings.ToUpper(id[:1]) + id[1:])
		require.True(t, method.IsValid(), id)
		arguments := []reflect.Value{reflect.ValueOf(ctx)}
		for i := 1; i < method.Type().NumIn(); i++ {
			kind := method.Type().In(i)
			switch {
			case kind.Kind() == reflect.Pointer:
				body := reflect.New(kind.Elem())
				require.NoError(t, json.Unmarshal(request, body.Interface()))
				same(t, request, stated(t, body, request))
				arguments = append(arguments, body)
			case strings.HasPrefix(id, "post"): // units, samples and seed
				arguments = append(arguments, reflect.Zero(kind))
			default:
				parameters := reflect.New(kind).Elem()
				fill(t, parameters, request)
				arguments = append(arguments, parameters)
			}
		}
		out := method.Call(arguments)
		require.Nil(t, out[1].Interface())
		answer := out[0].Elem().Elem().FieldByName("Response")
		require.NotEqual(t, reflect.TypeFor[ogen.Problem](), answer.Type(), "%+v", answer)
		same(t, response, stated(t, answer.Addr(), response))
	})
}

// stated is what ogen writes of a value without the members that a document does not have.
func stated(t *testing.T, pointer reflect.Value, document []byte) []byte {
	t.Helper()
	var as any
	require.NoError(t, json.Unmarshal(document, &as))
	forget(pointer.Elem(), as)
	back, err := json.Marshal(pointer.Interface())
	require.NoError(t, err)
	return back
}

// forget unsets what a document does not have: ogen adds the defaults of requests, and of plans in answers, as it
// reads, and a default that is sent is no assumption any more.
func forget(v reflect.Value, document any) {
	switch as := document.(type) {
	case map[string]any:
		if v.Kind() == reflect.Struct && v.FieldByName("Set").IsValid() {
			v = v.FieldByName("Value")
		}
		if v.Kind() != reflect.Struct { // raw JSON
			return
		}
		for i := range v.NumField() {
			if member, ok := as[v.Type().Field(i).Tag.Get("json")]; ok {
				forget(v.Field(i), member)
			} else {
				v.Field(i).SetZero()
			}
		}
	case []any:
		for i := range min(v.Len(), len(as)) {
			forget(v.Index(i), as[i])
		}
	}
}

// fill sets ogen's parameters, which have no names of JSON, from an object of them.
func fill(t *testing.T, parameters reflect.Value, object []byte) {
	t.Helper()
	var members map[string]json.RawMessage
	require.NoError(t, json.Unmarshal(object, &members))
	for name, value := range members {
		plain := strings.ReplaceAll(name, "_", "")
		field := parameters.FieldByNameFunc(func(field string) bool { return strings.EqualFold(field, plain) })
		require.True(t, field.IsValid(), "%s has no %s", parameters.Type(), name)
		if set := field.Addr().MethodByName("SetTo"); set.IsValid() {
			inner := reflect.New(set.Type().In(0))
			require.NoError(t, json.NewDecoder(bytes.NewReader(value)).Decode(inner.Interface()))
			set.Call([]reflect.Value{inner.Elem()})
			continue
		}
		require.NoError(t, json.Unmarshal(value, field.Addr().Interface()))
	}
}

// keyless asks without a key.
type keyless struct{}

func (keyless) ApiKey(context.Context, ogen.OperationName) (ogen.ApiKey, error) {
	return ogen.ApiKey{}, ogenerrors.ErrSkipClientSecurity
}
