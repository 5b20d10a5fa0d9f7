package power

import (
	"fmt"
	"math"

	"saltwright/internal/calc"
	"saltwright/internal/calc/heat"
	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/text"
)

// Battery feeds a chosen set while the mains are gone.
type Battery struct {
	CapacityWh  float64 // 0 … 1e6 Wh on the label
	UsableShare float64 // of the label, 0.1 … 1
	Efficiency  float64 // of what converts it, 0.1 … 1
	LoadW       float64 // of what it feeds, 0.1 … 1e5 W
	OnPercent   float64 // of the time that it feeds them, 1 … 100 %
}

// OutageInput is a tank when the mains fail.
type OutageInput struct {
	System       heat.System // display and sump; gains are off
	DisplayL     float64     // water in the display, 1 … 1e6 L
	SumpL        float64     // water in the sump, 0 without one
	WaterC       float64     // when it begins, 0 … 40 °C
	Rooms        []Room      // 1 … 3, the usual first
	ComfortLowC  float64
	ComfortHighC float64
	HarmLowC     float64
	HarmHighC    float64
	Oxygen       Oxygen
	Battery      *Battery // nil: nothing runs
	DurationH    float64  // of the outage, 0.5 … 240 h
}

// Room is a state of the room during the outage.
type Room struct {
	Name string
	Air  heat.Surroundings
}

// Oxygen is what is used and what comes in.
type Oxygen struct {
	DemandMgLH float64 // by everything alive, over the display's water, 0.001 … 10 mg/(L h)
	StirredCMH float64 // exchange velocity while a pump stirs, 0.1 … 200 cm/h
	StillCMH   float64 // without, 0.1 … 100 cm/h
	ComfortMgL float64 // 0 … 15 mg/L
	HarmMgL    float64 // below ComfortMgL
}

// What a tank takes of oxygen, by night or in the dark, mg per litre of display and hour, where nobody says.
// 300 g of fish at rest in 450 L take 0.157 (Clarke and Johnston 1999, 30 g each, 25.5 °C); the rest, corals, rock,
// sand and bacteria, is taken to use as much; reef slopes and flats would use ten times that. Source: [CommonPractice].
const (
	UsualDemandMgLH      = 0.3
	LeastDemandMgLH      = 0.15 // the fish alone
	MostDemandMgLH       = 1.0  // a part of what a reef slope takes
	UsualFishDemandMgKgH = 250  // at rest, 20 to 30 g each, 25.5 °C
	UsualBaseDemandMgLH  = 0.15 // all else alive
)

// DemandOfFish returns the oxygen that a tank takes, mg per litre and hour.
//
//	demand = base + fish · demand of fish / volume
//
//	fishG    live mass of the fish             [g]
//	mgKgH    what they use                     [mg/(kg h)]
//	base     what all else alive uses          [mg/(L h)]
//	volumeL  water of the display, above 0     [L]
//
// Accuracy: a factor of two. Errors: none. Source: [CommonPractice].
func DemandOfFish(fishG, mgKgH, base, volumeL float64) float64 {
	return base + fishG/quantity.GramsPerKilogram*mgKgH/volumeL
}

// DemandSpread returns the least and the most that a demand may be; the most is no more than what the stirred water
// takes up at the edge of comfort, because a keeper would see more than that every night.
//
//	least = demand/2  most = min(demand·10/3, max(demand, k (Osat - Ocomfort)))
//
//	demand           [mg/(L h)]
//	stirredPerH      k, exchange of the stirred water      [1/h]
//	saturationMgL    Osat                                   [mg/L]
//	comfortMgL       Ocomfort                               [mg/L]
//
// Accuracy: this is the accuracy. Errors: none. Source: [CommonPractice].
func DemandSpread(demand, stirredPerH, saturationMgL, comfortMgL float64) (least, most float64) {
	seen := math.Max(demand, stirredPerH*(saturationMgL-comfortMgL))
	return demand * LeastDemandMgLH / UsualDemandMgLH, math.Min(demand*MostDemandMgLH/UsualDemandMgLH, seen)
}

