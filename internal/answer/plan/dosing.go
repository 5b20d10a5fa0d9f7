package plan

import (
	"saltwright/internal/answer/envelope"
	"saltwright/internal/calc/audit"
	"saltwright/internal/calc/carbonate"
	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/sim"
	"saltwright/internal/calc/text"
)

type planChemistry struct {
	AlkalinityDKH float64  `json:"alkalinity_dkh"`
	CalciumMgL    float64  `json:"calcium_mg_l"`
	PH            float64  `json:"ph"`
	DemandDKHD    *float64 `json:"daily_demand_dkh,omitempty"`
	DemandMgLD    *float64 `json:"daily_demand_calcium_mg_l,omitempty"`
}

type planDoses struct {
	ADay    int            `json:"a_day"`
	RunS    float64        `json:"run_s"`
	FirstAt plan.ClockTime `json:"first_at"`
}

type planContainer struct {
	VolumeL        float64   `json:"volume_l"`
	AlkalinityMeqL float64   `json:"alkalinity_meq_l"`
	CalciumMgL     float64   `json:"calcium_mg_l"`
	Form           plan.Form `json:"form"`
}

type planDosingPump struct {
	ID        string        `json:"id"`
	FlowMLMin float64       `json:"flow_ml_min"`
	PowerW    float64       `json:"power_w"`
	Doses     *planDoses    `json:"doses,omitempty"`
	Container planContainer `json:"container"`
	Circuit   *string       `json:"circuit,omitempty"`
	Supply    *string       `json:"supply,omitempty"`
}

type planFreshSeaWater struct {
	VolumeL       float64  `json:"volume_l"`
	SalinityPSU   *float64 `json:"salinity_psu,omitempty"`
	AlkalinityDKH *float64 `json:"alkalinity_dkh,omitempty"`
	CalciumMgL    *float64 `json:"calcium_mg_l,omitempty"`
}

type planChangePump struct {
	ID        string             `json:"id"`
	Role      plan.ChangeRole    `json:"role"`
	FlowLH    float64            `json:"flow_l_h"`
	PowerW    float64            `json:"power_w"`
	Doses     *planDoses         `json:"doses,omitempty"`
	Container *planFreshSeaWater `json:"container,omitempty"`
	InletMM   *float64           `json:"inlet_mm,omitempty"`
	Circuit   *string            `json:"circuit,omitempty"`
	Supply    *string            `json:"supply,omitempty"`
}

type planCarbonDioxide struct {
	ID             string       `json:"id"`
	FlowGH         float64      `json:"flow_g_h"`
	BottleG        float64      `json:"bottle_g"`
	Into           plan.GasInto `json:"into"`
	DissolvesShare float64      `json:"dissolves_share"`
	PowerW         float64      `json:"power_w"`
	Doses          *planDoses   `json:"doses,omitempty"`
	Circuit        *string      `json:"circuit,omitempty"`
	Supply         *string      `json:"supply,omitempty"`
}

type planHeldReady struct {
	Element   string   `json:"element"`
	Holds     *float64 `json:"holds_l,omitempty"`
	Smallest  *float64 `json:"smallest_l,omitempty"`
	Largest   *float64 `json:"largest_l,omitempty"`
	HoldsG    *float64 `json:"holds_g,omitempty"`
	SmallestG *float64 `json:"smallest_g,omitempty"`
	LargestG  *float64 `json:"largest_g,omitempty"`
	Limit     *string  `json:"limit,omitempty"`
}

type planDissolved struct {
	AlkalinityMinDKH float64 `json:"alkalinity_min_dkh"`
	AlkalinityMaxDKH float64 `json:"alkalinity_max_dkh"`
	PHMin            float64 `json:"ph_min"`
	PHMax            float64 `json:"ph_max"`
	AragoniteMin     float64 `json:"aragonite_min"`
	AragoniteMax     float64 `json:"aragonite_max"`
}

func (e planDosingPump) input() plan.DosingPump {
	return plan.DosingPump{ID: e.ID, FlowMLMin: e.FlowMLMin, PowerW: e.PowerW, Doses: (*plan.Doses)(e.Doses),
		Container: plan.Container(e.Container), Circuit: e.Circuit, Supply: e.Supply}
}

func newPlanDosingPump(e plan.DosingPump) planDosingPump {
	return planDosingPump{ID: e.ID, FlowMLMin: e.FlowMLMin, PowerW: e.PowerW, Doses: (*planDoses)(e.Doses),
		Container: planContainer(e.Container), Circuit: e.Circuit, Supply: e.Supply}
}

