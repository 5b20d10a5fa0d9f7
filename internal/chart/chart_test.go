package chart

import (
	"encoding/xml"
	"errors"
	"flag"
	"io"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var update = flag.Bool("update", false, "write the drawings anew")

// stuckHeater is an invented course, with all that a course may have.
func stuckHeater() Chart {
	c := Chart{
		Code: "course", Title: "If the heater sticks on, help comes 3 h before harm",
		Sentence: "The water warms from 25.2 °C and passes the harm limit of 29.5 °C after 8 h.",
		X:        UntilHour("hours after the fault", "", 16), Y: Around("temperature", "°C", 25.2, 33.1),
		Bands: []Band{{Comfort, "comfort", 24, 27}, {Harm, "harm", 29.5, 34}},
		Spans: []Span{{"may last 3 h", 8, 11, 29.5}},
		Marks: []Mark{{"fault", 0}, {"alarm", 7.5}, {"help", 8}, {"harm", 11}},
	}
	with, without := Series{Name: "water", Drawn: Line}, Series{Name: "without help", Drawn: Dashed}
	for h := 0.0; h <= 16; h++ {
		p := Point{X: h, Y: Rounded(35 - 9.8*math.Exp(-h/14.2))}
		if h <= 8 {
			with.Points = append(with.Points, p)
		}
		if h >= 8 {
			without.Points = append(without.Points, p)
		}
	}
	c.Series = []Series{with, without}
	c.Table = Table{Columns: []string{"hours", "temperature"}, Rows: []Row{{[]string{"0", "25.2 °C"}}}}
	return c
}

// bars lie where names stand beside them.
func bars() Chart {
	from := 90.0
	return Chart{
		Title: "Two heaters of 100 to 140 W fail safe", X: FromZero("power of each", "W", 280),
		Y: Named("", "1 heater", "2 heaters", "3 heaters"),
		Series: []Series{{"safe", Bars, []Point{{X: 140, Y: 1, From: &from, Text: "90 to 140 W"},
			{X: 95, Y: 2, From: &from, Text: "90 to 95 W"}}}},
	}
}

func TestDrawingsAreAsReviewed(t *testing.T) {
	for name, c := range map[string]Chart{"course": stuckHeater(), "bars": bars()} {
		for size, width := range map[string]float64{"narrow": Narrow, "wide": Wide} {
			file := filepath.Join("testdata", name+"-"+size+".svg")
			got := c.SVG(width) + "\n"
			if *update {
				require.NoError(t, os.WriteFile(file, []byte(got), 0o600))
			}
			want, err := os.ReadFile(file)
			require.NoError(t, err)
			assert.Equal(t, string(want), got, file)
		}
	}
}

// anyChart draws a chart from a seed: axes, series, bands, marks and spans of all sorts.
func anyChart(r *rand.Rand) Chart {
	between := func(a, b float64) float64 { return a + (b-a)*r.Float64() }
	scale := math.Pow(10, between(-2, 4))
	low := between(-1, 1) * scale
	end := math.Pow(10, between(-1, 3))
	c := Chart{Title: "x", X: UntilHour("hours", "", end), Y: Around("quantity", "unit", low, low+between(0, 2)*scale)}
	if r.IntN(2) == 0 {
		c.X = Until("days", "", end)
	}
	c.X.Max = max(c.X.Max, end)
	for range r.IntN(4) {
		s := Series{Name: strings.Repeat("n", 1+r.IntN(20)), Drawn: []Drawn{Line, Dashed, Step, Dots}[r.IntN(4)]}
		for x := 0.0; x <= 1; x += 0.05 {
			s.Points = append(s.Points, Point{X: x * end, Y: between(c.Y.Min, c.Y.Max)})
		}
		c.Series = append(c.Series, s)
	}
	edge := between(c.Y.Min, c.Y.Max)
	c.Bands = []Band{{Comfort, "comfort", c.Y.Min, edge}, {Harm, "harm", edge, c.Y.Max}}
	allowed := "may last " + strings.Repeat("9", 1+r.IntN(6)) + " h"
	c.Spans = []Span{{allowed, between(0, end/2), between(end/2, end), edge}}
	for range r.IntN(6) {
		c.Marks = append(c.Marks, Mark{strings.Repeat("m", 2+r.IntN(20)), between(0, end)})
	}
	return c
}

func TestNoTwoTextsOverlap(t *testing.T) {
	for seed := range uint64(3000) {
		c := anyChart(rand.New(rand.NewPCG(seed, 1)))
		for _, width := range []float64{Narrow, Wide} {
			assert.Empty(t, c.Collisions(width), "seed %d, %g wide", seed, width)
		}
		if t.Failed() {
			return
		}
	}
}

// A number is round when one digit, or a 25 of quarters of an hour, is all it has beside zeros.
func TestTicksAreRound(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for range 3000 {
		scale := math.Pow(10, -3+8*r.Float64())
		low := (r.Float64()*2 - 1) * scale
		a := Around("", "", low, low+r.Float64()*scale)
		require.GreaterOrEqual(t, len(a.Ticks), 2, "%+v", a)
		require.LessOrEqual(t, len(a.Ticks), mostTicks, "%+v", a)
		assert.Equal(t, a.Min, a.Ticks[0].At)
		assert.Equal(t, a.Max, a.Ticks[len(a.Ticks)-1].At)
		step := a.Ticks[1].At - a.Ticks[0].At
		digit := step / math.Pow(10, math.Floor(math.Log10(step)+1e-6))
		assert.Contains(t, []float64{1, 2, 5}, math.Round(digit*1e4)/1e4, "%+v", a)
		for _, tick := range a.Ticks {
			assert.InDelta(t, 0, math.Remainder(tick.At, step), 1e-4*step, "%+v", a)
			assert.False(t, strings.Contains(tick.Text, ".") && step >= 1, "%q", tick.Text)
		}
		h := UntilHour("", "", math.Pow(10, -0.5+3*r.Float64()))
		assert.LessOrEqual(t, len(h.Ticks), mostTicks+1)
		assert.Contains(t, append(hoursBetweenTicks, 1000), h.Ticks[1].At)
	}
	assert.Equal(t, []Tick{{-5, "−5"}, {0, "0"}, {5, "5"}, {10, "10"}}, Around("", "", -3, 9).Ticks)
	assert.Equal(t, []Tick{{25, "25.0"}, {25.5, "25.5"}, {26, "26.0"}, {26.5, "26.5"}},
		Around("", "", 25.2, 26.4).Ticks)
}

// What is drawn is well-formed, and draws only: no style, script or address; texts are escaped.
func TestOnlyDrawing(t *testing.T) {
	c := stuckHeater()
	c.Title, c.Marks[0].Name = `If "it" <fails>`, `<script>`
	d := xml.NewDecoder(strings.NewReader(c.SVG(Narrow)))
	allowed := map[string]bool{"svg": true, "path": true, "rect": true, "circle": true, "text": true}
	for {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		require.NoError(t, err)
		if e, ok := token.(xml.StartElement); ok {
			assert.True(t, allowed[e.Name.Local], e.Name.Local)
			for _, a := range e.Attr {
				assert.NotContains(t, []string{"style", "href", "id", "onclick"}, a.Name.Local)
			}
		}
	}
}

// The same look is given to no two series, so that they differ without colour.
func TestSeriesDifferWithoutColour(t *testing.T) {
	met := map[[2]string]bool{{"2", "7 5"}: true}
	for _, l := range looks {
		assert.False(t, met[l], "%v", l)
		met[l] = true
	}
}

func TestAFigureHasATableTwin(t *testing.T) {
	page, err := stuckHeater().Figure("As a table")
	require.NoError(t, err)
	assert.Contains(t, page, `<summary>As a table</summary>`)
	assert.Contains(t, page, `<th scope="row">0</th><td data-label="temperature">25.2 °C</td>`)
	assert.Equal(t, 2, strings.Count(string(page), "<svg "))
}
