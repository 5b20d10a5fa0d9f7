package chemistry

import (
	"context"

	"saltwright/internal/answer/envelope"
	"saltwright/internal/calc"
	"saltwright/internal/calc/carbonate"
	"saltwright/internal/calc/dosing"
	"saltwright/internal/calc/text"
	"saltwright/internal/catalogue"
	"saltwright/internal/chart"
)

type doseRequest struct {
	Raise          string   `json:"raise"`
	VolumeL        float64  `json:"volume_l"`
	Target         float64  `json:"target"`
	Alkalinity     *float64 `json:"alkalinity,omitempty"`
	AlkalinityUnit string   `json:"alkalinity_unit"`
	CalciumMgL     *float64 `json:"calcium_mg_l,omitempty"`
	MagnesiumMgL   *float64 `json:"magnesium_mg_l,omitempty"`
	PH             float64  `json:"ph"`
	PHScale        string   `json:"ph_scale"`
	Substance      *string  `json:"substance,omitempty"`
	Purity         float64  `json:"purity_share"`
	StockGL        *float64 `json:"stock_g_l,omitempty"`
	LabelML        *float64 `json:"label_ml,omitempty"`
	LabelL         *float64 `json:"label_l,omitempty"`
	LabelRise      *float64 `json:"label_rise,omitempty"`
	MostADay       *float64 `json:"most_a_day,omitempty"`
	DosesADay      int      `json:"doses_a_day"`
	Demand         *float64 `json:"demand,omitempty"`
	SalinityPSU    float64  `json:"salinity_psu"`
	WaterC         float64  `json:"water_c"`
}

type doseResponse struct {
	Substance      string     `json:"substance"`
	MassG          *float64   `json:"mass_g,omitempty"`
	VolumeML       *float64   `json:"volume_ml,omitempty"`
	Days           int        `json:"days"`
	DayG           *float64   `json:"mass_a_day_g,omitempty"`
	DayML          *float64   `json:"volume_a_day_ml,omitempty"`
	DoseG          *float64   `json:"mass_a_dose_g,omitempty"`
	DoseML         *float64   `json:"volume_a_dose_ml,omitempty"`
	Rise           float64    `json:"rise"`
	RiseADay       float64    `json:"rise_a_day"`
	PHNow          float64    `json:"ph_now"`
	OmegaNow       float64    `json:"omega_now"`
	PHAfterDose    float64    `json:"ph_after_dose"`
	OmegaAfterDose float64    `json:"omega_after_dose"`
	Saturation     string     `json:"saturation_after_dose"`
	PHAllAtOnce    *float64   `json:"ph_all_at_once,omitempty"`
	OmegaAllAtOnce *float64   `json:"omega_all_at_once,omitempty"`
	LargestAtOnce  float64    `json:"largest_rise_at_once"`
	CalciumBeside  *float64   `json:"calcium_besides_mg_l,omitempty"`
	AlkalinityDKH  *float64   `json:"alkalinity_besides_dkh,omitempty"`
	ChlorideMgL    *float64   `json:"chloride_mg_l,omitempty"`
	SulfateMgL     *float64   `json:"sulfate_mg_l,omitempty"`
	SalinityGKg    float64    `json:"salinity_rise_g_kg"`
	BalancedGKg    *float64   `json:"balanced_salt_g_kg_month,omitempty"`
	Steps          []doseStep `json:"steps"`
}

type doseStep struct {
	Day   int     `json:"day"`
	Level float64 `json:"level"`
	PH    float64 `json:"ph_after_dose"`
	Omega float64 `json:"omega_after_dose"`
}

// Common practice, no source: the alkalinity of a tank that nobody measured, and how fast each may rise.
const (
	usualAlkalinityDKH = 8.0
	mostDKHADay        = 1.0
	mostCalciumADay    = 20.0
	mostMagnesiumADay  = 50.0
)

// dkhPerMeq is what a milliequivalent in a litre is in German degrees.
const dkhPerMeq = carbonate.CalciumOxide / 20

// doseQuestion is a request, ready for the calculation, with what was assumed.
type doseQuestion struct {
	in       dosing.Input
	assumed  []envelope.Assumption
	perShown float64 // of the unit that answers use, in one of the calculation's
	quantity string  // of levels, as the catalogue names it
	unit     string  // of levels in answers
}

func (q *doseQuestion) assume(member string, value any, unit string) {
	q.assumed = append(q.assumed, envelope.Assumption{Pointer: "#/" + member, Value: value, Unit: unit,
		Why: "common_practice", Note: text.Of("assumed_for_a_dose", nil)})
}

