package methods

import (
	_ "embed"
	"encoding/json"
	"fmt"
	"sync"
)

// measuredJSON is what a test of the answers finds when it asks the models the cases of testdata/reference; it holds
// the file to what it finds.
//
//go:embed measured.json
var measuredJSON []byte

// Measured is how a model came out against published values: measurements, or a public library's own calculation.
type Measured struct {
	Package string  `json:"package"` // whose page shows it
	Code    string  `json:"code"`    // of what it says
	File    string  `json:"file"`    // of testdata/reference
	Cases   int     `json:"cases"`
	Sound   int     `json:"sound"`            // cases of weight: the others are fits or tables, or lack a condition
	Bias    float64 `json:"bias"`             // mean of published over calculated
	Scatter float64 `json:"scatter"`          // standard deviation of it; 0 for one case
	Least   float64 `json:"least"`            // least of it
	Most    float64 `json:"most"`             // most of it
	Inside  *int    `json:"inside,omitempty"` // cases within the model's own low to high; missing where it gives none
	Shown   []Case  `json:"shown"`            // all of them, or every so manieth where there are many
}

// Case is one published value beside what the model gives for it.
type Case struct {
	Name       string  `json:"name"`
	Calculated float64 `json:"calculated"`
	Published  float64 `json:"published"`
	Unit       string  `json:"unit"`
	Source     string  `json:"source"` // as the table of cases cites it
}

// ReadMeasured returns all comparisons. Errors: a file that is no list of them.
var ReadMeasured = sync.OnceValues(func() ([]Measured, error) {
	var out []Measured
	if err := json.Unmarshal(measuredJSON, &out); err != nil {
		return nil, fmt.Errorf("measured.json: %w", err)
	}
	return out, nil
})

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
