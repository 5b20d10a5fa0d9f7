package webdocs_test

import (
	"encoding/json"
	"net/http"
	"net/url"
	"os"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/packed"
)

const formMedia = "application/x-www-form-urlencoded"

// sendForm posts fields to the workshop.
func sendForm(h http.Handler, fields url.Values) (status int, location *url.URL, body string) {
	w := send(h, http.MethodPost, "/plan/", fields.Encode(), "Content-Type", formMedia)
	at, _ := url.Parse(w.Header().Get("Location"))
	return w.Code, at, w.Body.String()
}

// linkOf packs a plan of the cases.
func linkOf(t *testing.T, name string) string {
	t.Helper()
	raw, err := os.ReadFile("../../testdata/api/postPlanAudit/" + name + ".request.json")
	require.NoError(t, err)
	link, err := packed.Pack(raw)
	require.NoError(t, err)
	return link
}

// planIn unpacks the plan of an address.
func planIn(t *testing.T, at *url.URL) map[string]any {
	t.Helper()
	raw, err := packed.Unpack(at.Query().Get("plan"))
	require.NoError(t, err)
	var document map[string]any
	require.NoError(t, json.Unmarshal(raw, &document))
	return document
}

func TestThreeQuestionsMakeAPlan(t *testing.T) {
	h := host(t)
	for _, c := range []struct {
		size    string
		display map[string]any
	}{
		{"90 x 50 x 50 cm", map[string]any{"length_mm": 900.0, "width_mm": 500.0, "water_depth_mm": 500.0}},
		{"90x50x50", map[string]any{"length_mm": 900.0, "width_mm": 500.0, "water_depth_mm": 500.0}},
		{"4x2x2 ft", map[string]any{"length_mm": 1219.2, "width_mm": 609.6, "water_depth_mm": 609.6}},
		{"75 gal", map[string]any{"volume_l": 283.9059}}, // a US gallon is 3.785411784 L by definition
	} {
		status, at, body := sendForm(h,
			url.Values{"do": {"bare"}, "size": {c.size}, "room": {"70 F"}, "away": {"9 days"}})
		require.Equal(t, http.StatusSeeOther, status, "%s: %s", c.size, body)
		p := planIn(t, at)
		assert.Equal(t, c.display, p["display"], c.size)
		usual := p["room"].(map[string]any)["usual"].(map[string]any)
		assert.InDelta(t, 21.111, usual["temp_c"], 0.001, "(70 - 32) / 1.8")
		assert.Equal(t, 216.0, p["attendance"].(map[string]any)["longest_absence_h"], "9 days")
	}
	status, at, _ := sendForm(h, url.Values{"do": {"draft"}, "size": {"60 l"}, "room": {"21"}, "away": {"3"}})
	require.Equal(t, http.StatusSeeOther, status)
	assert.NotEmpty(t, planIn(t, at)["heaters"], "a design has heaters")
	status, _, body := sendForm(h, url.Values{"do": {"draft"}, "size": {"large"}, "room": {"21"}, "away": {""}})
	assert.Equal(t, http.StatusUnprocessableEntity, status)
	assert.Contains(t, body, "three lengths")
	assert.Contains(t, body, `value="large"`, "what was written stays")
	assert.Contains(t, body, "Is needed.")
}

func TestAPartIsChangedAddedAndTakenAway(t *testing.T) {
	h := host(t)
	link := linkOf(t, "example-household-shared-probe")
	change := func(fields url.Values) *url.URL {
		fields.Set("plan", link)
		status, at, body := sendForm(h, fields)
		require.Equal(t, http.StatusSeeOther, status, "%s", body)
		assert.Equal(t, link, at.Query().Get("was"), "there is a way back")
		return at
	}
	heaters := func(at *url.URL) []any { return planIn(t, at)["heaters"].([]any) }
	at := change(url.Values{"do": {"part"}, "part": {"heaters/0"}, "id": {"west"}, "power_w": {"0.25 kW"}})
	assert.Equal(t, 250.0, heaters(at)[0].(map[string]any)["power_w"])
	control := planIn(t, at)["controls"].([]any)[0].(map[string]any)
	assert.Equal(t, []any{"west"}, control["outputs"], "who is renamed is named so everywhere")

	at = change(url.Values{"do": {"part"}, "part": {"heaters/+"}, "id": {"third"}, "power_w": {"75"}})
	assert.Len(t, heaters(at), 3)
	assert.Equal(t, "heaters/2", at.Query().Get("part"))
	at = change(url.Values{"do": {"remove"}, "part": {"heaters/1"}})
	assert.Len(t, heaters(at), 1)
	at = change(url.Values{"do": {"part"}, "part": {"room"}, "warmest.temp_c": {""}, "warmest.rh_percent": {""}})
	assert.NotContains(t, planIn(t, at)["room"], "warmest", "what is emptied is assumed again")
	at = change(url.Values{"do": {"part"}, "part": {"display"}, "units": {"us"}, "labelled": {"us"},
		"length_mm": {"36"}})
	assert.InDelta(t, 914.4, planIn(t, at)["display"].(map[string]any)["length_mm"], 1e-9, "36 in")

	status, _, body := sendForm(h,
		url.Values{"do": {"part"}, "part": {"heaters/0"}, "plan": {link}, "power_w": {"hot"}})
	assert.Equal(t, http.StatusUnprocessableEntity, status)
	assert.Contains(t, body, `href="#part-power_w"`)
	assert.Contains(t, body, "<figure", "the rest of the page is there")
	status, _, _ = sendForm(h, url.Values{"do": {"part"}, "part": {"heaters/9"}, "plan": {link}})
	assert.Equal(t, http.StatusUnprocessableEntity, status)
}

