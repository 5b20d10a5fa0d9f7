package sim

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/reference"
)

// Hand-worked cases of what is dosed, changed and let in. What comes of the mixing is worked here from litres and
// equivalents; pH and saturation are those of testdata/reference/carbonate_chemistry.csv (PyCO2SYS), a litre of sea
// water weighs the 1.0233 kg of testdata/reference/dosing_stoichiometry.csv.

const (
	tankL         = 270.0  // water of dosed()
	seaKgL        = 1.0233 // row umol_per_kg_in_meq_per_L
	seaCalciumMol = 0.01028457
	degreesPerMeq = 2.80385 // row meq_per_L_in_dKH
)

// unstirred is dosed() with nothing in it that doses, no uptake, no gas exchange, and the water of a table's row.
func unstirred(t *testing.T, water reference.Row) plan.Plan {
	t.Helper()
	p := dosed()
	p.DosingPumps = nil
	celsius := water.F(t, "t_degC")
	p.Limits.ComfortLowC, p.Limits.ComfortHighC = ptrTo(celsius-1), ptrTo(celsius+1)
	p.Heaters[0].ThermostatC = ptrTo(celsius)
	p.SalinityPSU = water.F(t, "sp")
	p.Room.Usual.TempC = 25 // lime water of the table's content
	p.Oxygen.StirredCMH, p.Oxygen.StillCMH = 1e-6, 1e-6
	p.Chemistry = &plan.Chemistry{AlkalinityDKH: water.F(t, "ta_umol_per_kg") * 1e-3 * seaKgL * degreesPerMeq,
		CalciumMgL: seaCalciumMol * seaKgL * 40078, PH: water.F(t, "ph_total"), DemandDKHD: ptrTo(0.0),
		DemandMgLD: ptrTo(0.0)}
	p.Limits.HarmHighDKH, p.Limits.LossHighDKH, p.Limits.ComfortHighDKH = ptrTo(25.0), ptrTo(40.0), ptrTo(20.0)
	return p
}

func meqL(x Sample) float64 { return x.AlkalinityDKH / degreesPerMeq }

func sensorNumber(s *System, p plan.Plan, id string) int {
	done, _, _ := plan.Complete(p)
	for i, x := range done.Sensors {
		if x.ID == id {
			return i
		}
	}
	panic(id)
}

func grid(t *testing.T, block string, alkalinity float64) reference.Row {
	t.Helper()
	for _, row := range reference.Load(t, "carbonate_chemistry.csv") {
		if row["block"] == block && row.F(t, "ta_umol_per_kg") == alkalinity {
			return row
		}
	}
	t.Fatalf("no row %s with %g", block, alkalinity)
	return nil
}

// allowed is how close the grid is to be met, by the README of the reference tables.
func allowed(pH float64) float64 {
	switch {
	case pH < 8.6:
		return 0.0005
	case pH < 9.2:
		return 0.002
	case pH < 9.8:
		return 0.006
	}
	return 0.009
}

