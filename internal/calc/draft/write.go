package draft

import (
	"fmt"
	"math"

	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/quantity"
)

// The design's fixed values; all of them common practice, no source.
const (
	thermostatBandK  = 0.6
	spareBelowK      = 0.7   // the other heaters' thermostats, below the set-point
	oneSpareUpToW    = 150.0 // up to here one heater stands by however many may be used
	fanAboveK        = 0.9   // where the fan starts, above the set-point
	floatBandMM      = 2
	lampRampMin      = 90
	proofTestDays    = 30
	powerAlarmMin    = 5
	turnoverPerH     = 6    // display volumes an hour, of every pump
	returnWPerL      = 0.1  // W per litre of display
	circulationWPerL = 0.03 // W per litre of display
	cloggedShare     = 0.3  // of its flow that a pump keeps when it clogs
	lowFlowShare     = 0.5  // of the return flow that is taken for none
)

// plan writes the design down.
func (d *design) plan() plan.Plan {
	p := d.bare()
	d.addCircuits(&p)
	if *d.in.WithSump {
		sump := *d.sump()
		sump.WaterLevelMM = d.levelMM
		p.Sump = &sump
	}
	d.addPumps(&p)
	d.addHeaters(&p)
	d.addTopOff(&p)
	d.addLights(&p)
	d.addSensors(&p)
	d.addControls(&p)
	d.addAlarms(&p)
	for _, id := range []string{
		"high-float", "low-float", "guard-probe", "heat-guard", "fill-guard", "heater-main", "floor-strip",
	} {
		p.ProofTests = append(p.ProofTests, plan.ProofTest{Element: id, EveryDays: proofTestDays})
	}
	return p
}

const firstCircuit = "circuit-1"

// secondCircuit is the other circuit where there may be one.
func (d *design) secondCircuit() string { return fmt.Sprintf("circuit-%d", d.in.Budget.Circuits) }

func (d *design) addCircuits(p *plan.Plan) {
	for i := range d.in.Budget.Circuits {
		p.Power.Circuits = append(p.Power.Circuits,
			plan.Circuit{ID: fmt.Sprintf("circuit-%d", i+1), GroundFault: true, BackupH: d.batteryH})
	}
	p.Power.NetworkCircuit = new(firstCircuit)
}

func (d *design) addPumps(p *plan.Plan) {
	add := func(id string, role plan.PumpRole, leastW, wPerL float64, circuit string) {
		litres := *d.tank.Display.VolumeL
		pump := plan.NewPump(id, role, math.Round(turnoverPerH*litres), math.Max(leastW, math.Round(wPerL*litres)))
		pump.Circuit, pump.CloggedShare = &circuit, new(cloggedShare)
		p.Pumps = append(p.Pumps, pump)
	}
	if p.Sump != nil {
		add("return", plan.ReturnRole, 5, returnWPerL, firstCircuit)
	}
	add("stream-a", plan.CirculationRole, 3, circulationWPerL, d.secondCircuit())
	add("stream-b", plan.CirculationRole, 3, circulationWPerL, firstCircuit)
}

// wetPlace is where heaters and the control's probe are.
func (d *design) wetPlace() *plan.Place {
	if *d.in.WithSump {
		return new(plan.InSump)
	}
	return new(plan.InDisplay)
}

// spares is how many heaters stand by.
func (d *design) spares() int {
	if d.otherW <= oneSpareUpToW {
		return min(1, d.in.Budget.Heaters-1)
	}
	return d.in.Budget.Heaters - 1
}

func (d *design) addHeaters(p *plan.Plan) {
	add := func(id string, powerW, thermostatC float64, circuit string) {
		p.Heaters = append(p.Heaters, plan.Heater{
			ID: id, PowerW: powerW, Place: d.wetPlace(), HeightMM: new(-d.heaterDepthMM()), ThermostatC: &thermostatC,
			ThermostatHysteresisK: thermostatBandK, Circuit: &circuit,
		})
	}
	add("heater-main", d.mainW, d.setpointC+d.backstopK, firstCircuit)
	for i := range d.spares() {
		add(fmt.Sprintf("heater-%d", i+2), heaterW(d.otherW/float64(d.spares())), d.setpointC-spareBelowK,
			d.secondCircuit())
	}
}

func (d *design) addTopOff(p *plan.Plan) {
	pump := plan.NewTopOffPump("fill-pump", d.pumpLH, "fresh-water")
	pump.Circuit = new(d.secondCircuit())
	p.TopOffPumps = append(p.TopOffPumps, pump)
	p.Reservoirs = append(p.Reservoirs, plan.NewReservoir("fresh-water", d.reservoirL))
}

// lit tells whether the tank has lights.
func (d *design) lit() bool { return *d.in.LightsW >= leastLightW }

func (d *design) addLights(p *plan.Plan) {
	if d.lit() {
		lamp := plan.NewLight("lamp", *d.in.LightsW)
		lamp.Circuit = new(d.secondCircuit())
		lamp.Schedule = day("10:00", "20:00")
		lamp.Schedule.RampMin = lampRampMin
		p.Lights = append(p.Lights, lamp)
	}
	if d.fan {
		p.Fans = append(p.Fans, plan.Fan{ID: "fan", AirSpeedMS: 2, PowerW: 8, Circuit: new(d.secondCircuit())})
	}
}

func day(on, off plan.ClockTime) *plan.Schedule { return &plan.Schedule{OnAt: &on, OffAt: &off} }