// What does not change keeps every digit, though its field shows four.
func TestAFormThatIsSentAsItWasChangesNothing(t *testing.T) {
	h := host(t)
	link := linkOf(t, "example-household-shared-probe")
	page := get(h, "/plan/?units=us&part=display&plan="+link).Body.String()
	fields := url.Values{"do": {"part"}, "part": {"display"}, "plan": {link}, "units": {"us"}, "labelled": {"us"}}
	for _, m := range regexp.MustCompile(`<input id="part-[^"]*" name="([^"]*)"[^>]* value="([^"]*)"`).
		FindAllStringSubmatch(page, -1) {
		fields.Set(m[1], m[2])
	}
	require.NotEmpty(t, fields.Get("length_mm"))
	_, at, _ := sendForm(h, fields)
	before := planIn(t, &url.URL{RawQuery: "plan=" + link})
	assert.Equal(t, before["display"], planIn(t, at)["display"])
}

func TestTheBenchShowsWhatFails(t *testing.T) {
	h := host(t)
	link := linkOf(t, "example-household-shared-probe")
	w := get(h, "/plan/?plan="+link+"&fault=sump-probe.frozen_low")
	require.Equal(t, http.StatusOK, w.Code, w.Body.String())
	page := w.Body.String()
	assert.NotContains(t, page, " style=", "the content policy lets no style in the page")
	assert.Equal(t, 3, strings.Count(page, `class="drawing-frame"`), "start, harm, loss")
	assert.Less(t, strings.Index(page, `data-kind="harm"`), strings.Index(page, `data-kind="loss"`), "in order of time")
	assert.Contains(t, page, "too late", "why no alarm helps")
	assert.Contains(t, page, `data-tank="sump"`)
	reading := regexp.MustCompile(`class="drawing-reading">([^<]*)<`)
	begins := get(h, "/plan/?plan="+link+"&fault=sump-probe.frozen_low&at=0").Body.String()
	assert.Equal(t, "25.5 °C ", reading.FindStringSubmatch(begins)[1], "without scripts a moment is an address")
	assert.NotEqual(t, "25.5 °C ", reading.FindStringSubmatch(page)[1], "by itself the worst moment")
	saved := get(h, "/plan/?plan="+link+"&fault=heater-left.dead").Body.String()
	assert.NotContains(t, saved, "no failure of this plan")
	gone := get(h, "/plan/?plan="+link+"&fault=no-such.fault")
	assert.Equal(t, http.StatusOK, gone.Code, "a failure of another plan is left out")
	assert.NotContains(t, gone.Body.String(), "data-course")
	refused := get(h, "/plan/?plan="+strings.Repeat("A", 40))
	assert.Equal(t, http.StatusUnprocessableEntity, refused.Code)
	assert.Contains(t, refused.Body.String(), "copy it again")
}

// A plan that contradicts itself is drawn and edited all the same.
func TestAPlanThatCannotBeFollowedStaysOnTheBench(t *testing.T) {
	raw := `{"display":{"volume_l":60},"room":{"usual":{"temp_c":21}},"attendance":{"look_every_h":24},` +
		`"heaters":[{"id":"h","power_w":-5}]}`
	link, err := packed.Pack([]byte(raw))
	require.NoError(t, err)
	w := get(host(t), "/plan/?plan="+link)
	require.Equal(t, http.StatusOK, w.Code)
	assert.Contains(t, w.Body.String(), "This plan cannot be followed yet")
	assert.Contains(t, w.Body.String(), `name="part" value="heaters/0" `)
	assert.Contains(t, w.Body.String(), "<figure")
}

func TestPlansAreOpenedAndSaved(t *testing.T) {
	h := host(t)
	link := linkOf(t, "first-timer")
	file := get(h, "/plan/file?plan="+link)
	require.Equal(t, http.StatusOK, file.Code)
	assert.Contains(t, file.Header().Get("Content-Disposition"), "plan.json")
	assert.Contains(t, file.Body.String(), `"$schema": "/schemas/plan-1.json"`)
	for name, document := range map[string]string{
		"its JSON": file.Body.String(), "a link": "https://plans.example/plan/?units=us&plan=" + link,
	} {
		status, at, body := sendForm(h, url.Values{"do": {"open"}, "document": {document}})
		require.Equal(t, http.StatusSeeOther, status, "%s: %s", name, body)
		assert.Equal(t, http.StatusOK, get(h, at.String()).Code, name)
	}
	status, _, body := sendForm(h, url.Values{"do": {"open"}, "document": {"hello"}})
	assert.Equal(t, http.StatusUnprocessableEntity, status)
	assert.Contains(t, body, "This is no plan")
}

func TestTheHandOverIsAPage(t *testing.T) {
	w := get(host(t), "/plan/hand-over/?units=us&plan="+linkOf(t, "example-household-sound"))
	require.Equal(t, http.StatusOK, w.Code)
	page := w.Body.String()
	for _, part := range []string{"Set", "Alarms", "Try once, before livestock", "Test each month"} {
		assert.Contains(t, page, "<h2>"+part+"</h2>")
	}
	assert.Contains(t, page, "°F")
	assert.NotContains(t, page, "°C", "a page in US units has no other")
}
