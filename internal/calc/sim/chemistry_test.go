package sim

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc/carbonate"
	"saltwright/internal/calc/plan"
)

// overASump is a display of 225 L, all of it water, over a sump of 65.76 L, with two pumps that dose and gas.
func overASump() plan.Plan {
	p := dosed()
	p.Display = everyPart().Display
	p.Display.DrainBackMM = 15
	p.Sump = everyPart().Sump
	p.Oxygen = everyPart().Oxygen
	p.Chemistry = &plan.Chemistry{AlkalinityDKH: 3 * 2.80385, CalciumMgL: 400.78, PH: 8.1, MagnesiumMgL: ptr(1215.25),
		DemandDKHD: ptr(0.6), DemandMgLD: ptr(4.0), DemandMagnesiumMgLD: ptr(2.4305)}
	p.CarbonDioxide = []plan.CarbonDioxide{{ID: "reactor", FlowGH: 2, BottleG: 500, Into: plan.IntoReactor,
		DissolvesShare: 0.8, Doses: &plan.Doses{ADay: 2, RunS: 600, FirstAt: "12:00"}},
		{ID: "tank", FlowGH: 3, BottleG: 500, Into: plan.IntoTank, Doses: &plan.Doses{ADay: 1, RunS: 400,
			FirstAt: "14:00"}}}
	p.Controls = append(p.Controls, plan.Control{ID: "guard", Kind: plan.Supervisor, Sensor: ptr("acid"),
		When: ptr(plan.Above), ThresholdPH: ptr(8.6), Outputs: []string{"alkalinity"},
		OnSensorLoss: plan.OffWithoutSensor})
	p.Sensors = append(p.Sensors, plan.Sensor{ID: "acid", Kind: plan.PHKind})
	return p
}

// What is dissolved in it, by hand from litres and equivalents; 290.76 L of water in all. The carbon is that of the
// carbonate system at the start, and on the straight line between there and half as much alkalinity more at the same
// carbon dioxide. Its excess goes with 0.95 of the velocity of oxygen, 20 cm/h over 0.45 m², by the share of it that is
// carbon dioxide.
func TestWhatIsDissolvedOverASump(t *testing.T) {
	s := compiled(t, overASump())
	whole := 225 + 0.072*220 + 0.208*240
	require.InDelta(t, whole, s.WholeL(), 1e-9)
	x := s.Chemistry
	assert.InDelta(t, 3, x.MeqL, 1e-5)
	assert.InDelta(t, 10, x.CalciumMmolL, 1e-9)
	assert.InDelta(t, 50, x.MagnesiumMmolL, 1e-9)
	assert.InDelta(t, seaKgL, x.KgPerL, 1e-3)
	start := s.dissolvedAtStart()
	assert.InDelta(t, 3*whole, start.Meq, 1e-3)
	assert.InDelta(t, 10*whole, start.CalciumMmol, 1e-6)
	assert.InDelta(t, 50*whole, start.MagnesiumMmol, 1e-6)
	assert.Zero(t, start.ExcessMmol)
	assert.InDelta(t, 0.6/2.80385*whole/86400, x.UptakeMeqS, 1e-8)
	assert.InDelta(t, 4/40.078*whole/86400, x.UptakeCalciumS, 1e-9)
	assert.InDelta(t, 0.1*whole/86400, x.UptakeMagnesiumS, 1e-9)
	// 24 mL of 2000 meq/L as carbonate bring 24 mmol of carbon, 1200 s of 2 g/h of gas that dissolves 0.8 of itself
	// 1.8 · 0.6667/44.009 mol, and 400 s of 3 g/h of gas by itself 0.3333/44.009 mol.
	carbon := 24 + 1.8*1000*(2.0/3)/44.009 + 1000*(1.0/3)/44.009
	given := 48 + 2*0.8*1000*(2.0/3)/44.009
	assert.InDelta(t, (carbon-x.Tied*(given-0.6/2.80385*whole))/86400, x.UptakeCarbonS, 1e-6)

	// A reactor that a control opens counts as open all day, a valve into the tank that a control opens not at all.
	p := overASump()
	p.Sensors = append(p.Sensors, plan.Sensor{ID: "second", Kind: plan.PHKind})
	for i := range p.CarbonDioxide {
		p.CarbonDioxide[i].Doses = nil
		p.Controls = append(p.Controls, plan.Control{ID: "opens-" + p.CarbonDioxide[i].ID, Kind: plan.Acidity,
			Sensor: ptr("second"), SetpointPH: ptr(8.1), Outputs: []string{p.CarbonDioxide[i].ID}})
	}
	driven := compiled(t, p).Chemistry
	carbon = 24 + 1.8*1000*48/44.009
	given = 48 + 2*0.8*1000*48/44.009
	assert.InDelta(t, (carbon-x.Tied*(given-0.6/2.80385*whole))/86400, driven.UptakeCarbonS, 1e-5)

	k := x.Constants
	perKg := 1e-3 / x.KgPerL
	of := func(meqL, carbonL float64) carbonate.Seen {
		return k.See(carbonate.Water{Alkalinity: meqL * perKg, Carbon: carbonL * perKg})
	}
	line := func(meqL float64) float64 { return x.Tied*meqL + x.Apart }
	assert.InDelta(t, 8.1, of(3, line(3)).PH, 1e-6)
	assert.InEpsilon(t, of(3, line(3)).Dioxide, of(4.5, line(4.5)).Dioxide, 1e-6)
	const step = 1e-3 // mmol/L
	share := (of(3, line(3)+step).Dioxide - of(3, line(3)-step).Dioxide) / (2 * step * perKg)
	assert.InEpsilon(t, 0.95*0.4/3600*share*225/whole, x.StirredS, 1e-3)
	assert.InEpsilon(t, 0.95*0.0414/3600*share*225/whole, x.StillS, 1e-3)
}