// A container that empties at once, in each form of alkalinity and up to 3 meq/kg: the grid's plus_ rows.
func TestAWholeContainerIsTheGrid(t *testing.T) {
	forms := map[string]plan.Form{"hydroxide": plan.HydroxideForm, "carbonate_half": plan.CarbonateForm,
		"bicarbonate": plan.BicarbonateForm}
	var ofPH, ofSaturation, ofAlkalinity reference.Worst
	for _, before := range reference.Load(t, "carbonate_chemistry.csv") {
		if before["block"] != "before_dose" {
			continue
		}
		for _, after := range reference.Load(t, "carbonate_chemistry.csv") {
			parts := strings.SplitN(after["block"], "_", 4) // plus 500 umol hydroxide
			if parts[0] != "plus" {
				continue
			}
			micromol, err := strconv.ParseFloat(parts[1], 64)
			require.NoError(t, err)
			if after.F(t, "ta_umol_per_kg") != before.F(t, "ta_umol_per_kg")+micromol {
				continue
			}
			where := before["ta_umol_per_kg"] + " " + after["block"]
			p := unstirred(t, before)
			p.DosingPumps = []plan.DosingPump{{ID: "pump", FlowMLMin: 600,
				Doses: &plan.Doses{ADay: 1, RunS: 0.01, FirstAt: "04:00"}, Container: plan.Container{VolumeL: 0.02,
					AlkalinityMeqL: micromol * 1e-3 * seaKgL * tankL / 0.02, Form: forms[parts[3]]}}}
			s := compiled(t, p)
			end := lastSample(ran(t, s, 0.01, Injection{Fault: ProgrammeOn, Index: number(s, "pump")}))
			wanted := after.F(t, "ph_total")
			// 0.02 L in 270 L and the water that evaporates meanwhile are 1e-4 of all concentrations
			ofPH.Absolute(t, wanted, end.PH, allowed(wanted)+1e-4, where)
			ofSaturation.Relative(t, after.F(t, "omega_aragonite"), end.Aragonite, 0.0025+5e-4, where)
			ofAlkalinity.Relative(t, after.F(t, "ta_umol_per_kg")*1e-3*seaKgL, meqL(end), 2e-4, where)
		}
	}
	t.Logf("a whole container against the grid: pH %.5f (%s), saturation %.2g (%s), alkalinity %.2g (%s)",
		ofPH.Difference, ofPH.Where, ofSaturation.Difference, ofSaturation.Where, ofAlkalinity.Difference,
		ofAlkalinity.Where)
	assert.NotEmpty(t, ofPH.Where)
}

// A pure salt dissolved in a container that empties at once: testdata/reference/dosing_stoichiometry.csv, sections
// dose_alkalinity and dose_calcium, says how many grams raise so much water by how much.
func TestAWholeContainerIsTheDosingTable(t *testing.T) {
	var alkalinity, calcium reference.Worst
	for _, row := range reference.Load(t, "dosing_stoichiometry.csv") {
		section := row["section"]
		if section != "dose_alkalinity" && section != "dose_calcium" || !strings.HasPrefix(row["inputs"], "250 L") {
			continue
		}
		var litres, rise float64
		var unit string
		_, err := fmt.Sscanf(row["inputs"], "%g L; raise by %g %s", &litres, &rise, &unit)
		require.NoError(t, err)
		unit = strings.TrimSuffix(unit, ";")
		grams, molar := row.F(t, "value"), 0.0
		for _, m := range reference.Load(t, "dosing_stoichiometry.csv") {
			if m["section"] == "molar_mass" && m["item"] == row["item"] {
				molar = m.F(t, "value")
			}
		}
		require.Positive(t, molar, row["item"])
		equivalents := 2.0
		if row["item"] == "sodium_bicarbonate" || row["item"] == "sodium_hydroxide" {
			equivalents = 1
		}
		p := unstirred(t, grid(t, "before_dose", 2400))
		p.Display.VolumeL = ptrTo(litres / 0.9) // a tenth is rock
		holds := plan.Container{VolumeL: 0.02, Form: plan.BicarbonateForm}
		if section == "dose_alkalinity" {
			holds.AlkalinityMeqL = grams / molar * equivalents * 1e3 / 0.02
		}
		if section == "dose_calcium" {
			holds.CalciumMgL = grams / molar * 40078 / 0.02
		}
		p.DosingPumps = []plan.DosingPump{{ID: "pump", FlowMLMin: 600, Container: holds,
			Doses: &plan.Doses{ADay: 1, RunS: 0.01, FirstAt: "04:00"}}}
		s := compiled(t, p)
		require.InEpsilon(t, litres, s.WholeL(), 1e-9)
		c := ran(t, s, 0.01, Injection{Fault: ProgrammeOn, Index: number(s, "pump")})
		// amounts, so that evaporation and the container's own 0.02 L are left out: the table's 1e-4
		start, end := s.dissolvedAtStart(), c.End().Dissolved
		rose := (end.Meq - start.Meq) / litres
		where := row["item"] + ", " + row["inputs"]
		switch {
		case unit == "dKH":
			alkalinity.Relative(t, rise, rose*degreesPerMeq, 1e-4, where)
		case unit == "meq/L":
			alkalinity.Relative(t, rise, rose, 1e-4, where)
		default:
			calcium.Relative(t, rise, (end.CalciumMmol-start.CalciumMmol)/litres*40.078, 1e-4, where)
		}
	}
	require.NotEmpty(t, alkalinity.Where)
	require.NotEmpty(t, calcium.Where)
	t.Logf("a whole container against the dosing table: alkalinity %.1g (%s), calcium %.1g (%s)",
		alkalinity.Difference, alkalinity.Where, calcium.Difference, calcium.Where)
}

