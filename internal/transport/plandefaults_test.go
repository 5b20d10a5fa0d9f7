package transport

import (
	"encoding/json"
	"fmt"
	"net/http"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	answer "saltwright/internal/answer/plan"
	"saltwright/internal/calc/draft"
	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/remedy"
	"saltwright/internal/contract"
)

// A plan that says the least means the same in the contract and in the core.
func TestPlanElementsHaveTheContractsDefaults(t *testing.T) {
	s := newTestServer(t)
	asked, err := s.contract.Operation("postPlanAudit").Read([]byte(`{
		"display": {"volume_l": 200}, "room": {"usual": {"temp_c": 21}}, "attendance": {"look_every_h": 24},
		"heaters": [{"id": "h", "power_w": 100}],
		"pumps": [{"id": "p", "role": "return", "flow_l_h": 1000, "power_w": 10}],
		"top_off_pumps": [{"id": "q", "flow_l_h": 2, "reservoir": "r"}], "reservoirs": [{"id": "r", "volume_l": 20}],
		"lights": [{"id": "l", "power_w": 50}], "sensors": [{"id": "s", "kind": "level"}],
		"controls": [{"id": "k", "kind": "top_off", "outputs": ["q"]}],
		"alarms": [{"id": "a", "sensor": "s", "when": "dry", "path": "network"}],
		"skimmers": [{"id": "m", "cup_l": 2, "skimmate_l_day": 0.2}],
		"power": {"circuits": [{"id": "c"}]}}`), "")
	require.NoError(t, err)
	var r answer.Request
	require.NoError(t, asked.Into(&r))

	want := plan.New(24)
	// nothing in the core is like the contract's vessel or room
	want.Display, want.Room = r.Plan().Display, r.Plan().Room
	want.Heaters = []plan.Heater{plan.NewHeater("h", 100)}
	want.Chillers, want.Fans, want.ProofTests = []plan.Chiller{}, []plan.Fan{}, []plan.ProofTest{}
	want.Pumps = []plan.Pump{plan.NewPump("p", plan.ReturnRole, 1000, 10)}
	want.TopOffPumps = []plan.TopOffPump{plan.NewTopOffPump("q", 2, "r")}
	want.Reservoirs = []plan.Reservoir{plan.NewReservoir("r", 20)}
	want.Lights = []plan.Light{plan.NewLight("l", 50)}
	want.Sensors = []plan.Sensor{plan.NewSensor("s", plan.LevelKind)}
	want.Controls = []plan.Control{plan.NewControl("k", plan.TopOff, "q")}
	want.Boxes = []plan.Box{}
	want.Contactors = []plan.Contactor{}
	want.Alarms = []plan.Alarm{plan.NewAlarm("a", "s", plan.Dry, plan.NetworkPath)}
	want.Power.Circuits = []plan.Circuit{{ID: "c"}}
	want.Power.ResidualCurrentDevices, want.Power.Strips = []plan.ResidualCurrentDevice{}, []plan.Strip{}
	want.Power.Backups, want.Power.Starts = []plan.Backup{}, []plan.Start{}
	want.Leaks = []plan.Leak{}
	want.Skimmers = []plan.Skimmer{{ID: "m", PowerW: 10, HeatShare: 1, CupL: 2, SkimmateLDay: 0.2, WetTimes: 10,
		FullCup: plan.CupSpills}}
	want.RoomDevices = []plan.RoomDevice{}
	want.Routers, want.Modems = []plan.Router{}, []plan.Modem{}
	want.Sirens, want.Persons = []plan.Siren{}, []plan.Person{}
	want.DosingPumps, want.ChangePumps = []plan.DosingPump{}, []plan.ChangePump{}
	want.CarbonDioxide = []plan.CarbonDioxide{}
	want.Overflows, want.ReturnLines = []plan.Overflow{}, []plan.ReturnLine{}
	assert.Equal(t, want, r.Plan())
}

// planMember returns a schema's member by its path.
func planMember(t *testing.T, s *Server, schema, path string) *contract.Schema {
	t.Helper()
	at := s.contract.Schema(schema)
	for name := range strings.SplitSeq(path, ".") {
		m := at.Member(name)
		require.NotNil(t, m, "%s has no %s", schema, path)
		at = m.Schema
	}
	return at
}

func TestPlanBoundsAreTheContracts(t *testing.T) {
	s := newTestServer(t)
	for _, b := range draft.Bounds {
		m := planMember(t, s, "PlanDraftRequest", b.Param)
		assert.Equal(t, *m.Minimum, b.Min, b.Param)
		assert.Equal(t, *m.Maximum, b.Max, b.Param)
		within := map[string]string{
			"look_every_h": "attendance.look_every_h", "response_h": "attendance.response_h",
			"longest_outage_h": "power.longest_outage_h",
		}[b.Param]
		if within != "" {
			takes := planMember(t, s, "PlanRequest", within)
			assert.LessOrEqual(t, *takes.Minimum, b.Min, within)
			assert.GreaterOrEqual(t, *takes.Maximum, b.Max, within)
		}
	}
	assert.Equal(t, *planMember(t, s, "PlanHeater", "power_w").Maximum, plan.HeaterMostW)
	assert.Equal(t, *planMember(t, s, "PlanReservoir", "volume_l").Maximum, plan.ReservoirMostL)
	assert.Equal(t, *planMember(t, s, "PlanTopOffPump", "flow_l_h").Minimum, plan.TopOffPumpLeastLH)
	assert.Equal(t, *planMember(t, s, "PlanTopOffPump", "flow_l_h").Maximum, plan.TopOffPumpMostLH)
	assert.Equal(t, *planMember(t, s, "PlanSump", "length_mm").Minimum, plan.SumpLeastLengthMM)
	assert.Equal(t, *planMember(t, s, "PlanSump", "length_mm").Maximum, plan.SumpMostLengthMM)
	assert.Equal(t, *planMember(t, s, "PlanSump", "width_mm").Minimum, plan.SumpLeastWidthMM)
	assert.Equal(t, *planMember(t, s, "PlanSump", "width_mm").Maximum, plan.SumpMostWidthMM)
}

