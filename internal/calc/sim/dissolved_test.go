package sim

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc/carbonate"
	"saltwright/internal/calc/plan"
)

func ptrTo[T any](x T) *T { return &x }

// dosed is a tank of 300 L inside, 270 L of water, that uses 0.5 dKH a day and is given it by two pumps.
func dosed() plan.Plan {
	p := plan.New(24)
	p.Display = plan.Vessel{VolumeL: ptrTo(300.0), WallMM: 10, Material: "glass", Lid: "open", FreeboardMM: 40,
		IntakeDropMM: 60, RockShare: 0.1}
	p.Room = plan.Room{Usual: plan.RoomState{TempC: 22, RHPercent: 50}, AirSpeedMS: 0.05}
	p.Heaters = []plan.Heater{{ID: "heater", PowerW: 300, ThermostatC: ptrTo(25.5), ThermostatHysteresisK: 1}}
	p.TopOffPumps = []plan.TopOffPump{plan.NewTopOffPump("top-off", 10, "fresh")}
	p.Reservoirs = []plan.Reservoir{plan.NewReservoir("fresh", 40)}
	// 48 meq a day: 12 doses of 2 mL of 2000 meq/L.
	doses := func() *plan.Doses { return &plan.Doses{ADay: 12, RunS: 4, FirstAt: "00:30"} }
	p.DosingPumps = []plan.DosingPump{
		{ID: "alkalinity", FlowMLMin: 30, Doses: doses(),
			Container: plan.Container{VolumeL: 2, AlkalinityMeqL: 2000, Form: plan.CarbonateForm}},
		{ID: "calcium", FlowMLMin: 30, Doses: doses(),
			Container: plan.Container{VolumeL: 2, CalciumMgL: 40078, Form: plan.CarbonateForm}},
	}
	p.Attendance.LongestAbsenceH = ptrTo(240.0)
	return p
}

func compiled(t *testing.T, p plan.Plan) *System {
	t.Helper()
	done, _, err := plan.Complete(p)
	require.NoError(t, err)
	s, err := Compile(done, done.Room.Usual)
	require.NoError(t, err)
	return s
}

func ran(t *testing.T, s *System, hours float64, faults ...Injection) *Course {
	t.Helper()
	c, err := Run(context.Background(), s, nil, faults, hours*3600)
	require.NoError(t, err)
	require.False(t, c.Truncated)
	assert.Less(t, c.Balance.WorstRelative(), 1e-9)
	return c
}

func number(s *System, id string) int {
	for i, d := range s.Devices {
		if d.ID == id {
			return i
		}
	}
	panic(id)
}

func lastSample(c *Course) Sample {
	all := c.Samples(3600)
	return all[len(all)-1]
}

// What the programmes give is what the tank takes up: the water stays as it is kept, but for the doses themselves.
func TestProgrammesHoldTheWater(t *testing.T) {
	s := compiled(t, dosed())
	c := ran(t, s, 14*24)
	end := lastSample(c)
	// 24 mL of 2000 meq/L into 270 L, in twelve doses: 0.178 meq/L a day.
	assert.InDelta(t, plan.UsualAlkalinityDKH, end.AlkalinityDKH, 0.178/12*carbonate.DKHPerMeqL+0.02)
	assert.InDelta(t, plan.UsualPH, end.PH, 0.01)
	assert.InDelta(t, 35, end.Salinity, 0.15)
	assert.InDelta(t, 14*2*0.024, c.Balance.DosedL, 0.003)
}

