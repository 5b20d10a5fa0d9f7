package source

var thermal = []Entry{
	{
		Key: "ASHRAEApplications",
		Citation: "ASHRAE, ASHRAE Handbook: HVAC Applications, chapter on natatoriums, evaporation rate from " +
			"indoor pools",
		Note: "equation and activity factors from memory; the equation agrees with Carrier's after conversion to 0.6 %",
	},
	{
		Key:      "Carrier1918",
		Citation: "Carrier, W. H. 1918, The temperature of evaporation, ASHVE Transactions 24, 25-50",
		Note:     "from memory",
	},
	{
		Key: "SmithLofJones1998",
		Citation: "Smith, C. C., Löf, G. O. G. and Jones, R. W. 1998, Rates of evaporation from swimming pools " +
			"in active use, ASHRAE Transactions 104 (1A)",
		Note: "74 % for undisturbed pools, from the abstract",
	},
	{
		Key: "SmithJonesLof1993",
		Citation: "Smith, C. C., Jones, R. W. and Löf, G. O. G. 1993, Energy requirements and potential savings for " +
			"heated indoor swimming pools, ASHRAE Transactions 99 (2), DE-93-12-3",
		Note: "abstract read: 0.76 of the handbook's equation over a quiet pool, 0.73 for low altitudes; the " +
			"altitude of Fort Collins, 1525 m, from memory",
	},
	{
		Key: "SmithLofJones1994",
		Citation: "Smith, C. C., Löf, G. O. G. and Jones, R. W. 1994, Measurement and analysis of evaporation from " +
			"an inactive outdoor swimming pool, Solar Energy 53 (1), 3-7",
		Note: "abstract read: wind up to 2.2 m/s",
	},
	{
		Key: "Pauken1995",
		Citation: "Pauken, M. T., Tang, T. D., Jeter, S. M. and Abdel-Khalik, S. I. 1995, A novel method for " +
			"measuring water evaporation into still air, ASHRAE Transactions 101 (1), 3841",
		Note: "abstract read: 16 % at 95 % confidence; the title from memory",
	},
	{
		Key: "Shah2014",
		Citation: "Shah, M. M. 2014, Methods for calculation of evaporation from swimming pools and other water " +
			"surfaces, ASHRAE Transactions 120 (2), SE-14-001",
		Note: "paper not seen; constants 35 and 0.00005 as secondary sources quote them; density convention and the " +
			"ranges of the data (water from 7 °C, air 6 to 35 °C, humidity 28 to 98 %) from memory",
	},
	{
		Key: "Kell1975",
		Citation: "Kell, G. S. 1975, Density, thermal expansivity, and compressibility of liquid water from 0 to " +
			"150 °C, Journal of Chemical and Engineering Data 20, 97-105",
		DOI:  "10.1021/je60064a005",
		Note: "density at 20 °C to four digits, from memory",
	},
	{
		Key: "ChurchillChu1975",
		Citation: "Churchill, S. W. and Chu, H. H. S. 1975, Correlating equations for laminar and turbulent free " +
			"convection from a vertical plate, International Journal of Heat and Mass Transfer 18, 1323-1329",
		DOI:  "10.1016/0017-9310(75)90243-4",
		Note: "equation from memory, confirmed by two textbook examples in the tests",
	},
	{
		Key: "McAdams1954",
		Citation: "McAdams, W. H. 1954, Heat Transmission, 3rd edition, McGraw-Hill; horizontal plates, as given " +
			"in textbooks",
		Note: "from memory",
	},
	{
		Key: "Incropera2007",
		Citation: "Incropera, F. P., DeWitt, D. P., Bergman, T. L. and Lavine, A. S. 2007, Fundamentals of Heat " +
			"and Mass Transfer, 6th edition, Wiley; sections 1.2, 3.6, 7.2, 9.6, 9.9, tables 1.1, 3.4, A.4, A.11",
		Note: "from memory",
	},
	{
		Key:      "Cengel2003",
		Citation: "Çengel, Y. A. 2003, Heat Transfer: A Practical Approach, 2nd edition, McGraw-Hill; section 3-1",
		Note:     "relations from memory",
	},
	{
		Key: "ISO10456",
		Citation: "ISO 10456:2007, Building materials and products, Hygrothermal properties, tabulated design " +
			"values, table 3",
		Note: "glass 1.00, PMMA 0.18 and acrylic 0.20 W/(m K), from memory",
	},
	{
		Key: "EN673",
		Citation: "EN 673:2011, Glass in building, Determination of thermal transmittance (U value), corrected " +
			"emissivity of uncoated soda lime glass",
		Note: "0.837, from memory",
	},
	{
		Key: "CODATA2018",
		Citation: "Tiesinga, E., Mohr, P. J., Newell, D. B. and Taylor, B. N. 2021, CODATA recommended values of " +
			"the fundamental physical constants: 2018, Reviews of Modern Physics 93, 025010",
		DOI:  "10.1103/RevModPhys.93.025010",
		Note: "Stefan-Boltzmann constant, from memory",
	},
}
