package plan

import (
	"saltwright/internal/answer/envelope"
	"saltwright/internal/calc/plan"
)

type planAlarm struct {
	ID           string          `json:"id"`
	Sensor       *string         `json:"sensor,omitempty"`
	Sensors      []string        `json:"sensors"`
	Rule         *plan.Rule      `json:"rule,omitempty"`
	DifferK      *float64        `json:"differ_k,omitempty"`
	When         plan.When       `json:"when"`
	ThresholdC   *float64        `json:"threshold_c,omitempty"`
	ThresholdPH  *float64        `json:"threshold_ph,omitempty"`
	ThresholdPSU *float64        `json:"threshold_psu,omitempty"`
	Watches      *string         `json:"watches,omitempty"`
	RunsMin      *float64        `json:"runs_min,omitempty"`
	Starts       *int            `json:"starts,omitempty"`
	WithinH      *float64        `json:"within_h,omitempty"`
	FromAt       *plan.ClockTime `json:"from_at,omitempty"`
	ToAt         *plan.ClockTime `json:"to_at,omitempty"`
	DelayMin     float64         `json:"delay_min"`
	Path         *plan.AlarmPath `json:"path,omitempty"`
	Paths        []string        `json:"paths"`
	OnSensorLoss bool            `json:"on_sensor_loss"`
	OwnBattery   bool            `json:"own_battery"`
	Circuit      *string         `json:"circuit,omitempty"`
	Supply       *string         `json:"supply,omitempty"`
}

func (a planAlarm) input() plan.Alarm {
	return plan.Alarm{
		ID: a.ID, Sensor: named(a.Sensor), Sensors: some(a.Sensors), Rule: named(a.Rule), DifferK: a.DifferK,
		When: a.When, ThresholdC: a.ThresholdC, ThresholdPH: a.ThresholdPH, ThresholdPSU: a.ThresholdPSU,
		Watches: named(a.Watches),
		RunsMin: a.RunsMin, Starts: a.Starts, WithinH: a.WithinH, FromAt: a.FromAt, ToAt: a.ToAt,
		DelayMin: a.DelayMin, Path: named(a.Path), Paths: some(a.Paths),
		OnSensorLoss: a.OnSensorLoss, OwnBattery: a.OwnBattery, Circuit: a.Circuit, Supply: a.Supply,
	}
}

func newPlanAlarm(a plan.Alarm) planAlarm {
	return planAlarm{
		ID: a.ID, Sensor: said(a.Sensor), Sensors: envelope.List(a.Sensors), Rule: said(a.Rule), DifferK: a.DifferK,
		When: a.When, ThresholdC: a.ThresholdC, ThresholdPH: a.ThresholdPH, ThresholdPSU: a.ThresholdPSU,
		Watches: said(a.Watches),
		RunsMin: a.RunsMin, Starts: a.Starts, WithinH: a.WithinH, FromAt: a.FromAt, ToAt: a.ToAt,
		DelayMin: a.DelayMin, Path: said(a.Path), Paths: envelope.List(a.Paths),
		OnSensorLoss: a.OnSensorLoss, OwnBattery: a.OwnBattery, Circuit: a.Circuit, Supply: a.Supply,
	}
}

// named is what a member says, empty where it is left out.
func named[T ~string](member *T) (said T) {
	if member != nil {
		said = *member
	}
	return said
}

// said is the member that says something, left out where it is empty.
func said[T ~string](value T) *T {
	if value == "" {
		return nil
	}
	return &value
}

// some is a list, nil where nothing is in it.
func some(list []string) []string {
	if len(list) == 0 {
		return nil
	}
	return list
}
