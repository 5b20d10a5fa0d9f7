package reading

import (
	"math"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// said writes the pieces of a reading that hold numbers, and the troubles.
func said(text string) string {
	r := Read(text)
	var out []string
	for _, p := range r.Pieces {
		switch {
		case p.Aside != "":
			out = append(out, "("+p.Aside+" "+p.Text+")")
		case p.Blank:
			out = append(out, "(blank)")
		case p.Group != nil:
			var parts []string
			for _, q := range p.Group {
				parts = append(parts, q.String())
			}
			between := " x "
			if p.Range {
				between = " to "
			}
			one := strings.Join(parts, between)
			if p.Count > 0 {
				one = strconv.Itoa(p.Count) + " of " + one
			}
			if p.Relation != "" {
				one = p.Relation + " " + one
			}
			out = append(out, one)
		}
	}
	for _, t := range r.Troubles {
		out = append(out, "? "+t.Text+" "+t.Why)
	}
	return strings.Join(out, "; ")
}

// What people write, and what is understood. The right side is in the unit that was written.
func TestWhatPeopleWrite(t *testing.T) {
	for text, want := range map[string]string{
		// Lengths.
		"36 in": "36 in", "36in": "36 in", "36 inches": "36 in", `18"`: "18 in", "18”": "18 in", "18''": "18 in",
		`4'6"`: "54 in", `4' 6"`: "54 in", "4 ft 6 in": "54 in", "4'6 in": "54 in", "4ft": "4 ft", "4'": "4 ft",
		"4’6”": "54 in", `4'6 1/2"`: "54.5 in", "47 1/4 in": "47.25 in", "47-1/4 in": "47.25 in", "47½ in": "47.5 in",
		"½ in": "0.5 in", "3/4 in": "0.75 in", "1/16\"": "0.0625 in", "90 cm": "90 cm", "1,2 m": "1.2 m",
		"1.2m": "1.2 m", "-3 mm": "-3 mm", "−3 mm": "-3 mm", "９０ｃｍ": "90 cm",
		// Boxes.
		"48x24x20 in": "48 in x 24 in x 20 in", "48×24×20\"": "48 in x 24 in x 20 in",
		"48 by 24 by 20 inches": "48 in x 24 in x 20 in", "4x2x2 ft": "4 ft x 2 ft x 2 ft",
		"4x2x2ft": "4 ft x 2 ft x 2 ft", `48"x24"x20"`: "48 in x 24 in x 20 in",
		"48*24*20 in":    "48 in x 24 in x 20 in",
		"4' x 2' x 20\"": "4 ft x 2 ft x 20 in", "48x24x20": "48 x 24 x 20", "120,5 x 60 cm": "120.5 cm x 60 cm",
		"47 1/4x24x20 in": "47.25 in x 24 in x 20 in", "48x24 in a room": "48 x 24",
		// Volumes, flows, rates.
		"75 gal": "75 gal", "75-gallon": "75 gal", "75 US gallons": "75 gal", "300 L": "300 L", "0,5 l": "0.5 L",
		"20 l/h": "20 L/h", "5 gph": "5 gal/h", "300 lph": "300 L/h", "1 gal a day": "1 gal/d",
		"1 gal/day":        "1 gal/d",
		"4 litres per day": "4 L/d", "2 l/d": "2 L/d", "500 ml a day": "500 ml/d", "3 L pro Tag": "3 L/d",
		"half a gallon a day": "0.5 gal/d", "2 gpm": "2 gal/min",
		// Temperatures.
		"68F": "68 °F", "68 °F": "68 °F", "68ºf": "68 °F", "68 degrees F": "68 °F", "20C": "20 °C",
		"20,5 °C": "20.5 °C",
		"-2 C":    "-2 °C", "68 degrees": "68", "68°": "68", "25℃": "25 °C",
		// Ranges and relations.
		"from 31 to 35 ppt": "31 ppt to 35 ppt", "31-35 ppt": "31 ppt to 35 ppt", "31 – 35 ppt": "31 ppt to 35 ppt",
		"64-70F": "64 °F to 70 °F", "64F to 70F": "64 °F to 70 °F", "between 64 and 70F": "64 °F to 70 °F",
		"von 31 bis 35 psu": "31 ppt to 35 ppt", "from 1.022 to 1.026": "1.022 SG to 1.026 SG",
		"from 30 ppt to 35": "30 ppt to 35 ppt", "200 l to 35 ppt": "200 L; 35 ppt", "every 3 days": "every 3 days",
		"about 75 gal": "about 75 gal", "~75 gal": "about 75 gal", "at least 20 C": "at least 20 °C",
		"no more than 5 %": "at most 5%", "under 300 W": "at most 300 W", "> 20 C": "at least 20 °C",
		// Counts and shares.
		"2x150W": "2 of 150 W", "2 x 150 W": "2 of 150 W", "two 150 W heaters": "2 of 150 W", "10 %": "10%",
		"10 percent": "10%", "1.5 kW": "1.5 kW", "150-watt": "150 W", "half full": "50%", "a quarter full": "25%",
		"2 heaters": "", "3 fish": "", "two heaters": "",
		// Time.
		"ten days": "10 days", "two weeks": "2 weeks", "2 weeks": "2 weeks", "away a week": "1 weeks", "12 h": "12 h",
		"90 min": "90 min", "ten-day trip": "10 days", "zwei Wochen": "2 weeks",
		"for a 75 gal": "75 gal", "dos semanas": "2 weeks",
		"two and a half gallons": "2.5 gal", "once a week": "",
		// Salinity.
		"1.025": "1.025 SG", "1,025": "1.025 SG", "sg 1.026": "1.026 SG", "sg1.026": "1.026 SG",
		"1.0264 sg": "1.0264 SG",
		"35 ppt":    "35 ppt", "35‰": "35 ppt", "53 mS/cm": "53 mS/cm", "53000 μS/cm": "53000 µS/cm",
		"38 g/L": "38 g/L",
		// Put aside.
		"on 12/05/2026": "(date 12/05/2026)", "since 2026-11-26": "(date 2026-11-26)",
		"am 3.10.2026": "(date 3.10.2026)",
		"at 10:30pm":   "(time of day 10:30pm)", "at 6 am": "(time of day 6 am)", "cost $120, ok": "(price $120)",
		"für 35 €": "(price 35 €)",
		"see https://example.org/a?b=75 for 20 gal": "(link https://example.org/a?b=75); 20 gal",
		"room ___ °F, 20 gal":                       "(blank); 20 gal", "for ___x___x___ in": "(blank)",
		"my 1st tank": "",
		// Nothing to measure.
		"": "", "hello": "", "x": "", "in": "", "one of them is dead": "", "two in the sump": "",
	} {
		assert.Equal(t, want, said(text), "%q", text)
	}
}

// What has two meanings is not guessed.
func TestWhatIsUnclear(t *testing.T) {
	for text, why := range map[string]string{
		"1,200 mm": "two ways", "1.200 l": "two ways", "120,5x60,5x1.200 mm": "two ways beside your decimal commas",
		"1.2.3 in": "no number", "64Q": "do not know", "50 imperial gallons": "US gallons", "50 uk gal": "US gallons",
		"7/9 in": "fraction", "9/2 in": "fraction", "1234567890 mm": "no number",
		strings.Repeat("1 cm ", 50):              "too many numbers",
		"20 gal " + strings.Repeat("word ", 500): "first 2000 characters",
	} {
		troubles := Read(text).Troubles
		require.NotEmpty(t, troubles, text)
		assert.Contains(t, troubles[0].Why, why, text)
	}
}

func TestTakenFor(t *testing.T) {
	assert.Equal(t, "length 36 in", Read("36 in").Pieces[0].Group[0].TakenFor())
	assert.Equal(t, "a plain number", Read("36").Pieces[0].Group[0].TakenFor())
}

// Each spelling of each unit is read behind a number, and one written by String is read as the same.
func TestEveryUnitIsRead(t *testing.T) {
	for _, u := range knownUnits {
		for _, spelling := range u.aliases {
			pieces := Read("7 " + spelling).Pieces
			require.NotEmpty(t, pieces, spelling)
			require.Len(t, pieces[0].Group, 1, spelling)
			assert.Equal(t, u, pieces[0].Group[0].Unit, spelling)
		}
		q := Quantity{Value: 7.25, Unit: u}
		pieces := Read(q.String()).Pieces
		require.NotEmpty(t, pieces, q.String())
		assert.Equal(t, u, pieces[0].Group[0].Unit, q.String())
		back := u.fromContract(u.toContract(7.25))
		assert.InDelta(t, 7.25, back, 1e-9, "%s: there and back, to the error of floating point", u.Symbol)
	}
}

func TestContractUnits(t *testing.T) {
	for text, want := range map[string]float64{
		"7 in":        177.8,    // exact, yard and pound agreement of 1959
		"12 in":       304.8,    // the same
		"1 ft":        304.8,    // the same
		"1 gal":       3.7854,   // NIST SP 811 appendix B: 3.785412 L, to the digits that are kept
		"1 gal/h":     3.7854,   // as the gallon
		"1 gal/day":   3.7854,   // as the gallon
		"1 lb":        453.5924, // NIST SP 811 appendix B: 0.45359237 kg, exact
		"212 F":       100,      // definition of the scale
		"-40 F":       -40,      // where the scales meet
		"2 weeks":     14,       // days
		"12 h":        0.5,      // days
		"1.5 kW":      1500,     // W
		"53000 µs/cm": 53,       // mS/cm
		"2 l/min":     120,      // L/h
		"500 ml":      0.5,      // L
		"2 m³":        2000,     // L
		"10 sq ft":    0.929,    // NIST SP 811 appendix B: 0.09290304 m², to the digits that are kept
	} {
		pieces := Read(text).Pieces
		require.Len(t, pieces, 1, text)
		assert.InDelta(t, want, pieces[0].Group[0].InContractUnit(), 0.5e-4, "%s: rounded to 1e-4", text)
	}
}

// covered fails when a digit of the text is in no piece and in no trouble.
func covered(t *testing.T, text string, r Reading) {
	t.Helper()
	seen := make([]bool, len(r.Text))
	mark := func(from, to int) {
		for i := from; i < to; i++ {
			seen[i] = true
		}
	}
	for _, p := range r.Pieces {
		mark(p.From, p.To)
	}
	for _, trouble := range r.Troubles {
		mark(trouble.From, trouble.To)
	}
	for i := range len(r.Text) {
		require.False(t, digit(r.Text[i]) && !seen[i], "%q loses the digit at %d of %q", text, i, r.Text)
	}
}

func FuzzRead(f *testing.F) {
	for _, text := range []string{
		"heaters for 48x24x20 in, room 64F", `4'6" x 2' x 20"`, "from 31 to 35 ppt", "between 64 and 70F",
		"1,200", "1.2.3",
		"x x x 1x", "1e309 in", "999999999999 cm", "64-", "-.", ".5 in", "'", "1'", "1'2''", "12'3", "½ in",
		"1/2/3", "1-2-3 in",
		"\xff\xfe 1 in", "1x1x1x1x1x1 in", strings.Repeat("1x", 900), "two 1.2.3 W", "two 150x3", "2x150W",
		"half full",
		"K 1 K", "İ 1 IN", "$1.50", "1:30pm", "3/4/5", "sg1.025", "a week", "___ 1", "９０ｃｍ", "1 2/3 4/5",
		"ten ten 10 ten",
		"from 1 gal to 1.200", "www.1", "two two 2 heaters", "between 1 and x", "de 3 a 4 l",
	} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		start := time.Now()
		r := Read(text)
		// Far above the microseconds it takes, below what a quadratic reader would need.
		require.Less(t, time.Since(start), 2*time.Second)
		covered(t, text, r)
		for _, p := range r.Pieces {
			require.LessOrEqual(t, p.From, p.To)
			for _, q := range p.Group {
				require.False(t, math.IsNaN(q.Value) || math.IsInf(q.Value, 0))
				if q.Unit != nil {
					n := q.InContractUnit()
					require.False(t, math.IsNaN(n) || math.IsInf(n, 0))
				}
			}
		}
	})
}