// Lime water by a float that hangs down: 3.41 L of the table's 40.6 meq/L and 813.6 mg/L bring as much hydroxide as
// 500 µmol/kg, in 1.26 % more water. All of it arrives, and stands 6 mm above the line. Saturation goes with two
// concentrations and calcium: it loses twice the dilution, and gains by 250 µmol of calcium to 10.28 mmol.
func TestLimeWaterByAStuckFloat(t *testing.T) {
	const limeMeqL, limeCalciumMgL = 40.6, 813.583 // rows saturated_alkalinity and saturated_calcium
	litres := 500e-3 * seaKgL * tankL / limeMeqL
	before, after := grid(t, "before_dose", 2400), grid(t, "plus_500_umol_hydroxide", 2900)
	p := unstirred(t, before)
	p.Reservoirs[0].VolumeL, p.Reservoirs[0].UsableShare, p.Reservoirs[0].LimeShare = litres, 1, ptrTo(1.0)
	p.TopOffPumps[0].FlowLH = 1000
	s := compiled(t, p)
	c := ran(t, s, 0.01, Injection{Fault: SensorFalse, Index: sensorNumber(s, p, "top-off-level-switch")})
	end, dilution := lastSample(c), litres/(tankL+litres)
	assert.InDelta(t, litres, c.Balance.ToppedUpL, 1e-9)
	assert.InDelta(t, litres/s.Chamber.AreaM2, end.LevelMM, 0.05)
	assert.InEpsilon(t, 35*(1-dilution), end.Salinity, 2e-4)
	assert.InEpsilon(t, (2400e-3*seaKgL*tankL+litres*limeMeqL)/(tankL+litres), meqL(end), 3e-4)
	calcium := (seaCalciumMol*seaKgL*1e3*tankL + litres*limeCalciumMgL/40.078) / (tankL + litres)
	assert.InEpsilon(t, calcium, c.End().Dissolved.CalciumMmol/(tankL+litres), 1e-3) // 0.1 % of the table's density
	// Alkalinity and carbon fall alike, so that pH would stay, but for borate and hydroxide, which stay: 1.2 % of the
	// row's 218 µmol/kg are taken from carbonate. A µmol/kg is 0.0008 of pH by the rows of 250 and 1000.
	slope := (grid(t, "plus_1000_umol_hydroxide", 3400).F(t, "ph_total") -
		grid(t, "plus_250_umol_hydroxide", 2650).F(t, "ph_total")) / 750
	stays := after.F(t, "boh4_umol_per_kg") + after.F(t, "oh_umol_per_kg")
	assert.InDelta(t, after.F(t, "ph_total")-slope*dilution*stays, end.PH, 0.0005)
	assert.InEpsilon(t, after.F(t, "omega_aragonite")*(1-2*dilution)*(1+0.25/10.28), end.Aragonite, 0.006)
}

