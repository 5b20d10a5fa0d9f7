package webdocs_test

import (
	"net/http"
	"net/url"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/net/html"

	"saltwright/internal/transport"
)

func parsed(t *testing.T, page string) *html.Node {
	t.Helper()
	doc, err := html.Parse(strings.NewReader(page))
	require.NoError(t, err)
	return doc
}

// find returns the element with an attribute of that value.
func find(doc *html.Node, key, value string) *html.Node {
	for n := range doc.Descendants() {
		if v, ok := attr(n, key); ok && v == value {
			return n
		}
	}
	return nil
}

// A form sent as a browser without scripts sends it: every field, most of them empty.
func TestFormWithoutScripts(t *testing.T) {
	h := host(t)
	const asked = "?length_mm=900&width_mm=500&water_c=&salinity_psu=&room_c=21,5&rh_percent=&lid=&units="
	w := get(h, "/docs/calculators/evaporation/"+asked)
	require.Equal(t, http.StatusOK, w.Code, w.Body)
	doc := parsed(t, w.Body.String())
	assert.Empty(t, faults(doc))
	answer := texts(find(doc, "data-answer", "main"))
	assert.Contains(t, answer, "evaporate a day")
	assert.Contains(t, texts(find(doc, "data-numbers", "")), "Result")
	ghost, _ := attr(find(doc, "id", "evaporation-water_c"), "placeholder")
	assert.Equal(t, "25.5 °C", ghost, "what was assumed stands in its field")
	form, _ := attr(find(doc, "id", "evaporation-water_c"), "form")
	assert.Equal(t, "evaporation-form", form, "which the form sends, though it stands beside the answer")
	value, _ := attr(find(doc, "id", "evaporation-room_c"), "value")
	assert.Equal(t, "21,5", value, "the form keeps what was typed")

	api := get(h, "/v1/evaporation?length_mm=900&width_mm=500&room_c=21.5", "Accept", "application/json").Body.String()
	_, summary, ok := strings.Cut(api, `"headline":"`)
	require.True(t, ok)
	summary, _, _ = strings.Cut(summary, `"`)
	assert.Contains(t, answer, summary, "the page says what the API says")
	const address = `href="/v1/evaporation?length_mm=900&amp;room_c=21.5&amp;width_mm=500"`
	assert.Contains(t, w.Body.String(), address, "and has its address")
}

func TestFormInOtherUnits(t *testing.T) {
	const asked = "?length_mm=900&width_mm=500&water_depth_mm=500&room_c=21&units=us"
	w := get(host(t), "/docs/calculators/heater-sizing/"+asked)
	require.Equal(t, http.StatusOK, w.Code)
	assert.Contains(t, texts(find(parsed(t, w.Body.String()), "data-answer", "main")), "°F")
}

// What is wrong stands at its field, all at once, in the API's words.
func TestFormErrorsStandAtTheirFields(t *testing.T) {
	w := get(host(t), "/docs/calculators/evaporation/?length_mm=1&width_mm=abc&lid=ajar&temprature=3")
	assert.Equal(t, http.StatusUnprocessableEntity, w.Code)
	assert.Equal(t, "no-store", w.Header().Get("Cache-Control"))
	doc := parsed(t, w.Body.String())
	assert.Empty(t, faults(doc))
	for field, says := range map[string]string{
		"length_mm": "You wrote “1”. Write 10 to 20 000 mm.",
		"width_mm": "“abc” is not a number: write one number, with its unit if you like. " +
			"It takes 10 to 20 000 mm.",
		"lid":    "You wrote “ajar”. Write one of open, screen, closed.",
		"room_c": "Nothing is filled in here. Write −5 to 45 °C.",
	} {
		slot := find(doc, "data-error", field)
		require.NotNil(t, slot, field)
		assert.Equal(t, says, texts(slot), field)
		_, hidden := attr(slot, "hidden")
		assert.False(t, hidden, field)
		input := find(doc, "name", field)
		invalid, _ := attr(input, "aria-invalid")
		assert.Equal(t, "true", invalid, field)
		id, _ := attr(slot, "id")
		by, _ := attr(input, "aria-describedby")
		assert.Contains(t, strings.Fields(by), id, field)
	}
	assert.Contains(t, texts(find(doc, "class", "problem")), "temprature", "what has no field stands in the list")
	_, hidden := attr(find(doc, "data-error", "water_c"), "hidden")
	assert.True(t, hidden)
	for n := find(doc, "data-error", "lid"); n != nil; n = n.Parent {
		assert.NotEqual(t, "details", n.Data, "a wrong optional field is not hidden away")
	}
}