func (in OutageInput) check() error {
	type bound struct {
		param           string
		value, min, max float64
		unit            string
	}
	bounds := []bound{
		{"water_c", in.WaterC, 0, 40, "degC"}, {"rooms", float64(len(in.Rooms)), 1, 3, "1"},
		{"comfort_low_c", in.ComfortLowC, 0, 40, "degC"}, {"comfort_high_c", in.ComfortHighC, 0, 40, "degC"},
		{"harm_low_c", in.HarmLowC, 0, 40, "degC"}, {"harm_high_c", in.HarmHighC, 0, 40, "degC"},
		{"duration_h", in.DurationH, 0.5, 240, "h"},
		{"demand_mg_l_h", in.Oxygen.DemandMgLH, 0.001, 10, "mg/(L h)"},
		{"stirred_cm_h", in.Oxygen.StirredCMH, 0.1, 200, "cm/h"},
		{"still_cm_h", in.Oxygen.StillCMH, 0.1, 100, "cm/h"},
		{"comfort_oxygen_mg_l", in.Oxygen.ComfortMgL, 0, 15, "mg/L"},
		{"harm_oxygen_mg_l", in.Oxygen.HarmMgL, 0, 15, "mg/L"},
	}
	if b := in.Battery; b != nil {
		bounds = append(bounds, bound{"battery_wh", b.CapacityWh, 0, 1e6, "Wh"},
			bound{"battery_usable_share", b.UsableShare, 0.1, 1, "1"},
			bound{
				"battery_efficiency", b.Efficiency, 0.1, 1, "1",
			}, bound{"battery_load_w", b.LoadW, 0.1, 1e5, "W"}, bound{"battery_on_percent", b.OnPercent, 1, 100, "%"})
	}
	for _, b := range bounds {
		if err := calc.CheckRange(b.param, b.value, b.min, b.max, b.unit); err != nil {
			return err
		}
	}
	const leastL, mostL = 1, 1e6
	switch {
	case !(in.DisplayL >= leastL && in.DisplayL <= mostL):
		return &calc.ConflictError{
			Params: []string{"length_mm", "width_mm", "water_depth_mm"},
			Reason: text.Plain(fmt.Sprintf("the display holds %.1f L of water; %d to %.0f L is meant", in.DisplayL,
				leastL, mostL)),
		}
	case in.System.Sump != nil && !(in.SumpL >= leastL && in.SumpL <= mostL):
		return &calc.ConflictError{
			Params: []string{"sump_length_mm", "sump_width_mm", "sump_depth_mm"},
			Reason: text.Plain(fmt.Sprintf("the sump holds %.1f L of water; %d to %.0f L is meant", in.SumpL, leastL,
				mostL)),
		}
	case !(in.HarmLowC <= in.ComfortLowC && in.ComfortLowC < in.ComfortHighC && in.ComfortHighC <= in.HarmHighC):
		return &calc.ConflictError{
			Params: []string{"harm_low_c", "comfort_low_c", "comfort_high_c", "harm_high_c"},
			Reason: text.Plain("the limits must rise: low harm, low comfort, high comfort, high harm"),
		}
	case in.WaterC <= in.HarmLowC || in.WaterC >= in.HarmHighC:
		return &calc.ConflictError{
			Params: []string{"water_c", "harm_low_c", "harm_high_c"},
			Reason: text.Plain("the water must lie between the harm limits when the outage begins"),
		}
	case in.Oxygen.HarmMgL >= in.Oxygen.ComfortMgL:
		return &calc.ConflictError{
			Params: []string{"harm_oxygen_mg_l", "comfort_oxygen_mg_l"},
			Reason: text.Plain("the oxygen that does harm must lie below the comfortable"),
		}
	case in.Oxygen.StillCMH > in.Oxygen.StirredCMH:
		return &calc.ConflictError{
			Params: []string{"still_cm_h", "stirred_cm_h"},
			Reason: text.Plain("still water does not take up more oxygen than stirred water"),
		}
	}
	return nil
}