// A pH that a control reads in a tank over a sump, and one that an alarm reads, while carbon dioxide, doses and a
// change go on: what the alarm makes of the course is what the control did.
func TestAnAlarmOnPHSeesWhatItsControlSees(t *testing.T) {
	p := overASump()
	p.Attendance.LongestAbsenceH = ptr(240.0)
	s := compiled(t, p)
	guard := -1
	for i, c := range s.Controls {
		if c.ID == "guard" {
			guard = i
		}
	}
	require.GreaterOrEqual(t, guard, 0)
	s.wiring = nil
	s.Alarms = []Alarm{{Condition: -1, Circuit: -1, Watch: &Watch{Kind: RunsLong, Device: -1, Control: guard}}}
	for _, high := range []float64{8.2, 8.4, 8.6} {
		s.Comparators[s.Conditions[s.Controls[guard].Condition].Index].High = high
		s.Comparators[s.Conditions[s.Controls[guard].Condition].Index].Low = high - 0.03
		in := []Injection{{Fault: ProgrammeOn, Index: number(s, "alkalinity")}}
		c := ran(t, s, 20, in...)
		v := c.witness(in)
		cut := v.reads(s.Controls[guard].Condition, true)
		calls := c.commands[guard].without(timeTolerance)
		require.NotEmpty(t, cut.turns, "%g", high)
		assert.InDeltaSlice(t, calls.turns, cut.turns, 1e-3, "%g", high)
		assert.Equal(t, calls.first, !cut.first)
		mark := c.Marks(in)[0]
		assert.Equal(t, CutoutTripped, mark.Kind)
		assert.InDelta(t, cut.turns[0], mark.AtS, 1e-6)
	}
}

// What comes at once, beside the one limit that is near, as TestWhatComesAtOnce has it: magnesium by hand, pH and
// saturation by the table of the carbonate system (see TestAWholeContainerIsTheGrid).
//
//	magnesium  (50 · 270 + 2700)/272.7 = 59.41 mmol/L, of 54 a tenth too high; 50 · 270/300 = 45, of 50 a tenth too
//	low
//	hydroxide  500 µmol/kg, which the table has at pH 8.5155 and a saturation of 6.9 or so
//	gas        from pH 8.3 to 7.6, 5.38 g as in TestCarbonDioxideThatNeverShuts
func TestWhatIsDissolvedAtOnce(t *testing.T) {
	before, after := grid(t, "before_dose", 2400), grid(t, "plus_500_umol_hydroxide", 2900)
	lye := 500e-3 * seaKgL * tankL / 0.02 // meq/L
	kept := compiled(t, unstirred(t, before)).Chemistry
	perKg := 0.9e-3 / kept.KgPerL
	diluted := kept.Constants.See(carbonate.Water{Alkalinity: kept.MeqL * perKg, Calcium: kept.CalciumMmolL * perKg,
		Carbon: (kept.Tied*kept.MeqL + kept.Apart) * perKg})
	for _, c := range []struct {
		name      string
		kind      LimitKind
		limit     float64
		reservoir Reservoir
		amount    float64
		want      float64
	}{
		{"magnesium", MagnesiumHigh, 54, Reservoir{Holds: Contents{MagnesiumMmol: 1000}}, 2.7, 59.406/54 - 1},
		{"fresh water", MagnesiumLow, 50, Reservoir{}, 30, 0.1},
		{"lye", PHHigh, after.F(t, "ph_total") / 1.1, Reservoir{Holds: Contents{Meq: lye}}, 0.02, 0.1},
		{"lye and what falls out", FallingOut, after.F(t, "omega_aragonite") / 1.1,
			Reservoir{Holds: Contents{Meq: lye}}, 0.02, 0.1},
		{"calcium", FallingOut, before.F(t, "omega_aragonite"),
			Reservoir{Holds: Contents{CalciumMmol: seaCalciumMol * seaKgL * 1e3 * tankL}}, 0.1, 0.1}, // a tenth more
		// All of it in a tenth more of water: 9/10 of alkalinity and of carbon.
		{"fresh water and what falls out", FallingOut, diluted.Aragonite / 1.1, Reservoir{}, tankL / 9, 0.1},
		{"gas", PHLow, 8, Reservoir{Gas: true, Holds: Contents{CarbonMmol: 1000 / 44.009}}, 0, (8 - before.F(t,
			"ph_total")) / 8},
	} {
		s := compiled(t, unstirred(t, before))
		s.Chemistry.MagnesiumMmolL = 50
		s.Reservoirs = []Reservoir{c.reservoir}
		harmsAlone(s, c.kind, c.limit)
		over, kind := s.AfterAtOnce(0, c.amount)
		assert.Equal(t, c.kind, kind, c.name)
		assert.InDelta(t, c.want, over, 5e-3, c.name)
	}
}

