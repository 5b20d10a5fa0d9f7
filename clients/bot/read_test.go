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
			"how much salt for 55 gal from 30 ppt to 35 ppt, label 38 g/l", changeOperation,
			want{"volume_l": 208.1976, "from_psu": 30.0, "to_psu": 35.0}, true,
		},
		{
			"raise salinity of my 75 gallon tank from 31 to 35 ppt", changeOperation,
			want{"volume_l": 283.9059, "from_psu": 31.0, "to_psu": 35.0}, true,
		},
		{
			"my mix came out low at 31 ppt, want 35 ppt, 100 l", changeOperation,
			want{"volume_l": 100.0, "from_psu": 31.0, "to_psu": 35.0}, false,
		},
		{
			"lower 1.028 to 1.026, 300 L system", changeOperation,
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
			q := Read(c.text)
			require.NotNil(t, q.Topic)
			assert.Equal(t, c.operation, q.Topic.Operation)
			assert.Equal(t, map[string]any(c.members), q.Members())
			assert.True(t, q.Complete(), "missing %q, trouble %q", q.Missing, q.Troubles)
			assert.Equal(t, c.us, q.US)
			// What the bot would write in its place is read as the same.
			again := Read(q.Topic.line(&q, q.US))
			assert.Equal(t, q.Members(), again.Members(), q.Topic.line(&q, q.US))
			assert.True(t, again.Complete(), again.Troubles)
		})
	}
}

// What has two readings is never guessed.
func TestQuestionsThatAreAskedBack(t *testing.T) {
	for _, c := range []struct{ text, says string }{
		{"heaters 48x24x20, room 64F", "48x24x20 in, or 48x24x20 cm"},
		{"heaters for 48x24x20 in, 64F", "write room 64F or keep 64F"},
		{"heaters for 48x24x20 in, room 64-70F", "one number"},
		{"heaters for 48x24x20 in, room 64 to 70F", "one number"},
		{"heaters for 48x24x20 in, room 18", "write 18F or 18C"},
		{"heaters, room 64", "write 64F or 64C"},
		{"heaters for 75 gal 48x24x20 in, room 64F", "do not agree: these lengths hold 99.74 gal"},
		{"heaters for 48x24x20 in a room of 64F", "has no unit"},
		{"heaters for 1,200x600x500 mm, room 18C", "two ways"},
		{"heaters for 120,5x60,5x1.200 mm, room 18C", "two ways beside your decimal commas"},
		{"heaters for 1.200x600x500 mm, room 18C", "two ways"},
		{"salt mix for 1.200 l", "two ways"},
		{"heaters for 48x24x20 in, room 64,125 F", "two ways"},
		{"refractometer 1.025 sg", "its ppt scale"},
		{"heaters for 1.2.3x24x20 in, room 64F", "no number"},
		{"heaters for 48x24x20x10 in, room 64F", "should be inside length x width"},
		{"heaters for 48x24 in, room 64F", "should be inside length x width"},
		{"heaters for 48x24x20 in, room 64F, room 70F", "for a second time"},
		{"heaters for 48x24x20 in, room 64Q", "do not know"},
		{"heaters for 20 gal, 48 in, room 64F", "could be any length"},
		{"heaters for 48x24x20 F, room 64F", "should be lengths"},
		{"keep the tank 64F room heaters for 48x24x20 in", "could be several things"},
		{"salt mix for 50 imperial gallons", "US gallons or litres"},
		{"salt mix for 50 gal to 1.026 SG", "has to be in ppt"},
		{"top-off for 40 l", "write reservoir 40 l or system 40 l"},
		{"heaters " + strings.Repeat("1 cm ", 50), "There are too many numbers"},
	} {
		t.Run(c.text, func(t *testing.T) {
			q := Read(c.text)
			require.NotNil(t, q.Topic)
			assert.False(t, q.Complete())
			var all []string
			for _, trouble := range q.Troubles {
				all = append(all, trouble.Text+" "+trouble.Why)
			}
			assert.Contains(t, strings.Join(all, "\n"), c.says)
			checkLine(t, q)
		})
	}
}

func TestMissing(t *testing.T) {
	for text, missing := range map[string][]string{
		"heaters":                 {tankBox.Name, "usual temperature of the room"},
		"heaters for 48x24x20 in": {"usual temperature of the room"},
		"heaters 48 in long, 20 in deep, room 64F": {"width"},
		"53 mS/cm": {"temperature of the sample"},
		"salinity": {"reading with its unit (SG, ppt, g/kg, g/L or mS/cm)"},
		"salt mix": {"volume of the finished salt water"},
		"heaters for 48x24x20 in, room 64F, sump 24x16x12 in": nil,
	} {
		assert.Equal(t, missing, Read(text).Missing, text)
	}
}

