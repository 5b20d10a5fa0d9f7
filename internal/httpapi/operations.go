package httpapi

// operations is the only table of handlers: operationId -> handler. What is flat
// answers to GET at an address of its own as well.
func operations() map[string]registration {
	out := map[string]registration{
		"getIndex":    {serve: getIndex},
		"listSources": {serve: listSources},
		"getProblem":  {serve: getProblem},
		"postBatch":   {serve: runBatch, request: new(batchRequest), response: new(batchResponse)},

		"postAnnualBalance":      calculation(annualRename, annualBalance),
		"postLightAcclimation":   calculation(lightChangeRename, acclimate),
		"postLightAdjustment":    calculation(lightChangeRename, adjustLight),
		"postLightComparison":    calculation(lightRename, compareLight),
		"postLightScheduleScore": calculation(lightRename, scoreLight),
		"postModelCalibration":   calculation(calibrationRename, calibrate),
		"postPlanAudit":          reported(),
		"postPlanCheck":          calculation(nil, checkPlan),
		"postPlanDraft":          calculation(nil, draftPlan),
		"postPlanHandOver":       calculation(nil, handOverPlan),
		"postPlanRemedies":       calculation(nil, remedyPlan),
		"postPlanRisk":           calculation(nil, riskOfPlan),
		"postPowerBudget":        calculation(nil, budgetPower),
		"postReturnFlow":         calculation(returnFlowRename, flowBack),
	}
	for id, r := range map[string]registration{
		"postChillerSizing":      calculation(chillerRename, sizeChiller),
		"postDaylight":           calculation(nil, daylight),
		"postEvaporation":        calculation(evaporationRename, evaporate),
		"postEvaporativeCooling": calculation(evaporativeCoolingRename, coolByFan),
		"postHeatBalance":        calculation(tankRename, heatBalance),
		"postHeaterSizing":       calculation(sizingRename, sizeHeater),
		"postInstrumentReading":  calculation(instrumentRename, readInstrument),
		"postOutageEndurance":    calculation(outageRename, endureOutage),
		"postSalinityAdjustment": calculation(salinityAdjustmentRename, adjustSalinity),
		"postSalinityConversion": calculation(salinityRename, convertSalinity),
		"postSaltMix":            calculation(nil, mixSalt),
		"postSumpDrainBack":      calculation(drainBackRename, drainBack),
		"postTopOffEndurance":    calculation(topOffRename, topOffEndurance),
	} {
		out[id], out["get"+id[len("post"):]] = r, r
	}
	return out
}
