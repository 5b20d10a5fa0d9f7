package bot

import (
	"math"
	"os"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	saltwright "saltwright/clients/go"

	"saltwright/clients/reading"
)

// The core knows no HTTP and so cannot import the client; its factors are the client's.
func TestUnitsAgreeWithTheClient(t *testing.T) {
	for text, want := range map[string]float64{
		"7 in": saltwright.FromInches(7), "7 ft": saltwright.FromFeet(7), "7 gal": saltwright.FromGallons(7),
		"77 f":        saltwright.FromFahrenheit(77),
		"-40 f":       -40,    // where the scales meet
		"1 gal":       3.7854, // NIST SP 811 appendix B: 3.785412 L, to the digits we send
		"12 in":       304.8,  // exact, yard and pound agreement of 1959
		"212 f":       100,    // definition of the scale
		"1 gal/h":     3.7854, // as the gallon
		"2 weeks":     14,     // days
		"25,5 c":      25.5,   // decimal comma
		"1.5 m":       1500,   // mm
		"53000 µs/cm": 53,     // mS/cm
		"500 ml":      0.5,    // L
		"2 l/min":     120,    // L/h
	} {
		pieces, troubles := piecesOf(text)
		require.Empty(t, troubles, text)
		require.Len(t, pieces, 1, text)
		assert.InDelta(t, want, pieces[0].Group[0].InContractUnit(), 0.5e-4, "%s: rounded to 1e-4", text)
	}
}

// A limit is told in the person's unit and is still within the limit when it is taken at its word.
func TestLimitsAreRoundedInward(t *testing.T) {
	unit := func(text string) *reading.Unit { pieces, _ := piecesOf("1 " + text); return pieces[0].Group[0].Unit }
	for _, c := range []struct {
		limit float64
		unit  string
		low   string
		high  string
	}{
		{45, "f", "113 °F", "113 °F"}, {
			5000, "in", "196.9 in", "196.8 in",
		}, {100, "in", "3.938 in", "3.937 in"}, {5, "c", "5 °C", "5 °C"}, {5000, "cm", "500 cm", "500 cm"},
		{-5, "f", "23 °F", "23 °F"}, {-20, "f", "-4 °F", "-4 °F"}, {0, "c", "0 °C", "0 °C"}, {
			100000, "gal", "26420 gal", "26410 gal",
		}, {0.05, "gph", "0.01321 gal/h", "0.0132 gal/h"},
	} {
		u := unit(c.unit)
		low, high := u.RoundedFrom(c.limit, math.Ceil), u.RoundedFrom(c.limit, math.Floor)
		assert.Equal(t, c.low, low.String(), "%v in %s", c.limit, c.unit)
		assert.Equal(t, c.high, high.String(), "%v in %s", c.limit, c.unit)
		assert.GreaterOrEqual(t, low.InContractUnit(), c.limit-0.5e-4)
		assert.LessOrEqual(t, high.InContractUnit(), c.limit+0.5e-4)
	}
}

