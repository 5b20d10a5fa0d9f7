package chemistry

import (
	"context"
	"fmt"
	"slices"

	"saltwright/internal/answer/envelope"
	"saltwright/internal/calc"
	"saltwright/internal/calc/dosing"
	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/text"
	"saltwright/internal/catalogue"
	"saltwright/internal/chart"
)

// input is a pump's solution in this tank, as dosing takes it.
func (r consumptionRequest) input(index int, f followed, all []followed) (dosing.Input, []envelope.Assumption,
	error) {
	p := r.pumps()[index]
	if p.StockGL == nil && p.LabelML == nil {
		return dosing.Input{}, nil, &calc.ConflictError{Params: []string{"pumps"},
			Reason: text.Of("demand_pump_needs_solution", nil)}
	}
	level := f.now()
	ask := doseRequest{Raise: p.Raise, VolumeL: r.VolumeL, AlkalinityUnit: r.AlkalinityUnit, PH: r.PH,
		PHScale: r.PHScale, Substance: p.Substance, Purity: 1, StockGL: p.StockGL, LabelML: p.LabelML,
		LabelL: p.LabelL, LabelRise: p.LabelRise, DosesADay: p.DosesADay, SalinityPSU: r.SalinityPSU,
		WaterC: r.WaterC}
	if a := find(all, string(dosing.Alkalinity)); a != nil {
		sent := a.now() / a.perSent
		ask.Alkalinity = &sent
	}
	if c := find(all, string(dosing.Calcium)); c != nil {
		sent := c.now()
		ask.CalciumMgL = &sent
	}
	if f.raise == dosing.Magnesium {
		ask.MagnesiumMgL = &level
	}
	q, err := ask.question()
	if err != nil {
		return q.in, nil, err
	}
	var assumed []envelope.Assumption
	for _, a := range q.assumed {
		switch a.Pointer {
		case "#/substance":
			a.Pointer = fmt.Sprintf("#/pumps/%d/substance", index)
		case "#/alkalinity", "#/calcium_mg_l": // nobody measured it
			a.Pointer = "#/measurements/0" + a.Pointer[1:]
		default:
			continue
		}
		assumed = append(assumed, a)
	}
	return q.in, assumed, nil
}

// inRequest are the members of the request that a pump's own calculation may find fault with; what else it names
// follows from the measurements.
func inRequest(index int, name string) string {
	switch name {
	case "volume_l", "salinity_psu", "water_c", "ph", "ph_scale":
		return name
	case "hours_a_day":
		return "night_h"
	case "raise", "substance", "stock_g_l", "label_ml", "label_l", "label_rise", "flow_ml_min", "doses_a_day",
		"container_l":
		return fmt.Sprintf("pumps[%d].%s", index, name)
	}
	return "measurements"
}

func (r consumptionRequest) programme(in dosing.Input, p dosingPump, f followed) (dosingProgramme, error) {
	shown := 1.0
	if f.raise == dosing.Alkalinity {
		shown = dkhPerMeq
	}
	ml, err := in.MLFor(f.demand().ADay / shown)
	if err != nil {
		return dosingProgramme{}, err
	}
	hours := map[string]float64{"night": r.NightH, "day": quantity.HoursPerDay - r.NightH}[p.Spread]
	if hours == 0 {
		hours = quantity.HoursPerDay
	}
	run, err := dosing.Pump{FlowMLMin: p.FlowMLMin, DosesADay: p.DosesADay, HoursADay: hours,
		ContainerL: p.ContainerL}.Run(ml)
	if err != nil {
		return dosingProgramme{}, err
	}
	emptied, err := in.Emptied(p.ContainerL)
	if err != nil {
		return dosingProgramme{}, err
	}
	out := dosingProgramme{Raise: p.Raise, MLADay: run.MLADay, MLADose: run.MLADose, RunS: run.RunSeconds,
		DosesADay: p.DosesADay, ApartMin: unlessZero(run.ApartMinutes), ContainerDays: run.ContainerDays,
		ContainerRise: emptied.Rise * shown}
	if emptied.AllAtOnceKnown {
		out.ContainerPH, out.ContainerOmega = &emptied.AllAtOnce.PHNBS, &emptied.AllAtOnce.OmegaAragonite
	}
	// Magnesium neither makes calcium carbonate fall out nor moves the pH.
	out.Harmless = f.raise == dosing.Magnesium || emptied.LargestAtOnce >= emptied.Rise
	if f.raise != dosing.Magnesium {
		largest := emptied.LargestAtOnce / emptied.Rise * p.ContainerL
		out.LargestL = &largest
	}
	return out, nil
}

// Consumption is what a tank uses of alkalinity, calcium and magnesium, and how pumps replace it.
func Consumption(_ context.Context, r consumptionRequest) (envelope.Answer[consumptionResponse], error) {
	all, err := r.followAll()
	if err != nil {
		return envelope.Answer[consumptionResponse]{}, err
	}
	var out consumptionResponse
	for _, f := range all {
		out.Demands = append(out.Demands, f.demand())
	}
	out.compare()
	warnings := []envelope.Warning{}
	var assumed []envelope.Assumption
	for i, p := range r.pumps() {
		f := find(all, p.Raise)
		if f == nil || f.demand().ADay <= 0 {
			warnings = append(warnings, envelope.Warn(text.Of("demand_none_for_pump",
				text.Params{"raised": p.Raise}), fmt.Sprintf("#/pumps/%d/raise", i)))
			continue
		}
		in, taken, err := r.input(i, *f, all)
		var programme dosingProgramme
		if err == nil {
			programme, err = r.programme(in, p, *f)
		}
		if err != nil {
			return envelope.Answer[consumptionResponse]{}, renamed(err, func(name string) string {
				return inRequest(i, name)
			})
		}
		out.Programmes = append(out.Programmes, programme)
		for _, a := range taken {
			listed := func(other envelope.Assumption) bool { return other.Pointer == a.Pointer }
			if !slices.ContainsFunc(assumed, listed) {
				assumed = append(assumed, a)
			}
		}
	}
	headline := out.headline()
	return envelope.Answer[consumptionResponse]{
		Result: out, Headline: headline, Details: out.details(), KeyFigures: out.figures(), Actions: out.actions(),
		Warnings: warnings, Cautions: r.cautions(), Assumptions: assumed,
		Sources: []string{"Moras2022", "CommonPractice"}, Note: text.Of("demand_assumes_steady", nil),
		Charts: func(u catalogue.Reader) ([]chart.Chart, error) {
			return []chart.Chart{all[0].chart(u, headline)}, nil
		},
	}, nil
}

func find(all []followed, raise string) *followed {
	for i := range all {
		if string(all[i].raise) == raise {
			return &all[i]
		}
	}
	return nil
}