// Carbon dioxide that dissolves so much calcium carbonate that no gas is left over is a dose of bicarbonate, and of
// half as much calcium: the grid's rows of bicarbonate, saturation by the calcium besides.
func TestAReactorThatNeverShuts(t *testing.T) {
	for _, micromol := range []float64{500, 2000} {
		before := grid(t, "before_dose", 3200)
		after := grid(t, fmt.Sprintf("plus_%g_umol_bicarbonate", micromol), 3200+micromol)
		p := unstirred(t, before)
		p.CarbonDioxide = []plan.CarbonDioxide{{ID: "valve", FlowGH: 60, Into: plan.IntoReactor, DissolvesShare: 1,
			BottleG: micromol * 1e-6 / 2 * seaKgL * tankL * 44.009,
			Doses:   &plan.Doses{ADay: 1, RunS: 0.01, FirstAt: "04:00"}}}
		s := compiled(t, p)
		c := ran(t, s, 0.3, Injection{Fault: ValveStuck, Index: number(s, "valve")})
		end := lastSample(c)
		assert.InEpsilon(t, (3200+micromol)*1e-3*seaKgL, meqL(end), 5e-4)
		calcium := seaCalciumMol*seaKgL*1e3*tankL + micromol*1e-3/2*seaKgL*tankL
		assert.InEpsilon(t, calcium, c.End().Dissolved.CalciumMmol, 1e-3)
		assert.InDelta(t, after.F(t, "ph_total"), end.PH, 0.0015)
		assert.InEpsilon(t, after.F(t, "omega_aragonite")*(1+micromol*1e-6/2/seaCalciumMol), end.Aragonite, 0.005)
		assert.InDelta(t, c.End().StoredL[s.Devices[number(s, "valve")].Reservoir], 0, 1e-9)
	}
	// Where four fifths of the gas dissolve carbonate: 44 g are 1 mol of gas, 1.6 eq and 1.8 mol of carbon.
	p := unstirred(t, grid(t, "before_dose", 3200))
	p.CarbonDioxide = []plan.CarbonDioxide{{ID: "valve", FlowGH: 60, Into: plan.IntoReactor, DissolvesShare: 0.8,
		BottleG: 44.009, Doses: &plan.Doses{ADay: 1, RunS: 0.01, FirstAt: "04:00"}}}
	s := compiled(t, p)
	start := s.dissolvedAtStart()
	end := ran(t, s, 1, Injection{Fault: ValveStuck, Index: number(s, "valve")}).End().Dissolved
	assert.InDelta(t, 1600, end.Meq-start.Meq, 0.5)
	assert.InDelta(t, 800, end.CalciumMmol-start.CalciumMmol, 0.25)
}

// Gas into the tank leaves alkalinity as it is: from pH 8.3 to 7.6 at 2800 µmol/kg the grid's carbon rises from 2251.03
// to 2693.60 µmol/kg, which are 5.38 g of gas in this tank.
func TestCarbonDioxideThatNeverShuts(t *testing.T) {
	var from, to reference.Row
	for _, row := range reference.Load(t, "carbonate_chemistry.csv") {
		if row["block"] == "state" && row["sp"] == "35" && row["t_degC"] == "25" && row["ta_umol_per_kg"] == "2800" {
			switch math.Round(row.F(t, "ph_total") * 10) {
			case 83:
				from = row
			case 76:
				to = row
			}
		}
	}
	require.NotNil(t, from)
	require.NotNil(t, to)
	p := unstirred(t, from)
	grams := (to.F(t, "dic_umol_per_kg") - from.F(t, "dic_umol_per_kg")) * 1e-6 * seaKgL * tankL * 44.009
	assert.InDelta(t, 5.38, grams, 0.01)
	p.CarbonDioxide = []plan.CarbonDioxide{{ID: "valve", FlowGH: 20, Into: plan.IntoTank, BottleG: grams,
		Doses: &plan.Doses{ADay: 1, RunS: 0.01, FirstAt: "04:00"}}}
	s := compiled(t, p)
	for name, fault := range map[string]Injection{
		"valve stuck":     {Fault: ValveStuck, Index: number(s, "valve")},
		"programme stuck": {Fault: ProgrammeOn, Index: number(s, "valve")},
	} {
		end := lastSample(ran(t, s, 0.4, fault))
		assert.InEpsilon(t, 2.8*seaKgL, meqL(end), 5e-4, name)
		assert.InDelta(t, to.F(t, "ph_total"), end.PH, 0.0015, name)
		assert.InEpsilon(t, to.F(t, "omega_aragonite"), end.Aragonite, 0.005, name)
	}
	// A regulator that lets twice as much through brings twice as much in the same runs: 0.5 h at 4 g/h.
	p.CarbonDioxide[0].FlowGH, p.CarbonDioxide[0].Doses.RunS, p.CarbonDioxide[0].BottleG = 4, 1800, 500
	p.CarbonDioxide[0].Doses.FirstAt = "09:00"
	s = compiled(t, p)
	for times, fault := range map[float64][]Injection{
		1: nil, 2: {{Fault: FlowWrong, Index: number(s, "valve"), Value: 2}},
		0: {{Fault: DeviceDead, Index: number(s, "valve")}},
	} {
		c := ran(t, s, 24, fault...)
		left := c.End().StoredL[s.Devices[number(s, "valve")].Reservoir]
		assert.InDelta(t, 500-times*0.5*4, left, 1e-6)
	}
}