func TestQuestions(t *testing.T) {
	type want map[string]any
	tank := func(more want) want {
		out := want{"length_mm": 1219.2, "width_mm": 609.6, "water_depth_mm": 508.0}
		for k, v := range more {
			out[k] = v
		}
		return out
	}
	for _, c := range []struct {
		text, operation string
		members         want
		us              bool
	}{
		{
			"heaters for 48x24x20 in, room 64F, keep 78F", "postHeaterSizing",
			tank(want{"room_c": 17.7778, "setpoint_c": 25.5556}), true,
		},
		{
			"What heater do I need for a 48\"x24\"x20\" tank in a 64F room and 78F water?", "postHeaterSizing",
			tank(want{"room_c": 17.7778, "setpoint_c": 25.5556}), true,
		},
		{
			"64F room keep 78F heaters for 48x24x20 in", "postHeaterSizing",
			tank(want{"room_c": 17.7778, "setpoint_c": 25.5556}), true,
		},
		{"heaters 4 ft x 2 ft x 20 in; ambient is 64 °F", "postHeaterSizing", tank(want{"room_c": 17.7778}), true},
		{
			"heaters 48 in long, 24 in wide, 20 in deep, room 64F", "postHeaterSizing", tank(want{"room_c": 17.7778}),
			true,
		},
		{
			"heater for 48×24×20 inches, room temperature of 64 degrees F", "postHeaterSizing",
			tank(want{"room_c": 17.7778}), true,
		},
		{
			"heaters for 120 x 60 x 50 cm, room 18,5 °C, coldest room 15C", "postHeaterSizing",
			want{"length_mm": 1200.0, "width_mm": 600.0, "water_depth_mm": 500.0, "room_c": 18.5, "coldest_c": 15.0},
			false,
		},
		{
			"heaters for 1200x600x500 mm, room -2C", "postHeaterSizing",
			want{"length_mm": 1200.0, "width_mm": 600.0, "water_depth_mm": 500.0, "room_c": -2.0}, false,
		},
		{"2 heaters for 60x40x40cm room 20C sump 40x30x30 cm lid closed pumps 40 W humidity 60% " +
			"35 ppt", "postHeaterSizing",
			want{
				"length_mm": 600.0, "width_mm": 400.0, "water_depth_mm": 400.0, "room_c": 20.0, "sump_length_mm": 400.0,
				"sump_width_mm": 300.0, "sump_depth_mm": 300.0, "lid": "closed", "pumps_w": 40.0, "rh_percent": 60.0,
				"salinity_psu": 35.0,
			}, false},
		{
			"chiller 4'6\" x 2' x 20\" summer room 86F room 77F keep 77F", "postChillerSizing",
			want{
				"length_mm": 1371.6, "width_mm": 609.6, "water_depth_mm": 508.0, "warmest_c": 30.0, "room_c": 25.0,
				"setpoint_c": 25.0,
			},
			true,
		},
		{
			"how much evaporates from 120x60 cm with the air at 20C?", "postEvaporation",
			want{"length_mm": 1200.0, "width_mm": 600.0, "room_c": 20.0}, false,
		},
		{
			"evaporation 48x24x20 in, room 68F", "postEvaporation",
			want{"length_mm": 1219.2, "width_mm": 609.6, "room_c": 20.0}, true,
		},
		{"top-off 48x24 in return chamber 12x12 in, reservoir 10 gal, 100 gal tank, pump 5 gph, away 10 days, " +
			"room 68F", "postTopOffEndurance",
			want{
				"surface_length_mm": 1219.2, "surface_width_mm": 609.6, "return_chamber_length_mm": 304.8,
				"return_chamber_width_mm": 304.8, "reservoir_l": 37.8541, "volume_l": 378.5412, "pump_l_h": 18.9271,
				"days_away": 10.0, "room_c": 20.0,
			}, true},
		{"how long does a 40 l reservoir last for a 400 l tank of 120x60 cm, chamber 30x30 cm, 20 l/h, 2 weeks, " +
			"room 22 C", "postTopOffEndurance",
			want{
				"surface_length_mm": 1200.0, "surface_width_mm": 600.0, "return_chamber_length_mm": 300.0,
				"return_chamber_width_mm": 300.0, "reservoir_l": 40.0, "volume_l": 400.0, "pump_l_h": 20.0,
				"days_away": 14.0, "room_c": 22.0,
			}, false},
		{"1.025 SG", "postSalinityConversion", want{"scale": "specific_gravity", "value": 1.025}, false},
		{
			"sg: 1,025 at 77F", "postSalinityConversion",
			want{"scale": "specific_gravity", "value": 1.025, "sample_c": 25.0}, true,
		},
		{
			"hydrometer 1.025 sg at 77F", "postSalinityConversion",
			want{"scale": "specific_gravity_uncorrected", "value": 1.025, "sample_c": 25.0}, true,
		},
		{
			"my refractometer says 35 ppt", "postSalinityConversion",
			want{"scale": "refractometer_seawater_psu", "value": 35.0}, false,
		},
		{
			"brine refractometer 35 ppt", "postSalinityConversion",
			want{"scale": "refractometer_brine_g_kg", "value": 35.0}, false,
		},
		{
			"53.065 mS/cm at 25 C", "postSalinityConversion",
			want{"scale": "conductivity_ms_cm", "value": 53.065, "sample_c": 25.0}, false,
		},
		{"convert 35 ppt", "postSalinityConversion", want{"scale": "practical_psu", "value": 35.0}, false},
		{
			"53 mS/cm at 25 C", "postSalinityConversion",
			want{"scale": "conductivity_ms_cm", "value": 53.0, "sample_c": 25.0}, false,
		},
		{"salinity 35.2 g/kg", "postSalinityConversion", want{"scale": "absolute_g_kg", "value": 35.2}, false},
		{"salt mix for 200 l to 35 ppt", "postSaltMix", want{"volume_l": 200.0, "target_psu": 35.0}, false},
		{
			"how much salt for 55 gal to 35 ppt, label 38 g/l", "postSaltMix",
			want{"volume_l": 208.1976, "target_psu": 35.0, "yield_g_l": 38.0}, true,
		},
		// A change is never a fresh mix.
		{
			"how much salt for 55 gal from 30 ppt to 35 ppt, label 38 g/l", "postSalinityAdjustment",
			want{"volume_l": 208.1976, "from_psu": 30.0, "to_psu": 35.0}, true,
		},
		{
			"raise salinity of my 75 gallon tank from 31 to 35 ppt", "postSalinityAdjustment",
			want{"volume_l": 283.9059, "from_psu": 31.0, "to_psu": 35.0}, true,
		},
		{
			"my mix came out low at 31 ppt, want 35 ppt, 100 l", "postSalinityAdjustment",
			want{"volume_l": 100.0, "from_psu": 31.0, "to_psu": 35.0}, false,
		},
		{
			"lower 1.028 to 1.026, 300 L system", "postSalinityAdjustment",
			want{"volume_l": 300.0, "from_psu": 1.028, "to_psu": 1.026}, false,
		},
		// A bare number takes the unit of the rest, and 1.0 and something is a specific gravity.
		{
			"heaters for 48x24x20 in, room 64, keep 78", "postHeaterSizing",
			tank(want{"room_c": 17.7778, "setpoint_c": 25.5556}), true,
		},
		{"heaters for 48x24x20 in, room 64 degrees", "postHeaterSizing", tank(want{"room_c": 17.7778}), true},
		{
			"heaters for 120x60x50 cm, room 18, keep 25", "postHeaterSizing",
			want{"length_mm": 1200.0, "width_mm": 600.0, "water_depth_mm": 500.0, "room_c": 18.0, "setpoint_c": 25.0},
			false,
		},
		{"convert 1.026 to ppt", "postSalinityConversion", want{"scale": "specific_gravity", "value": 1.026}, false},
		{"heaters for 100 gal 48x24x20 in, room 64F", "postHeaterSizing", tank(want{"room_c": 17.7778}), true},
		{"heaters for 47 1/4x24x20 in, room 64F", "postHeaterSizing", want{
			"length_mm": 1200.15, "width_mm": 609.6, "water_depth_mm": 508.0, "room_c": 17.7778,
		}, true},
	} {
		t.Run(c.text, func(t *testing.T) {
			q := read(c.text)
			require.NotNil(t, q.Topic)
			require.Equal(t, c.operation, q.Topic.Operation)
			assert.Equal(t, map[string]any(c.members), membersOf(q))
			assert.True(t, q.Complete(), "missing %q, trouble %q", q.Missing, q.Troubles)
			assert.Equal(t, c.us, q.US)
			// What the bot would write in its place is read as the same.
			again := read(q.line())
			assert.Equal(t, membersOf(q), membersOf(again), q.line())
			assert.True(t, again.Complete(), again.Troubles)
		})
	}
}

