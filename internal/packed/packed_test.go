package packed

import (
	"bytes"
	"compress/flate"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// RFC 1951 leaves the compressor free, so a text is known by what it unpacks to. This one was packed by zlib, through
// Python's zlib.compressobj(9, zlib.DEFLATED, -15) and base64.urlsafe_b64encode.
func TestAnotherCompressorsTextIsRead(t *testing.T) {
	document, err := Unpack("q1ZKySwuyEmsVLKqVirLzynNTY3PUbIyM6itBQA")
	require.NoError(t, err)
	assert.Equal(t, `{"display":{"volume_l":60}}`, string(document))
}

func TestPlansFitAnAddress(t *testing.T) {
	files, err := filepath.Glob("../../testdata/api/postPlan*/*.request.json")
	require.NoError(t, err)
	require.NotEmpty(t, files)
	for _, file := range files {
		document, err := os.ReadFile(file)
		require.NoError(t, err)
		text, err := Pack(document)
		require.NoError(t, err, file)
		assert.Less(t, len(text), 2000, "%s: an address this short passes everywhere", file)
		assert.Empty(t, strings.Trim(text, "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_"), file)
		back, err := Unpack(text)
		require.NoError(t, err)
		assert.JSONEq(t, string(document), string(back))
	}
}

func TestRefusals(t *testing.T) {
	good, err := Pack([]byte(` {"name": "a tank", "heaters": []} `))
	require.NoError(t, err)
	var bomb bytes.Buffer
	to, err := flate.NewWriter(&bomb, flate.BestCompression)
	require.NoError(t, err)
	_, err = to.Write(make([]byte, 100<<20)) // 100 MB in 100 kB
	require.NoError(t, err)
	require.NoError(t, to.Close())
	for name, c := range map[string]struct {
		text string
		want error
	}{
		"nothing":             {"", ErrDamaged},
		"cut":                 {good[:len(good)-3], ErrDamaged},
		"more behind it":      {good + "AAAA", ErrDamaged},
		"a stranger's letter": {good[:4] + "+" + good[5:], ErrDamaged},
		"padded":              {good + "==", ErrDamaged},
		"a bomb":              {alphabet.EncodeToString(bomb.Bytes()), ErrTooLarge},
	} {
		_, err := Unpack(c.text)
		assert.ErrorIs(t, err, c.want, name)
	}
	_, err = Pack([]byte("no JSON"))
	assert.Error(t, err)
}

func TestTheBoundIsExact(t *testing.T) {
	document := func(size int) string { return `"` + strings.Repeat("a", size-2) + `"` }
	text, err := Pack([]byte(document(MostBytes)))
	require.NoError(t, err)
	back, err := Unpack(text)
	require.NoError(t, err)
	assert.Len(t, back, MostBytes)
	text, err = Pack([]byte(document(MostBytes + 1)))
	require.NoError(t, err)
	_, err = Unpack(text)
	assert.ErrorIs(t, err, ErrTooLarge)
}

func FuzzUnpack(f *testing.F) {
	good, err := Pack([]byte(`{"display":{"volume_l":60}}`))
	require.NoError(f, err)
	f.Add(good)
	f.Add("")
	f.Add("S0xKTgEA")
	f.Fuzz(func(t *testing.T, text string) {
		document, err := Unpack(text)
		if err != nil {
			assert.True(t, err == ErrDamaged || err == ErrTooLarge)
			return
		}
		assert.LessOrEqual(t, len(document), MostBytes)
		if !json.Valid(document) {
			return
		}
		again, err := Pack(document)
		require.NoError(t, err)
		back, err := Unpack(again)
		require.NoError(t, err)
		var compact bytes.Buffer
		require.NoError(t, json.Compact(&compact, document))
		assert.Equal(t, compact.Bytes(), back)
	})
}
