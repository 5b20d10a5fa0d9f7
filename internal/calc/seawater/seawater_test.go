package seawater

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc"
	"saltwright/internal/calc/moistair"
	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/reference"
)

func sp(r reference.Row, t testing.TB) quantity.PracticalSalinity {
	return quantity.PracticalSalinity(r.F(t, "sp"))
}

func at(r reference.Row, t testing.TB) quantity.Celsius { return quantity.Celsius(r.F(t, "t_degC")) }

// value fails the test on an error, so that table checks read as one line.
func value(t testing.TB) func(v float64, err error) float64 {
	return func(v float64, err error) float64 {
		t.Helper()
		require.NoError(t, err)
		return v
	}
}

// Source: testdata/reference/salinity_conductivity.csv (gsw, PSS-78).
func TestConductivityTable(t *testing.T) {
	var w reference.Worst
	v := value(t)
	for i, r := range reference.Load(t, "salinity_conductivity.csv") {
		where := fmt.Sprintf("row %d", i+1)
		const tolerance = 1e-6 // the same equations
		c := v(Conductivity(sp(r, t), at(r, t)))
		w.Relative(t, r.F(t, "conductivity_at_t_mS_per_cm"), c, tolerance, where+" C(t)")
		w.Relative(
			t, r.F(t, "conductivity_at_25degC_same_sp_mS_per_cm"), v(Conductivity(sp(r, t), 25)), tolerance,
			where+" C(25)",
		)
		for column, a := range map[string]float64{"2p00": 2.00, "1p91": 1.91} {
			display := v(MeterDisplay(c, at(r, t), a))
			w.Relative(t, r.F(t, "c25_by_linear_"+column+"_mS_per_cm"), display, tolerance, where+" display")
			s, err := PracticalFromConductivity(display, 25)
			require.NoError(t, err)
			w.Relative(t, r.F(t, "sp_read_from_c25_linear_"+column), float64(s), tolerance, where+" read off")
		}
		s, err := PracticalFromConductivity(c, at(r, t))
		require.NoError(t, err)
		w.Relative(t, float64(sp(r, t)), float64(s), tolerance, where+" round trip")
	}
	t.Logf("worst relative disagreement %.1e at %s", w.Difference, w.Where)
}

// Source: testdata/reference/seawater_density.csv (EOS-80 and gsw).
func TestDensityTable(t *testing.T) {
	var eos, teos, pure reference.Worst
	v := value(t)
	for i, r := range reference.Load(t, "seawater_density.csv") {
		where := fmt.Sprintf("row %d", i+1)
		rho := v(Density(sp(r, t), at(r, t)))
		// the same equation
		eos.Relative(t, r.F(t, "rho_eos80_kg_per_m3"), rho, 1e-6, where)
		// kg/m3, EOS-80 against TEOS-10
		teos.Absolute(t, r.F(t, "rho_teos10_kg_per_m3"), rho, 0.006, where)
		// the same equation
		pure.Relative(t, r.F(t, "rho_pure_eos80_kg_per_m3"), v(PureWaterDensity(at(r, t))), 1e-6, where)
		w := value(t)(Density(0, at(r, t)))
		assert.Equal(t, v(PureWaterDensity(at(r, t))), w)
	}
	t.Logf(
		"worst: EOS-80 %.1e relative, TEOS-10 %.4f kg/m3, pure %.1e relative", eos.Difference, teos.Difference,
		pure.Difference,
	)
}

// Source: testdata/reference/specific_gravity.csv.
func TestSpecificGravityTable(t *testing.T) {
	var w reference.Worst
	v := value(t)
	const tolerance = 6e-6 // EOS-80 against TEOS-10
	for i, r := range reference.Load(t, "specific_gravity.csv") {
		got := v(SpecificGravity(
			sp(r, t), quantity.Celsius(r.F(t, "t_sample_degC")), quantity.Celsius(r.F(t, "t_reference_water_degC")),
		))
		for _, column := range []string{"sg_eos80", "sg_teos10"} {
			w.Absolute(t, r.F(t, column), got, tolerance, fmt.Sprintf("row %d %s", i+1, column))
		}
	}
	t.Logf("worst absolute disagreement %.1e at %s", w.Difference, w.Where)
}

