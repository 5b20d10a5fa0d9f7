package plan

import (
	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/remedy"
	"saltwright/internal/calc/risk"
	"saltwright/internal/calc/text"
)

// remedyTest is a protection that is tried more often.
type remedyTest struct {
	Element   string           `json:"element"`
	EveryDays float64          `json:"every_days"`
	WasDays   *float64         `json:"was_days,omitempty"`
	Sentence  text.Text        `json:"sentence"`
	Proof     text.Text        `json:"proof"`
	Now       float64          `json:"now_per_100"`
	Then      float64          `json:"then_per_100"`
	Avoided   float64          `json:"avoided_per_100"`
	Saves     *float64         `json:"saves_per_year,omitempty"`
	Patch     []patchOperation `json:"patch"`
}

func newRemedyTest(document planDocument, f remedy.Result, o risk.Oftener) (remedyTest, error) {
	out := remedyTest{Element: o.Element, EveryDays: o.EveryDays, Now: o.NowPer100, Then: o.ThenPer100,
		Avoided: o.Saves(), Sentence: text.Of("remedy_test", text.Params{
			"id": o.Element, "time": o.EveryDays * quantity.HoursPerDay})}
	if o.WasDays > 0 {
		out.WasDays = &o.WasDays
		out.Sentence = text.Of("remedy_test_oftener", text.Params{"id": o.Element,
			"time": o.EveryDays * quantity.HoursPerDay, "from": o.WasDays * quantity.HoursPerDay})
	}
	out.Proof = text.Of("remedy_test_saves", text.Params{"now": o.NowPer100, "then": o.ThenPer100})
	if worth := f.Report.Plan.Worth; worth != nil && worth.Livestock != nil {
		saves := o.Saves() / 100 * *worth.Livestock
		out.Saves = &saves
	}
	patched, err := document.with(f.Tested(o))
	if err != nil {
		return out, err
	}
	out.Patch, err = document.patch(patched)
	return out, err
}

// bestInterval says which test made more often saves most; nothing where none does.
func bestInterval(list []remedyTest) []text.Text {
	if len(list) == 0 {
		return nil
	}
	return []text.Text{list[0].Sentence, list[0].Proof}
}
