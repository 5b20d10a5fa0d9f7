package water

import (
	"math"

	"saltwright/internal/answer/envelope"
	"saltwright/internal/calc/text"
	"saltwright/internal/calc/topoff"
)

func topOffWarnings(e topoff.EnduranceResult) []envelope.Warning {
	var out []envelope.Warning
	warn := func(yes bool, code string, p text.Params) {
		if yes {
			out = append(out, envelope.Warn(text.Of(code, p), ""))
		}
	}
	warn(!e.Trip.Sufficient, "reservoir_too_small", text.Params{"missing": e.Trip.ShortL})
	warn(!e.Stuck.Harmless, "stuck_pump_harms", text.Params{"time": firstHarmH(e.Stuck)})
	warn(e.Size.Conflict, "reservoir_conflict",
		text.Params{"least": e.Size.SmallestSufficientL, "most": e.Size.LargestHarmlessL})
	warn(e.Siphon.Harmful, "siphon_harms", text.Params{"siphon": e.Siphon.VolumeL})
	warn(e.Siphon.Backflow, "siphon_backwards", nil)
	warn(!e.DrainDown.Fits, "drain_down_overflows", text.Params{"spill": -e.DrainDown.SpareL})
	warn(e.Run.LimitTooShort, "run_limit_too_short", text.Params{"dose": e.Run.DoseMin})
	warn(!e.Run.KeepsUp, "pump_too_slow", nil)
	return out
}

// firstHarmH is when a pump that never stops does its first harm; 0 where it does none.
func firstHarmH(s topoff.StuckResult) float64 {
	switch {
	case s.Overflows && s.ReachesLow:
		return math.Min(s.OverflowH, s.LowSalinityH)
	case s.Overflows:
		return s.OverflowH
	}
	return s.LowSalinityH
}

func topOffHeadline(in topoff.EnduranceInput, e topoff.EnduranceResult) text.Text {
	p := text.Params{"content": in.Reservoir.ContentL, "away": in.DaysAway}
	if !e.Trip.Sufficient {
		p["need"] = e.Trip.NeedL
	}
	if !e.Stuck.Harmless {
		p["time"] = firstHarmH(e.Stuck)
	}
	switch {
	case e.Trip.Sufficient && e.Stuck.Harmless:
		return text.Of("topoff_lasts", p)
	case e.Trip.Sufficient:
		return text.Of("topoff_lasts_but_harms", p)
	case e.Stuck.Harmless:
		return text.Of("topoff_too_little", p)
	}
	return text.Of("topoff_too_little_but_harms", p)
}

func topOffDetails(e topoff.EnduranceResult) text.Text {
	usual := e.Rooms[0]
	lasts := text.Of("topoff_never_empties", nil)
	if usual.Empties {
		lasts = text.Of("topoff_in_the_usual_room", text.Params{"evaporation": usual.LitresPerDay.Expected,
			"time": usual.ExpectedDays, "worst": usual.WorstDays})
	}
	p := text.Params{"least": e.Size.SmallestSufficientL, "most": e.Size.LargestHarmlessL}
	switch {
	case e.Size.Unlimited:
		return text.Sentences(lasts, text.Of("topoff_any_size_is_harmless", nil))
	case e.Size.Conflict:
		p["limit"] = e.Size.LimitedBy
		return text.Sentences(lasts, text.Of("topoff_no_size_fits", p))
	}
	return text.Sentences(lasts, text.Of("topoff_sizes_that_fit", p))
}

func topOffFigures(e topoff.EnduranceResult) []envelope.KeyFigure {
	out := []envelope.KeyFigure{
		{Label: text.Of("topoff_need_figure", nil), Value: e.Trip.NeedL, Quantity: "volume"},
	}
	if !e.Size.Unlimited {
		out = append(out, envelope.KeyFigure{Label: text.Of("topoff_most_figure", nil), Value: e.Size.LargestHarmlessL,
			Quantity: "volume"})
	}
	if usual := e.Rooms[0]; usual.Empties {
		out = append(out,
			envelope.KeyFigure{Label: text.Of("topoff_lasts_figure", nil), Value: usual.ExpectedDays,
				Quantity: "duration_days"},
			envelope.KeyFigure{Label: text.Of("topoff_worst_figure", nil), Value: usual.WorstDays,
				Quantity: "duration_days"})
	}
	return append(out, envelope.KeyFigure{Label: text.Of("topoff_stuck_figure", nil), Value: e.Stuck.FinalSalinity,
		Quantity: "salinity"})
}

func topOffActions(in topoff.EnduranceInput, e topoff.EnduranceResult) []text.Text {
	var out []text.Text
	do := func(yes bool, code string, p text.Params) {
		if yes {
			out = append(out, text.Of(code, p))
		}
	}
	do(!e.Trip.Sufficient && e.Trip.NeedL <= in.Reservoir.SizeL, "topoff_fill", text.Params{"need": e.Trip.NeedL})
	do(!e.Trip.Sufficient && e.Trip.NeedL > in.Reservoir.SizeL, "topoff_larger_reservoir",
		text.Params{"need": e.Trip.NeedL})
	do(!e.Run.KeepsUp, "topoff_faster_pump", nil)
	for _, r := range e.Size.Remedies {
		switch r {
		case topoff.SecondCutOff:
			do(true, "topoff_second_cut_off", nil)
		case topoff.RunLimit:
			do(true, "topoff_run_limit",
				text.Params{"least": e.Run.ShortestLimitMin, "most": e.Size.LongestRunLimitMin})
		case topoff.DayContainer:
			do(true, "topoff_day_container",
				text.Params{"most": e.Size.LargestHarmlessL, "time": e.Size.DayContainerDays})
		case topoff.MoreFreeRoom:
			do(true, "topoff_more_free_room", nil)
		}
	}
	do(e.Run.LimitTooShort, "topoff_longer_limit", text.Params{"least": e.Run.ShortestLimitMin})
	do(e.Siphon.Risk, "siphon_end_hose_higher", nil)
	do(e.Siphon.Backflow, "siphon_end_hose_above_sump", nil)
	do(!e.DrainDown.Fits, "topoff_run_sump_lower", nil)
	do(true, "topoff_try_it", nil)
	return out
}