func (r doseRequest) question() (doseQuestion, error) {
	q := doseQuestion{perShown: 1, quantity: "dissolved", unit: "mg/L"}
	alkalinity, unit := r.Alkalinity, r.AlkalinityUnit
	if alkalinity == nil {
		if r.Raise == string(dosing.Alkalinity) {
			return q, needed("alkalinity")
		}
		usual := usualAlkalinityDKH
		alkalinity, unit = &usual, string(carbonate.DKH)
		q.assume("alkalinity", usual, "dKH")
	}
	tank, err := carbonateRequest{Alkalinity: alkalinity, AlkalinityUnit: unit, PH: &r.PH, PHScale: r.PHScale,
		CalciumMgL: r.CalciumMgL, BoronShare: 1, SalinityPSU: r.SalinityPSU, WaterC: r.WaterC}.input()
	if err != nil {
		return q, err
	}
	q.in = dosing.Input{Raise: dosing.Raised(r.Raise), Tank: tank, VolumeL: r.VolumeL, Target: r.Target,
		Purity: r.Purity, StockGL: r.StockGL, DosesADay: r.DosesADay}
	meq := func(value float64) (float64, error) {
		kg, err := carbonate.FromUnit(value, carbonate.Unit(r.AlkalinityUnit), tank.Salinity, tank.Water)
		if err != nil {
			return 0, err
		}
		return carbonate.ToUnit(kg, carbonate.MeqPerLitre, tank.Salinity, tank.Water)
	}
	same := func(value float64) (float64, error) { return value, nil }
	convert, substance, most := same, dosing.CalciumChlorideDihydrate, mostCalciumADay
	switch q.in.Raise {
	case dosing.Alkalinity:
		q.perShown, q.quantity, q.unit = dkhPerMeq, "alkalinity", "dKH"
		convert, substance, most = meq, dosing.SodiumBicarbonate, mostDKHADay
		if r.LabelML != nil { // most solutions on sale raise the pH
			substance = dosing.SodiumCarbonate
		}
		q.in.Now, err = meq(*r.Alkalinity)
	case dosing.Calcium:
		if r.CalciumMgL == nil {
			return q, needed("calcium_mg_l")
		}
		q.in.Now = *r.CalciumMgL
	default:
		if r.MagnesiumMgL == nil {
			return q, needed("magnesium_mg_l")
		}
		q.in.Now = *r.MagnesiumMgL
		substance, most = dosing.MagnesiumChlorideHexahydrate, mostMagnesiumADay
	}
	if err != nil {
		return q, err
	}
	if q.in.Target, err = convert(r.Target); err != nil {
		return q, err
	}
	if r.Substance != nil {
		q.in.Substance = dosing.Substance(*r.Substance)
	} else {
		q.in.Substance = substance
		q.assume("substance", string(substance), "")
	}
	if r.MostADay != nil {
		q.in.MostADay, err = convert(*r.MostADay)
	} else {
		q.in.MostADay = most / q.perShown
		q.assume("most_a_day", most, q.unit)
	}
	if err != nil {
		return q, err
	}
	if r.Demand != nil {
		if q.in.DemandMeqL, err = meq(*r.Demand); err != nil {
			return q, err
		}
	}
	return q, r.label(&q, convert)
}

// label reads what a label claims: all three of its numbers or none.
func (r doseRequest) label(q *doseQuestion, convert func(float64) (float64, error)) error {
	switch {
	case r.LabelML == nil && r.LabelL == nil && r.LabelRise == nil:
		return nil
	case r.LabelML == nil || r.LabelL == nil || r.LabelRise == nil:
		return &calc.ConflictError{Params: []string{"label_ml", "label_l", "label_rise"},
			Reason: text.Of("dose_label_incomplete", nil)}
	case r.StockGL != nil:
		return &calc.ConflictError{Params: []string{"stock_g_l", "label_ml"},
			Reason: text.Of("dose_stock_twice", nil)}
	}
	rise, err := convert(*r.LabelRise)
	q.in.Label = &dosing.Label{ML: *r.LabelML, L: *r.LabelL, Rise: rise}
	return err
}

func needed(member string) error {
	return &calc.ConflictError{Params: []string{"raise"},
		Reason: text.Of("dose_needs_the_level", text.Params{"member": member})}
}

// unlessZero is nil for 0.
func unlessZero(x float64) *float64 {
	if x == 0 {
		return nil
	}
	return &x
}