// Hand-worked cases of the tank above: 270 L, uptake 48 meq and 0.024 · 40078 = 962 mg of calcium a day.
func TestHandWorkedDoses(t *testing.T) {
	s := compiled(t, dosed())
	alkalinity, calcium := number(s, "alkalinity"), number(s, "calcium")
	start := plan.UsualAlkalinityDKH / carbonate.DKHPerMeqL
	for _, c := range []struct {
		name  string
		fault Injection
		hours float64
		meqL  float64 // worked by hand
	}{
		// 30 mL/min empty 2 L in 1.11 h: 4000 meq in 272 L, less the uptake of two hours and less what dilutes.
		{"stuck on", Injection{Fault: ProgrammeOn, Index: alkalinity}, 2,
			(start*270 + 4000 - 48./12) / (270 + 2)},
		{"off", Injection{Fault: DeviceDead, Index: alkalinity}, 96, start - 4*48/270.},
		{"double", Injection{Fault: FlowWrong, Index: alkalinity, Value: 2}, 96, start + 4*48/270.},
		{"half", Injection{Fault: FlowWrong, Index: alkalinity, Value: 0.5}, 96, start - 2*48/270.},
		{"empty", Injection{Fault: ReservoirEmpty, Index: s.Devices[alkalinity].Reservoir}, 96, start - 4*48/270.},
		{"the other's container", Injection{Fault: ContentsWrong, Index: s.Devices[alkalinity].Reservoir,
			Value: float64(s.Devices[calcium].Reservoir)}, 96, start - 4*48/270.},
		{"the other pump filled with alkalinity", Injection{Fault: ContentsWrong,
			Index: s.Devices[calcium].Reservoir, Value: float64(s.Devices[alkalinity].Reservoir)}, 96,
			start + 4*48/270.},
	} {
		t.Run(c.name, func(t *testing.T) {
			end := lastSample(ran(t, s, c.hours, c.fault))
			// evaporation moves the volume by half a litre between two top-offs, a dose is 0.015 meq/L
			assert.InDelta(t, c.meqL, end.AlkalinityDKH/carbonate.DKHPerMeqL, 0.006*c.meqL+0.02)
		})
	}
}

// A whole container of hydroxide at once comes out as the carbonate system has it without gas exchange.
func TestAWholeContainerIsTheCarbonateSystem(t *testing.T) {
	p := dosed()
	p.DosingPumps[0].Container.Form = plan.HydroxideForm
	p.DosingPumps[0].FlowMLMin, p.DosingPumps[0].Container.VolumeL = 2000, 0.2
	p.DosingPumps[0].Doses.RunS = 0.06
	p.Oxygen.StirredCMH, p.Oxygen.StillCMH = 1e-6, 1e-6 // no gas to speak of
	s := compiled(t, p)
	end := lastSample(ran(t, s, 0.2, Injection{Fault: ProgrammeOn, Index: number(s, "alkalinity")}))
	k := s.Chemistry
	meq := (k.MeqL*270 + 400) / 270.2
	carbonPerL := (k.Tied*k.MeqL + k.Apart) * 270 / 270.2
	alkalinityKg, carbonKg := meq*1e3/k.KgPerL, carbonPerL*1e3/k.KgPerL
	want, err := carbonate.Solve(carbonate.Input{Salinity: 35, Water: 25.75, BoronShare: 1,
		CalciumMolKg: plan.UsualCalciumMgL / carbonate.Calcium * 1e-3 / k.KgPerL,
		AlkalinityKg: &alkalinityKg, CarbonKg: &carbonKg})
	require.NoError(t, err)
	assert.InDelta(t, want.PHTotal, end.PH, 0.01) // 0.0005 of the table, and 0.4 % of the volume between two top-offs
	assert.InEpsilon(t, want.OmegaAragonite, end.Aragonite, 0.02)
	assert.Greater(t, end.PH, 8.8)
}

// changed is the tank with a change of 12 L a day by two pumps.
func changed() plan.Plan {
	p := dosed()
	p.DosingPumps = nil
	doses := func() *plan.Doses { return &plan.Doses{ADay: 4, RunS: 360, FirstAt: "01:00"} }
	p.ChangePumps = []plan.ChangePump{
		{ID: "out", Role: plan.Drain, FlowLH: 30, Doses: doses(), InletMM: ptrTo(-30.0)},
		{ID: "in", Role: plan.NewWater, FlowLH: 30, Doses: doses(), Container: &plan.FreshSeaWater{VolumeL: 200}},
	}
	return p
}

// Two pumps that differ: what mixing.Change has for continuous exchange, the level held by the top-off.
func TestMismatchDriftsAsMixingHasIt(t *testing.T) {
	p := changed()
	p.Reservoirs[0].VolumeL = 200
	s := compiled(t, p)
	c := ran(t, s, 14*24)
	assert.InDelta(t, 35, lastSample(c).Salinity, 0.15)
	worn := lastSample(ran(t, s, 14*24, Injection{Fault: FlowWrong, Index: number(s, "in"), Value: 0.9}))
	// V dS/dt = 0.9·q·35 - q·S:  S = 31.5 + 3.5·exp(-14·12/270)
	stands := 270 / (270 + s.Chamber.VolumeAtL(worn.LevelMM)) // a little salt water was left out between two top-offs
	assert.InDelta(t, (31.5+3.5*math.Exp(-14*12/270.))*stands, worn.Salinity, 0.1)
}

