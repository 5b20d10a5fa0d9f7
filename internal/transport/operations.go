package transport

import (
	"saltwright/internal/answer/heat"
	"saltwright/internal/answer/light"
	"saltwright/internal/answer/plan"
	"saltwright/internal/answer/power"
	"saltwright/internal/answer/water"
)

// operations is the only table of handlers: operationId -> handler. What is flat
// answers to GET at an address of its own as well.
func operations() map[string]registration {
	out := map[string]registration{
		"getIndex":    {serve: getIndex},
		"listSources": {serve: listSources},
		"getProblem":  {serve: getProblem},
		"postBatch":   {serve: runBatch, request: new(batchRequest), response: new(batchResponse)},

		"postAnnualBalance":      calculation(nil, heat.AnnualBalance),
		"postLightAcclimation":   calculation(nil, light.Acclimate),
		"postLightAdjustment":    calculation(nil, light.AdjustLight),
		"postLightComparison":    calculation(nil, light.CompareLight),
		"postLightScheduleScore": calculation(nil, light.ScoreLight),
		"postModelCalibration":   calculation(nil, heat.Calibrate),
		"postPlanAudit":          reported(),
		"postPlanCheck":          calculation(plan.Names, plan.CheckPlan),
		"postPlanDraft":          calculation(plan.DraftNames, plan.DraftPlan),
		"postPlanHandOver":       calculation(plan.Names, plan.HandOverPlan),
		"postPlanRemedies":       calculation(plan.Names, plan.RemedyPlan),
		"postPlanRisk":           calculation(plan.RiskNames, plan.RiskOfPlan),
		"postPowerBudget":        calculation(nil, power.BudgetPower),
		"postReturnFlow":         calculation(nil, water.FlowBack),
	}
	for id, r := range map[string]registration{
		"postChillerSizing":      calculation(nil, heat.SizeChiller),
		"postDaylight":           calculation(nil, light.Daylight),
		"postEvaporation":        calculation(nil, water.Evaporate),
		"postEvaporativeCooling": calculation(nil, heat.CoolByFan),
		"postHeatBalance":        calculation(nil, heat.HeatBalance),
		"postHeaterSizing":       calculation(nil, heat.SizeHeater),
		"postInstrumentReading":  calculation(nil, water.ReadInstrument),
		"postOutageEndurance":    calculation(nil, power.EndureOutage),
		"postSalinityAdjustment": calculation(nil, water.AdjustSalinity),
		"postSalinityConversion": calculation(nil, water.ConvertSalinity),
		"postSaltMix":            calculation(nil, water.MixSalt),
		"postSumpDrainBack":      calculation(nil, water.DrainBack),
		"postTopOffEndurance":    calculation(nil, water.TopOffEndurance),
	} {
		out[id], out["get"+id[len("post"):]] = r, r
	}
	return out
}
