package light

import (
	"fmt"
	"math"
	"slices"

	"saltwright/internal/calc"
	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/text"
)

// What a good day of light is; all of it common practice, no source.
const (
	leastPhotoperiodH = 8.0
	mostPhotoperiodH  = 12.0
	leastRampH        = 0.5
	goodRampH         = 1.0
	leastDarkH        = 8.0
	smallStepShare    = 0.1  // of the peak: a jump this small is no jump
	jumpPerHour       = 60.0 // peaks an hour: the whole peak in under a minute is a jump
)

// dliBand is the daily light integral each livestock group is kept at, mol/(m² d);
// common practice, no source. The stony corals' band lies between the two
// levels that [DiPerna2018] took as limiting and as too much for reef corals.
var dliBand = map[string][2]float64{
	"fish_only": {0.5, 12}, "soft_corals": {3, 10}, "mixed_reef": {5, 15}, "stony_corals": {8, 22},
}

// PhotoinhibitingDLI was taken as potentially photoinhibiting in a laboratory study of two reef corals, mol/(m² d).
// Source: [DiPerna2018].
const PhotoinhibitingDLI = 32.0

// Channel is one lamp or colour with its own programme.
type Channel struct {
	ID        string
	Schedule  Schedule // per cent, 0 … 100
	PeakPPFD  *float64 // at 100 % where it is wanted, µmol/(m² s), 0 … 5000; nil: not known
	PowerW    float64  // electric, at 100 %, 0 … 20000
	HeatShare float64  // share of the power that ends as heat in the water, 0 … 1
}

// ScoreInput is a day of light over one tank.
type ScoreInput struct {
	Channels         []Channel // 1 … 16
	Livestock        string    // fish_only, soft_corals, mixed_reef or stony_corals
	MoonlightPercent float64   // sum of levels that still counts as dark, 0 … 10
}

// Part is one part of the score.
type Part struct {
	Code     string
	Points   float64
	Possible float64
	Reason   text.Text
	Raise    text.Text // what would raise it; none when nothing would
}

// ChannelResult is one channel's day.
type ChannelResult struct {
	ID           string
	DLI          *float64 // mol/(m² d); nil without a PPFD
	LitHours     float64
	EnergyKWhDay float64
}

// ScoreResult is the day and its score.
type ScoreResult struct {
	Score         float64 // 0 … 100
	Parts         []Part
	Channels      []ChannelResult
	PhotoperiodH  float64 // hours that are not dark
	DarkH         float64 // hours of true dark
	LongestDarkH  float64 // without a break, across midnight
	LongestLitH   float64 // without a break, across midnight
	ShortestRampH float64 // of all rises from and falls to darkness; 0 with a jump
	// jumps of the sum, per cent: more than a tenth of the peak at a rate of a peak a minute or more
	Steps        []Step
	DLI          *float64 // of all channels; nil when one has no PPFD
	EnergyKWhDay float64
	MeanHeatW    float64 // into the water, over the day
	PeakHeatW    float64
	Notes        []text.Text // warnings that do not move the score
}

func (in ScoreInput) check() error {
	if len(in.Channels) == 0 || len(in.Channels) > 16 {
		return &calc.ConflictError{Params: []string{"channels"}, Reason: text.Of("light_channels_number", nil)}
	}
	if _, ok := dliBand[in.Livestock]; !ok {
		return &calc.ConflictError{
			Params: []string{"livestock"},
			Reason: text.Of("light_livestock_unknown", text.Params{"said": in.Livestock}),
		}
	}
	if err := calc.CheckRange("moonlight_percent", in.MoonlightPercent, 0, 10, "%"); err != nil {
		return err
	}
	for i, c := range in.Channels {
		if err := c.check(); err != nil {
			return calc.Within(fmt.Sprintf("channels[%d].", i), err)
		}
	}
	return nil
}

func (c Channel) check() error {
	if len(c.Schedule.segments) == 0 {
		return &calc.ConflictError{Params: []string{"points"}, Reason: text.Of("light_channel_without_programme", nil)}
	}
	if err := calc.CheckRange("percent", c.Schedule.Peak(), 0, 100, "%"); err != nil {
		return err
	}
	if err := calc.CheckRange("power_w", c.PowerW, 0, 20000, "W"); err != nil {
		return err
	}
	if err := calc.CheckRange("heat_share", c.HeatShare, 0, 1, "1"); err != nil {
		return err
	}
	if c.PeakPPFD == nil {
		return nil
	}
	return calc.CheckRange("peak_ppfd", *c.PeakPPFD, 0, 5000, "umol/(m2 s)")
}