// What the contract says in words or as another request's default is what the core calculates with.
func TestTheContractQuotesTheCoresPlans(t *testing.T) {
	s := newTestServer(t)
	p, _, err := plan.Complete(func() plan.Plan {
		p := plan.New(24)
		p.Display = plan.Vessel{
			VolumeL: new(200.0), WallMM: 10, Material: "glass", Lid: "open", FreeboardMM: 40, IntakeDropMM: 50,
		}
		p.Room.Usual = plan.RoomState{TempC: 21, RHPercent: 50}
		return p
	}())
	require.NoError(t, err)
	assert.EqualValues(t, *p.Attendance.ResponseH, planMember(t, s, "PlanDraftRequest", "response_h").Default)
	assert.EqualValues(t, p.Attendance.LookEveryH, planMember(t, s, "PlanDraftRequest", "look_every_h").Default)
	assert.EqualValues(t, p.Power.LongestOutageH, planMember(t, s, "PlanDraftRequest", "longest_outage_h").Default)
	assert.EqualValues(t, plan.UsualAlkalinityDKH, planMember(t, s, "PlanChemistry", "alkalinity_dkh").Default)
	assert.EqualValues(t, plan.UsualCalciumMgL, planMember(t, s, "PlanChemistry", "calcium_mg_l").Default)
	assert.EqualValues(t, plan.UsualPH, planMember(t, s, "PlanChemistry", "ph").Default)
	assert.EqualValues(t, remedy.UsualAbsences, planMember(t, s, "PlanRiskRequest", "absences_per_year").Default)
}

// draftWith is the least request with one member more, by its path.
func draftWith(path string, value float64) string {
	doc := map[string]any{
		"display": map[string]any{"volume_l": 200.0}, "room": map[string]any{"usual": map[string]any{"temp_c": 21.0}},
		"days_away": 3.0,
	}
	at := doc
	names := strings.Split(path, ".")
	for _, name := range names[:len(names)-1] {
		if at[name] == nil {
			at[name] = map[string]any{}
		}
		at = at[name].(map[string]any)
	}
	if strings.HasPrefix(path, "display.") && strings.HasSuffix(path, "_mm") && names[1] != "wall_mm" {
		doc["display"] = map[string]any{"length_mm": 900.0, "width_mm": 500.0, "water_depth_mm": 500.0}
		at = doc["display"].(map[string]any)
	}
	at[names[len(names)-1]] = value
	raw, err := json.Marshal(doc)
	if err != nil {
		panic(err) // a map of numbers
	}
	return string(raw)
}

// At both ends of every number that plan-draft takes: it returns a plan that plan-audit takes and finds as
// sound, or refuses and points to a member of the request.
func TestDraftsAtTheEndsOfTheirBoundsCanBeAudited(t *testing.T) {
	s := newTestServer(t)
	var paths []string
	for _, b := range draft.Bounds {
		paths = append(paths, b.Param)
	}
	if !testing.Short() {
		paths = append(paths, "display.volume_l", "display.length_mm", "display.width_mm", "display.water_depth_mm",
			"display.wall_mm", "display.freeboard_mm", "display.drain_back_mm", "display.intake_drop_mm",
			"display.rock_share", "room.usual.temp_c", "room.usual.rh_percent", "room.air_speed_m_s",
			"room.altitude_m")
	}
	drafted, refused := 0, 0
	for _, path := range paths {
		m := planMember(t, s, "PlanDraftRequest", path)
		for _, value := range []float64{*m.Minimum, *m.Maximum} {
			t.Run(fmt.Sprintf("%s %g", path, value), func(t *testing.T) {
				r := post(t, s, "/v1/plan-draft", draftWith(path, value))
				if r.status == http.StatusUnprocessableEntity {
					refused++
					var p struct {
						Errors []struct{ Pointer string }
					}
					require.NoError(t, json.Unmarshal(r.body, &p))
					require.NotEmpty(t, p.Errors)
					for _, e := range p.Errors {
						assert.NotEqual(t, "#", e.Pointer, "%s", r.body)
					}
					t.Logf("refused: %s", r.body)
					return
				}
				require.Equal(t, http.StatusOK, r.status, "%s", r.body)
				drafted++
				var e struct {
					Result struct {
						Lost int             `json:"lost"`
						Plan json.RawMessage `json:"plan"`
					} `json:"result"`
				}
				require.NoError(t, json.Unmarshal(r.body, &e))
				a := post(t, s, "/v1/plan-audit", string(e.Result.Plan))
				require.Equal(t, http.StatusOK, a.status, "%s", a.body)
				var said audited
				require.NoError(t, json.Unmarshal(a.body, &said))
				assert.Equal(t, e.Result.Lost, said.Result.Lost)
			})
		}
	}
	t.Logf("%d drafted, %d refused", drafted, refused)
	assert.Greater(t, drafted, 5*refused)
}
