package sim

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc/reference"
)

// The tables' seconds and litres come with nine digits, so 1e-6 relative leaves three to spare.
const tableTolerance = 1e-6

type worst struct {
	relative float64
	where    string
}

func (w *worst) check(t *testing.T, want, got float64, where string) {
	t.Helper()
	diff := math.Abs(got-want) / math.Max(math.Abs(want), 1e-9)
	assert.LessOrEqual(t, diff, tableTolerance, "%s: table %.9g, simulation %.9g", where, want, got)
	if diff > w.relative {
		w.relative, w.where = diff, where
	}
}

// straight is one band without an end.
func straight(dryW, evaporationLS Line) []Band {
	return []Band{{HighC: math.Inf(1), DryLossW: dryW, EvaporationLS: [2]Line{evaporationLS, evaporationLS}}}
}

// lumped is the single node of thermal_faults.csv with its on/off control.
func lumped(r reference.Row, t *testing.T) *System {
	const big = 1e12
	ua := r.F(t, "ua_W_per_K")
	s := &System{
		Nodes: 1,
		Node: [2]Node{{
			VolumeL: r.F(t, "mass_kg"), // one kilogram a litre: the table has no volume
			Bands: straight(Line{
				Const: r.F(t, "evaporative_loss_W") - r.F(t, "other_gain_W") - ua*r.F(t, "t_ambient_degC"), Slope: ua,
			}, Line{}),
		}},
		VolumicHeatJLK: r.F(t, "cp_J_per_kgK"),
		Chamber:        Chamber{AreaM2: 1, WideAreaM2: 1, IntakeMM: -big, FloorMM: -1e6, RimMM: big, BaffleMM: big},
		SalinityStart:  35, TempStartC: r.F(t, "t_set_degC"),
		OxygenBalance: OxygenBalance{SaturationMgL: 7, StirredS: 1e-4, StillS: 1e-5},
		Circuits:      []Circuit{{ID: "c"}},
		Comparators: []Comparator{{Quantity: DisplayTemp, Low: r.F(t, "t_switch_on_degC"), High: r.F(t,
			"t_switch_off_degC"), Sensor: -1}},
		Devices: []Device{{
			ID: "heater", Kind: Heater, HeatW: [2]float64{r.F(t, "heater_W")}, ElectricW: r.F(t,
				"heater_W"), Programme: -1, Thermostat: 0,
		}},
		MaxEvents: 10000,
	}
	s.Limits[Overheated] = Limit{Active: true, Comfort: r.F(t, "t_limit_high_degC"),
		Harm: Edge{At: r.F(t, "t_limit_high_degC")}}
	s.Limits[Chilled] = Limit{Active: true, Comfort: r.F(t, "t_limit_low_degC"),
		Harm: Edge{At: r.F(t, "t_limit_low_degC")}}
	return s
}

// Source: testdata/reference/thermal_faults.csv, closed forms and scipy solve_ivp.
func TestThermalFaultsTable(t *testing.T) {
	const longH = 20000
	w := &worst{}
	for _, r := range reference.Load(t, "thermal_faults.csv") {
		name := "case " + r["case"]
		s := lumped(r, t)
		crossing := func(limit LimitKind, column string, in ...Injection) {
			out, err := Run(context.Background(), s, nil, in, longH*3600)
			require.NoError(t, err)
			assert.Less(t, out.Balance.WorstRelative(), 1e-10, name)
			if !r.Has(column) {
				assert.Equal(t, Never, out.Harms()[limit], "%s: %s is empty in the table", name, column)
				return
			}
			w.check(t, r.F(t, column), out.Harms()[limit]/3600, name+" "+column)
		}
		crossing(Overheated, "stuck_on_time_to_high_h_closed", Injection{Fault: ThermostatClosed})
		crossing(Overheated, "stuck_on_time_to_high_h_integrated", Injection{Fault: ThermostatClosed})
		crossing(Chilled, "dead_time_to_low_h_closed", Injection{Fault: DeviceDead})

		// Control: off and at the upper switching point at time 0.
		start := initialState(s)
		start.TempC[0] = r.F(t, "t_switch_off_degC")
		start.compared[0] = true
		out, err := Run(context.Background(), s, &start, nil, 24*3600)
		require.NoError(t, err)
		assert.Equal(t, int(r.F(t, "heater_starts_24h_closed")), out.Devices[0].Starts, name)
		w.check(t, r.F(t, "t_end_24h_degC_closed"), out.End().TempC[0], name+" t_end")
		if on := r.F(t, "heater_on_h_24h_closed"); on > 0 {
			w.check(t, on, out.Devices[0].OnS/3600, name+" heater on")
			w.check(t, r.F(t, "heater_energy_kWh_24h"), out.Devices[0].EnergyJ/3.6e6, name+" energy")
		} else {
			assert.Zero(t, out.Devices[0].OnS, name)
		}
	}
	t.Logf("worst relative disagreement %.1e at %s", w.relative, w.where)
}

