package chemistry

import (
	"context"

	"saltwright/internal/answer/envelope"
	"saltwright/internal/calc/carbonate"
	"saltwright/internal/calc/dosing"
	"saltwright/internal/calc/text"
	"saltwright/internal/catalogue"
	"saltwright/internal/chart"
)

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
		Charts: func(u catalogue.Reader) ([]chart.Chart, error) {
			return []chart.Chart{q.chart(u, headline, d)}, nil
		},
	}, nil
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
