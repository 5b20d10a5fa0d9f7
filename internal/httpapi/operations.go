package httpapi

// operations is the only table of handlers: operationId -> handler.
func operations() map[string]registration {
	evaporation := calculation(nil, evaporate)
	balance := calculation(tankRename, heatBalance)
	sizing := calculation(sizingRename, sizeHeater)
	endurance := calculation(topOffRename, topOffEndurance)
	salinity := calculation(salinityRename, convertSalinity)
	return map[string]registration{
		"getIndex":               {serve: getIndex},
		"listSources":            {serve: listSources},
		"getProblem":             {serve: getProblem},
		"getSalinityConversion":  salinity,
		"postSalinityConversion": salinity,
		"postLightScheduleScore": calculation(lightRename, scoreLight),
		"getEvaporation":         evaporation,
		"postEvaporation":        evaporation,
		"getHeatBalance":         balance,
		"postHeatBalance":        balance,
		"getHeaterSizing":        sizing,
		"postHeaterSizing":       sizing,
		"getTopOffEndurance":     endurance,
		"postTopOffEndurance":    endurance,
		"postPlanAudit":          calculation(planRename, auditPlan),
	}
}