// The extremes of two runs are those of both.
func TestExtremesOfTwoRuns(t *testing.T) {
	a := DissolvedPeaks{1, 5, 7.9, 8.4, 2, 6, 40, 50}
	b := DissolvedPeaks{2, 6, 7.8, 8.3, 1, 7, 41, 49}
	want := DissolvedPeaks{1, 6, 7.8, 8.4, 1, 7, 40, 50}
	assert.Equal(t, want, a.With(b))
	assert.Equal(t, want, b.With(a))
}

// What nothing takes up and nothing brings stays, however the water that holds it shrinks: of all of it while the
// return runs, and while the vessels stand apart.
func TestWhatIsDissolvedStays(t *testing.T) {
	p := overASump()
	p.DosingPumps, p.CarbonDioxide, p.Controls, p.TopOffPumps, p.Reservoirs = nil, nil, nil, nil, nil
	p.Chemistry.DemandDKHD, p.Chemistry.DemandMgLD, p.Chemistry.DemandMagnesiumMgLD = ptr(0.0), ptr(0.0), ptr(0.0)
	s := compiled(t, p)
	start := s.dissolvedAtStart()
	pump := -1
	for i, d := range s.Devices {
		if d.Kind == ReturnPump {
			pump = i
		}
	}
	for name, in := range map[string][]Injection{"runs": {{Fault: DeviceDead}}, "stands": {{Fault: DeviceDead},
		{Fault: DeviceDead, Index: pump}}} { // without its heater the water cools and loses less and less
		c := ran(t, s, 48, in...)
		end := c.End()
		require.Greater(t, c.Balance.EvaporatedL, 2.0)
		assert.InEpsilon(t, start.Meq, end.Dissolved.Meq, 1e-12, name)
		assert.InEpsilon(t, start.CalciumMmol, end.Dissolved.CalciumMmol, 1e-12, name)
		assert.InEpsilon(t, start.MagnesiumMmol, end.Dissolved.MagnesiumMmol, 1e-12, name)
		left := s.WholeL() - c.Balance.EvaporatedL
		sample := lastSample(c)
		assert.InEpsilon(t, start.Meq/left, meqL(sample), 1e-5, name)
		assert.InEpsilon(t, start.MagnesiumMmol/left*24.305, sample.MagnesiumMgL, 1e-6, name)
	}
}

// A run that begins where another ended, gas and all, begins with its pH, and a tank that is seen to is as it is kept.
func TestARunBeginsAsAnotherEnded(t *testing.T) {
	p := unstirred(t, grid(t, "before_dose", 2400))
	p.CarbonDioxide = []plan.CarbonDioxide{{ID: "valve", FlowGH: 20, Into: plan.IntoTank, BottleG: 4,
		Doses: &plan.Doses{ADay: 1, RunS: 0.01, FirstAt: "04:00"}}}
	s := compiled(t, p)
	first := ran(t, s, 0.4, Injection{Fault: ValveStuck, Index: number(s, "valve")})
	end, ended := first.End(), lastSample(first)
	require.Positive(t, end.Dissolved.ExcessMmol)
	next, err := Run(t.Context(), s, &end, nil, 60)
	require.NoError(t, err)
	began := next.Samples(3600)[0]
	assert.InDelta(t, ended.PH, began.PH, 1e-6)
	assert.InDelta(t, ended.PH, next.start.seen(PH), 1e-6)
	assert.InDelta(t, ended.Aragonite, next.start.seen(Aragonite), 1e-6)
	assert.Equal(t, s.dissolvedAtStart(), end.Refilled(s).Dissolved)
}
