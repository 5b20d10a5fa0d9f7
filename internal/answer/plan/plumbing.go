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