func (q doseQuestion) response(d dosing.Result) doseResponse {
	out := doseResponse{
		Substance: string(q.in.Substance), MassG: unlessZero(d.MassG), VolumeML: unlessZero(d.VolumeML), Days: d.Days,
		DayG: unlessZero(d.DayG), DayML: unlessZero(d.DayML), DoseG: unlessZero(d.DoseG),
		DoseML: unlessZero(d.DoseML), Rise: d.Rise * q.perShown, RiseADay: d.Rise / float64(d.Days) * q.perShown,
		PHNow: d.Before.PHNBS, OmegaNow: d.Before.OmegaAragonite, PHAfterDose: d.Worst.PHNBS,
		OmegaAfterDose: d.Worst.OmegaAragonite, Saturation: string(d.Worst.Saturation()),
		LargestAtOnce: d.LargestAtOnce * q.perShown, CalciumBeside: unlessZero(d.CalciumMgL),
		AlkalinityDKH: unlessZero(d.AlkalinityMeq * dkhPerMeq), ChlorideMgL: unlessZero(d.ChlorideMgL),
		SulfateMgL: unlessZero(d.SulfateMgL), SalinityGKg: d.SalinityGKg,
		BalancedGKg: unlessZero(d.BalancedSaltGKgMonth), Steps: make([]doseStep, len(d.Steps)),
	}
	if d.AllAtOnceKnown {
		out.PHAllAtOnce, out.OmegaAllAtOnce = &d.AllAtOnce.PHNBS, &d.AllAtOnce.OmegaAragonite
	}
	for i, s := range d.Steps {
		out.Steps[i] = doseStep{s.Day, s.Level * q.perShown, s.Peak.PHNBS, s.Peak.OmegaAragonite}
	}
	return out
}

// Dose is how much raises alkalinity, calcium or magnesium, how fast, and what the water does meanwhile.
func Dose(_ context.Context, r doseRequest) (envelope.Answer[doseResponse], error) {
	q, err := r.question()
	if err != nil {
		return envelope.Answer[doseResponse]{}, err
	}
	d, err := dosing.Dose(q.in)
	if err != nil {
		return envelope.Answer[doseResponse]{}, err
	}
	out, headline := q.response(d), q.headline(d)
	return envelope.Answer[doseResponse]{
		Result: out, Headline: headline, Details: q.details(d), KeyFigures: q.figures(d),
		Actions: r.actions(q, d), Warnings: r.warnings(q), Assumptions: q.assumed, Cautions: q.cautions(),
		Sources: []string{"Moras2022", "PerryLime", "CommonPractice"}, Note: text.Of("dose_left_out", nil),
		Charts: func(u catalogue.Units) ([]chart.Chart, error) {
			return []chart.Chart{q.chart(u, headline, d)}, nil
		},
	}, nil
}

// tooMuch tells whether a single dose makes calcium carbonate fall out.
func (q doseQuestion) tooMuch(d dosing.Result) bool {
	return d.Rise/float64(d.Days*q.in.DosesADay) > d.LargestAtOnce
}

// amount is a level or a rise as answers write it.
func (q doseQuestion) amount(x float64) text.Amount {
	return text.Amount{Value: x * q.perShown, Unit: q.unit}
}

func (q doseQuestion) headline(d dosing.Result) text.Text {
	params := text.Params{"count": d.Days, "substance": string(q.in.Substance)}
	switch {
	case d.LargestAtOnce == 0:
		return text.Of("dose_not_now", text.Params{"saturation": d.Before.OmegaAragonite})
	case q.tooMuch(d):
		all := text.Amount{Value: d.MassG, Unit: "g"}
		if d.VolumeML > 0 {
			all = text.Amount{Value: d.VolumeML, Unit: "mL"}
		}
		return text.Of("dose_split_first", text.Params{"all": all, "largest": q.amount(d.LargestAtOnce)})
	case d.VolumeML > 0 && d.MassG == 0:
		return text.Of("dose_by_label", text.Params{"count": d.Days, "volume": d.VolumeML, "each": d.DayML})
	case d.VolumeML > 0:
		params["volume"], params["each"] = d.VolumeML, d.DayML
		return text.Of("dose_solution", params)
	}
	params["mass"], params["each"] = d.MassG, d.DayG
	return text.Of("dose_dry", params)
}