// Source: testdata/reference/refractive_index.csv (public transcriptions; IAPWS for pure water).
func TestRefractiveIndexTable(t *testing.T) {
	var same, across reference.Worst
	v := value(t)
	for i, r := range reference.Load(t, "refractive_index.csv") {
		where := fmt.Sprintf("row %d", i+1)
		m := v(RefractiveIndexMillardSeaver1990(sp(r, t), at(r, t)))
		// nine digits in the table
		same.Absolute(t, r.F(t, "nD_millard_seaver_1990"), m, 1e-8, where+" Millard and Seaver")
		across.Absolute(t, r.F(t, "nD_quan_fry_1995"), m, 3e-5, where+" the two formulas")
		pure := v(RefractiveIndex(0, at(r, t)))
		across.Absolute(t, r.F(t, "nD_pure_iapws_relative_to_air"), pure, 3e-5, where+" pure water, IAPWS")
	}
	t.Logf("worst: same formula %.1e, across %.1e at %s", same.Difference, across.Difference, across.Where)
}

// Source: testdata/reference/salinity_scales.csv (gsw).
func TestScalesTable(t *testing.T) {
	var w reference.Worst
	v := value(t)
	for i, r := range reference.Load(t, "salinity_scales.csv") {
		where := fmt.Sprintf("row %d", i+1)
		a, err := Absolute(sp(r, t))
		require.NoError(t, err)
		w.Relative(t, r.F(t, "sr_g_per_kg"), float64(a), 1e-6, where)
		w.Relative(t, r.F(t, "chlorinity_g_per_kg"), v(Chlorinity(sp(r, t))), 1e-6, where)
		// by EOS-80 instead of TEOS-10
		w.Relative(t, r.F(t, "salt_at_t_g_per_L"), v(GramsPerLitre(sp(r, t), at(r, t))), 6e-6, where)
	}
	t.Logf("worst relative disagreement %.1e at %s", w.Difference, w.Where)
}

// Source: testdata/reference/seawater_vapour_heat.csv (gsw, IAPWS). The tolerances are the
// disagreements between the accepted formulas that its header lists.
func TestVapourAndHeatTable(t *testing.T) {
	var cp, latent, activity, vapour reference.Worst
	v := value(t)
	for i, r := range reference.Load(t, "seawater_vapour_heat.csv") {
		where := fmt.Sprintf("row %d", i+1)
		// Millero 1973 against gsw
		cp.Relative(t, r.F(t, "cp_seawater_J_per_kgK"), v(HeatCapacity(sp(r, t), at(r, t))), 9e-4, where)
		latent.Relative(
			t, r.F(t, "latent_heat_seawater_kJ_per_kg"), v(LatentHeat(sp(r, t), at(r, t)))/1000, 1.4e-3, where,
		)
		// linear against TEOS-10
		activity.Absolute(t, r.F(t, "water_activity_teos10"), v(WaterActivity(sp(r, t))), 3e-4, where)
		p, err := VapourPressure(sp(r, t), at(r, t))
		require.NoError(t, err)
		// Hyland-Wexler against Wagner-Pruss
		vapour.Relative(t, r.F(t, "p_vapour_seawater_linear_Pa"), float64(p), 2.3e-4, where)
	}
	t.Logf(
		"worst: cp %.1e, latent %.1e, activity %.1e, vapour pressure %.1e", cp.Difference, latent.Difference,
		activity.Difference, vapour.Difference,
	)
}

// Source: testdata/reference/oxygen_solubility.csv (gsw).
func TestOxygenTable(t *testing.T) {
	var w reference.Worst
	v := value(t)
	for i, r := range reference.Load(t, "oxygen_solubility.csv") {
		where := fmt.Sprintf("row %d", i+1)
		w.Relative(t, r.F(t, "o2_saturation_umol_per_kg"), v(OxygenSaturationMolal(sp(r, t), at(r, t))), 1e-6, where)
		// density by EOS-80
		w.Relative(
			t, r.F(t, "o2_saturation_mg_per_L"),
			v(OxygenSaturation(sp(r, t), at(r, t), quantity.StandardAtmosphere)), 6e-6, where,
		)
	}
	t.Logf("worst relative disagreement %.1e at %s", w.Difference, w.Where)
}