// membersOf are the members that the text states, without those that a topic fixes or that the bot derived.
func membersOf(q *Question) map[string]any {
	out := q.members()
	for m := range q.Derived {
		delete(out, m)
	}
	for m := range q.Topic.Fixed {
		if q.Words[m] == "" {
			delete(out, m)
		}
	}
	return out
}

func piecesOf(text string) ([]reading.Piece, []reading.Trouble) {
	r := reading.Read(text)
	return r.Pieces, r.Troubles
}

// What has two readings is never guessed.
func TestQuestionsThatAreAskedBack(t *testing.T) {
	for _, c := range []struct{ text, says string }{
		{"heaters 48x24x20, room 64F, keep 78F, pumps 30 W, 12 cm, 3 cm, 4 cm, 5 cm, 6 cm", "in or cm"},
		{"heaters 30x20x20, room 18C", "in or cm"},
		{"heaters for 48x24x20 in, 64F", "room 64F, keep 64F"},
		{"heaters for 48x24x20 in, room 64-70F", "one number"},
		{"heaters for 48x24x20 in, room 64 to 70F", "one number"},
		{"heaters for 48x24x20 in, room 18", "usual temperature of the room"},
		{"heaters for 75 gal 48x24x20 in, room 64F", "which hold 99.74 gal"},
		{"heaters for 1,200x600x500 mm, room 18C", "two ways"},
		{"heaters for 120,5x60,5x1.200 mm, room 18C", "two ways beside your decimal commas"},
		{"salt mix for 1.200 l", "two ways"},
		{"heaters for 48x24x20 in, room 64,125 F", "two ways"},
		{"heaters for 1.2.3x24x20 in, room 64F", "no number"},
		{"heaters for 48x24 in, room 64F", "length of the water"},
		{"heaters for 48x24x20 in, room 64Q", "do not know"},
		{"heaters for 20 gal, 48 in, room 64F", "length of the water"},
		{"salt mix for 50 imperial gallons", "US gallons or litres"},
		{"heaters for 48x24x20 in with a lid, room 64F", "lid open, screen or closed"},
		{"heaters " + strings.Repeat("1 cm ", 50), "There are too many numbers"},
		{"53 mS/cm", "temperature of the sample"},
		{"return pump at 5 ft of head", "page"},
		{"Heizung für 120x50x50 cm?", "übliche Raumtemperatur"},
	} {
		t.Run(c.text, func(t *testing.T) {
			q := read(c.text)
			require.NotNil(t, q.Topic)
			assert.Equal(t, AsksBack, q.Kind)
			reply := q.askBack()
			assert.Contains(t, strings.Join(append(reply.Points, reply.Unused...), "\n"), c.says)
			checkLine(t, q)
		})
	}
}

