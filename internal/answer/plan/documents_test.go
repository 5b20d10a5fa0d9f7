package plan

import (
	"encoding/json"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"testing"

	jsonpatch "github.com/evanphx/json-patch/v5"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc/plan"
)

// A plan goes to the core and back unchanged.
func TestPlanDocumentsRoundTrip(t *testing.T) {
	files, err := filepath.Glob("../../../testdata/api/postPlanAudit/example-*.request.json")
	require.NoError(t, err)
	require.Greater(t, len(files), 5)
	for _, file := range files {
		raw, err := os.ReadFile(file)
		require.NoError(t, err)
		var r Request
		require.NoError(t, json.Unmarshal(raw, &r))
		if r.Attendance.LeavesAt == "" {
			r.Attendance.LeavesAt = "08:00"
		}
		p := r.Plan()
		assert.Equal(t, p, NewRequest(p).Plan(), file)
	}
}

// What the sender left out stays out, what the edit changed is there, and the patch says just that.
func TestTheEditedDocumentIsTheSendersOwn(t *testing.T) {
	original := []byte(`{"display": {"volume_l": 200.0}, "heaters": [{"id": "a", "power_w": 100}],
		"lights": [{"id": "l", "power_w": 5, "schedule": {"points": [
			{"at": "08:00", "percent": 1}, {"at": "09:00", "percent": 2}]}}],
		"controls": [{"id": "c", "kind": "heating", "outputs": ["a"]}], "attendance": {"look_every_h": 24}}`)
	var r Request
	require.NoError(t, json.Unmarshal(original, &r))
	r.Controls[0].Latching = true // a default
	d, err := newPlanDocument(original, r.Plan())
	require.NoError(t, err)
	same, err := d.with(r.Plan())
	require.NoError(t, err)
	assert.Equal(t, d.sent, same)

	p := r.Plan().Clone()
	p.Heaters[0].PowerW = 50
	p.Attendance.ResponseH = new(2.0)
	p.Controls[0].Outputs = append(slices.Clone(p.Controls[0].Outputs), "b")
	p.Lights[0].Schedule = &plan.Schedule{OnAt: new(plan.ClockTime("10:00")), OffAt: new(plan.ClockTime("20:00"))}
	p.Power.Circuits = append(p.Power.Circuits, plan.Circuit{ID: "one"})
	edited, err := d.with(p)
	require.NoError(t, err)
	got, err := json.Marshal(edited)
	require.NoError(t, err)
	assert.JSONEq(t, `{"display": {"volume_l": 200}, "heaters": [{"id": "a", "power_w": 50}],
		"lights": [{"id": "l", "power_w": 5, "schedule": {"points": [], "on_at": "10:00", "off_at": "20:00"}}],
		"controls": [{"id": "c", "kind": "heating", "outputs": ["a", "b"]}],
		"attendance": {"look_every_h": 24, "response_h": 2},
		"power": {"circuits": [{"id": "one", "ground_fault": false, "backup_h": 0}]}}`, string(got))

	ops, err := d.patch(edited)
	require.NoError(t, err)
	raw, err := json.Marshal(ops)
	require.NoError(t, err)
	patch, err := jsonpatch.DecodePatch(raw)
	require.NoError(t, err)
	patched, err := patch.Apply(original)
	require.NoError(t, err)
	assert.JSONEq(t, string(got), string(patched))
	again, err := json.Marshal(d.sent)
	require.NoError(t, err)
	assert.JSONEq(t, string(original), string(again), "the document that was sent is left alone")
}

// Whatever the core's alarm can hold goes through the document and back.
func TestAnAlarmKeepsEveryMember(t *testing.T) {
	word, number, count, clock := "a", 1.5, 3, plan.ClockTime("10:00")
	a := plan.Alarm{
		ID: "a", Sensor: "s", Sensors: []string{"s", "t"}, Rule: plan.Middle, DifferK: &number, When: plan.Above,
		ThresholdC: &number, ThresholdPH: &number, ThresholdPSU: &number, Watches: "h", RunsMin: &number,
		Starts: &count, WithinH: &number, DelayMin: 2,
		FromAt: &clock, ToAt: &clock,
		Path: plan.NetworkPath, Paths: []string{word}, OnSensorLoss: true, OwnBattery: true,
		Circuit: &word, Supply: &word,
	}
	for i := range reflect.TypeOf(a).NumField() {
		assert.False(t, reflect.ValueOf(a).Field(i).IsZero(), reflect.TypeOf(a).Field(i).Name)
	}
	assert.Equal(t, a, newPlanAlarm(a).input())
}