// A drain that never stops takes the water down to its inlet; then it takes what the top-off brings, and salinity falls
// until the reservoir is empty.
func TestADrainThatNeverStops(t *testing.T) {
	s := compiled(t, changed())
	c := ran(t, s, 3, Injection{Fault: ProgrammeOn, Index: number(s, "out")})
	end := lastSample(c)
	assert.InDelta(t, -30, end.LevelMM, 0.1)
	// Down at 20 L/h, 30 mm of a surface of 0.56 m² take 0.85 h; 29 L of fresh water have arrived after 3 h,
	// evaporation of half a litre left out: dS/S = -dF/V with V from 270 to 253 L and there.
	down := 30 * s.Chamber.AreaM2
	at := func(fresh float64) float64 { // ∫ dF/V, dV = -2·dF while it goes down
		first := math.Min(fresh, down/2)
		return math.Log(270/(270-2*first))/2 + (fresh-first)/(270-down)
	}
	assert.InDelta(t, 35*math.Exp(-at(29)), end.Salinity, 0.15)
}

// The closed forms against a plain integration in steps of two seconds, on random tanks with faults.
func TestDissolvedAgainstFineSteps(t *testing.T) {
	r := rand.New(rand.NewPCG(19, 6))
	for n := range 12 {
		t.Run(fmt.Sprint(n), func(t *testing.T) {
			p := dosed()
			p.DosingPumps[0].Container.Form = []plan.Form{plan.CarbonateForm, plan.BicarbonateForm,
				plan.HydroxideForm}[n%3]
			p.DosingPumps[0].Container.AlkalinityMeqL = 300 + 1500*r.Float64()
			p.ChangePumps = changed().ChangePumps
			p.ChangePumps[0].FlowLH, p.ChangePumps[1].FlowLH = 10+20*r.Float64(), 10+20*r.Float64()
			p.ChangePumps[1].Container.SalinityPSU = ptrTo(30 + 10*r.Float64())
			p.ChangePumps[1].Container.AlkalinityDKH = ptrTo(5 + 6*r.Float64())
			p.CarbonDioxide = []plan.CarbonDioxide{{ID: "gas", FlowGH: 0.2 * r.Float64(), BottleG: 500,
				Into: plan.IntoTank, Doses: &plan.Doses{ADay: 3, RunS: 1200, FirstAt: "02:00"}}}
			s := compiled(t, p)
			var faults []Injection
			for _, id := range []string{"alkalinity", "out", "in", "gas"} {
				if r.IntN(2) == 0 {
					faults = append(faults, []Injection{{Fault: ProgrammeOn, Index: number(s, id)},
						{Fault: FlowWrong, Index: number(s, id), Value: 0.3 + 2*r.Float64()}}[r.IntN(2)])
				}
			}
			const hours = 30
			c := ran(t, s, hours, faults...)
			want := coarse(s, newFaultState(s, faults), hours*3600, 2)
			got := lastSample(c)
			assert.InDelta(t, want.salinity, got.Salinity, 0.01, "%v", faults)
			assert.InEpsilon(t, want.meqL, got.AlkalinityDKH/carbonate.DKHPerMeqL, 2e-3, "%v", faults)
			assert.InDelta(t, want.pH, got.PH, 0.01, "%v", faults)
			assert.InEpsilon(t, want.aragonite, got.Aragonite, 0.01, "%v", faults)
		})
	}
}

type coarseEnd struct{ salinity, meqL, pH, aragonite float64 }

