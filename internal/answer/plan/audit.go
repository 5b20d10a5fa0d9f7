package plan

import (
	"context"
	"math"
	"slices"
	"strings"

	"saltwright/internal/answer/envelope"
	"saltwright/internal/answer/picture"
	"saltwright/internal/calc/audit"
	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/remedy"
	"saltwright/internal/calc/text"
	"saltwright/internal/catalogue"
	"saltwright/internal/chart"
	"saltwright/internal/contract"
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
	Contacts    []planContact `json:"contacts"`
	Faults      []planFault   `json:"faults"`
	Course      *planCourse   `json:"course,omitempty"`

	Containers []planHeldReady `json:"containers,omitempty"`
}

type planContact struct {
	Element       string   `json:"element"`
	Output        string   `json:"output,omitempty"`
	StartsPerDay  float64  `json:"starts_per_day"`
	StartsPerYear float64  `json:"starts_per_year"`
	LifeY         *float64 `json:"life_years,omitempty"`
	WeldsPerYear  float64  `json:"welds_per_year"`
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
	SumpMaxC       float64 `json:"sump_temp_max_c"`
	ChangeK        float64 `json:"temp_change_k"`
	ChangePSU      float64 `json:"salinity_change_psu"`

	Dissolved *planDissolved `json:"dissolved,omitempty"`
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
	Person  string  `json:"person,omitempty"`
}

type planNoHelp struct {
	Why      string    `json:"why"`
	Alarms   []string  `json:"alarms"`
	LateH    *float64  `json:"late_h,omitempty"`
	Sentence text.Text `json:"sentence"`
}

type planOxygenSpread struct {
	LeastMgLH float64  `json:"least_demand_mg_l_h"`
	MostMgLH  float64  `json:"most_demand_mg_l_h"`
	LeastH    *float64 `json:"harm_h_at_least,omitempty"`
	MostH     *float64 `json:"harm_h_at_most,omitempty"`
}

type planFault struct {
	ID                  string            `json:"id"`
	Element             string            `json:"element"`
	Kind                string            `json:"kind"`
	Mode                string            `json:"mode"`
	Sentence            text.Text         `json:"sentence"`
	Verdict             string            `json:"verdict"`
	Hidden              bool              `json:"hidden"`
	RevealedBy          []text.Text       `json:"revealed_by"`
	Room                string            `json:"room"`
	Crossings           []planCrossing    `json:"crossings"`
	FirstHarm           *string           `json:"first_harm,omitempty"`
	HarmH               *float64          `json:"harm_h,omitempty"`
	FirstLoss           *string           `json:"first_loss,omitempty"`
	LossH               *float64          `json:"loss_h,omitempty"`
	Damage              []string          `json:"damage"`
	Oxygen              *planOxygenSpread `json:"oxygen_spread,omitempty"`
	Alarm               *planAlarmReached `json:"alarm,omitempty"`
	NoHelp              []planNoHelp      `json:"no_help,omitempty"`
	MarginH             *float64          `json:"margin_h,omitempty"`
	StoppedBy           []text.Text       `json:"stopped_by"`
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
		Nominal: envelope.Each(r.Nominal, newPlanNominal), Contacts: envelope.Each(r.Contacts, newPlanContact),
		Faults: envelope.Each(r.Faults, newPlanFault), Containers: newPlanContainers(r.Containers),
	}
}

func newPlanContact(c audit.Contact) planContact {
	out := planContact{Element: c.Element, Output: c.Output, StartsPerDay: c.StartsPerDay,
		StartsPerYear: c.StartsPerDay * quantity.DaysPerYear, WeldsPerYear: c.PerYear}
	if !math.IsInf(c.LifeY, 1) {
		out.LifeY = &c.LifeY
	}
	return out
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
		SumpMaxC: e.SumpMaxC, ChangeK: e.TempChangeK, ChangePSU: e.SalinityChange,
		Dissolved: newPlanDissolved(e.Dissolved),
	}
}