// together returns the sum of the channels' programmes, each times its weight, cut at every corner of each.
func together(channels []Channel, weight func(Channel) float64) Schedule {
	corners := 0
	for _, c := range channels {
		corners += len(c.Schedule.segments)
	}
	cuts := make([]float64, 0, corners+1)
	for _, c := range channels {
		for _, p := range c.Schedule.segments {
			cuts = append(cuts, p.StartHour)
		}
	}
	slices.Sort(cuts)
	cuts = append(slices.Compact(cuts), quantity.HoursPerDay)
	out := make([]Segment, len(cuts)-1)
	for i := range out {
		piece := Segment{StartHour: cuts[i], EndHour: cuts[i+1]}
		middle := (piece.StartHour + piece.EndHour) / 2
		for _, c := range channels {
			w := weight(c)
			for _, p := range c.Schedule.segments {
				if middle > p.StartHour && middle < p.EndHour {
					piece.FromLevel += w * p.at(piece.StartHour)
					piece.ToLevel += w * p.at(piece.EndHour)
				}
			}
		}
		out[i] = piece
	}
	return Schedule{segments: out}
}

// Score returns the day's figures and a score of named parts that sum to at most 100.
//
//	never on round the clock 25, true dark 25, photoperiod 20, ramps 20, light integral 10
//
// Without a PPFD on every channel the light integral cannot be judged, and the
// other parts are scaled up to 100.
// Accuracy: the figures are exact; the score is a summary of common practice.
// Errors: *calc.RangeError, *calc.ConflictError.
// Source: [CommonPractice] for what is good; [Derived] for the figures; [DiPerna2018] for the note on too much light.
func Score(in ScoreInput) (ScoreResult, error) {
	if err := in.check(); err != nil {
		return ScoreResult{}, err
	}
	var r ScoreResult
	r.Channels = make([]ChannelResult, 0, len(in.Channels))
	total, known := 0.0, true
	for _, c := range in.Channels {
		one := ChannelResult{
			ID: c.ID, LitHours: c.Schedule.LitHours(),
			EnergyKWhDay: c.PowerW * c.Schedule.Mean() / 100 * quantity.HoursPerDay / quantity.WattsPerKilowatt,
		}
		if c.PeakPPFD != nil {
			dli := c.Schedule.DLI() * *c.PeakPPFD / 100
			one.DLI = &dli
			total += dli
		} else {
			known = false
		}
		r.EnergyKWhDay += one.EnergyKWhDay
		r.Channels = append(r.Channels, one)
	}
	if known {
		r.DLI = &total
	}
	all := together(in.Channels, func(Channel) float64 { return 1 })
	warmth := together(in.Channels, func(c Channel) float64 { return c.PowerW * c.HeatShare / 100 })
	r.MeanHeatW, r.PeakHeatW = warmth.Mean(), warmth.Peak()
	r.DarkH, r.LongestDarkH = all.DarkHours(in.MoonlightPercent), all.LongestDark(in.MoonlightPercent)
	r.LongestLitH = all.LongestLit(in.MoonlightPercent)
	r.PhotoperiodH = quantity.HoursPerDay - r.DarkH
	for _, x := range all.FastChanges(jumpPerHour * all.Peak()) {
		if math.Abs(x.To-x.From) > smallStepShare*all.Peak() {
			r.Steps = append(r.Steps, Step{Hour: x.StartHour, From: x.From, To: x.To})
		}
	}
	ramps := all.Ramps(in.MoonlightPercent)
	var shortest *Ramp
	for i, x := range ramps {
		if shortest == nil || x.Hours < shortest.Hours {
			shortest = &ramps[i]
		}
	}
	if shortest != nil && len(r.Steps) == 0 {
		r.ShortestRampH = shortest.Hours
	}
	r.Parts = []Part{r.roundTheClock(), r.dark(), r.photoperiod(), r.ramps(shortest)}
	if known {
		r.Parts = append(r.Parts, r.integral(in.Livestock, total))
	}
	possible, points := 0.0, 0.0
	for _, p := range r.Parts {
		possible += p.Possible
		points += p.Points
	}
	r.Score = 100 * points / possible
	r.Notes = notes(r, all.DarkHours(0))
	return r, nil
}

// notes returns what a reader should know besides the score.
func notes(r ScoreResult, blackH float64) []text.Text {
	var out []text.Text
	if r.DLI == nil {
		out = append(out, text.Of("ppfd_unknown", nil))
	} else if *r.DLI > PhotoinhibitingDLI {
		out = append(out, TooMuchLight(*r.DLI))
	}
	if r.DarkH > blackH {
		out = append(out, text.Of("moonlight_counted_as_dark",
			text.Params{"moonlit": r.DarkH - blackH, "dark": r.DarkH}))
	}
	return out
}