func (q doseQuestion) details(d dosing.Result) text.Text {
	said := []text.Text{text.Of("dose_raises", text.Params{"raised": string(q.in.Raise), "now": q.amount(q.in.Now),
		"target": q.amount(q.in.Target)})}
	if q.in.Raise != dosing.Magnesium { // which leaves pH and carbonate as they are
		said = append(said, text.Of("dose_after", text.Params{"ph": d.Worst.PHNBS,
			"saturation": d.Worst.OmegaAragonite}))
	}
	if d.SulfateMgL > 0 {
		said = append(said, text.Of("dose_leaves_sulfate", text.Params{"rise": d.SulfateMgL}))
	}
	if d.CalciumMgL > 0 {
		said = append(said, text.Of("dose_calcium_besides", text.Params{"rise": d.CalciumMgL}))
	}
	if d.AlkalinityMeq > 0 {
		said = append(said, text.Of("dose_alkalinity_besides", text.Params{"rise": d.AlkalinityMeq * dkhPerMeq}))
	}
	if d.BalancedSaltGKgMonth > 0 {
		said = append(said, text.Of("dose_leaves_salt", text.Params{"rise": d.BalancedSaltGKgMonth}))
	}
	return text.Sentences(said...)
}

func (q doseQuestion) figures(d dosing.Result) []envelope.KeyFigure {
	out := []envelope.KeyFigure{{Label: text.Of("dose_days_figure", nil), Value: float64(d.Days),
		Quantity: "number"}}
	if d.MassG > 0 {
		out = append(out, envelope.KeyFigure{Label: text.Of("dose_mass_a_day_figure", nil), Value: d.DayG,
			Quantity: "small_mass"})
	}
	if d.VolumeML > 0 {
		out = append(out, envelope.KeyFigure{Label: text.Of("dose_volume_a_day_figure", nil), Value: d.DayML,
			Quantity: "small_volume"})
	}
	if q.in.Raise == dosing.Magnesium {
		return append(out, envelope.KeyFigure{Label: text.Of("dose_salinity_figure", nil), Value: d.SalinityGKg,
			Quantity: "salinity_g_kg"})
	}
	return append(out,
		envelope.KeyFigure{Label: text.Of("dose_ph_after_figure", nil), Value: d.Worst.PHNBS, Quantity: "ph"},
		envelope.KeyFigure{Label: text.Of("dose_saturation_after_figure", nil), Value: d.Worst.OmegaAragonite,
			Quantity: "saturation"})
}

// Levels below which calcium and magnesium come first, over those of sea water of the same salinity; common practice,
// no source.
const lowShare = 0.9

// Calcium and magnesium of sea water of salinity 35, mg/L. Source: [Millero2008].
const (
	seaCalciumMgL   = 412.086 * 1.0233
	seaMagnesiumMgL = 1283.72 * 1.0233
)

// warnings tell what should be corrected first.
func (r doseRequest) warnings(q doseQuestion) []envelope.Warning {
	low := func(level *float64, sea float64) bool {
		return level != nil && *level < lowShare*sea*r.SalinityPSU/35
	}
	switch {
	case q.in.Raise != dosing.Magnesium && low(r.MagnesiumMgL, seaMagnesiumMgL):
		return []envelope.Warning{envelope.Warn(text.Of("dose_magnesium_first",
			text.Params{"level": *r.MagnesiumMgL}), "#/magnesium_mg_l")}
	case q.in.Raise == dosing.Alkalinity && low(r.CalciumMgL, seaCalciumMgL):
		return []envelope.Warning{envelope.Warn(text.Of("dose_calcium_first",
			text.Params{"level": *r.CalciumMgL}), "#/calcium_mg_l")}
	}
	return nil
}

func (r doseRequest) actions(q doseQuestion, d dosing.Result) []text.Text {
	var out []text.Text
	switch {
	case d.LargestAtOnce == 0:
		out = append(out, text.Of("dose_wait", nil))
	case q.tooMuch(d):
		out = append(out, text.Of("dose_split", text.Params{"largest": q.amount(d.LargestAtOnce)}))
	case d.Worst.Saturation() == carbonate.FallingOut:
		out = append(out, text.Of("dose_lower_target", nil))
	}
	if d.VolumeML == 0 {
		out = append(out, text.Of("dose_dissolve_first", nil))
	}
	return append(out, text.Of("dose_into_the_current", nil),
		text.Of("dose_measure_again", text.Params{"raised": string(q.in.Raise)}), text.Of("dose_order", nil))
}

func (q doseQuestion) cautions() []envelope.Caution {
	var out []envelope.Caution
	if q.in.Substance.Caustic() {
		out = append(out, envelope.CausticPowders)
	}
	if q.in.StockGL != nil || q.in.Label != nil {
		out = append(out, envelope.TwoStocks)
	}
	return out
}