func (d *design) addSensors(p *plan.Plan) {
	probe := func(id string, place *plan.Place) {
		p.Sensors = append(p.Sensors, plan.Sensor{ID: id, Kind: plan.TemperatureKind, Place: place})
	}
	float := func(id string, heightMM, bandMM float64) {
		p.Sensors = append(p.Sensors,
			plan.Sensor{ID: id, Kind: plan.LevelKind, HeightMM: &heightMM, HysteresisMM: bandMM})
	}
	probe("control-probe", d.wetPlace())
	probe("guard-probe", new(plan.InDisplay))
	float("line-float", 0, lineBandMM)
	float("high-float", math.Round(d.highMM), floatBandMM)
	float("low-float", math.Round(d.lowMM), floatBandMM)
	p.Sensors = append(p.Sensors, plan.Sensor{ID: "floor-strip", Kind: plan.LeakKind})
	if d.spares() > 0 {
		probe("spare-probe", new(plan.InDisplay))
	}
}

func (d *design) addControls(p *plan.Plan) {
	add := func(k plan.Control, circuit string) {
		k.Circuit = &circuit
		p.Controls = append(p.Controls, k)
	}
	regulator := func(id string, kind plan.ControlKind, setpointC float64, output string) plan.Control {
		return plan.Control{
			ID: id, Kind: kind, Sensor: new("control-probe"), SetpointC: &setpointC, HysteresisK: controlBandK,
			Outputs: []string{output}, OnSensorLoss: plan.OffWithoutSensor,
		}
	}
	guard := func(id, probe string, outputs ...string) plan.Control {
		return plan.Control{
			ID: id, Kind: plan.Supervisor, Sensor: &probe, When: new(plan.Above), ThresholdC: new(d.cutC),
			HysteresisK: controlBandK, Outputs: outputs, OnSensorLoss: plan.OnWithoutSensor,
		}
	}
	add(regulator("heat-control", plan.Heating, d.setpointC, "heater-main"), firstCircuit)
	add(plan.Control{
		ID: "fill-control", Kind: plan.TopOff, Sensor: new("line-float"), RunLimitMin: new(d.runLimitMin),
		Outputs: []string{"fill-pump"}, OnSensorLoss: plan.OffWithoutSensor,
	}, d.secondCircuit())
	add(guard("heat-guard", "guard-probe", "heater-main"), firstCircuit)
	add(plan.Control{
		ID: "fill-guard", Kind: plan.Supervisor, Sensor: new("high-float"), When: new(plan.Wet),
		Outputs: []string{"fill-pump"}, OnSensorLoss: plan.OffWithoutSensor,
	}, firstCircuit)
	if d.spares() > 0 { // a guard of their own, so that one that cuts falsely leaves the other's heaters
		var spares []string
		for _, h := range p.Heaters[1:] {
			spares = append(spares, h.ID)
		}
		add(guard("spare-guard", "spare-probe", spares...), d.secondCircuit())
	}
	if d.lit() {
		add(plan.Control{
			ID: "lamp-timer", Kind: plan.Timer, Outputs: []string{"lamp"}, OnSensorLoss: plan.OffWithoutSensor,
			Schedule: day("09:30", "20:30"),
		}, d.secondCircuit())
	}
	if d.fan {
		add(regulator("fan-control", plan.Cooling, d.setpointC+fanAboveK, "fan"), d.secondCircuit())
	}
}

func (d *design) addAlarms(p *plan.Plan) {
	path := plan.NetworkPath
	if d.in.Budget.Cellular {
		path = plan.CellularPath
	}
	alarm := func(id, sensor string, when plan.When, thresholdC *float64, delayMin float64) {
		p.Alarms = append(p.Alarms, plan.Alarm{
			ID: id, Sensor: sensor, When: when, ThresholdC: thresholdC, DelayMin: delayMin, Path: path,
			OnSensorLoss: thresholdC != nil, OwnBattery: true,
		})
	}
	alarm("too-cold", "guard-probe", plan.Below, new(d.coldAlarmC), d.alarmDelayMin)
	alarm("too-warm", "guard-probe", plan.Above, new(d.warmAlarmC), d.alarmDelayMin)
	alarm("low-water", "low-float", plan.Dry, nil, d.alarmDelayMin)
	alarm("high-water", "high-float", plan.Wet, nil, d.alarmDelayMin)
	alarm("wet-floor", "floor-strip", plan.Wet, nil, 0)
	for _, c := range p.Power.Circuits {
		p.Sensors = append(p.Sensors, plan.Sensor{ID: "watch-" + c.ID, Kind: plan.PowerKind, Circuit: new(c.ID)})
		alarm("dead-"+c.ID, "watch-"+c.ID, plan.NoPower, nil, powerAlarmMin)
	}
	if p.Sump != nil {
		p.Sensors = append(p.Sensors, plan.Sensor{ID: "flow-vane", Kind: plan.FlowKind,
			LowFlowShare: new(lowFlowShare)})
		alarm("no-return", "flow-vane", plan.NoFlow, nil, d.alarmDelayMin)
	}
	watch := func(a plan.Alarm) {
		a.DelayMin, a.Path, a.OwnBattery = powerAlarmMin, path, true
		p.Alarms = append(p.Alarms, a)
	}
	if h := d.longestHeatingH(); h > 0 {
		watch(plan.Alarm{ID: "heats-too-long", Watches: "heater-main", When: plan.RunsLong,
			RunsMin: new(h * quantity.MinutesPerHour)})
	}
	if h := d.longestRestH(); h > 0 {
		watch(plan.Alarm{ID: "fills-no-more", Watches: "fill-pump", When: plan.StandsStill, WithinH: new(h)})
	}
}
