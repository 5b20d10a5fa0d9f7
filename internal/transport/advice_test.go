package transport

import (
	"encoding/json"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// untold are the codes that stand where no change was found that mends a finding.
var untold = []string{
	"change_too_large", "change_none_alone", "change_time_ran_out", "change_no_time", "change_nothing_known",
}

// How often the golden answers have no change that was tried and helps, by case; the gallery shows the examples. Some of
// these plans are bare on purpose (a heater and a pump, a budget without batteries) and take several changes at once, one
// is too large, and one weakness is no worse than its cure.
func TestHowOftenAdviceFindsNothing(t *testing.T) {
	known := map[string]int{
		"postPlanAudit/example":                        4,
		"postPlanAudit/example-household-shared-probe": 1,
		"postPlanAudit/first-timer":                    3,
		"postPlanDraft/example":                        2,
		"postPlanDraft/small-without-battery":          5,
	}
	files, err := filepath.Glob(filepath.Join(root(t), "testdata/api/postPlan*/*.response.json"))
	require.NoError(t, err)
	require.NotEmpty(t, files)
	found, fatal, changes := map[string]int{}, 0, 0
	for _, file := range files {
		raw, err := os.ReadFile(file)
		require.NoError(t, err)
		var answer struct {
			Result struct {
				Findings []struct{ Severity string }
			}
			Texts []struct{ Code, Pointer string }
		}
		require.NoError(t, json.Unmarshal(raw, &answer))
		name := filepath.Base(filepath.Dir(file)) + "/" + strings.TrimSuffix(filepath.Base(file), ".response.json")
		severity := map[string]string{}
		for i, f := range answer.Result.Findings {
			severity[pointerTo(i)] = f.Severity
		}
		for _, x := range answer.Texts {
			if severity[x.Pointer] == "" {
				continue
			}
			changes++
			if slices.Contains(untold, x.Code) {
				found[name]++
				if severity[x.Pointer] == "fatal" && strings.Contains(name, "/example-") {
					fatal++
				}
			}
		}
	}
	assert.Greater(t, changes, 100)
	assert.Equal(t, known, found)
	assert.Zero(t, fatal, "every harm in the gallery names a change that mends it")
}

func pointerTo(finding int) string { return "/result/findings/" + strconv.Itoa(finding) + "/change" }
