package chemistry

import (
	"fmt"
	"time"

	"saltwright/internal/calc"
	"saltwright/internal/calc/carbonate"
	"saltwright/internal/calc/dosing"
	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/text"
)

type consumptionRequest struct {
	VolumeL         float64       `json:"volume_l"`
	Measurements    []measurement `json:"measurements"`
	AlkalinityUnit  string        `json:"alkalinity_unit"`
	AlkalinityDosed float64       `json:"alkalinity_dosed"`
	CalciumDosed    float64       `json:"calcium_dosed_mg_l_d"`
	MagnesiumDosed  float64       `json:"magnesium_dosed_mg_l_d"`
	Pumps           *[]dosingPump `json:"pumps,omitempty"`
	NightH          float64       `json:"night_h"`
	PH              float64       `json:"ph"`
	PHScale         string        `json:"ph_scale"`
	SalinityPSU     float64       `json:"salinity_psu"`
	WaterC          float64       `json:"water_c"`
}

type measurement struct {
	At           string   `json:"at"`
	Alkalinity   *float64 `json:"alkalinity,omitempty"`
	CalciumMgL   *float64 `json:"calcium_mg_l,omitempty"`
	MagnesiumMgL *float64 `json:"magnesium_mg_l,omitempty"`
}

type dosingPump struct {
	Raise      string   `json:"raise"`
	FlowMLMin  float64  `json:"flow_ml_min"`
	ContainerL float64  `json:"container_l"`
	Substance  *string  `json:"substance,omitempty"`
	StockGL    *float64 `json:"stock_g_l,omitempty"`
	LabelML    *float64 `json:"label_ml,omitempty"`
	LabelL     *float64 `json:"label_l,omitempty"`
	LabelRise  *float64 `json:"label_rise,omitempty"`
	DosesADay  int      `json:"doses_a_day"`
	Spread     string   `json:"spread"`
}

type consumptionResponse struct {
	Demands     []demand          `json:"demands"`
	PerDKH      *float64          `json:"calcium_per_dkh,omitempty"`
	BySkeletons *float64          `json:"calcium_per_dkh_by_skeletons,omitempty"`
	Ratio       string            `json:"ratio,omitempty"`
	Programmes  []dosingProgramme `json:"programmes,omitempty"`
}

type demand struct {
	Raised   string   `json:"raised"`
	ADay     float64  `json:"a_day"`
	Low      float64  `json:"low"`
	High     float64  `json:"high"`
	Scatter  float64  `json:"scatter"`
	Readings int      `json:"readings"`
	LeftOut  []string `json:"left_out"`
	Sure     bool     `json:"sure"`
	More     *int     `json:"more_measurements,omitempty"`
}

type dosingProgramme struct {
	Raise          string   `json:"raise"`
	MLADay         float64  `json:"volume_a_day_ml"`
	MLADose        float64  `json:"volume_a_dose_ml"`
	RunS           float64  `json:"run_s"`
	DosesADay      int      `json:"doses_a_day"`
	ApartMin       *float64 `json:"apart_min,omitempty"`
	ContainerDays  float64  `json:"container_days"`
	ContainerRise  float64  `json:"container_rise"`
	ContainerPH    *float64 `json:"container_ph,omitempty"`
	ContainerOmega *float64 `json:"container_omega,omitempty"`
	Harmless       bool     `json:"harmless"`
	LargestL       *float64 `json:"largest_harmless_l,omitempty"`
}

// followed is one of the three levels through the measurements.
type followed struct {
	raise    dosing.Raised
	of       func(measurement) *float64
	dosed    float64 // a day, in the unit of answers
	perSent  float64 // of the unit of answers, in one of the request
	quantity string  // of a level, as the catalogue names it
	unit     string  // of a level in answers
	repeats  float64 // to how much a test repeats itself; common practice, no source
	readings []dosing.Reading
	at       []string
	trend    dosing.Trend
}

// sureShare is how near the ends of an interval stand to a demand that is known well enough; no source.
const sureShare = 0.25

