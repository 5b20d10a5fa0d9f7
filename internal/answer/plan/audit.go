package plan

import (
	"context"
	"fmt"
	"strings"

	"saltwright/internal/answer/envelope"
	"saltwright/internal/answer/picture"
	"saltwright/internal/calc/audit"
	"saltwright/internal/catalogue"
	"saltwright/internal/chart"
)

type planAuditResponse struct {
	Sound       bool          `json:"sound"`
	HorizonH    float64       `json:"horizon_h"`
	FaultsTotal int           `json:"faults_total"`
	Held        int           `json:"held"`
	Rescued     int           `json:"rescued"`
	Harmed      int           `json:"harmed"`
	Lost        int           `json:"lost"`
	Hidden      int           `json:"hidden"`
	Tank        planTank      `json:"tank"`
	Findings    []planFinding `json:"findings"`
	Nominal     []planNominal `json:"nominal"`
	Faults      []planFault   `json:"faults"`
}

type planTank struct {
	DisplayL      float64 `json:"display_l"`
	SumpL         float64 `json:"sump_l"`
	DrainBackL    float64 `json:"drain_back_l"`
	FreeSumpL     float64 `json:"free_sump_l"`
	HeatLossWK    float64 `json:"heat_loss_w_k"`
	TimeConstantH float64 `json:"time_constant_h"`
}

type planCrossing struct {
	Loss         string   `json:"loss"`
	ComfortH     *float64 `json:"comfort_h,omitempty"`
	HarmH        *float64 `json:"harm_h,omitempty"`
	LossH        *float64 `json:"loss_h,omitempty"`
	WithoutFault bool     `json:"without_fault"`
}

type planExtremes struct {
	TempMinC       float64 `json:"temp_min_c"`
	TempMaxC       float64 `json:"temp_max_c"`
	SalinityMinPSU float64 `json:"salinity_min_psu"`
	SalinityMaxPSU float64 `json:"salinity_max_psu"`
	LevelMinMM     float64 `json:"level_min_mm"`
	LevelMaxMM     float64 `json:"level_max_mm"`
	OxygenMinMgL   float64 `json:"oxygen_min_mg_l"`
	SpilledL       float64 `json:"spilled_l"`
}

type planDeviceUse struct {
	ID           string  `json:"id"`
	DutyShare    float64 `json:"duty_share"`
	StartsPerDay float64 `json:"starts_per_day"`
	EnergyKWhD   float64 `json:"energy_kwh_d"`
}

type planReservoirEmpty struct {
	ID     string  `json:"id"`
	AfterH float64 `json:"after_h"`
}

type planNominal struct {
	Room            string               `json:"room"`
	TempC           float64              `json:"temp_c"`
	RHPercent       float64              `json:"rh_percent"`
	Hours           float64              `json:"hours"`
	InComfort       bool                 `json:"in_comfort"`
	Crossings       []planCrossing       `json:"crossings"`
	Extremes        planExtremes         `json:"extremes"`
	Devices         []planDeviceUse      `json:"devices"`
	EvaporationLD   float64              `json:"evaporation_l_d"`
	TopOffLD        float64              `json:"top_off_l_d"`
	EnergyKWhD      float64              `json:"energy_kwh_d"`
	ReservoirsEmpty []planReservoirEmpty `json:"reservoirs_empty"`
	Truncated       bool                 `json:"truncated"`
}

type planAlarmReached struct {
	ID      string  `json:"id"`
	RaisedH float64 `json:"raised_h"`
	ActH    float64 `json:"act_h"`
}

type planFault struct {
	ID                  string            `json:"id"`
	Element             string            `json:"element"`
	Kind                string            `json:"kind"`
	Mode                string            `json:"mode"`
	Sentence            string            `json:"sentence"`
	Verdict             string            `json:"verdict"`
	Hidden              bool              `json:"hidden"`
	RevealedBy          []string          `json:"revealed_by"`
	Room                string            `json:"room"`
	Crossings           []planCrossing    `json:"crossings"`
	FirstHarm           *string           `json:"first_harm,omitempty"`
	HarmH               *float64          `json:"harm_h,omitempty"`
	FirstLoss           *string           `json:"first_loss,omitempty"`
	LossH               *float64          `json:"loss_h,omitempty"`
	Damage              []string          `json:"damage"`
	Alarm               *planAlarmReached `json:"alarm,omitempty"`
	MarginH             *float64          `json:"margin_h,omitempty"`
	StoppedBy           []string          `json:"stopped_by"`
	Extremes            planExtremes      `json:"extremes"`
	TempHeadroomK       float64           `json:"temp_headroom_k"`
	SalinityHeadroomPSU float64           `json:"salinity_headroom_psu"`
	Truncated           bool              `json:"truncated"`
}

func newPlanAuditResponse(r audit.Report) planAuditResponse {
	return planAuditResponse{
		Sound: r.Sound(), HorizonH: r.HorizonH, FaultsTotal: len(r.Faults),
		Held: r.Count(audit.Held), Rescued: r.Count(audit.Rescued),
		Harmed: r.Count(audit.Harmed), Lost: r.Count(audit.Lost),
		Hidden: r.HiddenCount(),
		Tank:   planTank(r.Tank), Findings: newPlanFindings(r.Findings),
		Nominal: envelope.Each(r.Nominal, newPlanNominal), Faults: envelope.Each(r.Faults, newPlanFault),
	}
}