// still is a tank with constant evaporation and no heat to speak of.
func still(volume, salinity, evaporationLS float64) *System {
	s := &System{
		Nodes: 1, Node: [2]Node{{VolumeL: volume, Bands: straight(Line{Slope: 1}, Line{Const: evaporationLS})}},
		VolumicHeatJLK: 4000, LatentJL: 2.4e6, SalinityStart: salinity, TempStartC: 25,
		OxygenBalance: OxygenBalance{SaturationMgL: 7, StirredS: 1e-4, StillS: 1e-5},
		Circuits:      []Circuit{{ID: "c"}}, MaxEvents: 10000,
	}
	return s
}

// Source: testdata/reference/topoff_stuck_on.csv, closed forms and scipy solve_ivp.
func TestTopOffStuckOnTable(t *testing.T) {
	w := &worst{}
	for _, r := range reference.Load(t, "topoff_stuck_on.csv") {
		name := "case " + r["case"]
		build := func(reservoir float64) *System {
			s := still(r.F(t, "volume_start_L"), r.F(t, "salinity_start"), r.F(t, "evaporation_L_per_h")/3600)
			head := r.F(t, "volume_overflow_L") - r.F(t, "volume_start_L")
			// 1 m²: a litre a millimetre
			s.Chamber = Chamber{AreaM2: 1, WideAreaM2: 1, IntakeMM: -1e6, FloorMM: -1e6, BaffleMM: head, RimMM: head}
			s.Reservoirs = []Reservoir{{ID: "r", VolumeL: reservoir}}
			s.Devices = []Device{{ID: "pump", Kind: TopOffPump, FlowLS: r.F(t, "topoff_rate_L_per_h") / 3600,
				Programme:  -1,
				Thermostat: -1}}
			s.Limits[Diluted] = Limit{Active: true, Comfort: r.F(t, "salinity_limit_low"),
				Harm: Edge{At: r.F(t, "salinity_limit_low")}}
			s.Limits[Flooded] = Limit{Active: true, Comfort: 1e-9, Harm: Edge{At: 1e-9}}
			return s
		}
		run := func(s *System, hours float64) *Course {
			out, err := Run(context.Background(), s, nil, nil, hours*3600)
			require.NoError(t, err)
			assert.Less(t, out.Balance.WorstRelative(), 1e-10, name)
			return out
		}
		const endless = 1e9
		out := run(build(endless), r.F(t, "t_query_h"))
		volume := r.F(t, "volume_start_L") + out.End().LevelL
		w.check(t, r.F(t, "volume_at_query_L"), volume, name+" volume")
		w.check(t, r.F(t, "salinity_at_query_closed"), out.End().Salt[0]/volume, name+" salinity")
		if spilled := r.F(t, "spilled_at_query_L"); spilled > 0 {
			w.check(t, spilled, out.End().SpilledL, name+" spilled")
		} else {
			assert.InDelta(t, 0, out.End().SpilledL, 1e-6, name)
		}
		out = run(build(endless), 1e5)
		if r.Has("time_to_salinity_limit_h_closed") {
			w.check(t, r.F(t, "time_to_salinity_limit_h_closed"), out.Harms()[Diluted]/3600, name+" time to limit")
		}
		if r.Has("time_overflow_starts_h") {
			w.check(t, r.F(t, "time_overflow_starts_h"), out.Discomforts()[Flooded]/3600, name+" overflow")
		}
		s := build(r.F(t, "reservoir_L"))
		empty := r.F(t, "time_reservoir_empty_h")
		out = run(s, empty)
		volume = r.F(t, "volume_start_L") + out.End().LevelL
		w.check(t, r.F(t, "salinity_when_reservoir_empty_closed"), out.End().Salt[0]/volume,
			name+" salinity when empty")
		out = run(s, empty+1)
		marks := out.Marks(nil)
		require.Len(t, marks, 1, name)
		w.check(t, empty, marks[0].AtS/3600, name+" reservoir empty")
		if spilled := r.F(t, "spilled_when_reservoir_empty_L"); spilled > 0 {
			w.check(t, spilled, out.End().SpilledL, name+" spilled when empty")
		}
		first := out.Harms()[Diluted] != Never && out.Harms()[Diluted] <= empty*3600
		assert.Equal(t, r["limit_reached_before_reservoir_empty"] == "true", first, name)
	}
	t.Logf("worst relative disagreement %.1e at %s", w.relative, w.where)
}

