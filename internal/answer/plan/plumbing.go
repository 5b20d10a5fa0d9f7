package plan

import "saltwright/internal/calc/plan"

type planOverflow struct {
	ID string `json:"id"`
}

type planReturnLine struct {
	ID            string  `json:"id"`
	NozzleDepthMM float64 `json:"nozzle_depth_mm"`
	SiphonHole    bool    `json:"siphon_hole"`
	CheckValve    bool    `json:"check_valve"`
}

type planRoomDevice struct {
	ID            string              `json:"id"`
	Kind          plan.RoomDeviceKind `json:"kind"`
	PowerW        float64             `json:"power_w"`
	WithoutC      float64             `json:"without_c"`
	StuckOnC      *float64            `json:"stuck_on_c,omitempty"`
	TimeConstantH *float64            `json:"time_constant_h,omitempty"`
	Circuit       *string             `json:"circuit,omitempty"`
	Supply        *string             `json:"supply,omitempty"`
}

type planLeak struct {
	ID       string         `json:"id"`
	Kind     plan.LeakWhere `json:"kind"`
	Place    *plan.Place    `json:"place,omitempty"`
	HeightMM float64        `json:"height_mm"`
	FlowLH   float64        `json:"flow_l_h"`
}

type planSkimmer struct {
	ID            string       `json:"id"`
	Place         *plan.Place  `json:"place,omitempty"`
	PowerW        float64      `json:"power_w"`
	HeatShare     float64      `json:"heat_share"`
	CupL          float64      `json:"cup_l"`
	SkimmateLDay  float64      `json:"skimmate_l_day"`
	WetTimes      float64      `json:"wet_times"`
	WetAboveMM    *float64     `json:"wet_above_mm,omitempty"`
	FullCup       plan.FullCup `json:"full_cup"`
	AerationShare float64      `json:"aeration_share"`
	Circuit       *string      `json:"circuit,omitempty"`
	Supply        *string      `json:"supply,omitempty"`
}