func newPlanCrossing(c audit.Crossing) planCrossing {
	return planCrossing{Loss: c.Loss, ComfortH: c.ComfortH, HarmH: c.HarmH, LossH: c.LossH,
		WithoutFault: c.WithoutFault}
}

func newPlanNominal(n audit.NominalReport) planNominal {
	return planNominal{
		Room: string(n.Room), TempC: n.TempC, RHPercent: n.RHPercent, Hours: n.Hours, InComfort: n.InComfort,
		Crossings: envelope.Each(n.Crossings, newPlanCrossing), Extremes: newPlanExtremes(n.Extremes),
		Devices: envelope.Each(n.Devices, func(d audit.DeviceUse) planDeviceUse {
			return planDeviceUse{ID: d.ID, DutyShare: d.DutyShare, StartsPerDay: d.StartsPerDay,
				EnergyKWhD: d.KWhPerDay}
		}),
		EvaporationLD: n.EvaporationLD, TopOffLD: n.TopOffLD, EnergyKWhD: n.KWhPerDay, Truncated: n.Truncated,
		ReservoirsEmpty: envelope.Each(n.ReservoirEmpty, func(e audit.ReservoirEmpty) planReservoirEmpty {
			return planReservoirEmpty(e)
		}),
	}
}

func newPlanExtremes(e audit.Extremes) planExtremes {
	return planExtremes{
		TempMinC: e.TempMinC, TempMaxC: e.TempMaxC, SalinityMinPSU: e.SalinityMin, SalinityMaxPSU: e.SalinityMax,
		LevelMinMM: e.LevelMinMM, LevelMaxMM: e.LevelMaxMM, OxygenMinMgL: e.OxygenMinMgL, SpilledL: e.SpilledL,
	}
}

func newPlanFault(f audit.FaultReport) planFault {
	out := planFault{
		ID: f.Fault.ID, Element: f.Fault.Element, Kind: f.Fault.Kind, Mode: f.Fault.Mode, Sentence: f.Fault.Sentence,
		Verdict: string(f.Verdict), Hidden: f.Hidden, RevealedBy: envelope.List(f.RevealedBy), Room: string(f.Room),
		Crossings: envelope.Each(f.Crossings, newPlanCrossing), HarmH: f.HarmH, LossH: f.LossH,
		Damage: envelope.List(f.Damage), MarginH: f.MarginH,
		StoppedBy: envelope.List(f.StoppedBy),
		Extremes:  newPlanExtremes(f.Extremes), TempHeadroomK: f.NearestK, SalinityHeadroomPSU: f.NearestPSU,
		Alarm: (*planAlarmReached)(f.Alarm), Truncated: f.Truncated,
	}
	if f.FirstHarm != "" {
		out.FirstHarm = &f.FirstHarm
	}
	if f.FirstLoss != "" {
		out.FirstLoss = &f.FirstLoss
	}
	return out
}

// AuditPlan simulates a plan with every single fault.
func AuditPlan(ctx context.Context, r Request) (envelope.Answer[planAuditResponse], error) {
	audited, err := audit.Follow(ctx, r.Plan())
	if err != nil {
		return envelope.Answer[planAuditResponse]{}, err
	}
	found := audited.Report
	return envelope.Answer[planAuditResponse]{
		Result: newPlanAuditResponse(found),
		Charts: func(u catalogue.Units) ([]chart.Chart, error) {
			runs, err := audited.Timelines(ctx, mostCourses)
			return courseCharts(picture.For(u), runs), err
		},
		Summary:     func(u catalogue.Units) string { return planSummary(found, u) },
		Assumptions: planAssumptions(found.Assumptions, "#"), Cautions: planCautions(found),
		Sources: []string{
			"ASHRAEApplications", "ColeCaraco1998", "CommonPractice", "Derived", "IEC60812", "SmithLofJones1998",
		},
	}, nil
}

// planSummary says in a few sentences what single failures do to the tank.
func planSummary(r audit.Report, u catalogue.Units) string {
	name := r.Plan.Name
	if name == "" {
		name = "This tank"
	}
	var b strings.Builder
	fmt.Fprintf(&b, "%s (%s): of %d single faults followed for %s, %d are held, %d are rescued by an alarm, %d do "+
		"harm or damage and %d lose the tank.", name, catalogue.Number(r.Tank.DisplayL+r.Tank.SumpL, "L", u), len(r.Faults),
		audit.Duration(r.HorizonH),
		r.Count(audit.Held), r.Count(audit.Rescued), r.Count(audit.Harmed), r.Count(audit.Lost))
	if first := r.Worst(); first != nil {
		fmt.Fprintf(&b, " The fastest: if %s, it %s after %s (%s; %s to %s).",
			first.Fault.Sentence, first.Does(), audit.Duration(*first.EndsH()),
			strings.ReplaceAll(first.Ends(), "_", " "),
			catalogue.Number(first.Extremes.TempMinC, "degC", u), catalogue.Number(first.Extremes.TempMaxC, "degC", u))
	}
	for _, f := range r.Findings {
		if f.Severity == audit.Fatal && strings.HasPrefix(f.Code, "nominal_") {
			b.WriteString(" The plan fails even with nothing broken.")
			break
		}
	}
	if n := r.HiddenCount(); n > 0 {
		fmt.Fprintf(&b, " %d faults show nowhere and wait for a second one.", n)
	}
	return b.String()
}
