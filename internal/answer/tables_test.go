package answer

import (
	"fmt"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc/carbonate"
	"saltwright/internal/calc/dosing"
	"saltwright/internal/calc/heat"
	"saltwright/internal/calc/light"
	"saltwright/internal/calc/moistair"
	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/reference"
	"saltwright/internal/calc/reliability"
	"saltwright/internal/calc/seawater"
	"saltwright/internal/calc/topoff"
)

// table is a file of testdata/reference that is held against one package.
type table struct {
	t             *testing.T
	pkg, file, by string
	rows          []reference.Row
	list          *[]*compared
}

// against compares a column with what the core gives for each row that has it, and demands how close it comes: the
// tolerance is relative.
func (b table) against(code, column, unit string, tolerance float64, name func(reference.Row) string,
	calculate func(reference.Row) (float64, error)) {
	b.t.Helper()
	c := &compared{pkg: b.pkg, code: code, file: b.file}
	for _, row := range b.rows {
		if !row.Has(column) {
			continue
		}
		got, err := calculate(row)
		require.NoError(b.t, err, "%s %v", b.file, row)
		want := row.F(b.t, column)
		assert.InEpsilon(b.t, want, got, tolerance, "%s %s", b.file, name(row))
		c.put(name(row), unit, b.by, want, got)
	}
	require.NotEmpty(b.t, c.cases, "%s has no %s", b.file, column)
	*b.list = append(*b.list, c)
}

