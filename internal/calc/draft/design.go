package draft

import (
	"math"

	"saltwright/internal/calc"
	"saltwright/internal/calc/evaporation"
	"saltwright/internal/calc/heat"
	"saltwright/internal/calc/moistair"
	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/text"
)

// The sizes and margins of a first design; all of them common practice, no source.
const (
	mainMargin        = 1.25 // of the main heater over the need
	otherMargin       = 1.1  // of the other heaters over what holds the low harm limit
	alarmBeyondK      = 0.2  // beyond the comfort band
	firstAlarmMin     = 10   // before an alarm is raised
	firstRunLimitMin  = 20
	topOffLHPerLD     = 1.6 // L/h of top-off pump for each litre that evaporates a day
	reservoirMargin   = 1.3
	lowShare          = 0.18 // of the sump's running level, from the line down to the low float
	highShare         = 0.12 // and up to the high float
	displayLowMM      = -15  // the same where there is no sump
	displayHighMM     = 12
	sumpFootprint     = 0.75 // of the display's length and width
	sumpDepth         = 0.8  // of the display's depth, within
	sumpLeastHeightMM = 250
	sumpMostHeightMM  = 500
	sumpLevelShare    = 0.52 // of the sump's height
	sumpWallMM        = 8
)

// design is what is turned until the audit is content.
type design struct {
	in                     Input     // completed
	tank                   plan.Plan // completed, without devices: its measures, limits and rooms
	setpointC              float64
	needW, holdW           float64 // to hold the set-point, and the low harm limit, in the coldest room
	evaporationLD          float64 // most of any room
	leastEvaporationLD     float64 // of any room
	mainW, otherW          float64
	backstopK              float64
	cutC                   float64 // supervisor
	warmAlarmC, coldAlarmC float64
	alarmDelayMin          float64
	pumpLH                 float64
	runLimitMin            float64
	reservoirL             float64
	levelMM                float64 // running level in the sump
	lowMM, highMM          float64 // the floats that warn, from the running level
	batteryH               float64
	fan                    bool
}

func newDesign(in Input) (*design, error) {
	d := &design{in: in, alarmDelayMin: firstAlarmMin, runLimitMin: firstRunLimitMin, backstopK: heat.UsualBackstopK}
	bare := d.bare()
	var err error
	if d.tank, _, err = plan.Complete(bare); err != nil {
		return nil, err
	}
	d.lowMM, d.highMM = displayLowMM, displayHighMM
	if *in.WithSump {
		bare.Sump = d.sump()
		if d.tank, _, err = plan.Complete(bare); err != nil {
			return nil, err
		}
		d.setLevel(d.tank.Sump.WaterLevelMM)
	}
	l := d.tank.Limits
	d.setpointC, d.cutC = l.MiddleC(), l.CutC()
	if err := d.balances(); err != nil {
		return nil, err
	}
	d.mainW = heaterW(mainMargin * d.needW)
	d.otherW = heaterW(otherMargin * d.holdW)
	d.warmAlarmC, d.coldAlarmC = *l.ComfortHighC+alarmBeyondK, *l.ComfortLowC-alarmBeyondK
	d.pumpLH = math.Min(math.Max(0.5, tenth(topOffLHPerLD*d.evaporationLD)), plan.TopOffPumpMostLH)
	d.reservoirL = math.Min(math.Ceil(reservoirMargin*d.evaporationLD*in.DaysAway), plan.ReservoirMostL)
	return d, nil
}

// bare is the plan without a sump or a device.
func (d *design) bare() plan.Plan {
	p := plan.New(d.in.LookEveryH)
	p.Name, p.Livestock, p.Display, p.Room = d.in.Name, d.in.Livestock, d.in.Display, d.in.Room
	p.Power.LongestOutageH = d.in.LongestOutageH
	p.Attendance.LongestAbsenceH, p.Attendance.ResponseH = new(hoursPerDay*d.in.DaysAway), new(d.in.ResponseH)
	return p
}

// setLevel runs the sump at a level and puts the floats about it.
func (d *design) setLevel(mm float64) {
	d.levelMM, d.lowMM, d.highMM = mm, -lowShare*mm, highShare*mm
}

// stockW are the heaters that are sold, W; larger ones by the kilowatt. Common practice, no source.
var stockW = []float64{10, 25, 50, 75, 100, 150, 200, 250, 300, 400, 500, 600, 800, 1000}

// heaterW rounds a power up to what is sold.
func heaterW(w float64) float64 {
	for _, stock := range stockW {
		if w <= stock {
			return stock
		}
	}
	return math.Min(1000*math.Ceil(w/1000), plan.HeaterMostW)
}

// smallerW returns the next smaller heater that is sold, the smallest for itself.
func smallerW(w float64) float64 {
	for i := len(stockW) - 1; i >= 0 && w <= stockW[len(stockW)-1]; i-- {
		if stockW[i] < w {
			return stockW[i]
		}
	}
	return math.Max(stockW[0], 1000*math.Floor((w-1)/1000))
}

func tenth(x float64) float64 { return math.Round(10*x) / 10 }

// sump is a vessel below the display of some two fifths of its volume.
func (d *design) sump() *plan.Sump {
	v := d.tank.Display
	size := func(mm, least, most float64) float64 { return math.Round(math.Max(least, math.Min(most, mm))) }
	height := size(sumpDepth**v.WaterDepthMM, sumpLeastHeightMM, sumpMostHeightMM)
	return &plan.Sump{
		LengthMM: size(sumpFootprint**v.LengthMM, plan.SumpLeastLengthMM, plan.SumpMostLengthMM),
		WidthMM:  size(sumpFootprint**v.WidthMM, plan.SumpLeastWidthMM, plan.SumpMostWidthMM),
		HeightMM: height, WaterLevelMM: math.Round(sumpLevelShare * height),
		WallMM: sumpWallMM, Material: heat.Glass, Lid: evaporation.LidOpen,
	}
}

// balances finds what heating and top-off have to cope with.
func (d *design) balances() error {
	p := d.tank
	pressure, err := moistair.StandardPressure(p.Room.AltitudeM)
	if err != nil {
		return err
	}
	system := p.HeatSystem()
	at := func(r plan.RoomState, waterC float64) (heat.BalanceResult, error) {
		air := moistair.State{Temp: quantity.Celsius(r.TempC), RelativeHumidity: r.RHPercent / 100,
			Pressure: pressure}
		b, err := heat.Balance(heat.BalanceInput{
			System: system, Water: quantity.Celsius(waterC), Gains: heat.GainsNone,
			Room: heat.Surroundings{Air: air, AirSpeedMS: p.Room.AirSpeedMS},
		})
		if err != nil {
			return b, &calc.ConflictError{Params: []string{"display", "room"},
				Reason: text.Of("draft_no_heat_balance", nil)}
		}
		return b, nil
	}
	d.leastEvaporationLD = math.Inf(1)
	for _, r := range []plan.RoomState{*p.Room.Coldest, p.Room.Usual, *p.Room.Warmest} {
		b, err := at(r, d.setpointC)
		if err != nil {
			return err
		}
		d.needW = math.Max(d.needW, b.NetW.Expected)
		d.evaporationLD = math.Max(d.evaporationLD, b.EvaporatedLPerDay.Expected)
		d.leastEvaporationLD = math.Min(d.leastEvaporationLD, b.EvaporatedLPerDay.Expected)
		if b, err = at(r, *p.Limits.HarmLowC); err != nil {
			return err
		}
		d.holdW = math.Max(d.holdW, b.NetW.Expected)
	}
	return nil
}
