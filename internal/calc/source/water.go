package source

var water = []Entry{
	{
		Key: "Saunders1990",
		Citation: "Saunders, P. M. 1990, The International Temperature Scale of 1990, ITS-90, WOCE Newsletter " +
			"10, p. 10",
		Note: "from memory",
	},
	{
		Key: "UNESCO44",
		Citation: "Fofonoff, N. P. and Millard, R. C. 1983, Algorithms for computation of fundamental properties " +
			"of seawater, UNESCO Technical Papers in Marine Science 44",
		Note: "coefficients from memory, confirmed by the published check values and by gsw",
	},
	{
		Key: "MilleroPoisson1981",
		Citation: "Millero, F. J. and Poisson, A. 1981, International one-atmosphere equation of state of " +
			"seawater, Deep-Sea Research 28A, 625-629",
		Note: "coefficients from memory, confirmed by the published check values",
	},
	{
		Key: "Millero2008",
		Citation: "Millero, F. J., Feistel, R., Wright, D. G. and McDougall, T. J. 2008, The composition of " +
			"Standard Seawater and the definition of the Reference-Composition Salinity Scale, Deep-Sea Research " +
			"I 55, 50-72",
		Note: "35.16504 g/kg at SP 35, from memory, confirmed by gsw",
	},
	{
		Key: "Wooster1969",
		Citation: "Wooster, W. S., Lee, A. J. and Dietrich, G. 1969, Redefinition of salinity, Limnology and " +
			"Oceanography 14, 437-438",
		Note: "S = 1.80655 Cl, from memory",
	},
	{
		Key: "Millero1973",
		Citation: "Millero, F. J., Perron, G. and Desnoyers, J. E. 1973, Heat capacity of seawater solutions " +
			"from 5 to 35 C and 0.5 to 22 permil chlorinity, Journal of Geophysical Research 78, 4499-4507",
		Note: "coefficients from memory, within 0.09 % of gsw",
	},
	{
		Key: "GreenCarritt1967",
		Citation: "Green, E. J. and Carritt, D. E. 1967, New tables for oxygen saturation of seawater, Journal " +
			"of Marine Research 25, 140-147",
		Note: "the linear lowering of the vapour pressure, from memory",
	},
	{
		Key: "Henderson1984",
		Citation: "Henderson-Sellers, B. 1984, A new formula for latent heat of vaporization of water as a " +
			"function of temperature, Quarterly Journal of the Royal Meteorological Society 110, 1186-1190",
		Note: "for the near-linear course; our straight line 2500.9 - 2.365 t kJ/kg is from memory and checked " +
			"against gsw",
	},
	{
		Key: "GarciaGordon1992",
		Citation: "Garcia, H. E. and Gordon, L. I. 1992, Oxygen solubility in seawater: better fitting " +
			"equations, Limnology and Oceanography 37, 1307-1312",
		Note: "Benson and Krause coefficients from memory, confirmed by gsw",
	},
	{
		Key: "BensonKrause1984",
		Citation: "Benson, B. B. and Krause, D. 1984, The concentration and isotopic fractionation of oxygen " +
			"dissolved in freshwater and seawater in equilibrium with the atmosphere, Limnology and " +
			"Oceanography 29, 620-632",
		DOI: "10.4319/lo.1984.29.3.0620",
		Note: "the share of the dry air's pressure, from memory; the paper's own factor for the gas not being ideal " +
			"is left out: below 0.1 % down to 0.5 atmospheres",
	},
	{
		Key: "MillardSeaver1990",
		Citation: "Millard, R. C. and Seaver, G. 1990, An index of refraction algorithm for seawater over " +
			"temperature, pressure, salinity, density, and wavelength, Deep-Sea Research 37, 1909-1926",
		Note: "coefficients from public transcriptions; the paper was not seen",
	},
	{
		Key:      "CRCHandbook",
		Citation: "CRC Handbook of Chemistry and Physics, section 8, Concentrative properties of aqueous solutions",
		Note: "sodium chloride at 20 C: index 1.3330 pure, 1.3418 at 5 % by mass; conductivity 16.0, 30.2 and " +
			"70.1 mS/cm at 1, 2 and 5 %; from memory",
	},
	{
		Key: "HylandWexler1983",
		Citation: "Hyland, R. W. and Wexler, A. 1983, Formulations for the thermodynamic properties of the " +
			"saturated phases of H2O from 173.15 K to 473.15 K, ASHRAE Transactions 89 (2A), 500-519",
		Note: "coefficients from memory, confirmed by psychrolib",
	},
	{
		Key:      "ASHRAEFundamentals2017",
		Citation: "ASHRAE 2017, Handbook of Fundamentals, chapter 1, Psychrometrics",
		Note:     "equations from memory, confirmed by psychrolib; the handbook was not seen",
	},
	{
		Key: "RogersPitzer1982",
		Citation: "Rogers, P. S. Z. and Pitzer, K. S. 1982, Volumetric properties of aqueous sodium chloride " +
			"solutions, Journal of Physical and Chemical Reference Data 11, 15-81",
		DOI:  "10.1063/1.555660",
		Note: "table of specific volumes at 100 kPa seen as the CRC Handbook prints it",
	},
	{
		Key: "Sharqawy2010",
		Citation: "Sharqawy, M. H., Lienhard V, J. H. and Zubair, S. M. 2010, Thermophysical properties of " +
			"seawater: a review of existing correlations and data, Desalination and Water Treatment 16, 354-380",
		DOI:  "10.5004/dwt.2010.1079",
		Note: "viscosity coefficients from memory, within 0.3 % of five table values in the tests",
	},
}