// What was said and is not used is named, and nothing is swapped.
func TestUnused(t *testing.T) {
	for text, unused := range map[string][]string{
		"heaters for 48x24x20 in, glass lid, room 64F, fan on the sump":         {"fan"},
		"heaters for 48x24x20 in, room 64F, 5 kg of rock":                       {"5 kg"},
		"heater for a 75 gal tank, room 64F":                                    nil,
		"heaters for 48x24x20 in, room 64F, on 2026-01-02 at 9:30 pm I paid $9": nil,
	} {
		assert.Equal(t, unused, read(text).Unused, text)
	}
	assert.Equal(t, "closed", read("heaters for 48x24x20 in, glass lid, room 64F").Words["lid"])
	q := read("top-off reservoir 10 gal, the tank loses 1 gal a day")
	assert.Equal(t, 3.7854, q.members()["measured_l_d"], "a loss is a rate, not a volume")
	q = read("two 150 W or one 300 W heater for 48x24x20 in, room 64F")
	assert.Equal(t, []float64{150, 300}, q.Sizes, "sizes to choose from")
	assert.Equal(t, Answers, q.Kind)
}

// checkLine holds the line to send again to what was read: the same values, nothing unclear, and no number of our own.
func checkLine(t *testing.T, q *Question) {
	t.Helper()
	line := q.line()
	again := read(line)
	require.NotNil(t, again.Topic, line)
	require.Equal(t, q.Topic.Name, again.Topic.Name, line)
	for member := range again.Values {
		require.Contains(t, q.Values, member, "nobody said that: %s", line)
	}
}

// Every topic is found again by the line that the bot writes for it, in every language, and blanks hold no values.
func TestTopics(t *testing.T) {
	for _, l := range lexicons {
		for _, topic := range topics {
			if topic.Operation == "" || l != lexicons[0] && l.topics[topic.Name] == "" {
				continue
			}
			for _, inUS := range []bool{true, false} {
				q := newQuestion(hear(""), topic)
				q.lexicon, q.US = l, inUS
				q.fill()
				line := q.line()
				again := read(line)
				require.NotNil(t, again.Topic, line)
				assert.Equal(t, topic.Name, again.Topic.Name, line)
				assert.Empty(t, again.Values, "blanks hold no values: %s", line)
			}
		}
	}
	for _, text := range []string{"heatres for 48x24x20 in", "heatr for 48x24x20 in"} {
		assert.Equal(t, "heater-sizing", read(text).Topic.Name, text)
	}
	for text, want := range map[string]Kind{"": Silent, "hello": Silent, "thank you!": Silent, "what?": AsksBack} {
		assert.Equal(t, want, read(text).Kind, text)
	}
}