// Source: testdata/reference/evaporation_without_topoff.csv, closed forms and scipy solve_ivp.
func TestEvaporationWithoutTopOffTable(t *testing.T) {
	w := &worst{}
	for _, r := range reference.Load(t, "evaporation_without_topoff.csv") {
		name := "case " + r["case"]
		s := still(r.F(t, "system_volume_L"), r.F(t, "salinity_start"), r.F(t, "evaporation_L_per_day")/86400)
		area, drop := r.F(t, "return_chamber_area_m2"), r.F(t, "allowed_level_drop_mm")
		s.Chamber = Chamber{AreaM2: area, WideAreaM2: area, IntakeMM: -drop, FloorMM: -1e6, BaffleMM: 1, RimMM: 1}
		s.Limits[RunDry] = Limit{Active: true, Comfort: -area * drop, Harm: Edge{At: -area * drop}}
		s.Limits[Concentrated] = Limit{Active: true, Comfort: r.F(t, "salinity_limit_high"),
			Harm: Edge{At: r.F(t, "salinity_limit_high")}}
		dry := r.F(t, "time_to_intake_uncovered_h_closed")
		out, err := Run(context.Background(), s, nil, nil, math.Max(dry,
			r.F(t, "time_to_salinity_limit_h_closed"))*3600+60)
		require.NoError(t, err)
		w.check(t, dry, out.Harms()[RunDry]/3600, name+" run dry")
		w.check(t, r.F(t, "time_to_salinity_limit_h_closed"), out.Harms()[Concentrated]/3600, name+" salinity limit")
		first := out.Harms()[RunDry] < out.Harms()[Concentrated]
		assert.Equal(t, r["intake_uncovered_first"] == "true", first, name)
		out, err = Run(context.Background(), s, nil, nil, dry*3600)
		require.NoError(t, err)
		w.check(t, r.F(t, "salinity_when_intake_uncovered_closed"),
			out.End().Salt[0]/(s.Node[0].VolumeL+out.End().LevelL),
			name+" salinity when uncovered")
		if r.Has("salinity_at_query") {
			out, err = Run(context.Background(), s, nil, nil, r.F(t, "t_query_h")*3600)
			require.NoError(t, err)
			w.check(t, r.F(t, "salinity_at_query"), out.End().Salt[0]/(s.Node[0].VolumeL+out.End().LevelL), name+" "+
				"salinity at query")
			w.check(t, r.F(t, "level_drop_at_query_mm"), -s.Chamber.HeightAtMM(out.End().LevelL), name+" level drop")
		}
	}
	t.Logf("worst relative disagreement %.1e at %s", w.relative, w.where)
}