// followAll fits every level that was measured often enough.
func (r consumptionRequest) followAll() ([]followed, error) {
	dkh, err := r.toDKH(1)
	if err != nil {
		return nil, err
	}
	days, err := r.days()
	if err != nil {
		return nil, err
	}
	var out []followed
	for _, f := range []followed{
		{raise: dosing.Alkalinity, of: func(m measurement) *float64 { return m.Alkalinity },
			dosed: r.AlkalinityDosed * dkh, perSent: dkh, quantity: "alkalinity", unit: "dKH", repeats: 0.1},
		{raise: dosing.Calcium, of: func(m measurement) *float64 { return m.CalciumMgL }, dosed: r.CalciumDosed,
			perSent: 1, quantity: "dissolved", unit: "mg/L", repeats: 5},
		{raise: dosing.Magnesium, of: func(m measurement) *float64 { return m.MagnesiumMgL }, dosed: r.MagnesiumDosed,
			perSent: 1, quantity: "dissolved", unit: "mg/L", repeats: 15},
	} {
		for i, m := range r.Measurements {
			if v := f.of(m); v != nil {
				f.readings = append(f.readings, dosing.Reading{Day: days[i], Value: *v * f.perSent})
				f.at = append(f.at, m.At)
			}
		}
		if len(f.readings) < dosing.LeastReadings {
			continue
		}
		if f.trend, err = dosing.TrendOf(f.readings, f.repeats); err != nil {
			return nil, err
		}
		out = append(out, f)
	}
	if len(out) == 0 {
		return nil, &calc.ConflictError{Params: []string{"measurements"}, Reason: text.Of("demand_nothing_followed",
			text.Params{"least": float64(dosing.LeastReadings)})}
	}
	return out, nil
}

func (r consumptionRequest) pumps() []dosingPump {
	if r.Pumps == nil {
		return nil
	}
	return *r.Pumps
}

// toDKH is an alkalinity of the request in German degrees.
func (r consumptionRequest) toDKH(value float64) (float64, error) {
	s, t := quantity.PracticalSalinity(r.SalinityPSU), quantity.Celsius(r.WaterC)
	kg, err := carbonate.FromUnit(value, carbonate.Unit(r.AlkalinityUnit), s, t)
	if err != nil {
		return 0, about("measurements", err)
	}
	return carbonate.ToUnit(kg, carbonate.DKH, s, t)
}

// days are the times of the measurements in days from the first of them that was sent.
func (r consumptionRequest) days() ([]float64, error) {
	const dayOnly, dayAndTime = "2006-01-02", "2006-01-02T15:04"
	out := make([]float64, len(r.Measurements))
	var first time.Time
	for i, m := range r.Measurements {
		layout := dayAndTime
		if len(m.At) == len(dayOnly) {
			layout = dayOnly
		}
		at, err := time.Parse(layout, m.At)
		if err != nil {
			return nil, &calc.ConflictError{Params: []string{fmt.Sprintf("measurements[%d].at", i)},
				Reason: text.Of("demand_no_such_day", text.Params{"day": m.At})}
		}
		if i == 0 {
			first = at
		}
		out[i] = at.Sub(first).Hours() / quantity.HoursPerDay
	}
	return out, nil
}

// demand is what the tank uses: what was dosed less what the level rose by.
func (f followed) demand() demand {
	d := demand{Raised: string(f.raise), ADay: f.dosed - f.trend.ADay, Scatter: f.trend.Scatter,
		Readings: f.trend.Used, LeftOut: []string{}}
	d.Low, d.High = d.ADay-f.trend.HalfADay, d.ADay+f.trend.HalfADay
	for _, i := range f.trend.Outliers {
		d.LeftOut = append(d.LeftOut, f.at[i])
	}
	target := sureShare * d.ADay
	d.Sure = d.ADay > 0 && f.trend.HalfADay <= target
	if d.ADay > 0 && !d.Sure {
		if more := f.trend.More(target); more > 0 {
			d.More = &more
		}
	}
	return d
}

// now is the level that the line ends at.
func (f followed) now() float64 { return f.trend.Start + f.trend.ADay*f.trend.SpanDays }

// skeletonRatio is the calcium, mg/L, that goes with 1 dKH into calcium carbonate. Source: stoichiometry,
// [CIAAW2021].
const skeletonRatio = carbonate.Calcium / 2 / dkhPerMeq

// compare sets calcium beside alkalinity. The interval of their ratio has the ends of both demands, and so is wide.
func (c *consumptionResponse) compare() {
	var alkalinity, calcium *demand
	for i := range c.Demands {
		switch c.Demands[i].Raised {
		case string(dosing.Alkalinity):
			alkalinity = &c.Demands[i]
		case string(dosing.Calcium):
			calcium = &c.Demands[i]
		}
	}
	if alkalinity == nil || calcium == nil || alkalinity.ADay <= 0 || calcium.ADay <= 0 {
		return
	}
	ratio, skeletons := calcium.ADay/alkalinity.ADay, skeletonRatio
	c.PerDKH, c.BySkeletons, c.Ratio = &ratio, &skeletons, "of_skeletons"
	switch {
	case calcium.Low > skeletonRatio*alkalinity.High:
		c.Ratio = "more_calcium"
	case calcium.High < skeletonRatio*alkalinity.Low:
		c.Ratio = "more_alkalinity"
	}
}
