// Package answer is where a request meets the calculations and a person is spoken to: it reads a request of the
// contract, has internal/calc calculate, and says what came out. It knows no HTTP.
//
//	operations.go   operationId -> what answers it, the only table
//	calculation.go  request -> typed input -> calculation -> envelope
//	study.go        the same again with what nobody stated drawn anew
//	heat, water, light, power, plan   what is asked and what is said, by subject
//	tank, schedule                    what several subjects ask for
//	envelope, words                   what every answer has; numbers and units for people
package answer

import (
	"fmt"

	"saltwright/internal/answer/chemistry"
	"saltwright/internal/answer/heat"
	"saltwright/internal/answer/light"
	"saltwright/internal/answer/plan"
	"saltwright/internal/answer/power"
	"saltwright/internal/answer/water"
	"saltwright/internal/contract"
)

// bindings is the only table: operationId -> what answers it. What is flat, or a plan that
// packs into a link, answers to GET at an address of its own too.
func bindings() map[string]binding {
	out := map[string]binding{
		"listSources": bibliography,
		"listTexts":   textCodes,

		"postAnnualBalance":      calculation(heat.AnnualBalance),
		"postLightAcclimation":   calculation(light.Acclimate),
		"postLightAdjustment":    calculation(light.AdjustLight),
		"postLightComparison":    calculation(light.CompareLight),
		"postLightScheduleScore": calculation(light.ScoreLight),
		"postConsumption":        calculation(chemistry.Consumption),
		"postModelCalibration":   calculation(heat.Calibrate),
		"postPlanDraft":          calculation(plan.DraftPlan),
		"postPowerBudget":        calculation(power.BudgetPower),
		"postReturnFlow":         calculation(water.FlowBack),
	}
	for id, b := range map[string]binding{
		"postCarbonateSystem":    calculation(chemistry.Carbonate),
		"postChillerSizing":      calculation(heat.SizeChiller),
		"postDaylight":           calculation(light.Daylight),
		"postEvaporation":        calculation(water.Evaporate),
		"postEvaporativeCooling": calculation(heat.CoolByFan),
		"postHeatBalance":        calculation(heat.HeatBalance),
		"postHeaterSizing":       calculation(heat.SizeHeater),
		"postInstrumentReading":  calculation(water.ReadInstrument),
		"postDose":               calculation(chemistry.Dose),
		"postLimeWater":          calculation(chemistry.LimeWater),
		"postPlanAudit":          reported(calculationOfDocument(plan.AuditPlan), plan.WriteReport),
		"postPlanCheck":          calculationOfDocument(plan.CheckPlan),
		"postPlanHandOver":       calculation(plan.HandOverPlan),
		"postPlanRemedies":       calculationOfDocument(plan.RemedyPlan),
		"postPlanRisk":           calculation(plan.RiskOfPlan),
		"postOutageEndurance":    calculation(power.EndureOutage),
		"postSalinityAdjustment": calculation(water.AdjustSalinity),
		"postSalinityConversion": calculation(water.ConvertSalinity),
		"postSaltMix":            calculation(water.MixSalt),
		"postSumpDrainBack":      calculation(water.DrainBack),
		"postTopOffEndurance":    calculation(water.TopOffEndurance),
		"postWaterChange":        calculation(chemistry.ChangeWater),
	} {
		out[id], out["get"+id[len("post"):]] = b, b
	}
	return out
}

// Operations makes every operation of the table ready. Errors: an operation that the contract does not have, or whose
// types do not fit it.
func Operations(c *contract.Contract) (map[string]Operation, error) {
	out := map[string]Operation{}
	for id, bind := range bindings() {
		o := c.Operation(id)
		if o == nil {
			return nil, fmt.Errorf("%s is answered and stands not in the contract", id)
		}
		ready, err := bind(o)
		if err != nil {
			return nil, err
		}
		out[id] = ready
	}
	return out, nil
}