// Each field takes the unit that was typed; a bare number is in the unit of the label beside which it was typed, which
// the address says, so that no choice of units changes what a number means.
func TestFieldsTakeUnits(t *testing.T) {
	h := host(t)
	page := func(query string) *html.Node {
		w := get(h, "/docs/calculators/evaporation/"+query)
		require.Equal(t, http.StatusOK, w.Code, w.Body)
		doc := parsed(t, w.Body.String())
		assert.Empty(t, faults(doc))
		return doc
	}
	value := func(doc *html.Node, name string) string {
		v, _ := attr(find(doc, "name", name), "value")
		return v
	}
	same := `/v1/evaporation?length_mm=914.4&room_c=20&width_mm=457.2`
	doc := page("?length_mm=36+in&width_mm=18%22&room_c=68F")
	assert.NotNil(t, find(doc, "href", same))
	assert.Equal(t, "36 in", value(doc, "length_mm"), "the form keeps what was typed")
	assert.Nil(t, find(doc, "name", "labelled"))

	doc = page("?length_mm=36&width_mm=45,72+cm&room_c=68&units=us&labelled=us")
	assert.NotNil(t, find(doc, "href", strings.Replace(same, "&width", "&units=us&width", 1)))
	assert.Equal(t, "36", value(doc, "length_mm"))
	assert.Equal(t, "us", value(doc, "labelled"))
	assert.Contains(t, texts(find(doc, "for", "evaporation-length_mm")), "in")
	hint := texts(find(doc, "id", "evaporation-length_mm-hint"))
	assert.Contains(t, hint, "0.4 to 780 in", "rounded to the safe side")

	doc = page("?length_mm=914.4&width_mm=457.2&room_c=20&units=us")
	assert.Equal(t, "914.4 mm", value(doc, "length_mm"), "typed beside mm and shown beside in")
	doc = page("?length_mm=36&width_mm=18&room_c=68&labelled=us")
	assert.Equal(t, "36 in", value(doc, "length_mm"), "typed beside in and shown beside mm")
	assert.NotNil(t, find(doc, "href", same))
}

// What could not be read is told in the reader's words; all that is wrong stands in the order of the fields.
func TestUnreadableFields(t *testing.T) {
	const asked = "?width_mm=1&length_mm=1,200&salinity_psu=1.026&room_c=20+gal&units=us"
	w := get(host(t), "/docs/calculators/evaporation/"+asked)
	assert.Equal(t, http.StatusUnprocessableEntity, w.Code)
	doc := parsed(t, w.Body.String())
	for field, says := range map[string]string{
		"length_mm": "“1,200 mm” can be read in two ways", "width_mm": "You wrote “1 mm”. Write 0.4 to 780 in.",
		"salinity_psu": "“1.026” looks like a specific gravity",
		"room_c":       "“20 gal” is a volume: write it in °F. It takes 23 to 113 °F.",
	} {
		assert.Contains(t, texts(find(doc, "data-error", field)), says, field)
	}
	list := texts(find(doc, "class", "problem"))
	places := []int{
		strings.Index(list, "two ways"), strings.Index(list, "“1 mm”"), strings.Index(list, "a volume"),
		strings.Index(list, "gravity"),
	}
	assert.NotContains(t, places, -1, list)
	assert.IsIncreasing(t, places, list)
	w = get(host(t), "/docs/calculators/evaporation/?length_mm=900&width_mm=500&salinity_psu=1.026&room_c=20")
	assert.Equal(t, http.StatusUnprocessableEntity, w.Code, "the API takes 1.026 for a practical salinity")
	assert.Contains(t, texts(find(parsed(t, w.Body.String()), "class", "problem")), "specific gravity")
}