// A guard cuts a pump of hydroxide that never stops at pH 8.5. The grid has 8.2926 after 250 and 8.5155 after 500
// µmol/kg: 483. With a probe that reads 0.3 low it cuts at 8.8: between 500 and 1000 (8.8662) after 906, a straight
// line, which is 1.5 % of the alkalinity too high at most.
func TestAGuardOnPHCutsAPumpThatNeverStops(t *testing.T) {
	before := grid(t, "before_dose", 2400)
	p := unstirred(t, before)
	p.DosingPumps = []plan.DosingPump{{ID: "pump", FlowMLMin: 10, Doses: &plan.Doses{ADay: 1, RunS: 0.5,
		FirstAt: "04:00"}, Container: plan.Container{VolumeL: 2, AlkalinityMeqL: 1000, Form: plan.HydroxideForm}}}
	p.Sensors = []plan.Sensor{{ID: "probe", Kind: plan.PHKind}}
	p.Controls = []plan.Control{{ID: "guard", Kind: plan.Supervisor, Sensor: ptrTo("probe"), When: ptrTo(plan.Above),
		ThresholdPH: ptrTo(8.5), Outputs: []string{"pump"}, OnSensorLoss: plan.OffWithoutSensor, Latching: true}}
	s := compiled(t, p)
	stuck, probe := Injection{Fault: ProgrammeOn, Index: number(s, "pump")}, sensorNumber(s, p, "probe")
	atCut := func(pH, low, high float64) float64 {
		a, b := grid(t, fmt.Sprintf("plus_%g_umol_hydroxide", low), 2400+low),
			grid(t, fmt.Sprintf("plus_%g_umol_hydroxide", high), 2400+high)
		share := (pH - a.F(t, "ph_total")) / (b.F(t, "ph_total") - a.F(t, "ph_total"))
		return (2400 + low + share*(high-low)) * 1e-3 * seaKgL
	}
	full := (2.4*seaKgL*tankL + 2000) / (tankL + 2)
	for _, c := range []struct {
		name   string
		faults []Injection
		meqL   float64
		within float64
	}{
		{"reads true", nil, atCut(8.5, 250, 500), 0.003},
		{"reads low", []Injection{{Fault: SensorOffset, Index: probe, Value: -0.3}}, atCut(8.8, 500, 1000), 0.015},
		{"no signal, off without", []Injection{{Fault: SensorLost, Index: probe}}, 2.4 * seaKgL, 1e-3},
		{"frozen below", []Injection{{Fault: SensorFixed, Index: probe, Value: 8.0}}, full, 0.003},
		{"output welded", []Injection{{Fault: RelayClosed, Index: 0}}, full, 0.003},
		{"hangs on", []Injection{{Fault: ControlOn, Index: 0}}, full, 0.003},
		{"hangs off", []Injection{{Fault: ControlOff, Index: 0}}, 2.4 * seaKgL, 1e-3},
	} {
		require.Equal(t, "guard", s.Controls[0].ID)
		end := lastSample(ran(t, s, 4, append(c.faults, stuck)...))
		assert.InEpsilon(t, c.meqL, meqL(end), c.within+0.002, c.name) // and what evaporates between two top-offs
	}
	assert.InEpsilon(t, (2400+483)*1e-3*seaKgL, atCut(8.5, 250, 500), 1e-3)
}

