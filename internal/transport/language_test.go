package transport

import (
	"encoding/json"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const inLanguages = "/v1/heat-balance?length_mm=900&width_mm=500&water_depth_mm=500&room_c=21"

func readIn(t *testing.T, s *Server, target, field string) reply {
	t.Helper()
	req := httptest.NewRequest(http.MethodGet, target, nil)
	if field != "" {
		req.Header.Set("Accept-Language", field)
	}
	return call(t, s, req)
}

// The address decides before the header, and caches are told that the header decides otherwise.
func TestAnswersComeInTheLanguageOfTheReader(t *testing.T) {
	s := newTestServer(t)
	tags := map[string]string{}
	for _, c := range []struct{ target, field, language, mark string }{
		{inLanguages, "", "en", "25.5 °C"},
		{inLanguages, "fr, *;q=0.1", "en", "25.5 °C"},
		{inLanguages, "de-CH, en;q=0.7", "de", "25,5 °C"},
		{inLanguages, "es", "es", "25,5 °C"},
		{inLanguages + "&language=de", "es", "de", "25,5 °C"},
		{inLanguages + "&language=en", "de", "en", "25.5 °C"},
	} {
		r := readIn(t, s, c.target, c.field)
		require.Equal(t, http.StatusOK, r.status, "%s", r.body)
		assert.Equal(t, c.language, r.header.Get("Content-Language"), c)
		assert.Contains(t, r.header.Get("Vary"), "Accept-Language", c)
		assert.Contains(t, string(r.body), c.mark, c)
		if before := tags[c.language]; before != "" {
			assert.Equal(t, before, r.header.Get("ETag"), "%v: the same answer has the same tag", c)
		}
		tags[c.language] = r.header.Get("ETag")
	}
	assert.NotEqual(t, tags["en"], tags["de"])

	r := readIn(t, s, inLanguages+"&language=tlh", "")
	assert.Equal(t, http.StatusUnprocessableEntity, r.status)
	assert.Equal(t, "language", r.problem(t).Errors[0].Parameter)
	r = readIn(t, s, inLanguages+"&language=", "de")
	assert.Equal(t, http.StatusUnprocessableEntity, r.status, "an empty language is none")
}

// A problem is told in the reader's language, too, wherever it is found.
func TestProblemsComeInTheLanguageOfTheReader(t *testing.T) {
	s := newTestServer(t)
	for field, language := range map[string]string{"": "en", "de": "de"} {
		for target, status := range map[string]int{
			"/problems/overloaded": http.StatusOK, "/v1/texts": http.StatusOK, "/v1/nothing": http.StatusNotFound,
			inLanguages + "&lid=glass": http.StatusUnprocessableEntity,
		} {
			r := readIn(t, s, target, field)
			assert.Equal(t, status, r.status, target)
			assert.Equal(t, language, r.header.Get("Content-Language"), target)
			assert.Contains(t, r.header.Get("Vary"), "Accept-Language", target)
		}
	}
}

// Each calculation of a batch has its own language, or that of the batch.
func TestBatchesSpeakSeveralLanguages(t *testing.T) {
	s := newTestServer(t)
	one := `{"operation":"heat-balance",%s"request":{"length_mm":900,"width_mm":500,"water_depth_mm":500,"room_c":21}}`
	body := `{"calculations":[` + strings.Replace(one, "%s", "", 1) + "," +
		strings.Replace(one, "%s", `"language":"en",`, 1) + `]}`
	req := httptest.NewRequest(http.MethodPost, "/v1/batch", strings.NewReader(body))
	req.Header.Set("Content-Type", "application/json")
	req.Header.Set("Accept-Language", "de")
	r := call(t, s, req)
	require.Equal(t, http.StatusOK, r.status, "%s", r.body)
	var told struct {
		Answers []struct{ Body struct{ Summary string } }
	}
	require.NoError(t, json.Unmarshal(r.body, &told))
	require.Len(t, told.Answers, 2)
	assert.Contains(t, told.Answers[0].Body.Summary, "25,5 °C")
	assert.Contains(t, told.Answers[1].Body.Summary, "25.5 °C")
}

// The address of an answer names its language where that is not the one that everybody is told.
func TestAddressOfAnAnswerNamesItsLanguage(t *testing.T) {
	s := newTestServer(t)
	for field, want := range map[string]bool{"en": false, "es": true} {
		req := httptest.NewRequest(http.MethodPost, "/v1/heat-balance", strings.NewReader(
			`{"length_mm":900,"width_mm":500,"water_depth_mm":500,"room_c":21}`))
		req.Header.Set("Content-Type", "application/json")
		req.Header.Set("Accept-Language", field)
		r := call(t, s, req)
		assert.Equal(t, want, strings.Contains(r.header.Get("Content-Location"), "language=es"), field)
	}
}