// Benson and Krause 1984 give the whole pressure dependence, C = C0 p [(1 - p_w/p)(1 - theta p)] /
// [(1 - p_w)(1 - theta)] in atmospheres, theta = 0.000975 - 1.426e-5 t + 6.436e-8 t² (from memory; the same as in
// U.S. Geological Survey, Techniques and Methods 9-A6.2, and APHA Standard Methods 4500-O). Ours leaves theta out.
func TestOxygenOfThinAir(t *testing.T) {
	v := value(t)
	for _, c := range []struct{ altitudeM, waterC, mgL, tolerance float64 }{
		{2240, 25.5, 5.06, 0.02}, // as three digits say it
		{0, 25.5, 6.70, 0.02},
	} {
		p, err := moistair.StandardPressure(c.altitudeM)
		require.NoError(t, err)
		assert.InDelta(t, c.mgL, v(OxygenSaturation(35, quantity.Celsius(c.waterC), p)), c.tolerance)
	}
	for pressure := quantity.Pascal(55000); pressure < 110000; pressure += 5000 {
		for water := 5.0; water <= 35; water += 5 {
			vapour, err := VapourPressure(35, quantity.Celsius(water))
			require.NoError(t, err)
			atm := float64(pressure / quantity.StandardAtmosphere)
			pw := float64(vapour / quantity.StandardAtmosphere)
			theta := 0.000975 - 1.426e-5*water + 6.436e-8*water*water
			share := atm * (1 - pw/atm) * (1 - theta*atm) / ((1 - pw) * (1 - theta))
			sea := v(OxygenSaturation(35, quantity.Celsius(water), quantity.StandardAtmosphere))
			assert.InEpsilon(t, share*sea, v(OxygenSaturation(35, quantity.Celsius(water), pressure)), 5e-4)
		}
	}
	_, err := OxygenSaturation(35, 25, 0)
	var out *calc.RangeError
	assert.ErrorAs(t, err, &out)
}

// published reads "name=number" out of the inputs column.
func published(t testing.TB, r reference.Row, name string) float64 {
	t.Helper()
	for _, part := range strings.Split(r["inputs"], ";") {
		part = strings.TrimSpace(part)
		if rest, ok := strings.CutPrefix(part, name+"="); ok {
			rest, _, _ = strings.Cut(rest, " ")
			v, err := strconv.ParseFloat(rest, 64)
			require.NoError(t, err)
			return v
		}
	}
	t.Fatalf("no %s in %q", name, r["inputs"])
	return 0
}

// Source: testdata/reference/published_checks.csv. Every row is claimed here or named with a reason.
func TestPublishedChecks(t *testing.T) {
	v := value(t)
	outside := map[string]string{
		"in-situ density": "TEOS-10 at 10 dbar; our density is EOS-80 at one atmosphere, held " +
			"against TEOS-10 by table",
		"osmotic coefficient of seawater": "we use the linear lowering of the vapour pressure, held against " +
			"TEOS-10 by table",
		"refractive index of water": "IAPWS at 0.2265 um; ours is for sodium light, held against IAPWS by " +
			"table",
		"pool evaporation short form": "claimed in internal/calc/evaporation",
		"saturation pressure of water/300 K": "IAPWS R7-97; ours is Hyland and Wexler, 2.2e-4 apart, claimed with " +
			"that tolerance below",
	}
	claimed := 0
	for i, r := range reference.Load(t, "published_checks.csv") {
		where := fmt.Sprintf("row %d %s (%s)", i+1, r["quantity"], r["inputs"])
		want, tolerance := r.F(t, "published_value"), r.F(t, "tolerance_absolute")
		t90 := func() quantity.Celsius { return quantity.Celsius(published(t, r, "t68") / quantity.T68PerT90) }
		var got float64
		switch r["quantity"] {
		case "practical salinity":
			got = pss78(published(t, r, "R"), published(t, r, "t68"), published(t, r, "p"))
		case "conductivity of standard seawater":
			got = v(Conductivity(35, t90()))
		case "seawater density", "pure water density":
			got = v(Density(quantity.PracticalSalinity(published(t, r, "S")), t90()))
		case "specific gravity 25/25 (quotient of two published densities)":
			got = v(SpecificGravity(35, t90(), t90()))
		case "Reference Salinity":
			a, err := Absolute(35)
			require.NoError(t, err)
			got = float64(a)
		case "practical salinity from chlorinity":
			got = published(t, r, "Cl") * practicalPerChlorinity
		case "heat capacity of seawater":
			got = v(HeatCapacity(
				quantity.PracticalSalinity(published(t, r, "SA")/referenceSalinityPerPSU),
				quantity.Celsius(published(t, r, "t")),
			))
			tolerance = 9e-4 * want // Millero 1973 against TEOS-10, and one atmosphere against 10 dbar
		case "oxygen saturation":
			got = v(OxygenSaturationMolal(35, t90()))
		case "saturation pressure of water":
			if strings.HasPrefix(r["inputs"], "T=") {
				p, err := VapourPressure(0, quantity.Celsius(published(t, r, "T")-quantity.ZeroCelsius))
				require.NoError(t, err)
				got, tolerance = float64(p), 2.3e-4*want
			} else {
				p, err := VapourPressure(0, quantity.Celsius(published(t, r, "t")))
				require.NoError(t, err)
				got = float64(p)
			}
		case "refractive index of water relative to air, sodium D":
			got = v(RefractiveIndex(0, quantity.Celsius(published(t, r, "t"))))
		default:
			assert.Contains(t, outside, r["quantity"], where)
			continue
		}
		claimed++
		assert.InDelta(t, want, got, tolerance, where)
	}
	assert.Equal(t, 16, claimed, "of 20 rows")
}

