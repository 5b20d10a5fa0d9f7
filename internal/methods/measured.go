package methods

import (
	_ "embed"
	"encoding/json"
	"fmt"
	"sync"
)

// measuredJSON is what a test of the answers finds when it asks them the cases of
// testdata/reference/measured_cases.csv; it holds the file to what it finds.
//
//go:embed measured.json
var measuredJSON []byte

// Measured is how a model came out against published measurements.
type Measured struct {
	Package string  `json:"package"` // whose page shows it
	What    string  `json:"what"`
	Cases   int     `json:"cases"`
	Sound   int     `json:"sound"`            // cases of weight: the others are fits or tables, or lack a condition
	Bias    float64 `json:"bias"`             // mean of measured over expected
	Scatter float64 `json:"scatter"`          // standard deviation of it; 0 for one case
	Least   float64 `json:"least"`            // least of it
	Most    float64 `json:"most"`             // most of it
	Inside  *int    `json:"inside,omitempty"` // cases within the model's own low to high; missing where it gives none
}

// ReadMeasured returns all comparisons. Errors: a file that is no list of them.
var ReadMeasured = sync.OnceValues(func() ([]Measured, error) {
	var out []Measured
	if err := json.Unmarshal(measuredJSON, &out); err != nil {
		return nil, fmt.Errorf("measured.json: %w", err)
	}
	return out, nil
})

// unmeasured says what could not be held against a measurement, by package.
var unmeasured = map[string]string{
	"heat": "No cool-down of a glass tank of stated size was found in print, so the heat model as a whole has not " +
		"been measured against one. Three readings close the gap for a tank: the litres topped up in a day, the " +
		"share of the time the heater runs, and the water's temperature over some hours with the heater off. Send " +
		"them to model-calibration.",
}

// Measured returns the comparisons of a subject.
func (s Subject) Measured() ([]Measured, error) {
	all, err := ReadMeasured()
	var out []Measured
	for _, m := range all {
		if m.Package == s.Package {
			out = append(out, m)
		}
	}
	return out, err
}

// Unmeasured says what of a subject could not be held against a measurement; empty where nothing is to say.
func (s Subject) Unmeasured() string { return unmeasured[s.Package] }
