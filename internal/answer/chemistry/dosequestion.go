package chemistry

import (
	"errors"
	"slices"

	"saltwright/internal/answer/envelope"
	"saltwright/internal/calc"
	"saltwright/internal/calc/carbonate"
	"saltwright/internal/calc/dosing"
	"saltwright/internal/calc/text"
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

// assumeCalcium lists the calcium that nobody measured and that the saturation rests on.
func (q *doseQuestion) assumeCalcium(tank carbonate.Input) error {
	k, err := carbonate.ConstantsAt(tank.Salinity, tank.Water)
	if err != nil {
		return err
	}
	mgL, err := carbonate.CalciumMgL(k.Calcium, tank.Salinity, tank.Water)
	q.assumed = append(q.assumed, envelope.Assumption{Pointer: "#/calcium_mg_l", Value: mgL, Unit: "mg/L",
		Why: "source", Source: "Dickson2007", Note: text.Of("assumed_calcium_of_sea_water", nil)})
	return err
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
	if r.CalciumMgL == nil {
		if err := q.assumeCalcium(tank); err != nil {
			return q, err
		}
	}
	q.in = dosing.Input{Raise: dosing.Raised(r.Raise), Tank: tank, VolumeL: r.VolumeL, Target: r.Target,
		Purity: r.Purity, StockGL: r.StockGL, DosesADay: r.DosesADay}
	meq := func(value float64, member string) (float64, error) {
		kg, err := carbonate.FromUnit(value, carbonate.Unit(r.AlkalinityUnit), tank.Salinity, tank.Water)
		if err != nil {
			return 0, about(member, err)
		}
		return carbonate.ToUnit(kg, carbonate.MeqPerLitre, tank.Salinity, tank.Water)
	}
	same := func(value float64, _ string) (float64, error) { return value, nil }
	convert, substance, most := same, dosing.CalciumChlorideDihydrate, mostCalciumADay
	switch q.in.Raise {
	case dosing.Alkalinity:
		q.perShown, q.quantity, q.unit = dkhPerMeq, "alkalinity", "dKH"
		convert, substance, most = meq, dosing.SodiumBicarbonate, mostDKHADay
		if r.LabelML != nil { // most solutions on sale raise the pH
			substance = dosing.SodiumCarbonate
		}
		q.in.Now, err = meq(*r.Alkalinity, "alkalinity")
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
	if q.in.Target, err = convert(r.Target, "target"); err != nil {
		return q, err
	}
	if r.Substance != nil {
		q.in.Substance = dosing.Substance(*r.Substance)
	} else {
		q.in.Substance = substance
		q.assume("substance", string(substance), "")
	}
	if r.MostADay != nil {
		q.in.MostADay, err = convert(*r.MostADay, "most_a_day")
	} else {
		q.in.MostADay = most / q.perShown
		q.assume("most_a_day", most, q.unit)
	}
	if err != nil {
		return q, err
	}
	if r.Demand != nil {
		if q.in.DemandMeqL, err = meq(*r.Demand, "demand"); err != nil {
			return q, err
		}
	}
	return q, r.label(&q, convert)
}

// label reads what a label claims: all three of its numbers or none.
func (r doseRequest) label(q *doseQuestion, convert func(float64, string) (float64, error)) error {
	switch {
	case r.LabelML == nil && r.LabelL == nil && r.LabelRise == nil:
		return nil
	case r.LabelML == nil || r.LabelL == nil || r.LabelRise == nil:
		return &calc.ConflictError{Params: []string{"label_ml"},
			Reason: text.Of("dose_label_incomplete", nil)}
	case r.StockGL != nil:
		return &calc.ConflictError{Params: []string{"stock_g_l"},
			Reason: text.Of("dose_stock_twice", nil)}
	}
	rise, err := convert(*r.LabelRise, "label_rise")
	q.in.Label = &dosing.Label{ML: *r.LabelML, L: *r.LabelL, Rise: rise}
	return err
}

// about says of an error that a member of the request brought it about.
func about(member string, err error) error {
	return renamed(err, func(string) string { return member })
}

// renamed puts other names for the inputs into an error of a calculation.
func renamed(err error, name func(string) string) error {
	var conflict *calc.ConflictError
	var out *calc.RangeError
	switch {
	case errors.As(err, &conflict):
		c := *conflict
		c.Params = nil
		for _, p := range conflict.Params {
			if p = name(p); !slices.Contains(c.Params, p) {
				c.Params = append(c.Params, p)
			}
		}
		return &c
	case errors.As(err, &out):
		r := *out
		r.Param = name(r.Param)
		return &r
	}
	return err
}

func needed(member string) error {
	return &calc.ConflictError{Params: []string{"raise"},
		Reason: text.Of("dose_needs_the_level", text.Params{"member": member})}
}

// tooMuch tells whether a single dose makes calcium carbonate fall out.
func (q doseQuestion) tooMuch(d dosing.Result) bool {
	return d.Rise/float64(d.Days*q.in.DosesADay) > d.LargestAtOnce
}

// amount is a level or a rise as answers write it.
func (q doseQuestion) amount(x float64) text.Amount {
	return text.Amount{Value: x * q.perShown, Unit: q.unit}
}