// A guard on conductivity cuts a drain that never stops at 33. The drain has taken the water down to its inlet, 30 mm
// or 16.8 L; then the float lets that much fresh water in: 33 · (270 - 16.8) / 270 = 30.9. With a probe that reads 2
// high it cuts at 31, and 29.1 comes of it.
func TestAGuardOnConductivityCutsADrain(t *testing.T) {
	p := changed()
	p.Sensors = []plan.Sensor{{ID: "probe", Kind: plan.ConductivityKind}}
	p.Controls = []plan.Control{{ID: "guard", Kind: plan.Supervisor, Sensor: ptrTo("probe"), When: ptrTo(plan.Below),
		ThresholdPSU: ptrTo(33.0), Outputs: []string{"out"}, OnSensorLoss: plan.OffWithoutSensor, Latching: true}}
	p.TopOffPumps[0].FlowLH, p.Reservoirs[0].VolumeL = 10, 200
	s := compiled(t, p)
	probe := sensorNumber(s, p, "probe")
	down := 30 * s.Chamber.AreaM2
	for _, c := range []struct {
		name     string
		faults   []Injection
		cutsAt   float64
		filledAt float64 // h by which the float is up again
	}{
		{"reads true", nil, 33, 5}, {"reads high", []Injection{{Fault: SensorOffset, Index: probe, Value: 2}}, 31, 7},
	} {
		end := lastSample(ran(t, s, c.filledAt, append(c.faults,
			Injection{Fault: ProgrammeOn, Index: number(s, "out")},
			Injection{Fault: DeviceDead, Index: number(s, "in")})...))
		assert.InDelta(t, c.cutsAt*(tankL-down)/tankL, end.Salinity, 0.1, c.name)
		assert.InDelta(t, 0, end.LevelMM, 6, c.name)
	}
}

// New water that never stops: 20 L of 33 and 12 dKH raise 270 L of 35 and 8 dKH by 36 mm and mix. Of 60 L the display
// holds 22.4 above its line; the rest goes over the rim, S = 33 + (S - 33)·exp(-37.6/292.4).
func TestNewWaterThatNeverStops(t *testing.T) {
	for _, litres := range []float64{20, 60} {
		p := changed()
		p.ChangePumps[1].FlowLH = 120
		p.ChangePumps[1].Container = &plan.FreshSeaWater{VolumeL: litres, SalinityPSU: ptrTo(33.0),
			AlkalinityDKH: ptrTo(12.0)}
		p.Chemistry = &plan.Chemistry{AlkalinityDKH: 8, CalciumMgL: 420, PH: 8.05, DemandDKHD: ptrTo(0.0),
			DemandMgLD: ptrTo(0.0)}
		s := compiled(t, p)
		c := ran(t, s, litres/120+0.01, Injection{Fault: ProgrammeOn, Index: number(s, "in")})
		end := lastSample(c)
		free := 40 * s.Chamber.AreaM2
		stays := math.Min(litres, free)
		mixed := func(tank, new float64) float64 {
			x := (tank*tankL + new*stays) / (tankL + stays)
			return new + (x-new)*math.Exp(-(litres-stays)/(tankL+stays))
		}
		assert.InDelta(t, mixed(35, 33), end.Salinity, 0.02, "%g L", litres) // 0.1 L has evaporated
		assert.InDelta(t, mixed(8, 12), end.AlkalinityDKH, 0.01, "%g L", litres)
		assert.InDelta(t, math.Max(0, litres-free), c.Balance.SpilledL, 0.2, "%g L", litres)
		assert.InDelta(t, stays/s.Chamber.AreaM2, end.LevelMM, 0.5, "%g L", litres)
	}
}

