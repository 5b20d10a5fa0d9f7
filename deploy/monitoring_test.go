package deploy

import (
	"encoding/json"
	"io"
	"net/http"
	"os"
	"os/exec"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const monitoringFolder = "monitoring"

// Prometheus' own tool reads the rules and runs their tests: each trouble fires its alert, a usual hour fires none.
func TestAlertRules(t *testing.T) {
	promtool := program(t, "promtool")
	for _, args := range [][]string{{"check", "rules", "rules.yaml"}, {"test", "rules", "rules_test.yaml"}} {
		cmd := exec.Command(promtool, args...)
		cmd.Dir = monitoringFolder
		out, err := cmd.CombinedOutput()
		assert.NoError(t, err, "%s", out)
	}
}

func text(t *testing.T, file string) string {
	t.Helper()
	data, err := os.ReadFile(file)
	require.NoError(t, err)
	return string(data)
}

func found(pattern, in string) []string {
	var out []string
	for _, m := range regexp.MustCompile(pattern).FindAllStringSubmatch(in, -1) {
		out = append(out, m[1])
	}
	slices.Sort(out)
	return slices.Compact(out)
}

func TestEveryAlertHasItsPageInTheRunbookAndItsTest(t *testing.T) {
	alerts := found(`(?m)^ +- alert: (\w+)$`, text(t, monitoringFolder+"/rules.yaml"))
	require.NotEmpty(t, alerts)
	assert.Equal(t, alerts, found(`(?m)^## (\w+)$`, text(t, "RUNBOOK.md")))
	assert.Equal(t, alerts, found(`alertname: (\w+)`, text(t, monitoringFolder+"/rules_test.yaml")))
}

// What the rules, the runbook and the dashboard ask for is what the service measures.
func TestMonitoringAsksForMetricsThatExist(t *testing.T) {
	s := startService(t, "--per-minute", "500")
	at := "http://" + s.addr
	for range 300 {
		_, _ = send(t, "GET", at+question, "")
		_, _ = send(t, "GET", at+question+"&no=1", "")
	}
	res, err := http.Get("http://" + s.admin + "/metrics")
	require.NoError(t, err)
	defer res.Body.Close()
	page, err := io.ReadAll(res.Body)
	require.NoError(t, err)
	exists := found(`(?m)^([a-z_]+)[{ ]`, string(page))

	dashboard := text(t, monitoringFolder+"/dashboard.json")
	require.True(t, json.Valid([]byte(dashboard)))
	all := text(t, monitoringFolder+"/rules.yaml") + dashboard + text(t, "RUNBOOK.md") +
		text(t, monitoringFolder+"/adapter.yaml")
	asked := found(`\b((?:http|go|process)_[a-z_]+|saltwright_[a-z]+_[a-z_]+)\b`, all)
	assert.Greater(t, len(asked), 8)
	for _, name := range asked {
		assert.Contains(t, exists, name, "nothing measures it")
	}
	for _, codes := range found(`code=~\\*"([a-z_|]+)\\*"`, all) { // codes of problems
		for _, code := range strings.Split(codes, "|") {
			known, _ := send(t, "GET", at+"/problems/"+code, "", "Accept", "application/json")
			assert.Contains(t, []int{200, 429}, known.StatusCode, code)
		}
	}
}