func ExampleDensity() {
	// Millero and Poisson 1981: rho(35, t68 = 25, 0) = 1023.34306 kg/m3.
	rho, err := Density(35, 25/quantity.T68PerT90)
	fmt.Printf("%.5f %v", rho, err)
	// Output: 1023.34306 <nil>
}

func ExamplePracticalFromConductivity() {
	// Standard sea water: 42.914 mS/cm at t68 = 15 is S = 35 (UNESCO TP 44).
	s, err := PracticalFromConductivity(42.914, 15/quantity.T68PerT90)
	fmt.Printf("%.4f %v", float64(s), err)
	// Output: 35.0000 <nil>
}

// From memory: a handbook value for 5 % sodium chloride is 1.3418 at 20 °C, and keepers know that
// a brine scale shows about a point and a half too much in sea water of 35 (common practice, no source).
func TestBrineScale(t *testing.T) {
	x := value(t)(BrineRefractometer(35))
	assert.InDelta(t, 36.5, x, 0.3)
	assert.InDelta(t, 1.3418, 1.33299+50*brineIndexPerGKg, 1e-4, "the slope meets the handbook")
}

func reading(c Conversion, s Scale) Reading {
	for _, r := range c.Readings {
		if r.Scale == s {
			return r
		}
	}
	return Reading{}
}

func convert(t testing.TB, in ConversionInput) Conversion {
	t.Helper()
	if in.Pair == "" {
		in.Pair = Pair25
	}
	c, err := Convert(in)
	require.NoError(t, err)
	return c
}

func TestConvertGoesRoundThroughEveryScale(t *testing.T) {
	for _, s := range []float64{0.5, 2, 20, 35, 42, 44.9} {
		for _, temp := range []quantity.Celsius{0, 12, 25, 40} {
			first := convert(t, ConversionInput{Scale: ScalePractical, Value: s, Sample: temp, MeterPercentPerK: 1.91})
			require.Len(t, first.Readings, len(scales))
			for _, r := range first.Readings {
				back := convert(t, ConversionInput{
					Scale: r.Scale, Value: r.Value, Sample: temp, MeterPercentPerK: 1.91,
				})
				// The root is good to 1e-12 in S; the flattest scale, the index, keeps 1e-16/1.8e-4 of it.
				assert.InDelta(t, s, float64(back.Practical), 1e-9, "%s at %g °C", r.Scale, float64(temp))
				assert.False(t, math.IsNaN(r.Uncertainty))
			}
		}
	}
}

func TestConvertScalesRiseWithSalinity(t *testing.T) {
	last := convert(t, ConversionInput{Scale: ScalePractical, Value: 1, Sample: 25})
	for s := 2.0; s <= 45; s++ {
		now := convert(t, ConversionInput{Scale: ScalePractical, Value: s, Sample: 25})
		for i, r := range now.Readings {
			assert.Greater(t, r.Value, last.Readings[i].Value, "%s at %g", r.Scale, s)
		}
		last = now
	}
}