// heldAgainstTables compares the core with the tables that were calculated by public libraries or printed by somebody,
// each to the tolerance that its own test demands or more. Source: the heads of the tables.
func heldAgainstTables(t *testing.T) []*compared {
	var list []*compared
	of := func(pkg, file, by string) table {
		return table{t, pkg, file, by, reference.Load(t, file), &list}
	}
	water := func(r reference.Row) string { return fmt.Sprintf("S %s, %s °C", r["sp"], r["t_degC"]) }
	numbered := func(r reference.Row) string { return "case " + r["case"] }
	salinity := func(r reference.Row) quantity.PracticalSalinity { return quantity.PracticalSalinity(r.F(t, "sp")) }
	warm := func(r reference.Row) quantity.Celsius { return quantity.Celsius(r.F(t, "t_degC")) }

	of("seawater", "seawater_density.csv", "TEOS-10, gsw 3.6.16").against("density", "rho_teos10_kg_per_m3", "kg/m³",
		1e-5, water, func(r reference.Row) (float64, error) { return seawater.Density(salinity(r), warm(r)) })
	of("seawater", "specific_gravity.csv", "TEOS-10, gsw 3.6.16").against("specific_gravity", "sg_teos10", "1", 1e-5,
		func(r reference.Row) string { return "S " + r["sp"] + ", " + r["pair"] },
		func(r reference.Row) (float64, error) {
			return seawater.SpecificGravity(salinity(r), quantity.Celsius(r.F(t, "t_sample_degC")),
				quantity.Celsius(r.F(t, "t_reference_water_degC")))
		})
	of("seawater", "salinity_conductivity.csv", "PSS-78, gsw 3.6.16").against("conductivity",
		"conductivity_at_t_mS_per_cm", "mS/cm", 1e-5, water,
		func(r reference.Row) (float64, error) { return seawater.Conductivity(salinity(r), warm(r)) })
	of("seawater", "refractive_index.csv", "Quan and Fry 1995").against("refraction", "nD_quan_fry_1995", "1",
		4e-5, water,
		func(r reference.Row) (float64, error) { return seawater.RefractiveIndex(salinity(r), warm(r)) })
	of("seawater", "oxygen_solubility.csv", "Garcia and Gordon 1992, gsw 3.6.16").against("oxygen",
		"o2_saturation_mg_per_L", "mg/L", 1e-5, water, func(r reference.Row) (float64, error) {
			return seawater.OxygenSaturation(salinity(r), warm(r), quantity.StandardAtmosphere)
		})
	heats := of("seawater", "seawater_vapour_heat.csv", "TEOS-10, gsw 3.6.16")
	heats.against("heat_capacity", "cp_seawater_J_per_kgK", "J/(kg K)", 1e-3, water,
		func(r reference.Row) (float64, error) { return seawater.HeatCapacity(salinity(r), warm(r)) })

	air := func(r reference.Row) moistair.State {
		return moistair.State{Temp: quantity.Celsius(r.F(t, "t_dry_bulb_degC")),
			RelativeHumidity: r.F(t, "rh_percent") / 100, Pressure: quantity.Pascal(r.F(t, "pressure_Pa"))}
	}
	airs := of("moistair", "psychrometrics.csv", "psychrolib 1.1.1")
	room := func(r reference.Row) string {
		return fmt.Sprintf("%s °C, %s %%, %s m", r["t_dry_bulb_degC"], r["rh_percent"], r["altitude_m"])
	}
	airs.against("humidity_ratio", "humidity_ratio_kg_per_kg_dry", "kg/kg", 1e-6, room,
		func(r reference.Row) (float64, error) { return air(r).HumidityRatio() })
	airs.against("air_density", "moist_air_density_kg_per_m3", "kg/m³", 1e-6, room,
		func(r reference.Row) (float64, error) { return air(r).Density() })
	airs.against("wet_bulb", "wet_bulb_degC", "°C", 1e-4, room,
		func(r reference.Row) (float64, error) {
			wet, err := air(r).WetBulb()
			return float64(wet), err
		})

	of("light", "day_length.csv", "pyephem 4.1.4").against("day_length", "day_length_h", "h", 3e-4,
		func(r reference.Row) string { return r["latitude_deg"] + "°, " + r["date"] },
		func(r reference.Row) (float64, error) {
			var y, m, d int
			_, err := fmt.Sscanf(r["date"], "%d-%d-%d", &y, &m, &d)
			require.NoError(t, err)
			return light.DayLength(r.F(t, "latitude_deg"), y, m, d)
		})

	of("heat", "thermal_faults.csv", "scipy 1.10, solve_ivp").against("stuck_heater",
		"stuck_on_time_to_high_h_integrated", "h", 1e-6, numbered, func(r reference.Row) (float64, error) {
			ua := r.F(t, "ua_W_per_K")
			tau, err := heat.TimeConstantH(r.F(t, "mass_kg")*r.F(t, "cp_J_per_kgK"), ua)
			require.NoError(t, err)
			gains := r.F(t, "heater_W") + r.F(t, "other_gain_W") - r.F(t, "evaporative_loss_W")
			h, _, err := heat.Approach{FromC: r.F(t, "t_set_degC"), EquilibriumC: r.F(t, "t_ambient_degC") + gains/ua,
				TauH: tau}.TimeTo(r.F(t, "t_limit_high_degC"))
			return h, err
		})
	of("topoff", "topoff_stuck_on.csv", "scipy 1.10, solve_ivp").against("stuck_pump", "salinity_at_query_integrated",
		"1", 1e-6, numbered, func(r reference.Row) (float64, error) {
			after, err := topoff.StuckPump{VolumeL: r.F(t, "volume_start_L"), OverflowL: r.F(t, "volume_overflow_L"),
				Salinity: r.F(t, "salinity_start"), PumpLPerH: r.F(t, "topoff_rate_L_per_h"),
				EvaporationLPerH: r.F(t, "evaporation_L_per_h")}.After(r.F(t, "t_query_h"))
			return after.Salinity, err
		})
	of("topoff", "evaporation_without_topoff.csv", "scipy 1.10, solve_ivp").against("dry_reservoir",
		"time_to_intake_uncovered_h_integrated", "h", 1e-6, numbered, func(r reference.Row) (float64, error) {
			h, _, _, err := topoff.DryDown{VolumeL: r.F(t, "system_volume_L"), Salinity: r.F(t, "salinity_start"),
				EvaporationLPerDay: r.F(t, "evaporation_L_per_day"), ChamberAreaM2: r.F(t, "return_chamber_area_m2"),
				DropMM: r.F(t, "allowed_level_drop_mm")}.TimeToIntake()
			return h, err
		})

	of("carbonate", "carbonate_measured.csv", "Lueker, Dickson and Keeling 2000, table 3").against("carbon_dioxide",
		"fco2_measured_uatm", "µatm", 0.08, water,
		func(r reference.Row) (float64, error) {
			alkalinity, carbon := r.F(t, "ta_umol_per_kg"), r.F(t, "dic_umol_per_kg")
			s, err := carbonate.Solve(carbonate.Input{Salinity: salinity(r), Water: warm(r), BoronShare: 1,
				AlkalinityKg: &alkalinity, CarbonKg: &carbon})
			return s.FCO2, err
		})

	doses := of("dosing", "dosing_stoichiometry.csv", "CIAAW 2021, atomic weights")
	doses.rows = nil
	for _, r := range reference.Load(t, doses.file) {
		if strings.HasPrefix(r["section"], "dose_") {
			doses.rows = append(doses.rows, r)
		}
	}
	doses.against("doses", "value", "g", 1e-4, func(r reference.Row) string {
		return strings.ReplaceAll(r["item"], "_", " ") + ", " + r["inputs"]
	}, func(r reference.Row) (float64, error) { return doseOf(t, r) })

	wear := of("reliability", "failure_rates.csv", "ISO 13849-1, B10d")
	wear.rows = nil
	for _, r := range reference.Load(t, wear.file) {
		if strings.HasPrefix(r["item"], "relay at rated load") {
			wear.rows = append(wear.rows, r)
		}
	}
	wear.against("wear", "typical", "1/a", 0.005, func(r reference.Row) string { return r["item"] },
		func(r reference.Row) (float64, error) {
			starts := number(t, strings.TrimPrefix(r["item"], "relay at rated load,"))
			const halfOfTheLoad = 4e5 // operations until a tenth of such relays has failed, as the table takes it
			perYear, _ := reliability.Worn(starts*quantity.DaysPerYear, halfOfTheLoad)
			return perYear, nil
		})
	return list
}

// doseOf is the mass of a salt for a row such as "100 L; raise by 1 dKH; purity 1".
func doseOf(t *testing.T, r reference.Row) (float64, error) {
	const meqPerDKH = 1 / 2.80385
	alkalinity, gas := 2400.0, 500.0
	parts := strings.Split(r["inputs"], "; ")
	rise := number(t, parts[1])
	if strings.Contains(parts[1], "dKH") {
		rise *= meqPerDKH
	}
	in := dosing.Input{
		Raise: dosing.Raised(strings.TrimPrefix(r["section"], "dose_")), Substance: dosing.Substance(r["item"]),
		VolumeL: number(t, parts[0]), Now: 100, Target: 100 + rise, Purity: 1, MostADay: 1000, DosesADay: 1,
		Tank: carbonate.Input{Salinity: 35, Water: 25.5, BoronShare: 1, AlkalinityKg: &alkalinity, PCO2Microatm: &gas},
	}
	result, err := dosing.Dose(in)
	return result.MassG, err
}

// number is the first number in a text.
func number(t *testing.T, text string) float64 {
	for _, word := range strings.Fields(text) {
		if v, err := strconv.ParseFloat(word, 64); err == nil {
			return v
		}
	}
	require.Fail(t, "no number", text)
	return 0
}
