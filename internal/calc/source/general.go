package source

var general = []Entry{
	{
		Key:      "BIPM2019",
		Citation: "Bureau International des Poids et Mesures 2019, The International System of Units (SI), 9th edition",
		Note:     "definitions, from memory",
	},
	{
		Key: "NISTSP811",
		Citation: "Thompson, A. and Taylor, B. N. 2008, Guide for the Use of the International System of Units " +
			"(SI), NIST Special Publication 811, appendix B",
		DOI:  "10.6028/NIST.SP.811e2008",
		Note: "exact factors, from memory",
	},
	{
		Key:      "CommonPractice",
		Citation: "Common practice of the trade, no source",
		Note:     "a rule experienced keepers pass on; nobody has published a measurement we could cite",
	},
	{
		Key:      "Derived",
		Citation: "Derived here from conservation of mass, salt or energy, or from geometry",
		Note:     "the relation in the docstring is the derivation",
	},
	{
		Key: "JCGM100",
		Citation: "Joint Committee for Guides in Metrology 2008, JCGM 100:2008, Evaluation of measurement data: " +
			"Guide to the expression of uncertainty in measurement (GUM)",
		Note: "sum of squares and coverage factor 2, from memory",
	},
	{
		Key: "JCGM101",
		Citation: "Joint Committee for Guides in Metrology 2008, JCGM 101:2008, Supplement 1 to the GUM: " +
			"Propagation of distributions using a Monte Carlo method",
		Note: "triangular distribution and the method, from memory",
	},
	{
		Key: "Saltelli2008",
		Citation: "Saltelli, A., Ratto, M., Andres, T., Campolongo, F., Cariboni, J., Gatelli, D., Saisana, M. " +
			"and Tarantola, S. 2008, Global Sensitivity Analysis: The Primer, Wiley",
		Note: "one-at-a-time analysis and what it misses, from memory",
	},
	{
		Key: "NISTStRD",
		Citation: "National Institute of Standards and Technology, Statistical Reference Datasets, nonlinear " +
			"least squares regression",
		Note: "certified values of Misra1a seen, its data and BoxBOD from memory; reproduced to 1e-8",
	},
	{
		Key:      "DraperSmith1998",
		Citation: "Draper, N. R. and Smith, H. 1998, Applied Regression Analysis, 3rd edition, Wiley, chapter 24",
		DOI:      "10.1002/9781118625590",
		Note:     "covariance of a nonlinear fit, from memory",
	},
	{
		Key: "Chandrupatla1997",
		Citation: "Chandrupatla, T. R. 1997, A new hybrid quadratic/bisection algorithm for finding the zero of " +
			"a nonlinear function without using derivatives, Advances in Engineering Software 28(3), 145-149",
		DOI:  "10.1016/S0965-9978(96)00051-8",
		Note: "the algorithm from memory; held by closed-form zeros and by bisection",
	},
}
