package transport

import (
	"saltwright/internal/answer/heat"
	"saltwright/internal/answer/light"
	"saltwright/internal/answer/plan"
	"saltwright/internal/answer/power"
	"saltwright/internal/answer/tank"
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

		"postAnnualBalance":      calculation(heat.AnnualNames, heat.AnnualBalance),
		"postLightAcclimation":   calculation(light.ChangeNames, light.Acclimate),
		"postLightAdjustment":    calculation(light.ChangeNames, light.AdjustLight),
		"postLightComparison":    calculation(light.Names, light.CompareLight),
		"postLightScheduleScore": calculation(light.Names, light.ScoreLight),
		"postModelCalibration":   calculation(heat.CalibrationNames, heat.Calibrate),
		"postPlanAudit":          reported(),
		"postPlanCheck":          calculation(nil, plan.CheckPlan),
		"postPlanDraft":          calculation(nil, plan.DraftPlan),
		"postPlanHandOver":       calculation(nil, plan.HandOverPlan),
		"postPlanRemedies":       calculation(nil, plan.RemedyPlan),
		"postPlanRisk":           calculation(nil, plan.RiskOfPlan),
		"postPowerBudget":        calculation(nil, power.BudgetPower),
		"postReturnFlow":         calculation(water.ReturnFlowNames, water.FlowBack),
	}
	for id, r := range map[string]registration{
		"postChillerSizing":      calculation(heat.ChillerNames, heat.SizeChiller),
		"postDaylight":           calculation(nil, light.Daylight),
		"postEvaporation":        calculation(water.EvaporationNames, water.Evaporate),
		"postEvaporativeCooling": calculation(heat.EvaporativeCoolingNames, heat.CoolByFan),
		"postHeatBalance":        calculation(tank.Names, heat.HeatBalance),
		"postHeaterSizing":       calculation(tank.SizingNames, heat.SizeHeater),
		"postInstrumentReading":  calculation(water.InstrumentNames, water.ReadInstrument),
		"postOutageEndurance":    calculation(power.OutageNames, power.EndureOutage),
		"postSalinityAdjustment": calculation(water.AdjustmentNames, water.AdjustSalinity),
		"postSalinityConversion": calculation(water.Names, water.ConvertSalinity),
		"postSaltMix":            calculation(nil, water.MixSalt),
		"postSumpDrainBack":      calculation(water.DrainBackNames, water.DrainBack),
		"postTopOffEndurance":    calculation(water.TopOffNames, water.TopOffEndurance),
	} {
		out[id], out["get"+id[len("post"):]] = r, r
	}
	return out
}
