// Package carbonate is the chemistry of carbon dioxide in sea water: alkalinity, pH, carbonate, and how ready the
// water is to drop calcium carbonate.
//
//	constants.go  equilibrium constants and what sea water holds, by salinity and temperature
//	unit.go       alkalinity and pH as people state them
//	system.go     the whole system from any two of alkalinity, dissolved carbon, pH and carbon dioxide
package carbonate

import (
	"math"

	"saltwright/internal/calc"
	"saltwright/internal/calc/quantity"
)

// Constants are the constants of one water, all for the total scale of pH but KS, which is for the free scale.
type Constants struct {
	K0                float64 // solubility of carbon dioxide, mol/(kg atm)
	K1, K2            float64 // of carbonic acid, mol/kg
	KB, KS, KF        float64 // of boric acid, bisulfate and hydrogen fluoride, mol/kg
	KW                float64 // of water, mol²/kg²
	KspA, KspC        float64 // solubility products of aragonite and of calcite, mol²/kg²
	Boron             float64 // mol/kg, and so the next three
	Sulfate           float64
	Fluoride          float64
	Calcium           float64
	FugacityShare     float64 // fugacity of carbon dioxide over its partial pressure
	NBSActivity       float64 // 10^-pH(NBS) over the hydrogen ions on the seawater scale
	TotalOverFree     float64 // hydrogen ions on the total scale over the free ones
	SeawaterOverTotal float64 // hydrogen ions on the seawater scale over those on the total scale
}

// The range that ConstantsAt accepts.
const (
	minPSU, maxPSU     = 5.0, 45.0
	minTempC, maxTempC = 2.0, 40.0
)

// Published lists the ranges that the sources of this package's relations give.
var Published = []calc.Published{
	{
		Relation: "carbonate.ConstantsAt", Of: "carbonic_acid",
		Quantity: "salinity_psu", Unit: "1", Low: 19, High: 43, Source: "Lueker2000",
	},
	{
		Relation: "carbonate.ConstantsAt", Of: "carbonic_acid",
		Quantity: "water_c", Unit: "degC", Low: 2, High: 35, Source: "Lueker2000",
	},
}

const (
	gasConstant         = 82.057            // cm³ atm/(mol K). Source: [Dickson2007], as used there
	chlorinityPerPSU    = 1.80655           // Source: [Wooster1969]
	boronLee            = 0.0004326 / 35    // mol/kg, as codes round 0.1336 mg/kg over 10.811. Source: [Lee2010]
	sulfatePerChlorine  = 0.14 / 96.062     // Source: [Dickson2007] for Morris and Riley 1966
	fluoridePerChlorine = 0.000067 / 18.998 // Source: [Dickson2007] for Riley 1965
	calciumPerChlorine  = 0.02128 / 40.087  // Source: [Dickson2007] for Riley and Tongudai 1967
)

// ConstantsAt returns the constants of sea water at one atmosphere.
//
//	ln K0  = 93.4517 (100/T) - 60.2409 + 23.3585 ln(T/100) + S (0.023517 - 0.023656 (T/100) + 0.0047036 (T/100)²)
//	lg K1  = -3633.86/T + 61.2172 - 9.67770 ln T + 0.011555 S - 0.0001152 S²
//	lg K2  = -471.78/T - 25.9290 + 3.16967 ln T + 0.01781 S - 0.0001122 S²
//	KB, KW, KS, KF, Ksp  as in the same chapter
//	B, SO4, F, Ca  in proportion to salinity
//
//	S  practical salinity  valid 5 … 45, published 19 … 43
//	T  [K]                 valid 2 … 40 °C, published 2 … 35 °C
//
// Accuracy: half a unit of the last digit of the published check values; as for nature, pK1 0.0075, pK2 0.015,
// pKB 0.01, pKsp 0.02, boron 2 %. Fluoride's constant is taken on the total scale, and water's 0.015 below the seawater
// scale, both as the guide has them; above pH 9 other readings differ from this by up to 0.009 in pH.
// Errors: *calc.RangeError.
// Source: [Dickson2007], [Lueker2000], [Lee2010], [Mucci1983], [Takahashi1982], [Wooster1969]. Departure: boron by Lee
// 2010, where the guide has Uppstrom 1974, which gives a pH 0.002 to 0.009 higher at the same alkalinity and carbon.
func ConstantsAt(s quantity.PracticalSalinity, t quantity.Celsius) (Constants, error) {
	if err := calc.CheckRange("salinity_psu", float64(s), minPSU, maxPSU, "1"); err != nil {
		return Constants{}, err
	}
	if err := calc.CheckRange("water_c", float64(t), minTempC, maxTempC, "degC"); err != nil {
		return Constants{}, err
	}
	S, T := float64(s), t.Kelvin()
	root, lnT, hundred := math.Sqrt(S), math.Log(T), T/100
	chlorinity := S / chlorinityPerPSU
	ionic := 19.924 * S / (1000 - 1.005*S) // mol/kg
	k := Constants{
		K0: math.Exp(93.4517/hundred - 60.2409 + 23.3585*math.Log(hundred) +
			S*(0.023517-0.023656*hundred+0.0047036*hundred*hundred)),
		K1: math.Pow(10, -3633.86/T+61.2172-9.67770*lnT+0.011555*S-0.0001152*S*S),
		K2: math.Pow(10, -471.78/T-25.9290+3.16967*lnT+0.01781*S-0.0001122*S*S),
		KB: math.Exp((-8966.90-2890.53*root-77.942*S+1.728*S*root-0.0996*S*S)/T +
			148.0248 + 137.1942*root + 1.62142*S -
			(24.4344+25.085*root+0.2474*S)*lnT + 0.053105*root*T),
		KW: math.Exp(-13847.26/T + 148.9652 - 23.6521*lnT +
			(118.67/T-5.977+1.0495*lnT)*root - 0.01615*S),
		KS: math.Exp(-4276.1/T + 141.328 - 23.093*lnT +
			(-13856/T+324.57-47.986*lnT)*math.Sqrt(ionic) +
			(35474/T-771.54+114.723*lnT)*ionic -
			2698/T*ionic*math.Sqrt(ionic) + 1776/T*ionic*ionic + math.Log(1-0.001005*S)),
		KF: math.Exp(874/T - 9.68 + 0.111*root),
		KspA: math.Pow(10, -171.945-0.077993*T+2903.293/T+71.595*math.Log10(T)+
			(-0.068393+0.0017276*T+88.135/T)*root-0.10018*S+0.0059415*S*root),
		KspC: math.Pow(10, -171.9065-0.077993*T+2839.319/T+71.595*math.Log10(T)+
			(-0.77712+0.0028426*T+178.34/T)*root-0.07711*S+0.0041249*S*root),
		Boron:    boronLee * S,
		Sulfate:  sulfatePerChlorine * chlorinity,
		Fluoride: fluoridePerChlorine * chlorinity,
		Calcium:  calciumPerChlorine * chlorinity,
	}
	virial := -1636.75 + T*(12.0408+T*(-0.0327957+T*3.16528e-5)) // cm³/mol, of carbon dioxide with itself
	withAir := 57.7 - 0.118*T                                    // cm³/mol, of carbon dioxide with air
	k.FugacityShare = math.Exp((virial + 2*withAir) / (gasConstant * T))
	k.TotalOverFree = 1 + k.Sulfate/k.KS
	k.SeawaterOverTotal = 1 + k.Fluoride/k.KF // fluoride's constant is on the total scale, as the ions here are
	k.NBSActivity = 1.2948 - 0.002036*T + (0.0004607-0.000001475*T)*S*S
	return k, nil
}