// coarse integrates a tank without a sump by plain steps. It shares the contents of containers and the table of
// programmes with the simulation, not its closed forms; the heater holds 25.5 °C there, here it is taken to.
func coarse(s *System, f faultState, seconds, dt float64) coarseEnd {
	k := s.Chemistry
	volume := s.Node[0].VolumeL
	level, salt := 0.0, 35*volume
	meq, calcium := k.MeqL*volume, k.CalciumMmolL*volume
	carbon := (k.Tied*k.MeqL + k.Apart) * volume
	stored := make([]float64, len(s.Reservoirs))
	for i, r := range s.Reservoirs {
		stored[i] = r.VolumeL
	}
	rim := s.Chamber.VolumeAtL(s.Chamber.RimMM)
	low := s.Comparators[s.Conditions[s.Controls[0].Condition].Index].Low
	evaporation := s.Node[0].BandAt(25.5).EvaporationLS[0].At(25.5)
	calls := false
	for t := 0.0; t < seconds; t += dt {
		switch {
		case level >= 0:
			calls = false
		case level <= low:
			calls = true
		}
		into, taken := 0.0, 0.0
		add := func(reservoir int, litres float64) {
			r := s.Reservoirs[reservoir]
			litres = min(litres, stored[reservoir])
			stored[reservoir] -= litres
			if !r.Gas {
				into += litres
			}
			salt += litres * r.Holds.Salinity
			meq += litres * r.Holds.Meq
			calcium += litres * r.Holds.CalciumMmol
			carbon += litres * r.Holds.CarbonMmol
		}
		for i, d := range s.Devices {
			flow := d.FlowLS * dt
			if f.flow[i] != 0 {
				flow *= f.flow[i]
			}
			if d.Programme >= 0 && f.programme[i] == 0 {
				flow *= s.Programmes[d.Programme].pieceAt(math.Mod(s.StartSecond+t, daySeconds)).From
			}
			switch d.Kind {
			case TopOffPump:
				if calls {
					add(d.Reservoir, flow)
				}
			case Doser:
				add(d.Reservoir, flow)
			case Drain:
				if level > d.InletL {
					taken += flow
				}
			}
		}
		now := volume + level
		tied := k.Tied*meq + k.Apart*now
		carbon -= dt * (k.StirredS*(carbon-tied) + k.UptakeCarbonS)
		meq -= dt * k.UptakeMeqS
		calcium -= dt * k.UptakeCalciumS
		level += into - evaporation*dt - taken
		lost := taken
		if level > rim {
			lost += level - rim
			level = rim
		}
		share := 1 - lost/(volume+level+lost)
		salt, meq, calcium, carbon = salt*share, meq*share, calcium*share, carbon*share
	}
	v := volume + level
	seen := k.Constants.See(carbonate.Water{Alkalinity: meq / v * 1e-3 / k.KgPerL, Carbon: carbon / v * 1e-3 / k.KgPerL,
		Calcium: calcium / v * 1e-3 / k.KgPerL})
	return coarseEnd{salt / v, meq / v, seen.PH, seen.Aragonite}
}

// By hand: water under carbon dioxide alone at one atmosphere holds K0 = 0.0284 mol/kg of it at 25 °C and 35 PSU. With
// 2.79 mmol/kg of alkalinity, all of it bicarbonate, h = K1 CO2/A = 1.42e-6 * 0.0284/0.00279 = 1.45e-5: pH 4.84. However
// much more gas is let in, it is no lower; before, 57 mol/kg gave a pH of 2.1. Without alkalinity, or with less than none
// and with more lye than the constants know, the ends of their range are answered.
func TestNoPHBeyondWhatTheConstantsKnow(t *testing.T) {
	k, err := carbonate.ConstantsAt(35, 25)
	require.NoError(t, err)
	for _, carbon := range []float64{0.04, 1, 57} {
		got := k.Held(carbonate.Water{Alkalinity: 0.00279, Carbon: carbon, Calcium: 0.0103})
		assert.InDelta(t, 4.84, got.PH, 0.02, "%g mol/kg", carbon)
	}
	assert.Less(t, k.See(carbonate.Water{Alkalinity: 0.00279, Carbon: 57}).PH, 2.2)
	assert.Equal(t, carbonate.LowestPH, k.Held(carbonate.Water{Alkalinity: -0.01, Carbon: 0.002}).PH)
	assert.Equal(t, carbonate.HighestPH, k.Held(carbonate.Water{Alkalinity: 2, Carbon: 0.002}).PH)
	usual := carbonate.Water{Alkalinity: 0.0028, Carbon: 0.0024, Calcium: 0.0103}
	assert.Equal(t, k.See(usual), k.Held(usual), "within the range nothing changes")
}