// A widget's field is read as the pages' are; a number without a unit is in that of its label.
func TestReadingForWidgets(t *testing.T) {
	h := host(t)
	for asked, want := range map[string]string{
		"calculator=heater-sizing&member=length_mm&text=36+in":                        `{"number":914.4}`,
		"calculator=heater-sizing&member=length_mm&text=4'6%22":                       `{"number":1371.6}`,
		"calculator=heater-sizing&member=length_mm&text=90":                           `{"number":900}`,
		"calculator=heater-sizing&member=length_mm&text=90&labelled=metric":           `{"number":900}`,
		"calculator=heater-sizing&member=length_mm&text=36&labelled=us":               `{"number":914.4}`,
		"calculator=heater-sizing&member=length_mm&text=1,2+m&labelled=us":            `{"number":1200}`,
		"calculator=heater-sizing&member=room_c&text=68F":                             `{"number":20}`,
		"calculator=top-off-endurance&member=volume_l&text=20+gal":                    `{"number":75.70823568}`,
		"calculator=light-schedule-score&member=channels/3/points/7/percent&text=50%": `{"number":50}`,
		"calculator=heater-sizing&member=room_c&text=20+gal&language=de": `{"unclear":` +
			`"Ist ein Volumen: Schreib es in °C."}`,
		"calculator=heater-sizing&member=length_mm&text=warm&language=es": `{"unclear":` +
			`"No es un número: escribe un número, con su unidad si quieres."}`,
	} {
		w := get(h, "/embed/v1/read?"+strings.ReplaceAll(asked, "50%", "50%25"))
		assert.Equal(t, http.StatusOK, w.Code, asked)
		assert.JSONEq(t, want, w.Body.String(), asked)
		assert.Equal(t, "*", w.Header().Get("Access-Control-Allow-Origin"))
	}
	for asked, status := range map[string]int{
		"calculator=tea&member=room_c&text=1": 404, "calculator=heater-sizing&member=lid&text=1": 422, "": 404,
	} {
		assert.Equal(t, status, get(h, "/embed/v1/read?"+asked).Code, asked)
	}
}

const urlEncoded = "application/x-www-form-urlencoded"

func TestDocumentForm(t *testing.T) {
	h := host(t)
	plan, err := os.ReadFile("../../testdata/api/postPlanAudit/example.request.json")
	require.NoError(t, err)
	form := func(name, body string) *html.Node {
		filled := url.Values{"body": {body}, "units": {"us"}}.Encode()
		w := send(h, http.MethodPost, "/docs/calculators/"+name+"/", filled, "Content-Type", urlEncoded)
		doc := parsed(t, w.Body.String())
		assert.Empty(t, faults(doc))
		assert.Equal(t, "no-store", w.Header().Get("Cache-Control"))
		return doc
	}
	whole := form("plan-audit", string(plan))
	answer := texts(find(whole, "data-answer", "main"))
	assert.Contains(t, answer, "single failures lose this tank")
	assert.Contains(t, answer, "°F")
	assert.Contains(t, texts(find(whole, "data-numbers", "")), "The whole answer as JSON")
	assert.Contains(t, answer, "hours after the fault", "the runs are drawn")

	doc := form("plan-audit", `{"display": {"volume_l": 1}, "room": {"usual": {"temp_c": 21}}, "attendance": {}}`)
	says := texts(find(doc, "class", "problem"))
	assert.Contains(t, says, "Display, Inner volume up to the water line (line 1) : "+
		"You wrote “1”. Write 5 to 50 000 L.")
	assert.Contains(t, says, "Nothing is filled in here. Write 1 to 720 h.")

	assert.Contains(t, texts(find(form("plan-audit", `{"display": `), "class", "problem")), "JSON")
	doc = form("plan-audit", `</textarea><script>alert(1)</script>`)
	assert.Contains(t, texts(find(doc, "id", "plan-audit-body")), "<script>", "what was sent comes back as text")

	long := "body=" + strings.Repeat("x", 300<<10)
	w := send(h, http.MethodPost, "/docs/calculators/plan-audit/", long, "Content-Type", urlEncoded)
	assert.Equal(t, http.StatusRequestEntityTooLarge, w.Code)
}

// Every number, table and part of every documented answer finds its place on its page.
func TestExampleAnswersAreWhole(t *testing.T) {
	h := host(t)
	w := get(h, "/docs/calculators/")
	for _, link := range linksOf(parsed(t, w.Body.String())) {
		if !strings.HasPrefix(link, "/docs/calculators/") || strings.HasPrefix(link, "/docs/calculators/?") ||
			link == "/docs/calculators/" {
			continue
		}
		doc := parsed(t, get(h, link).Body.String())
		answer := find(doc, "data-answer", "main")
		require.NotNil(t, answer, link)
		said := texts(answer)
		assert.Greater(t, len(said), 60, link)
		assert.NotContains(t, said, "map[", link)
		assert.NotContains(t, said, "&{", link)
		form := find(doc, "data-ask", "main")
		require.NotNil(t, form, link)
		action, _ := attr(form, "action")
		assert.Equal(t, link, action)
	}
}

