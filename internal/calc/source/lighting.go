package source

var lighting = []Entry{
	{
		Key: "Meeus1998",
		Citation: "Meeus, J. 1998, Astronomical Algorithms, 2nd edition, chapters 15, 25 and 28, in the short " +
			"form of NOAA's solar calculator",
		Note: "from memory, checked against pyephem by table",
	},
	{
		Key: "DiPerna2018",
		Citation: "DiPerna, S., Hoogenboom, M., Noonan, S. and Fabricius, K. 2018, Effects of variability in " +
			"daily light integrals on the photophysiology of the corals Pachyseris speciosa and Acropora " +
			"millepora, PLOS ONE 13 (9), e0203882",
		DOI: "10.1371/journal.pone.0203882",
		Note: "abstract seen: 6 mol/(m2 d) as potentially light-limiting, 32 as potentially photoinhibiting; a " +
			"laboratory study, not a reef",
	},
	{
		Key: "RedaAndreas2004",
		Citation: "Reda, I. and Andreas, A. 2004, Solar position algorithm for solar radiation applications, " +
			"Solar Energy 76, 577-589; NREL/TP-560-34302",
		DOI:  "10.1016/j.solener.2003.12.003",
		Note: "worked example as public test suites quote it",
	},
	{
		Key: "Haurwitz1945",
		Citation: "Haurwitz, B. 1945, Insolation in relation to cloudiness and cloud density, Journal of " +
			"Meteorology 2, 154-166",
		Note: "coefficients as pvlib and Sandia's library state them; reproduced to 1e-9",
	},
	{
		Key: "Reno2012",
		Citation: "Reno, M. J., Hansen, C. W. and Stein, J. S. 2012, Global horizontal irradiance clear sky " +
			"models: implementation and analysis, Sandia National Laboratories, SAND2012-2389",
		Note: "its ranking of simple models, as pvlib quotes it",
	},
	{
		Key: "Akitsu2022",
		Citation: "Akitsu, T. K. et al. 2022, Global climatology of the ratio of photosynthetically active " +
			"radiation to solar radiation",
		Note: "abstract seen: annual means of 0.409 to 0.477, 0.45 to 0.46 in common use; title and journal not " +
			"certain",
	},
	{
		Key: "ThimijanHeins1983",
		Citation: "Thimijan, R. W. and Heins, R. D. 1983, Photometric, radiometric, and quantum light units of " +
			"measure: a review of procedures for interconversion, HortScience 18, 818-822",
		Note: "4.57 umol/J for sun and sky, from memory; 4.55 in a later abstract",
	},
	{
		Key:      "Jerlov1976",
		Citation: "Jerlov, N. G. 1976, Marine Optics, 2nd edition, Elsevier; table XXVII, p. 135",
		Note: "diffuse attenuation of downward irradiance at 13 wavelengths for ten types of water, as two public " +
			"transcriptions give it alike but for one last digit; the book was not seen",
	},
	{
		Key: "Augustine2000",
		Citation: "Augustine, J. A., DeLuisi, J. J. and Long, C. N. 2000, SURFRAD, a national surface radiation " +
			"budget network for atmospheric research, Bulletin of the American Meteorological Society 81, 2341-2357",
		Note: "stations at 32 to 49° north whose clear days the model was held against; the paper from memory",
	},
	{
		Key: "Wall2020",
		Citation: "Wall, C. B., Kaluhiokalani, M., Popp, B. N., Donahue, M. J. and Gates, R. D. 2020, Divergent " +
			"symbiont communities determine the physiology and nutrition of a reef coral across a light-availability " +
			"gradient, ISME Journal 14, 945-958",
		Note: "loggers at four reefs of a bay, from the paper's data",
	},
	{
		Key: "Kirk2011",
		Citation: "Kirk, J. T. O. 2011, Light and Photosynthesis in Aquatic Ecosystems, 3rd edition, Cambridge " +
			"University Press",
		Note: "exponential attenuation and the loss at the surface, from memory",
	},
}