func newPlanFault(f audit.FaultReport) planFault {
	out := planFault{
		ID: f.Fault.ID, Element: f.Fault.Element, Kind: f.Fault.Kind, Mode: f.Fault.Mode, Sentence: f.Fault.Sentence,
		Verdict: string(f.Verdict), Hidden: f.Hidden, RevealedBy: envelope.List(f.RevealedBy), Room: string(f.Room),
		Crossings: envelope.Each(f.Crossings, newPlanCrossing), HarmH: f.HarmH, LossH: f.LossH,
		Damage: envelope.List(f.Damage), Oxygen: (*planOxygenSpread)(f.Oxygen), MarginH: f.MarginH,
		StoppedBy: envelope.List(f.StoppedBy),
		Extremes:  newPlanExtremes(f.Extremes), TempHeadroomK: f.NearestK, SalinityHeadroomPSU: f.NearestPSU,
		Alarm: (*planAlarmReached)(f.Alarm), Truncated: f.Truncated,
	}
	for _, n := range f.NoHelp {
		out.NoHelp = append(out.NoHelp, planNoHelp{string(n.Why), envelope.List(n.Alarms), n.LateH, n.Sentence()})
	}
	if f.FirstHarm != "" {
		out.FirstHarm = &f.FirstHarm
	}
	if f.FirstLoss != "" {
		out.FirstLoss = &f.FirstLoss
	}
	return out
}

// mostBriefFindings is how many findings a brief answer tells.
const mostBriefFindings = 5

// shortened leaves out what a reader did not ask for: detail is brief, usual or full.
func (r planAuditResponse) shortened(detail string) planAuditResponse {
	switch detail {
	case "brief":
		r.Findings = r.Findings[:min(len(r.Findings), mostBriefFindings)]
		r.Nominal, r.Faults, r.Contacts = []planNominal{}, []planFault{}, []planContact{}
	case "usual":
		held := func(f planFault) bool { return f.Verdict == string(audit.Held) }
		r.Faults = slices.DeleteFunc(r.Faults, held)
	}
	return r
}

// AuditPlan simulates a plan with every single fault.
func AuditPlan(
	ctx context.Context, asked *contract.Request, r Request,
) (envelope.Answer[planAuditResponse], error) {
	audited, err := audit.Follow(ctx, r.Plan())
	if err != nil {
		return envelope.Answer[planAuditResponse]{}, err
	}
	document, err := newPlanDocument(asked.Raw(), r.Plan())
	if err != nil {
		return envelope.Answer[planAuditResponse]{}, err
	}
	if audited.Report.Findings, err = remedy.Advise(ctx, audited.Report, r.Plan(),
		document.reread(asked.Operation)); err != nil {
		return envelope.Answer[planAuditResponse]{}, err
	}
	found := audited.Report
	told, err := toldCourse(ctx, asked, audited)
	if err != nil {
		return envelope.Answer[planAuditResponse]{}, err
	}
	detail, _ := asked.Parameter("detail").(string)
	result := newPlanAuditResponse(found)
	if result.Findings, err = newProvedFindings(document, found.Findings); err != nil {
		return envelope.Answer[planAuditResponse]{}, err
	}
	result = result.shortened(detail)
	result.Course = newPlanCourse(told)
	reached, err := films(found.Plan)
	if err != nil {
		return envelope.Answer[planAuditResponse]{}, err
	}
	return envelope.Answer[planAuditResponse]{
		Result: result, Brief: detail == "brief", Reached: reached,
		Charts: func(u catalogue.Reader) ([]chart.Chart, error) {
			if told != nil {
				return courseCharts(picture.For(u), []audit.Timeline{told.Timeline}), nil
			}
			runs, err := audited.Timelines(ctx, mostCourses)
			return courseCharts(picture.For(u), runs), err
		},
		Headline: auditHeadline(found), Details: auditDetails(found),
		KeyFigures: auditFigures(found), Actions: auditActions(found),
		Assumptions: planAssumptions(found.Assumptions, "#"), Cautions: planCautions(found),
		Warnings: beyondConstants(found),
		Sources: []string{
			"ASHRAEApplications", "ColeCaraco1998", "CommonPractice", "Derived", "IEC60812", "NOAACoralReefWatch",
			"SmithLofJones1998",
		},
	}, nil
}

// failsByItself tells whether a plan comes to harm with nothing broken.
func failsByItself(r audit.Report) bool {
	return slices.ContainsFunc(r.Findings, func(f audit.Finding) bool {
		return f.Severity == audit.Fatal && strings.HasPrefix(f.Code, "nominal_")
	})
}

func auditHeadline(r audit.Report) text.Text {
	lost, harmed, worst := r.Count(audit.Lost), r.Count(audit.Harmed), r.Worst()
	failing := func(code string, n int) text.Text {
		return text.Of(code, text.Params{"count": n, "total": float64(len(r.Faults)), "time": *worst.EndsH()})
	}
	switch {
	case r.Sound():
		return counted("audit_sound", len(r.Faults))
	case failsByItself(r):
		return text.Of("audit_fails_by_itself", nil)
	case worst == nil:
		return text.Of("audit_switches_without_end", text.Params{"count": lost})
	case lost > 0:
		return failing("audit_loses", lost)
	}
	return failing("audit_harms", harmed)
}