// A language is one file, whole: every text that another has, with as many places for values.
func TestLanguagesHaveTheSameTexts(t *testing.T) {
	for _, l := range lexicons[1:] {
		for code, english := range lexicons[0].texts {
			assert.Equal(t, strings.Count(english, "%s"), strings.Count(l.texts[code], "%s"), "%s %s", l.language, code)
			assert.NotEmpty(t, l.texts[code], "%s %s", l.language, code)
		}
		for code := range l.texts {
			assert.Contains(t, lexicons[0].texts, code, l.language)
		}
	}
}

// Every cue and role of a topic is a concept that some language has words for, and every concept is used.
func TestConceptsAreUsed(t *testing.T) {
	known := map[string]bool{}
	for _, l := range lexicons {
		for _, list := range l.phrases {
			for _, p := range list {
				known[p.concept] = true
			}
		}
		for _, p := range l.stems {
			known[p.concept] = true
		}
	}
	check := func(topic, concept string) {
		assert.True(t, known[concept] || strings.HasPrefix(concept, "#"), "%s: %s", topic, concept)
	}
	for _, topic := range topics {
		for c := range topic.Cues {
			check(topic.Name, c)
		}
		for _, m := range topic.Members {
			for _, r := range m.Roles {
				check(topic.Name, r)
			}
		}
		for _, concepts := range topic.Words {
			for _, c := range concepts {
				check(topic.Name, c)
			}
		}
	}
}

func TestReadmeExamples(t *testing.T) {
	data, err := os.ReadFile("README.md")
	require.NoError(t, err)
	_, table, ok := strings.Cut(string(data), "| question |")
	require.True(t, ok)
	table, _, ok = strings.Cut(table, "\n\n")
	require.True(t, ok)
	examples := regexp.MustCompile("`([^`]+)`").FindAllStringSubmatch(table, -1)
	require.Greater(t, len(examples), 12)
	for _, e := range examples {
		q := read(e[1])
		assert.True(t, q.Complete(), "%s: %q %q", e[1], q.Missing, q.Troubles)
	}
}

func FuzzRead(f *testing.F) {
	for _, text := range []string{
		"refractometer 1.025 sg hydrometer", "hydrometer", "refractometer", "brine refractometer 35 ppt at 20C",
		"heaters 4'6\" x 2' x 20\", room −5 °C", "1,200", "1.2.3", "x x x 1x", "1e309 in", "999999999999 cm", "64-",
		"-.", ".5 in", "'", "1'", "1'2''", "12'3", "½ in", "lights on 10am off 25:99", "pH 8 8 dKH", "Ünï̈ ß",
		"sg sg 1.025 sg", "room room room 64F 64F", "\xff\xfe 1 in", "heaters for 1x1x1x1x1x1 in",
		strings.Repeat("1x", 900), strings.Repeat("room ", 400) + "64F", "µS 5 µS/cm", "K 1 K", "İ 1 IN",
		"heaters " + strings.Repeat("64F ", 30), "heaters 4'6\" x 2' x\xaa\xaa 2",
	} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		start := time.Now()
		q := read(text)
		// Far above the milliseconds it takes, below what a quadratic reader would need.
		require.Less(t, time.Since(start), 2*time.Second)
		for member, v := range q.Values {
			require.False(t, math.IsNaN(v.Value) || math.IsInf(v.Value, 0), member)
			n := v.In("")
			require.False(t, math.IsNaN(n) || math.IsInf(n, 0), member)
		}
		if q.Topic == nil || q.Topic.Operation == "" {
			return
		}
		q.askBack()
		nested(q.members())
	})
}

func BenchmarkRead(b *testing.B) {
	for b.Loop() {
		read("heaters for 48x24x20 in, room 64F, keep 78F")
	}
}

func BenchmarkReadHostile(b *testing.B) {
	text := strings.Repeat("room 1x", 300)
	for b.Loop() {
		read(text)
	}
}