func TestAnyHostileQueryGivesAPage(t *testing.T) {
	h := host(t)
	for _, q := range []string{
		"?length_mm=%00", "?length_mm=1&length_mm=2", "?" + strings.Repeat("a", 3000) + "=1", "?length_mm=<script>",
		"?%3Cb%3E=1",
	} {
		w := get(h, "/docs/calculators/evaporation/"+q)
		assert.Equal(t, 4, w.Code/100, q)
		assert.Empty(t, faults(parsed(t, w.Body.String())), q)
		assert.NotContains(t, w.Body.String(), "<script>", q)
	}
	assert.Equal(t, http.StatusBadRequest, get(h, "/docs/calculators/evaporation/?a=%zz").Code)
}

// A simple day of light is asked for by fields, and its answer has an address; a whole document can be sent beside it.
func TestLightByFields(t *testing.T) {
	h := host(t)
	w := get(h, "/docs/calculators/light-schedule-score/?channels%2F0%2Fon_at=09:00&channels%2F0%2Foff_at=21:30"+
		"&channels%2F0%2Fpeak_ppfd=150&channels%2F0%2Framp_min=1+h")
	require.Equal(t, http.StatusOK, w.Code, w.Body)
	doc := parsed(t, w.Body.String())
	assert.Empty(t, faults(doc))
	assert.Contains(t, texts(find(doc, "data-answer", "main")), "12 h 30 min")
	assert.Contains(t, texts(find(doc, "data-curl", "")), `"ramp_min": 60`)

	w = get(h, "/docs/calculators/light-schedule-score/?channels%2F0%2Fon_at=morning&channels%2F0%2Foff_at=21:30"+
		"&channels%2F0%2Fpeak_ppfd=99999")
	assert.Equal(t, http.StatusUnprocessableEntity, w.Code)
	doc = parsed(t, w.Body.String())
	assert.NotEmpty(t, texts(find(doc, "data-error", "channels/0/on_at")))
	assert.Contains(t, texts(find(doc, "data-error", "channels/0/peak_ppfd")), "5000")

	sent := url.Values{"body": {`{"channels": [{"id": "a", "on_at": "10:00", "off_at": "20:00"}]}`}}.Encode()
	w = send(h, http.MethodPost, "/docs/calculators/light-schedule-score/", sent, "Content-Type", urlEncoded)
	assert.Equal(t, http.StatusOK, w.Code)
	assert.Contains(t, texts(find(parsed(t, w.Body.String()), "data-answer", "main")), "10 h")
}

// A list takes units as single numbers do, and shares are told as per cent.
func TestListsAndShares(t *testing.T) {
	h := host(t)
	w := get(h, "/docs/calculators/heater-sizing/?length_mm=900&width_mm=500&water_depth_mm=500&room_c=24"+
		"&stock_sizes_w=100+W,+150,+0.2+kW")
	require.Equal(t, http.StatusOK, w.Code, w.Body)
	doc := parsed(t, w.Body.String())
	assert.NotNil(t, find(doc, "href", "/v1/heater-sizing?length_mm=900&room_c=24&stock_sizes_w=100%2C150%2C200"+
		"&water_depth_mm=500&width_mm=500"))
	all := texts(find(doc, "data-numbers", ""))
	assert.Contains(t, all, "Heat lost per degree")
	assert.NotContains(t, all, "Ua ")
	assert.Regexp(t, `Usual duty share usual_duty_share [0-9]+ %`, all)
}

// The commands name the operator's address where there is one, and otherwise the one that is listened on.
func TestCommandsNameTheHost(t *testing.T) {
	calculate, err := transport.New(transport.Config{PublicURL: "https://salt.example/reef", Listen: "127.0.0.1:9999"})
	require.NoError(t, err)
	page := get(calculate, "/docs/calculators/evaporation/").Body.String()
	assert.Contains(t, page, "https://salt.example/reef/v1/evaporation?")
	assert.NotContains(t, page, "data-origin")
	assert.NotContains(t, page, "127.0.0.1")
	for listen, shown := range map[string]string{
		"127.0.0.1:9999": "http://127.0.0.1:9999", ":8123": "http://localhost:8123",
		"0.0.0.0:80": "http://localhost:80",
		"":           "http://127.0.0.1:8080",
	} {
		calculate, err := transport.New(transport.Config{Listen: listen})
		require.NoError(t, err)
		page := get(calculate, "/docs/calculators/evaporation/").Body.String()
		assert.Contains(t, page, shown+"/v1/evaporation?", listen)
		assert.Contains(t, page, `data-origin="`+shown+`"`, listen)
	}
}