func auditDetails(r audit.Report) text.Text {
	said := []text.Text{text.Of("audit_followed",
		text.Params{"volume": r.Tank.DisplayL + r.Tank.SumpL, "time": r.HorizonH})}
	if worst := r.Worst(); worst != nil {
		said = append(said, worst.End())
	}
	return text.Sentences(append(said,
		counted("audit_held", r.Count(audit.Held)), counted("audit_rescued", r.Count(audit.Rescued)),
		counted("audit_harmed", r.Count(audit.Harmed)), counted("audit_lost", r.Count(audit.Lost)),
		counted("audit_hidden", r.HiddenCount()))...)
}

func auditFigures(r audit.Report) []envelope.KeyFigure {
	out := []envelope.KeyFigure{
		count("audit_followed_figure", len(r.Faults)), count("audit_held_figure", r.Count(audit.Held)),
		count("audit_rescued_figure", r.Count(audit.Rescued)),
	}
	switch lost, harmed := r.Count(audit.Lost), r.Count(audit.Harmed); {
	case lost > 0:
		out = append(out, count("audit_lost_figure", lost))
	case harmed > 0:
		out = append(out, count("audit_harmed_figure", harmed))
	}
	if worst := r.Worst(); worst != nil {
		out = append(out, envelope.KeyFigure{
			Label: text.Of("audit_first_harm_figure", nil), Value: *worst.EndsH(), Quantity: "duration"})
	}
	return out
}

// soonestLookH is less than anybody is asked to come by for, and lookShare how much of the time to harm may pass until
// somebody looks; common practice, no source.
const (
	soonestLookH = 2.0
	lookShare    = 0.9
	atOnceH      = 0.25 // harm that nobody beside the tank would forestall
)

// auditActions says what to mend first, what to do until that is built, and which other changes have proved themselves.
func auditActions(r audit.Report) []text.Text {
	i := slices.IndexFunc(r.Findings, func(f audit.Finding) bool { return f.Severity == audit.Fatal })
	if i < 0 {
		if changes := firstChanges(r.Findings, audit.Weak); len(changes) > 0 {
			return changes
		}
		return []text.Text{text.Of("audit_nothing_to_change", nil)}
	}
	out := []text.Text{text.Of("audit_mend_by_itself", text.Params{"change": r.Findings[i].Change})}
	if f := soonest(r, r.Findings[i]); f != nil {
		out[0] = text.Of("audit_mend_first",
			text.Params{"fault": f.Fault.Sentence, "change": r.Findings[i].Change})
	}
	out = append(out, untilThen(r)...)
	return append(out, provedChanges(r.Findings[i+1:])...)
}

// soonest is the fault of a finding that ends first; nil: nothing is broken in it.
func soonest(r audit.Report, f audit.Finding) *audit.FaultReport {
	var first *audit.FaultReport
	for k := range r.Faults {
		x := &r.Faults[k]
		if slices.Contains(f.Faults, x.Fault.ID) && x.EndsH() != nil &&
			(first == nil || *x.EndsH() < *first.EndsH()) {
			first = x
		}
	}
	return first
}

// untilThen says how to live with what is harmed or lost: look before the first of it, and feed little where it is want
// of oxygen.
func untilThen(r audit.Report) []text.Text {
	var first *audit.FaultReport
	for k := range r.Faults {
		f := &r.Faults[k]
		if !f.Verdict.Sound() && f.HarmH != nil && (first == nil || *f.HarmH < *first.HarmH) {
			first = f
		}
	}
	if first == nil {
		return nil
	}
	out := []text.Text{text.Of("audit_until_then_stay", text.Params{"time": *first.HarmH})}
	switch look := math.Floor(lookShare * *first.HarmH); {
	case look >= soonestLookH:
		out[0] = text.Of("audit_until_then_look", text.Params{"look": look, "time": *first.HarmH})
	case *first.HarmH < atOnceH:
		out[0] = text.Of("audit_until_then_nothing", nil)
	}
	switch o := first.Oxygen; {
	case first.FirstHarm != "airless" || o == nil:
	case o.LeastH == nil:
		out = append(out, text.Of("audit_until_then_feed_little", nil))
	case *o.LeastH > *first.HarmH:
		out = append(out, text.Of("audit_until_then_feed_less",
			text.Params{"latest": *o.LeastH, "time": *first.HarmH}))
	}
	return out
}

// provedChanges are the first changes of findings that were made and audited.
func provedChanges(in []audit.Finding) []text.Text {
	var out []text.Text
	for _, f := range in {
		if f.Change.Code == "change_proved" && len(out) < mostActions-1 {
			out = append(out, f.Change)
		}
	}
	return out
}