// TooMuchLight returns the warning of a light integral beyond PhotoinhibitingDLI.
//
// Errors: none. Source: [DiPerna2018].
func TooMuchLight(dli float64) text.Text {
	return text.Of("photoinhibition_possible", text.Params{"light": dli, "limit": PhotoinhibitingDLI})
}

// share returns how far x has come from none to full, 0 … 1.
func share(x, none, full float64) float64 { return math.Max(0, math.Min(1, (x-none)/(full-none))) }

func (r ScoreResult) roundTheClock() Part {
	p := Part{Code: "never_round_the_clock", Possible: 25}
	if r.DarkH > 0 {
		p.Points, p.Reason = 25, text.Of("light_goes_out", nil)
		return p
	}
	p.Reason = text.Of("light_never_goes_out", nil)
	p.Raise = text.Of("light_leave_it_out", text.Params{"dark": leastDarkH})
	return p
}

func (r ScoreResult) dark() Part {
	p := Part{Code: "true_dark", Possible: 25, Points: 25 * share(r.LongestDarkH, 0, leastDarkH)}
	p.Reason = text.Of("light_longest_darkness", text.Params{"dark": r.LongestDarkH})
	if r.LongestDarkH == 0 {
		p.Reason = text.Of("light_no_darkness", nil)
	}
	if r.LongestDarkH < leastDarkH {
		p.Raise = text.Of("light_longer_night",
			text.Params{"more": leastDarkH - r.LongestDarkH, "dark": leastDarkH})
	}
	return p
}

func (r ScoreResult) photoperiod() Part {
	p := Part{
		Code: "photoperiod", Possible: 20, Points: 20,
		Reason: text.Of("light_is_on", text.Params{"lit": r.PhotoperiodH}),
	}
	switch h := r.PhotoperiodH; {
	case h < leastPhotoperiodH:
		p.Points = 20 * share(h, 0, leastPhotoperiodH)
		p.Raise = text.Of("light_longer_day", text.Params{"more": leastPhotoperiodH - h})
	case h > mostPhotoperiodH:
		p.Points = 20 * share(h, quantity.HoursPerDay, mostPhotoperiodH)
		p.Raise = text.Of("light_shorter_day", text.Params{"less": h - mostPhotoperiodH})
	}
	return p
}

func (r ScoreResult) ramps(shortest *Ramp) Part {
	p := Part{Code: "ramps", Possible: 20}
	switch {
	case len(r.Steps) > 0:
		s := r.Steps[0]
		p.Reason = text.Of("light_jumps", text.Params{"from": s.From, "to": s.To, "at": Clock(s.Hour)})
		p.Raise = text.Of("light_spread_jumps", text.Params{"least": leastRampH, "good": goodRampH})
	case shortest == nil:
		p.Reason, p.Raise = text.Of("light_without_ramps", nil), text.Of("light_add_ramps", nil)
	default:
		p.Points = 20 * share(shortest.Hours, 0, goodRampH)
		p.Reason = text.Of("light_shortest_ramp", text.Params{"ramp": shortest.Hours})
		if more := goodRampH - shortest.Hours; more > 0 && shortest.To > shortest.From {
			p.Raise = text.Of("light_slower_rise", text.Params{"at": Clock(shortest.StartHour), "more": more})
		} else if more > 0 {
			p.Raise = text.Of("light_earlier_fall",
				text.Params{"at": Clock(shortest.StartHour - more), "more": more})
		}
	}
	return p
}

func (r ScoreResult) integral(livestock string, dli float64) Part {
	band := dliBand[livestock]
	p := Part{Code: "daily_light_integral", Possible: 10, Points: 10, Reason: text.Of("light_against_usual",
		text.Params{"light": dli, "low": band[0], "high": band[1], "livestock": livestock})}
	switch {
	case dli < band[0]:
		p.Points = 10 * share(dli, 0, band[0])
		p.Raise = text.Of("light_brighter", nil)
		if dli > 0 {
			p.Raise = text.Of("light_stronger", text.Params{"times": band[0] / dli})
		}
	case dli > band[1]:
		p.Points = 10 * share(dli, 2*band[1], band[1])
		p.Raise = text.Of("light_weaker", text.Params{"share": band[1] / dli})
	}
	return p
}

// Clock writes a local time as hh:mm.
//
// Accuracy: rounded to the minute. Errors: none. Source: [Derived].
func Clock(hour float64) string {
	const day, perHour = quantity.MinutesPerDay, quantity.MinutesPerHour
	minutes := (int(math.Round(hour*perHour))%day + day) % day
	return fmt.Sprintf("%02d:%02d", minutes/perHour, minutes%perHour)
}