// A drain that moves a tenth less than the new water: V dS/dt = q·35 - 0.9·q·S with q = 12 L/d, so that S nears 38.9:
// 35/0.9 - 3.89·exp(-0.9·12·14/270) = 36.66 after a fortnight. Evaporation takes more than the 1.2 L/d too many, and
// the top-off gives so much less: no level tells.
func TestAWornDrainDriftsUp(t *testing.T) {
	p := changed()
	p.Reservoirs[0].VolumeL = 200
	s := compiled(t, p)
	c := ran(t, s, 14*24, Injection{Fault: FlowWrong, Index: number(s, "out"), Value: 0.9})
	end := lastSample(c)
	stands := tankL / (tankL + s.Chamber.VolumeAtL(end.LevelMM))
	assert.InDelta(t, (35/0.9-35*(1/0.9-1)*math.Exp(-0.9*12*14/tankL))*stands, end.Salinity, 0.1)
	assert.InDelta(t, 0, end.LevelMM, 6)
}

// Both wrong ways of a container: the pump of 24 mL a day of calcium chloride gets the carbonate of the other, and the
// tank has 48 meq a day too many and 24 · 40.078 mg of calcium too few. Air in the line, a dead pump and an empty
// container are one course: four days without 48 meq.
func TestWrongAndMissingSolutions(t *testing.T) {
	s := compiled(t, dosed())
	alkalinity, calcium := number(s, "alkalinity"), number(s, "calcium")
	start := s.dissolvedAtStart()
	run := func(faults ...Injection) Dissolved { return ran(t, s, 96, faults...).End().Dissolved }
	wrong := run(Injection{Fault: ContentsWrong, Index: s.Devices[calcium].Reservoir,
		Value: float64(s.Devices[alkalinity].Reservoir)})
	assert.InDelta(t, 4*48, wrong.Meq-start.Meq, 2*48./12) // a dose more or less by the hour of the day
	assert.InDelta(t, -4*24, wrong.CalciumMmol-start.CalciumMmol, 2*24./12)
	dead := run(Injection{Fault: DeviceDead, Index: alkalinity})
	empty := run(Injection{Fault: ReservoirEmpty, Index: s.Devices[alkalinity].Reservoir})
	assert.InDelta(t, -4*48, dead.Meq-start.Meq, 2*48./12)
	assert.InDelta(t, dead.Meq, empty.Meq, 1e-6)
	assert.InDelta(t, dead.ExcessMmol, empty.ExcessMmol, 1e-6)
	for times, want := range map[float64]float64{2: 4 * 48, 0.5: -2 * 48} {
		d := run(Injection{Fault: FlowWrong, Index: alkalinity, Value: times})
		assert.InDelta(t, want, d.Meq-start.Meq, 2*48./12, "times %g", times)
	}
}

// A pump that a timer drives runs on when its relay welds or its control hangs: 30 mL/min for four hours, which are 7.2
// of its 10 L, instead of the 0.9 L of half an hour.
func TestADosingPumpBehindAWeldedRelay(t *testing.T) {
	p := dosed()
	p.DosingPumps = p.DosingPumps[:1]
	p.DosingPumps[0].Doses, p.DosingPumps[0].Container.VolumeL = nil, 10
	p.DosingPumps[0].Container.AlkalinityMeqL = 50
	p.Controls = []plan.Control{{ID: "hours", Kind: plan.Timer, Outputs: []string{"alkalinity"},
		Schedule: &plan.Schedule{OnAt: ptrTo(plan.ClockTime("09:00")), OffAt: ptrTo(plan.ClockTime("09:30"))}}}
	s := compiled(t, p)
	control := 0
	for i, k := range s.Controls {
		if k.ID == "hours" {
			control = i
		}
	}
	relay := s.wired().fromControl[control][0]
	for name, c := range map[string]struct {
		litres float64
		faults []Injection
	}{
		"nothing":      {0.9, nil},
		"relay welded": {7.2, []Injection{{Fault: RelayClosed, Index: relay}}},
		"hung":         {7.2, []Injection{{Fault: ControlOn, Index: control}}},
		"relay open":   {0, []Injection{{Fault: RelayOpen, Index: relay}}},
	} {
		assert.InDelta(t, c.litres, ran(t, s, 4, c.faults...).Balance.DosedL, 1e-6, name)
	}
}