func TestConvertPropagatesUncertainty(t *testing.T) {
	c := convert(t, ConversionInput{Scale: ScaleSpecificGravity, Value: 1.0264, Sample: 25, ReadingUncertainty: 0.001})
	// 0.001 in specific gravity is 0.001/7.6e-4 = 1.3 in salinity.
	assert.InDelta(t, 1.3, c.UncertaintyPSU, 0.05)
	assert.Equal(t, 0.001, reading(c, ScaleSpecificGravity).Uncertainty)
	assert.InDelta(t, c.UncertaintyPSU, reading(c, ScalePractical).Uncertainty, 1e-9)
	assert.InDelta(t, math.Hypot(c.UncertaintyPSU, 0.3), reading(c, ScaleRefractometerBrine).UncertaintyPSU, 1e-9)
}

func TestConvertNotes(t *testing.T) {
	codes := func(c Conversion) (out []NoteCode) {
		for _, n := range c.Notes {
			out = append(out, n.Code)
		}
		return out
	}
	unnamed := convert(t, ConversionInput{Scale: ScaleSpecificGravity, Value: 1.026, Sample: 25, Pair: PairUnnamed})
	require.Equal(t, []NoteCode{NotePairUnnamed}, codes(unnamed))
	// The same 1.026 on each pair, from the reference table's own columns (interpolated by eye it is 34.2 to 36.6).
	assert.Contains(t, unnamed.Notes[0].Sentence, "25/25 34.5")
	assert.Contains(t, unnamed.Notes[0].Sentence, "20/4 36.6")
	assert.Empty(t, codes(convert(t, ConversionInput{
		Scale: ScaleSpecificGravity, Value: 1.026, Sample: 25, Pair: Pair20,
	})))
	assert.Equal(t, []NoteCode{NoteBrineScale}, codes(convert(t, ConversionInput{
		Scale: ScaleRefractometerBrine, Value: 35, Sample: 25,
	})))
	assert.Equal(t, []NoteCode{NoteBrineScale}, codes(convert(t, ConversionInput{
		Scale: ScaleRefractometerSeawater, Value: 35, Sample: 25,
	})))
	assert.Equal(t, []NoteCode{NoteLinearMeter}, codes(convert(t, ConversionInput{
		Scale: ScaleMeter25, Value: 53, Sample: 12, MeterPercentPerK: 2,
	})))
	assert.Empty(t, codes(convert(t, ConversionInput{Scale: ScaleMeter25, Value: 53, Sample: 25, MeterPercentPerK: 2})))
}

func TestHydrometerInColderWater(t *testing.T) {
	// A 25/25 instrument floats higher in the same water at 20 °C: density 1024.76 over 997.05 (EOS-80).
	c := convert(t, ConversionInput{Scale: ScalePractical, Value: 35, Sample: 20})
	assert.InDelta(t, 1024.763/997.048, reading(c, ScaleSpecificGravityAsRead).Value, 2e-5)
	assert.InDelta(
		t, 1.026373, reading(c, ScaleSpecificGravity).Value, 2e-6, "the pair's own temperatures are not the sample's",
	)
}

func TestConvertRefuses(t *testing.T) {
	var out *calc.RangeError
	var conflict *calc.ConflictError
	_, err := Convert(ConversionInput{Scale: "cups", Value: 1, Sample: 25, Pair: Pair25})
	assert.ErrorAs(t, err, &conflict)
	_, err = Convert(ConversionInput{Scale: ScalePractical, Value: 1, Sample: 25, Pair: "warm"})
	assert.ErrorAs(t, err, &conflict)
	_, err = Convert(ConversionInput{Scale: ScaleMeter25, Value: 1, Sample: 0, Pair: Pair25, MeterPercentPerK: 4})
	assert.ErrorAs(t, err, &conflict)
	for _, in := range []ConversionInput{
		{Scale: ScalePractical, Value: 45.001, Sample: 25}, {Scale: ScalePractical, Value: -0.001, Sample: 25},
		{Scale: ScalePractical, Value: math.NaN(), Sample: 25}, {Scale: ScalePractical, Value: 35, Sample: 40.001},
		{Scale: ScalePractical, Value: 35, Sample: -0.001}, {Scale: ScaleDensity, Value: 990, Sample: 25},
		{Scale: ScaleSpecificGravity, Value: 1.2, Sample: 25},
		{Scale: ScalePractical, Value: 35, Sample: 25, ReadingUncertainty: -1},
		{Scale: ScaleMeter25, Value: 50, Sample: 25, MeterPercentPerK: 6},
	} {
		in.Pair = Pair25
		_, err := Convert(in)
		assert.ErrorAs(t, err, &out, "%+v", in)
	}
	for _, in := range []ConversionInput{
		{Scale: ScalePractical, Value: 45, Sample: 40}, {Scale: ScalePractical, Value: 0, Sample: 0},
	} {
		in.Pair = Pair25
		_, err := Convert(in)
		assert.NoError(t, err, "on the limit: %+v", in)
	}
}

