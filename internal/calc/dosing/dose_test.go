package dosing

import (
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc"
	"saltwright/internal/calc/carbonate"
	"saltwright/internal/calc/reference"
)

const meqPerDKH = 20 / (calcium + oxygen)

func tank() Input {
	alkalinity, gas := 2400.0, 500.0
	return Input{
		Raise: Alkalinity, Substance: SodiumBicarbonate, VolumeL: 100, Now: 2.5, Target: 3.5, Purity: 1,
		MostADay:  0.5,
		DosesADay: 1, Tank: carbonate.Input{Salinity: 35, Water: 25.5, BoronShare: 1, AlkalinityKg: &alkalinity,
			PCO2Microatm: &gas},
	}
}

func solved(t *testing.T, in Input) Result {
	t.Helper()
	r, err := Dose(in)
	require.NoError(t, err)
	return r
}

// Source: testdata/reference/dosing_stoichiometry.csv, sections molar_mass, dose_*, side_effect and two_part_salt,
// recomputed there from the atomic weights of [CIAAW2021].
func TestTableOfDoses(t *testing.T) {
	checked := map[string]int{}
	var worst reference.Worst
	for _, row := range reference.Load(t, "dosing_stoichiometry.csv") {
		section, item := row["section"], row["item"]
		c, known := contents[Substance(item)]
		switch {
		case section == "molar_mass" && known:
			assert.InEpsilon(t, row.F(t, "value"), c.molarMass(), 1e-6, item)
		case strings.HasPrefix(section, "dose_"):
			in := tank()
			in.Raise, in.Substance = Raised(strings.TrimPrefix(section, "dose_")), Substance(item)
			parts := strings.Split(row["inputs"], "; ")
			number := func(s string) float64 {
				for _, word := range strings.Fields(s) {
					if v, err := strconv.ParseFloat(word, 64); err == nil {
						return v
					}
				}
				t.Fatal(s)
				return 0
			}
			in.VolumeL = number(parts[0])
			rise := number(parts[1])
			if strings.Contains(parts[1], "dKH") {
				rise *= meqPerDKH
			}
			in.Now, in.Target, in.MostADay = 100, 100+rise, 1000
			r := solved(t, in)
			worst.Relative(t, row.F(t, "value"), r.MassG, 1e-4, item+", "+row["inputs"])
		case item == "calcium_hydroxide_calcium_with_alkalinity":
			in := tank()
			in.Substance, in.Now, in.Target = CalciumHydroxide, 2, 2+meqPerDKH
			assert.InEpsilon(t, row.F(t, "value"), solved(t, in).CalciumMgL, 1e-4)
		case strings.HasSuffix(item, "_from_magnesium_sulfate"), strings.HasSuffix(item, "_from_magnesium_chloride"):
			in := tank()
			in.Raise, in.Now, in.Target, in.MostADay = Magnesium, 1200, 1250, 100
			in.Substance = MagnesiumChlorideHexahydrate
			if strings.HasPrefix(item, "sulfate") {
				in.Substance = MagnesiumSulfateHeptahydrate
			}
			r := solved(t, in)
			assert.InEpsilon(t, row.F(t, "value"), r.ChlorideMgL+r.SulfateMgL, 1e-4, item)
		case item == "absolute_salinity_rise_year":
			in := tank()
			in.DemandMeqL = meqPerDKH
			assert.InEpsilon(t, row.F(t, "value"), solved(t, in).BalancedSaltGKgMonth*365/daysPerMonth, 1e-3)
		default:
			continue
		}
		checked[section]++
	}
	t.Logf("grams of a dose: worst %.1g at %s", worst.Difference, worst.Where)
	assert.Equal(t, map[string]int{"molar_mass": 12, "dose_alkalinity": 36, "dose_calcium": 12, "dose_magnesium": 9,
		"side_effect": 3, "two_part_salt": 1}, checked)
}

// Source: [Moras2022], by the notes on the reference tables: 0.5 meq/kg at once takes water of 2400 µmol/kg at
// 500 µatm, 25.5 °C and 35 from a saturation of 3.2 to 8.9 as hydroxide, 6.2 as carbonate and 3.4 as bicarbonate; 7
// is
// reached by 0.34 meq/kg of hydroxide.
func TestSaturationRightAfterADose(t *testing.T) {
	for s, omega := range map[Substance]float64{SodiumHydroxide: 8.9, SodiumCarbonate: 6.2, SodiumBicarbonate: 3.4} {
		in := tank()
		in.Substance = s
		in.Target = in.Now + 0.5*1.0233
		r := solved(t, in)
		assert.InDelta(t, 3.2, r.Before.OmegaAragonite, 0.1)
		require.True(t, r.AllAtOnceKnown)
		assert.InDelta(t, omega, r.AllAtOnce.OmegaAragonite, 0.15, s)
		if s == SodiumHydroxide {
			assert.InDelta(t, 0.34, r.LargestAtOnce/1.0233, 0.015)
		}
	}
}

// Hand: 1 meq/L at no more than 0.3 a day takes four days of 0.25, in six doses each.
func TestDaysAndDoses(t *testing.T) {
	in := tank()
	in.MostADay, in.DosesADay, in.Purity = 0.3, 6, 0.5
	stock := 80.0
	in.StockGL = &stock
	r := solved(t, in)
	assert.Equal(t, 4, r.Days)
	require.Len(t, r.Steps, 4)
	assert.InDelta(t, 2.75, r.Steps[0].Level, 1e-12)
	assert.InDelta(t, 3.5, r.Steps[3].Level, 1e-12)
	assert.InDelta(t, 2*8.4005769, r.MassG, 1e-4)
	assert.InDelta(t, r.MassG/24, r.DoseG, 1e-12)
	assert.InDelta(t, r.MassG/80*1000, r.VolumeML, 1e-9)
	assert.InDelta(t, r.MassG/4, r.DayG, 1e-12)
	assert.InDelta(t, r.VolumeML/4, r.DayML, 1e-12)
	assert.InDelta(t, r.VolumeML/24, r.DoseML, 1e-12)
	for i := range r.Steps[1:] {
		assert.Greater(t, r.Steps[i+1].Peak.OmegaAragonite, r.Steps[i].Peak.OmegaAragonite)
	}
	assert.Equal(t, r.Steps[3].Peak, r.Worst)
	once := in
	once.DosesADay = 1
	assert.Greater(t, solved(t, once).Worst.PHTotal, 0.0)
}

