package plan

type planOverflow struct {
	ID string `json:"id"`
}

type planReturnLine struct {
	ID            string  `json:"id"`
	NozzleDepthMM float64 `json:"nozzle_depth_mm"`
	SiphonHole    bool    `json:"siphon_hole"`
	CheckValve    bool    `json:"check_valve"`
}
