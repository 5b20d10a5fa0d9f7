package source

var planning = []Entry{
	{
		Key: "IEC60812",
		Citation: "International Electrotechnical Commission 2018, IEC 60812:2018, Failure modes and effects " +
			"analysis (FMEA and FMECA)",
		Note: "the method, from memory; the standard was not seen",
	},
	{
		Key: "ColeCaraco1998",
		Citation: "Cole, J. J. and Caraco, N. F. 1998, Atmospheric exchange of carbon dioxide in a low-wind " +
			"oligotrophic lake measured by the addition of SF6, Limnology and Oceanography 43, 647-656",
		Note: "k600 = 2.07 cm/h without wind, from memory",
	},
	{
		Key: "NOAACoralReefWatch",
		Citation: "National Oceanic and Atmospheric Administration, Coral Reef Watch, degree heating weeks: what the " +
			"water stands over the mean of its warmest month, where that is 1 °C or more, added up over twelve " +
			"weeks; " +
			"4 °C-weeks bring significant bleaching, 8 °C-weeks widespread bleaching and mortality",
		Note: "the method as pages of PacIOOS and climate.gov tell it; for reefs at sea, not measured in tanks",
	},
	{
		Key: "NFPA70",
		Citation: "National Fire Protection Association, NFPA 70, National Electrical Code, article 210.20(A) " +
			"and the definition of continuous load",
		Note: "the rule as trade forums and electricians' journals quote it; other countries have other rules",
	},
	{
		Key:      "IEC61025",
		Citation: "International Electrotechnical Commission 2006, IEC 61025:2006, Fault tree analysis (FTA)",
		Note:     "minimal cut sets, from memory; the standard was not seen",
	},
	{
		Key: "NUREG0492",
		Citation: "Vesely, W. E., Goldberg, F. F., Roberts, N. H. and Haasl, D. F. 1981, Fault Tree Handbook, " +
			"NUREG-0492, U.S. Nuclear Regulatory Commission; chapters VII, VIII and XI",
		Note: "relations and the pressure tank from memory",
	},
	{
		Key: "IEC615086",
		Citation: "International Electrotechnical Commission 2010, IEC 61508-6:2010, Functional safety of " +
			"electrical, electronic and programmable electronic safety-related systems, part 6, annex B",
		Note: "mean probability of failure on demand between tests, from memory; the standard was not seen",
	},
	{
		Key: "NUREGCR4780",
		Citation: "Mosleh, A., Fleming, K. N., Parry, G. W. et al. 1988, Procedures for Treating Common Cause " +
			"Failures in Safety and Reliability Studies, NUREG/CR-4780, U.S. Nuclear Regulatory Commission",
		Note: "the beta-factor method, from memory; its share of about 0.1 as others quote it",
	},
	{
		Key: "FESHM4240",
		Citation: "Fermi National Accelerator Laboratory, Environment, Safety and Health Manual, chapter 4240, " +
			"tables of equipment failure rates",
		Note: "nuclear and industrial equipment, clean and maintained; read in a public transcription",
	},
	{
		Key: "IEC60898",
		Citation: "International Electrotechnical Commission, IEC 60898-1, Circuit-breakers for overcurrent " +
			"protection for household and similar installations, Part 1, table of tripping characteristics",
		Note: "opens at once between 3 and 5 (type B), 5 and 10 (C), 10 and 20 times its rating (D); as several " +
			"public tables quote it, the standard was not seen",
	},
	{
		Key: "EIA2023",
		Citation: "U.S. Energy Information Administration, Electric Power Annual 2023, table 11.1, reliability " +
			"metrics of the distribution system, 2014 to 2023",
		Note: "how often and how long customers are without mains, with and without days of major events",
	},
	{
		Key: "Grover2013",
		Citation: "Grover, S., Park, M. S., Sundaresan, S. et al. 2013, Peeking behind the NAT: an empirical " +
			"study of home networks, Internet Measurement Conference 2013",
		Note: "median 0.06 interruptions of ten minutes or more a day in developed countries",
	},
	{
		Key: "ISO138491",
		Citation: "International Organization for Standardization, ISO 13849-1, Safety of machinery, " +
			"Safety-related parts of control systems, annex C",
		Note: "life of contacts by cycles, B10d; method and figures from memory, the standard was not seen",
	},
}
