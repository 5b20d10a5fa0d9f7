package plan

// groups are the livestock groups in the order of the columns of usualLimits.
var groups = []Livestock{FishOnly, SoftCorals, MixedReef, StonyCorals}

// usualLimits are the limits that hold where a plan names none: what experienced keepers hold each group to; common
// practice, no source.
var (
	usualLimits = []struct {
		member, unit string
		of           func(*Limits) **float64
		values       [4]float64 // by groups
	}{
		{"comfort_low_c", "degC", func(l *Limits) **float64 { return &l.ComfortLowC }, [4]float64{23, 23.5, 24, 24}},
		{"comfort_high_c", "degC", func(l *Limits) **float64 { return &l.ComfortHighC },
			[4]float64{28, 27.5, 27.5, 27}},
		{"harm_low_c", "degC", func(l *Limits) **float64 { return &l.HarmLowC }, [4]float64{20, 21, 21.5, 22}},
		{"harm_high_c", "degC", func(l *Limits) **float64 { return &l.HarmHighC }, [4]float64{31, 30, 29.5, 29}},
		{"harm_temp_after_h", "h", func(l *Limits) **float64 { return &l.HarmTempAfterH }, [4]float64{2, 2, 2, 1}},
		{"comfort_low_psu", "1", func(l *Limits) **float64 { return &l.ComfortLowPSU }, [4]float64{30, 32, 33, 33.5}},
		{"comfort_high_psu", "1", func(l *Limits) **float64 { return &l.ComfortHighPSU },
			[4]float64{36.5, 36.5, 36.5, 36}},
		{"harm_low_psu", "1", func(l *Limits) **float64 { return &l.HarmLowPSU }, [4]float64{25, 29, 30, 31}},
		{"harm_high_psu", "1", func(l *Limits) **float64 { return &l.HarmHighPSU }, [4]float64{40, 39, 39, 38}},
		{"harm_salinity_after_h", "h", func(l *Limits) **float64 { return &l.HarmSalinityAfterH },
			[4]float64{2, 2, 2, 1}},
		{"comfort_dark_h", "h", func(l *Limits) **float64 { return &l.ComfortDarkH }, [4]float64{8, 8, 8, 8}},
		{"harm_lit_h", "h", func(l *Limits) **float64 { return &l.HarmLitH }, [4]float64{168, 96, 72, 72}},
		{"harm_dark_h", "h", func(l *Limits) **float64 { return &l.HarmDarkH }, [4]float64{720, 336, 240, 168}},
		{"comfort_oxygen_mg_l", "mg/L", func(l *Limits) **float64 { return &l.ComfortOxygenMgL },
			[4]float64{5, 5, 5, 5.2}},
		{"harm_oxygen_mg_l", "mg/L", func(l *Limits) **float64 { return &l.HarmOxygenMgL },
			[4]float64{3.5, 3.5, 3.5, 4}},
		{"harm_oxygen_after_h", "h", func(l *Limits) **float64 { return &l.HarmOxygenAfterH }, [4]float64{1, 1, 1, 1}},
		// more than a mop takes up
		{"harm_spill_l", "L", func(l *Limits) **float64 { return &l.HarmSpillL }, [4]float64{1, 1, 1, 1}},
		// pumps and pipes are made for about as much, and a hand in it is scalded
		{"comfort_sump_c", "degC", func(l *Limits) **float64 { return &l.ComfortSumpC }, [4]float64{35, 35, 35, 35}},
		{"harm_sump_c", "degC", func(l *Limits) **float64 { return &l.HarmSumpC }, [4]float64{45, 45, 45, 45}},
		{"comfort_change_k", "K", func(l *Limits) **float64 { return &l.ComfortChangeK }, [4]float64{1.5, 1, 1, 1}},
		{"harm_change_k", "K", func(l *Limits) **float64 { return &l.HarmChangeK }, [4]float64{4, 3, 3, 3}},
		{"comfort_change_psu", "1", func(l *Limits) **float64 { return &l.ComfortChangePSU }, [4]float64{2, 1, 1, 1}},
		{"harm_change_psu", "1", func(l *Limits) **float64 { return &l.HarmChangePSU }, [4]float64{8, 5, 5, 5}},
	}

	// usualLosses are the limits of loss: what is published, but none of it nearer than the harm limit beside it.
	usualLosses = []struct {
		member, unit string
		of, harm     func(*Limits) **float64
		outwards     float64 // +1 where a greater value is further out, -1 where a smaller one is
		values       [4]float64
	}{
		{"loss_low_c", "degC", func(l *Limits) **float64 { return &l.LossLowC },
			func(l *Limits) **float64 { return &l.HarmLowC }, -1, [4]float64{18, 18, 18, 18}},
		{"loss_cold_after_h", "h", func(l *Limits) **float64 { return &l.LossColdAfterH },
			func(l *Limits) **float64 { return &l.HarmTempAfterH }, 1, [4]float64{48, 48, 48, 48}},
		{"loss_high_c", "degC", func(l *Limits) **float64 { return &l.LossHighC },
			func(l *Limits) **float64 { return &l.HarmHighC }, 1, [4]float64{32, 32, 32, 32}},
		{"loss_heat_after_h", "h", func(l *Limits) **float64 { return &l.LossHeatAfterH },
			func(l *Limits) **float64 { return &l.HarmTempAfterH }, 1, [4]float64{24, 24, 24, 24}},
		{"rapid_loss_low_c", "degC", func(l *Limits) **float64 { return &l.RapidLossLowC },
			func(l *Limits) **float64 { return &l.LossLowC }, -1, [4]float64{15, 15, 15, 15}},
		{"rapid_loss_high_c", "degC", func(l *Limits) **float64 { return &l.RapidLossHighC },
			func(l *Limits) **float64 { return &l.LossHighC }, 1, [4]float64{34, 34, 34, 34}},
		{"rapid_loss_after_h", "h", func(l *Limits) **float64 { return &l.RapidLossAfterH },
			func(l *Limits) **float64 { return &l.HarmTempAfterH }, 1, [4]float64{4, 4, 4, 4}},
		{"loss_low_psu", "1", func(l *Limits) **float64 { return &l.LossLowPSU },
			func(l *Limits) **float64 { return &l.HarmLowPSU }, -1, [4]float64{15, 22, 22, 22}},
		{"loss_high_psu", "1", func(l *Limits) **float64 { return &l.LossHighPSU },
			func(l *Limits) **float64 { return &l.HarmHighPSU }, 1, [4]float64{45, 45, 45, 45}},
		{"loss_salinity_after_h", "h", func(l *Limits) **float64 { return &l.LossSalinityAfterH },
			func(l *Limits) **float64 { return &l.HarmSalinityAfterH }, 1, [4]float64{72, 72, 72, 72}},
		{"loss_oxygen_mg_l", "mg/L", func(l *Limits) **float64 { return &l.LossOxygenMgL },
			func(l *Limits) **float64 { return &l.HarmOxygenMgL }, -1, [4]float64{2, 2, 2, 2}},
		{"loss_oxygen_after_h", "h", func(l *Limits) **float64 { return &l.LossOxygenAfterH },
			func(l *Limits) **float64 { return &l.HarmOxygenAfterH }, 1, [4]float64{1, 1, 1, 1}},
	}
)