func TestLimitsOfTheRelations(t *testing.T) {
	two := map[string]func(quantity.PracticalSalinity, quantity.Celsius) (float64, error){
		"Density": Density, "HeatCapacity": HeatCapacity, "LatentHeat": LatentHeat, "Conductivity": Conductivity,
		"RefractiveIndex": RefractiveIndex, "OxygenSaturationMolal": OxygenSaturationMolal,
		"GramsPerLitre": GramsPerLitre,
	}
	for name, f := range two {
		for _, bad := range [][2]float64{
			{-0.1, 25}, {45.1, 25}, {35, -0.1}, {35, 40.1}, {math.NaN(), 25}, {35, math.Inf(1)},
		} {
			_, err := f(quantity.PracticalSalinity(bad[0]), quantity.Celsius(bad[1]))
			var out *calc.RangeError
			assert.ErrorAs(t, err, &out, "%s %v", name, bad)
		}
		for _, good := range [][2]float64{{0, 0}, {45, 40}, {35, 25}} {
			v, err := f(quantity.PracticalSalinity(good[0]), quantity.Celsius(good[1]))
			assert.NoError(t, err, name)
			assert.False(t, math.IsNaN(v), name)
		}
	}
	_, err := Absolute(-1)
	assert.Error(t, err)
	_, err = Chlorinity(46)
	assert.Error(t, err)
	_, err = WaterActivity(46)
	assert.Error(t, err)
	_, err = VapourPressure(35, 41)
	assert.Error(t, err)
	_, err = BrineRefractometer(46)
	assert.Error(t, err)
	_, err = PureWaterDensity(41)
	assert.Error(t, err)
	_, err = SpecificGravity(35, 25, 41)
	assert.Error(t, err)
	_, err = PracticalFromConductivity(101, 25)
	assert.Error(t, err)
	_, err = PracticalFromConductivity(99, 0)
	assert.Error(t, err, "saltier than any sea")
	s, err := PracticalFromConductivity(0, 25)
	assert.NoError(t, err)
	assert.InDelta(t, 0, float64(s), 0.02, "the relation is 0.0080 + … at no conductivity")
	_, err = PracticalFromConductivity(50, 41)
	assert.Error(t, err)
	_, err = MeterDisplay(50, 41, 2)
	assert.Error(t, err)
}

func FuzzConvert(f *testing.F) {
	for i := range scales {
		f.Add(i, 35.0, 25.0, 0, 1.91, 0.1)
	}
	f.Add(99, math.NaN(), math.Inf(1), 99, -1.0, -1.0)
	names := []Pair{PairUnnamed, Pair20, Pair25, Pair60F, Pair20Over4}
	f.Fuzz(func(t *testing.T, scale int, v, temp float64, pair int, meter, u float64) {
		in := ConversionInput{
			Value: v, Sample: quantity.Celsius(temp), MeterPercentPerK: meter, ReadingUncertainty: u, Scale: "?",
			Pair: "?",
		}
		if scale >= 0 && scale < len(scales) {
			in.Scale = scales[scale].name
		}
		if pair >= 0 && pair < len(names) {
			in.Pair = names[pair]
		}
		c, err := Convert(in)
		if err != nil {
			var out *calc.RangeError
			var conflict *calc.ConflictError
			if !asEither(err, &out, &conflict) {
				t.Fatalf("%+v: untyped error %v", in, err)
			}
			return
		}
		for _, r := range c.Readings {
			if math.IsNaN(r.Value) || math.IsInf(r.Value, 0) || math.IsNaN(r.Uncertainty) || math.IsInf(r.Uncertainty,
				0) || r.Uncertainty < 0 {
				t.Fatalf("%+v: %+v", in, r)
			}
		}
	})
}

func asEither(err error, out **calc.RangeError, conflict **calc.ConflictError) bool {
	return errors.As(err, out) || errors.As(err, conflict)
}