func (e planChangePump) input() plan.ChangePump {
	return plan.ChangePump{ID: e.ID, Role: e.Role, FlowLH: e.FlowLH, PowerW: e.PowerW,
		Doses: (*plan.Doses)(e.Doses), Container: (*plan.FreshSeaWater)(e.Container), InletMM: e.InletMM,
		Circuit: e.Circuit, Supply: e.Supply}
}

func newPlanChangePump(e plan.ChangePump) planChangePump {
	return planChangePump{ID: e.ID, Role: e.Role, FlowLH: e.FlowLH, PowerW: e.PowerW,
		Doses: (*planDoses)(e.Doses), Container: (*planFreshSeaWater)(e.Container), InletMM: e.InletMM,
		Circuit: e.Circuit, Supply: e.Supply}
}

func (e planCarbonDioxide) input() plan.CarbonDioxide {
	return plan.CarbonDioxide{ID: e.ID, FlowGH: e.FlowGH, BottleG: e.BottleG, Into: e.Into,
		DissolvesShare: e.DissolvesShare, PowerW: e.PowerW, Doses: (*plan.Doses)(e.Doses), Circuit: e.Circuit,
		Supply: e.Supply}
}

func newPlanCarbonDioxide(e plan.CarbonDioxide) planCarbonDioxide {
	return planCarbonDioxide{ID: e.ID, FlowGH: e.FlowGH, BottleG: e.BottleG, Into: e.Into,
		DissolvesShare: e.DissolvesShare, PowerW: e.PowerW, Doses: (*planDoses)(e.Doses), Circuit: e.Circuit,
		Supply: e.Supply}
}

// newPlanContainers lists what stands ready; nothing where nothing does.
func newPlanContainers(in []audit.Container) []planHeldReady {
	if len(in) == 0 {
		return nil
	}
	return envelope.Each(in, func(c audit.Container) planHeldReady {
		out := planHeldReady{Element: c.Element, Holds: &c.HoldsL, Smallest: &c.SmallestL, Largest: &c.LargestL}
		if c.Gas {
			out = planHeldReady{Element: c.Element, HoldsG: &c.HoldsL, SmallestG: &c.SmallestL, LargestG: &c.LargestL}
		}
		if c.Limit != "" {
			out.Limit = &c.Limit
		}
		return out
	})
}

func newPlanDissolved(p *sim.DissolvedPeaks) *planDissolved {
	if p == nil {
		return nil
	}
	return &planDissolved{
		AlkalinityMinDKH: p.AlkalinityMin * carbonate.DKHPerMeqL,
		AlkalinityMaxDKH: p.AlkalinityMax * carbonate.DKHPerMeqL,
		PHMin:            p.PHMin, PHMax: p.PHMax, AragoniteMin: p.AragoniteMin, AragoniteMax: p.AragoniteMax,
	}
}

// dosingCautions are for the people who fill containers and open bottles.
func dosingCautions(p plan.Plan) []envelope.Caution {
	var out []envelope.Caution
	alkaline, calcium := false, false
	for _, x := range p.DosingPumps {
		alkaline = alkaline || x.Container.AlkalinityMeqL > 0
		calcium = calcium || x.Container.CalciumMgL > 0 && x.Container.AlkalinityMeqL == 0
	}
	caustic := alkaline
	for _, r := range p.Reservoirs {
		caustic = caustic || r.LimeShare != nil
	}
	if caustic {
		out = append(out, envelope.CausticPowders)
	}
	if alkaline && calcium {
		out = append(out, envelope.TwoStocks)
	}
	if len(p.CarbonDioxide) > 0 {
		out = append(out, envelope.CarbonDioxide)
	}
	return out
}

// beyondConstants warns where some course leaves the pH that the constants are stated for.
func beyondConstants(r audit.Report) []envelope.Warning {
	beyond := func(e audit.Extremes) bool {
		d := e.Dissolved
		return d != nil && (d.PHMin <= carbonate.LowestPH || d.PHMax >= carbonate.HighestPH)
	}
	for _, f := range r.Faults {
		if beyond(f.Extremes) {
			return []envelope.Warning{envelope.Warn(text.Of("ph_beyond_constants", text.Params{
				"fault": f.Fault.Sentence, "low": carbonate.LowestPH, "high": carbonate.HighestPH}), "")}
		}
	}
	for _, n := range r.Nominal {
		if beyond(n.Extremes) {
			return []envelope.Warning{envelope.Warn(text.Of("ph_beyond_constants_unbroken", text.Params{
				"low": carbonate.LowestPH, "high": carbonate.HighestPH}), "")}
		}
	}
	return nil
}
