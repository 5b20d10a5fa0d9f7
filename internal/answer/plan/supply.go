package plan

import (
	"saltwright/internal/answer/envelope"
	"saltwright/internal/calc/plan"
)

type planCircuit struct {
	ID                    string            `json:"id"`
	GroundFault           bool              `json:"ground_fault"`
	BackupH               float64           `json:"backup_h"`
	BreakerA              *float64          `json:"breaker_a,omitempty"`
	ResidualCurrentDevice *string           `json:"residual_current_device,omitempty"`
	BackAfterMin          *float64          `json:"back_after_min,omitempty"`
	BreakerType           *plan.BreakerType `json:"breaker_type,omitempty"`
}

type planPower struct {
	Circuits               []planCircuit               `json:"circuits"`
	NetworkCircuit         *string                     `json:"network_circuit,omitempty"`
	LongestOutageH         float64                     `json:"longest_outage_h"`
	VoltageV               *float64                    `json:"voltage_v,omitempty"`
	ResidualCurrentDevices []planResidualCurrentDevice `json:"residual_current_devices"`
	Strips                 []planStrip                 `json:"strips"`
	Backups                []planBackup                `json:"backups"`
	Starts                 []planStart                 `json:"starts"`
}

type planStart struct {
	Element      string   `json:"element"`
	InrushTimes  float64  `json:"inrush_times"`
	InrushS      float64  `json:"inrush_s"`
	BackAfterMin *float64 `json:"back_after_min,omitempty"`
}

type planResidualCurrentDevice struct {
	ID string `json:"id"`
}

type planStrip struct {
	ID           string   `json:"id"`
	Supply       string   `json:"supply"`
	RatingA      *float64 `json:"rating_a,omitempty"`
	BackAfterMin *float64 `json:"back_after_min,omitempty"`
}

type planBackup struct {
	ID         string           `json:"id"`
	Kind       plan.BackupKind  `json:"kind"`
	Supplies   []string         `json:"supplies"`
	Hours      *float64         `json:"hours,omitempty"`
	CapacityWh *float64         `json:"capacity_wh,omitempty"`
	Starts     plan.BackupStart `json:"starts"`
	DelayMin   float64          `json:"delay_min"`
}

func (w planPower) input() plan.Power {
	return plan.Power{
		Circuits:       envelope.Each(w.Circuits, func(e planCircuit) plan.Circuit { return plan.Circuit(e) }),
		NetworkCircuit: w.NetworkCircuit, LongestOutageH: w.LongestOutageH, VoltageV: w.VoltageV,
		ResidualCurrentDevices: envelope.Each(w.ResidualCurrentDevices,
			func(e planResidualCurrentDevice) plan.ResidualCurrentDevice { return plan.ResidualCurrentDevice(e) }),
		Strips:  envelope.Each(w.Strips, func(e planStrip) plan.Strip { return plan.Strip(e) }),
		Backups: envelope.Each(w.Backups, func(e planBackup) plan.Backup { return plan.Backup(e) }),
		Starts:  envelope.Each(w.Starts, func(e planStart) plan.Start { return plan.Start(e) }),
	}
}

func newPlanPower(w plan.Power) planPower {
	return planPower{
		Circuits:       envelope.Each(w.Circuits, func(e plan.Circuit) planCircuit { return planCircuit(e) }),
		NetworkCircuit: w.NetworkCircuit, LongestOutageH: w.LongestOutageH, VoltageV: w.VoltageV,
		ResidualCurrentDevices: envelope.Each(w.ResidualCurrentDevices,
			func(e plan.ResidualCurrentDevice) planResidualCurrentDevice { return planResidualCurrentDevice(e) }),
		Strips:  envelope.Each(w.Strips, func(e plan.Strip) planStrip { return planStrip(e) }),
		Backups: envelope.Each(w.Backups, func(e plan.Backup) planBackup { return planBackup(e) }),
		Starts:  envelope.Each(w.Starts, func(e plan.Start) planStart { return planStart(e) }),
	}
}
