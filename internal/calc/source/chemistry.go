package source

var chemistry = []Entry{
	{
		Key: "Dickson2007",
		Citation: "Dickson, A. G., Sabine, C. L. and Christian, J. R. (eds.) 2007, Guide to best practices for ocean " +
			"CO2 measurements, PICES Special Publication 3, chapters 2 and 5",
		Note: "with the papers that it names for each constant: Weiss 1974, Dickson 1990, Millero 1995, Perez and " +
			"Fraga 1987, Morris and Riley 1966, Riley 1965, Riley and Tongudai 1967; coefficients from memory, " +
			"confirmed by its check values as three public codes quote them; the guide was not seen",
	},
	{
		Key: "Lueker2000",
		Citation: "Lueker, T. J., Dickson, A. G. and Keeling, C. D. 2000, Ocean pCO2 calculated from dissolved " +
			"inorganic carbon, alkalinity, and equations for K1 and K2, Marine Chemistry 70, 105-119",
		Note: "coefficients from memory, confirmed by the check values; its measured waters as a public repository " +
			"transcribes them",
	},
	{
		Key: "Lee2010",
		Citation: "Lee, K. and others 2010, The universal ratio of boron to chlorinity for the North Pacific and " +
			"North Atlantic oceans, Geochimica et Cosmochimica Acta 74, 1801-1811",
		Note: "0.1336 mg/kg at salinity 1, from memory, confirmed by two public codes",
	},
	{
		Key: "Mucci1983",
		Citation: "Mucci, A. 1983, The solubility of calcite and aragonite in seawater at various salinities, " +
			"temperatures, and one atmosphere total pressure, American Journal of Science 283, 780-799",
		Note: "coefficients from memory, confirmed by the check values that Zeebe and Wolf-Gladrow 2001 print",
	},
	{
		Key: "Takahashi1982",
		Citation: "Takahashi, T. and others 1982, in GEOSECS Pacific Expedition volume 3: the apparent activity of " +
			"hydrogen ions on the NBS scale",
		Note: "coefficients from memory, confirmed by two public codes; no better than 0.05 in pH",
	},
	{
		Key: "Moras2022",
		Citation: "Moras, C. A. and others 2022, Ocean alkalinity enhancement: avoiding runaway CaCO3 precipitation " +
			"during quick and hydrated lime dissolution, Biogeosciences 19, 3537-3557",
		DOI:  "10.5194/bg-19-3537-2022",
		Note: "abstract read: precipitation above a saturation of about 7 for aragonite, none below 5",
	},
	{
		Key: "Bates1956",
		Citation: "Bates, R. G., Bower, V. E. and Smith, E. R. 1956, Calcium hydroxide as a highly alkaline pH " +
			"standard, Journal of Research of the National Bureau of Standards 56, 305-312",
		Note: "0.0203 mol/L and pH 12.45 at 25 C; abstract read",
	},
	{
		Key:      "PerryLime",
		Citation: "Perry's Chemical Engineers' Handbook, table 2-120, solubility of calcium hydroxide in water",
		Note:     "1.76, 1.65, 1.53 and 1.41 g/kg at 10 to 40 C; a table with the same figures was seen",
	},
	{
		Key: "IMO2004",
		Citation: "International Maritime Organization 2004, International Convention for the Control and Management " +
			"of Ships' Ballast Water and Sediments, regulation D-1",
		Note: "three volumes pumped through count as 95 % exchanged; from memory",
	},
	{
		Key:      "CIAAW2021",
		Citation: "Commission on Isotopic Abundances and Atomic Weights 2021, Standard atomic weights",
		Note:     "intervals seen; the abridged values are from memory and lie inside them",
	},
}