// Hand: a milliequivalent of bicarbonate in a litre is 84.0058 mg, in 1.0232 kg of this water. Of calcium hydroxide a
// mole brings two equivalents and one of calcium: 20 mg/L of calcium are 0.998 meq/L, 1 meq/L 20.04 mg/L of calcium.
// Magnesium chloride brings neither.
func TestWhatASaltBringsBesides(t *testing.T) {
	assert.InDelta(t, 0.0840058/1.0232, solved(t, tank()).SalinityGKg, 1e-5)
	in := tank()
	in.Substance = CalciumHydroxide
	r := solved(t, in)
	assert.InDelta(t, 20.039, r.CalciumMgL, 1e-3)
	assert.Zero(t, r.AlkalinityMeq)
	in.Raise, in.Now, in.Target, in.MostADay = Calcium, 400, 420, 20
	r = solved(t, in)
	assert.InDelta(t, 0.99805, r.AlkalinityMeq, 1e-4)
	assert.Zero(t, r.CalciumMgL)
	in.Raise, in.Substance = Magnesium, MagnesiumChlorideHexahydrate
	r = solved(t, in)
	assert.Zero(t, r.CalciumMgL)
	assert.Zero(t, r.AlkalinityMeq)
}

// Each day ends with all that has been dosed by then in the water, however many doses it took; what was there comes on
// top. Hand: 100 mg/L of calcium are 2.4951 mmol/L, in two days of four doses.
func TestDaysAddUp(t *testing.T) {
	in := tank()
	in.Raise, in.Substance, in.Now, in.Target, in.MostADay, in.DosesADay = Calcium, CalciumChloride, 400, 500, 50, 4
	kgPerL, err := in.kilogramsPerLitre()
	require.NoError(t, err)
	r := solved(t, in)
	require.Len(t, r.Steps, 2)
	for day, s := range r.Steps {
		assert.InDelta(t, float64(day+1)/2*2.49513e-3/kgPerL, s.Peak.CalciumMolKg-r.Before.CalciumMolKg, 1e-8)
		assert.InDelta(t, r.Before.Alkalinity, s.Peak.Alkalinity, 1e-9)
	}
	assert.InDelta(t, 2.49513e-3/kgPerL, r.AllAtOnce.CalciumMolKg-r.Before.CalciumMolKg, 1e-8)
	in = tank()
	in.DosesADay = 4
	r = solved(t, in)
	for day, s := range r.Steps {
		assert.InDelta(t, r.Before.Alkalinity+float64(day+1)*500/kgPerL, s.Peak.Alkalinity, 1e-6)
	}
}

// Just what is allowed: a hundred and twenty days, and as much bicarbonate as dissolves; of lye no table says how much.
func TestJustWhatIsAllowed(t *testing.T) {
	in := tank()
	in.MostADay = 1.0 / 120
	assert.Equal(t, 120, solved(t, in).Days)
	in.MostADay = 1.0 / 121
	_, err := Dose(in)
	assert.Error(t, err)
	stock := 96.0
	in = tank()
	in.StockGL = &stock
	solved(t, in)
	lye := 500.0
	in.Substance, in.StockGL = SodiumHydroxide, &lye
	solved(t, in)
}

func TestLabel(t *testing.T) {
	in := tank()
	in.Label = &Label{ML: 10, L: 100, Rise: 0.2}
	r := solved(t, in)
	assert.InDelta(t, 50, r.VolumeML, 1e-9)
	assert.Zero(t, r.MassG)
}

func TestRefusals(t *testing.T) {
	strong := 120.0
	var conflict *calc.ConflictError
	for code, change := range map[string]func(*Input){
		"dose_brings_none":       func(in *Input) { in.Substance = CalciumChloride },
		"dose_target_not_above":  func(in *Input) { in.Target = in.Now },
		"dose_does_not_dissolve": func(in *Input) { in.StockGL = &strong },
		"dose_takes_too_long":    func(in *Input) { in.MostADay = 0.001 },
	} {
		in := tank()
		change(&in)
		_, err := Dose(in)
		require.ErrorAs(t, err, &conflict, code)
		assert.Equal(t, code, conflict.Reason.Code)
	}
	in := tank()
	in.Substance = "sugar"
	_, err := Dose(in)
	require.ErrorAs(t, err, &conflict)
	var out *calc.RangeError
	for param, change := range map[string]func(*Input){
		"volume_l":     func(in *Input) { in.VolumeL = 0.5 },
		"purity_share": func(in *Input) { in.Purity = 1.1 },
		"doses_a_day":  func(in *Input) { in.DosesADay = 0 },
		"demand":       func(in *Input) { in.DemandMeqL = 11 },
		"label_l":      func(in *Input) { in.Label = &Label{ML: 1, L: 0, Rise: 1} },
		"stock_g_l":    func(in *Input) { low := 0.01; in.StockGL = &low },
	} {
		in := tank()
		change(&in)
		_, err := Dose(in)
		require.ErrorAs(t, err, &out, param)
		assert.Equal(t, param, out.Param)
	}
}