// A tank of which only the volume is said is taken to be twice as long as wide and deep. By hand: 90 gal are 340.7 L,
// half of it 170.3 dm3, a cube of 5.54 dm = 21.8 in; 200 L make 100 dm3 and 4.64 dm; 65 gal make 123.0 dm3 and 4.97 dm,
// 19.6 in.
func TestATankOfAVolumeHasTheUsualShape(t *testing.T) {
	for text, want := range map[string]string{
		"heaters for a 90 gallon tank, room 64F":                             "44x22x22 in",
		"Heizung für 200 Liter, Raum 18 Grad":                                "93x46x46 cm",
		"is a 300w heater enough for a 65g if the room drops to 60 at night": "39x20x20 in",
		"heaters for 90 gal, sump 20 gal, room 64F":                          "44x22x22 in",
	} {
		q := read(text)
		assert.Equal(t, Answers, q.Kind, text)
		assert.Equal(t, want, textOfBox(q.Derived, q.Topic.Boxes[0]), text)
		checkLine(t, q)
	}
	for _, text := range []string{"heaters for 90 gal or 120 gal, room 64F", "heaters for 20 gal, 48 in, room 64F"} {
		assert.Equal(t, AsksBack, read(text).Kind, text)
	}
}

// The level now and the one to reach are told apart by their words, or else by their order.
func TestDoses(t *testing.T) {
	for text, want := range map[string][3]float64{ // volume in L, the level now, the level to reach
		"alk is 6.5 want 8.5, 60 gallons, how much baking soda":            {227.1247, 6.5, 8.5},
		"raise calcium from 380 to 430 in 200 liters":                      {200, 380, 430},
		"how much magnesium chloride: target 1350, now at 1250 ppm, 100 L": {100, 1250, 1350},
		"KH von 6 auf 8 in 300 Liter, wieviel Natron?":                     {300, 6, 8},
		"quiero subir el calcio de 380 a 420 en 250 litros":                {250, 380, 420},
		"alk 7 to 9 dkh 55g":                                  {208.1976, 7, 9},
		"Ca 390 -> 420, 400L, calcium chloride":               {400, 390, 420},
		"how much soda ash to raise alk 1 dkh in 100 gallons": {378.5412, 7, 8}, // 7 dKH are assumed
	} {
		q := read(text)
		require.Equal(t, "dose", q.Topic.Name, text)
		assert.Equal(t, Answers, q.Kind, text)
		members := q.members()
		now := levels[q.Words[raiseMember]].now
		assert.Equal(t, want, [3]float64{members["volume_l"].(float64), members[now].(float64),
			members[targetMember].(float64)}, text)
		checkLine(t, q)
	}
	low := read("my alk is 3 dkh, 100 gallons, how much baking soda")
	assert.Equal(t, AsksBack, low.Kind, "a level, and no rise")
	assert.Equal(t, []string{targetMember}, low.Missing)
	q := read("how much to raise calcium to 430 in 200 L")
	assert.Equal(t, AsksBack, q.Kind)
	assert.Equal(t, []string{"calcium_mg_l"}, q.Missing)
	checkLine(t, q)
}

// A light of which only the hours are said burns around three in the afternoon.
func TestHoursOfLight(t *testing.T) {
	q := read("PAR 250 for 9 hours what DLI")
	assert.Equal(t, Answers, q.Kind)
	assert.Equal(t, "light-schedule-score", q.Topic.Name)
	members := q.members()
	assert.Equal(t, "10:30", members["channels.0.on_at"])
	assert.Equal(t, "19:30", members["channels.0.off_at"])
	assert.Equal(t, AsksBack, read("my light schedule is 30 hours").Kind, "longer than a day")
}

// A plan takes the bottle of its dosing pump, and tells first what that pump does.
func TestAPlanWithADoser(t *testing.T) {
	q := read("doser stuck on, 2 L alk bottle, 100 L tank, will it kill everything")
	require.Equal(t, "plan-audit", q.Topic.Name)
	members := q.members()
	q.planMembers(members)
	assert.Equal(t, 2.0, members["dosing_pumps.0.container.volume_l"])
	assert.Equal(t, 100.0, members["display.volume_l"])
	assert.Equal(t, []string{"doser runs on", "heater-1 fails", "a leak"},
		q.askedFirst([]string{"heater-1 fails", "a leak", "doser runs on"}))
}
