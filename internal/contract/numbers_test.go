package contract

import (
	"encoding/json"
	"os"
	"path/filepath"
	"reflect"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The demo answers of the service have a text for each number that the walk finds, in its order.
func TestFormattedFindsWhatTheDemoAnswersHaveTextsFor(t *testing.T) {
	files, err := filepath.Glob("../../testdata/api/*/*.response.json")
	require.NoError(t, err)
	walked, found := 0, 0
	for _, file := range files {
		o := load(t).Operation(filepath.Base(filepath.Dir(file)))
		data, err := os.ReadFile(file)
		require.NoError(t, err)
		var answer struct {
			Result    json.RawMessage
			Formatted []struct{ Pointer string }
		}
		require.NoError(t, json.Unmarshal(data, &answer))
		if o.Result == nil || answer.Result == nil || answer.Formatted == nil {
			continue
		}
		walked++
		kind := shape(o.Result)
		f, err := o.Formatted(kind)
		require.NoError(t, err, o.ID)
		result := reflect.New(kind)
		require.NoError(t, json.Unmarshal(answer.Result, result.Interface()), file)
		var want, got []string
		for _, one := range answer.Formatted {
			want = append(want, one.Pointer)
		}
		f.Walk(result.Elem().Interface(), func(pointer string, _ float64, s *Schema) {
			got = append(got, pointer)
			assert.NotEmpty(t, s.Unit)
		})
		found += len(got)
		assert.Equal(t, want, got, file)
	}
	assert.Greater(t, walked, 40)
	assert.Greater(t, found, 200)
}

func TestFormattedIsMadeForOneType(t *testing.T) {
	o := load(t).Operation("postSalinityConversion")
	_, err := o.Formatted(reflect.TypeFor[struct {
		N float64 `json:"nothing"`
	}]())
	assert.ErrorContains(t, err, "the contract has no nothing")
	f, err := o.Formatted(shape(o.Result))
	require.NoError(t, err)
	assert.Panics(t, func() { f.Walk(7, nil) })
	none, err := load(t).Operation("getIndex").Formatted(reflect.TypeFor[int]())
	require.NoError(t, err)
	none.Walk(1, nil)
}

type inside struct {
	Low float64 `json:"low"`
}

type outside struct {
	inside
	N     int      `json:"n"`
	Maybe *float64 `json:"maybe,omitempty"`
	Band  *inside  `json:"band,omitempty"`
	Text  string   `json:"text"`
}

func TestNumbersAreReadAndWrittenByPointer(t *testing.T) {
	n, err := NumbersOf(reflect.TypeFor[outside](), "/low", "/n", "/maybe", "/band/low")
	require.NoError(t, err)
	assert.Equal(t, []float64{1, 2, 0, 0}, n.Read(outside{inside: inside{1}, N: 2}))
	three := 3.0
	v := outside{Maybe: &three, Band: &inside{4}}
	assert.Equal(t, []float64{0, 0, 3, 4}, n.Read(v))
	n.Write(&v, []float64{5, 6, 7, 8})
	assert.Equal(t, []float64{5, 6, 7, 8}, n.Read(v))
	assert.Equal(t, 3.0, three, "a pointer's old number stays")
	for _, bad := range []string{"/nothing", "/text", "/band", "/low/low"} {
		_, err := NumbersOf(reflect.TypeFor[outside](), bad)
		assert.Error(t, err, bad)
	}
}