// What was said and is not used is named, and nothing is swapped.
func TestUnused(t *testing.T) {
	for text, unused := range map[string][]string{
		"heaters for 48x24x20 in, glass lid, room 64F, fan on the sump": {"fan"},
		"heaters for 48x24x20 in with a lid, room 64F":                  {"lid (say lid open, screen or closed)"},
		"two 150 W or one 300 W heater for 48x24x20 in, room 64F":       {"two 150 W", "one 300 W"},
		"refractometer with ATC calibrated with RO water reads 35 ppt":  {"atc", "calibrated"},
		"top-off reservoir 10 gal, the tank loses 1 gal a day":          {"1 gal a day"},
		"heater for a 75 gal tank, room 64F":                            {"75 gal"},
	} {
		assert.Equal(t, unused, Read(text).Unused, text)
	}
	assert.Equal(t, "closed", Read("heaters for 48x24x20 in, glass lid, room 64F").Lid)
	q := Read("water change 20 gal, tank is 31 ppt target 35")
	assert.Equal(t, map[string]any{"volume_l": 75.7082, "from_psu": 31.0, "to_psu": 35.0}, q.Members())
}

// checkLine holds the line to send again to what was read: the same values, nothing unclear, and no number of our own.
func checkLine(t *testing.T, q Question) {
	t.Helper()
	line := q.Topic.line(&q, q.US)
	again := Read(line)
	require.Equal(t, q.Topic, again.Topic, line)
	require.Empty(t, again.Troubles, line)
	for member, n := range q.Members() {
		if strings.HasSuffix(member, "_mm") && len(q.Missing) > 0 {
			continue // a box with an edge missing is blank
		}
		require.Equal(t, n, again.Members()[member], "%s by the line %q", member, line)
	}
	for member := range again.Members() {
		require.Contains(t, q.Members(), member, "nobody said that: %s", line)
	}
}

func TestTopics(t *testing.T) {
	for _, topic := range topics {
		for _, inUS := range []bool{true, false} {
			line := topic.line(nil, inUS)
			q := Read(line)
			require.NotNil(t, q.Topic, line)
			assert.Equal(t, topic.Operation, q.Topic.Operation, line)
			assert.Empty(t, q.Troubles, line)
			assert.Empty(t, q.Values, "blanks hold no values: %s", line)
			assert.NotContains(t, line, "0")
		}
	}
	for text, several := range map[string]int{
		"a heater and a chiller": 2, "heaters or chiller": 0, "evaporation and chiller": 0,
		"is a chiller or evaporation better": 2,
	} {
		assert.Len(t, Read(text).Several, several, text)
	}
	for text, nearest := range map[string]string{
		"heatres for 48x24x20 in": "heaters", "evaporatoin": "evaporation", "chilller": "chiller",
		"resevoir 10 gal": "top-off",
	} {
		q := Read(text)
		require.NotNil(t, q.Nearest, text)
		assert.Equal(t, nearest, q.Nearest.Command, text)
	}
	for _, text := range []string{"", "hello", "thank you!", "what is the best fish", "48x24x20 in"} {
		q := Read(text)
		assert.Nil(t, q.Topic, text)
		assert.Nil(t, q.Nearest, text)
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
		q := Read(e[1])
		assert.True(t, q.Complete(), "%s: %q %q", e[1], q.Missing, q.Troubles)
	}
}

func FuzzRead(f *testing.F) {
	for _, topic := range topics {
		f.Add(topic.line(nil, true))
		f.Add(topic.line(nil, false))
	}
	for _, text := range []string{
		"refractometer 1.025 sg hydrometer", "hydrometer", "refractometer", "brine refractometer 35 ppt at 20C",
		"heaters 4'6\" x 2' x 20\", room −5 °C", "1,200", "1.2.3", "x x x 1x", "1e309 in", "999999999999 cm", "64-",
		"-.", ".5 in", "'", "1'", "1'2''", "12'3", "½ in",
		"sg sg 1.025 sg", "room room room 64F 64F", "\xff\xfe 1 in", "heaters for 1x1x1x1x1x1 in",
		strings.Repeat("1x", 900), strings.Repeat("room ", 400) + "64F", "µS 5 µS/cm", "K 1 K", "İ 1 IN",
	} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		start := time.Now()
		q := Read(text)
		// Far above the microseconds it takes, below what a quadratic reader would need.
		require.Less(t, time.Since(start), 2*time.Second)
		for member, v := range q.Values {
			require.False(t, math.IsNaN(v.Value) || math.IsInf(v.Value, 0), member)
			n := v.InContractUnit()
			require.False(t, math.IsNaN(n) || math.IsInf(n, 0), member)
			require.NotNil(t, v.Unit, member)
		}
		if q.Topic == nil {
			return
		}
		checkLine(t, q)
	})
}

func BenchmarkRead(b *testing.B) {
	for b.Loop() {
		Read("heaters for 48x24x20 in, room 64F, keep 78F")
	}
}

func BenchmarkReadHostile(b *testing.B) {
	text := strings.Repeat("room 1x", 300)
	for b.Loop() {
		Read(text)
	}
}
