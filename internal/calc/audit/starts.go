package audit

import (
	"slices"
	"strings"

	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/text"
)

// tripsAtReturn returns what a circuit draws at the worst moment after it has come back, and above which current its
// breaker may open at once, A; 0: it stands that, or the plan does not say.
func tripsAtReturn(p plan.Plan, circuit string) (drawsA, opensA float64) {
	i := slices.IndexFunc(p.Power.Circuits, func(x plan.Circuit) bool { return x.ID == circuit })
	if i < 0 {
		return 0, 0
	}
	atOnceA, ok := p.Power.Circuits[i].AtOnceA()
	if !ok {
		return 0, 0
	}
	powerW, _ := p.StartPeak(circuit)
	if draws := powerW / *p.Power.VoltageV; draws > atOnceA {
		return draws, atOnceA
	}
	return 0, 0
}

// starts reports circuits that open when mains return with everything wanting to run.
func (w *writer) starts() {
	for _, c := range w.p.Power.Circuits {
		draws, opens := tripsAtReturn(w.p, c.ID)
		if opens == 0 {
			continue
		}
		w.add(Finding{
			Code: "trips_at_return", Severity: Weak, Elements: []string{c.ID},
			Message: text.Of("trips_at_return", text.Params{"circuit": c.ID, "current": draws, "opens": opens,
				"type": strings.ToUpper(string(*c.BreakerType))}),
			Answer: w.oneAfterTheOther(c.ID),
		})
	}
}

// oneAfterTheOther lets what starts hardest on a circuit come back a minute after each other, until its breaker stands
// the rest; nil: it does not stand the last one either.
func (w *writer) oneAfterTheOther(circuit string) *Change {
	p := w.p.Clone()
	var later []string
	for range p.Power.Starts {
		if _, opens := tripsAtReturn(p, circuit); opens == 0 {
			break
		}
		_, atS := p.StartPeak(circuit)
		hardest, most := "", 0.0
		for _, x := range p.Startings(circuit) {
			more := x.PowerW * (x.Start.InrushTimes - 1)
			if x.AtS == atS && more > most && !slices.Contains(later, x.ID) {
				hardest, most = x.ID, more
			}
		}
		if hardest == "" {
			return nil
		}
		later = append(later, hardest)
		comesBack(&p, hardest, float64(len(later)))
	}
	if _, opens := tripsAtReturn(p, circuit); opens > 0 {
		return nil
	}
	said := text.Of("remedy_back_in_turn", text.Params{"elements": later})
	if len(later) == 1 {
		said = text.Of("remedy_back_later", element(later[0]))
	}
	return &Change{"back_later", said, func(p *plan.Plan) {
		for i, id := range later {
			comesBack(p, id, float64(i+1))
		}
	}}
}

// comesBack says how many minutes after its supply a device comes back, where its start is told of.
func comesBack(p *plan.Plan, id string, minutes float64) {
	for i := range p.Power.Starts {
		if p.Power.Starts[i].Element == id {
			p.Power.Starts[i].BackAfterMin = &minutes
		}
	}
}
