package source

var lighting = []Entry{
	{Key: "Meeus1998", Citation: "Meeus, J. 1998, Astronomical Algorithms, 2nd edition, chapters 15, 25 and 28, in the short form of NOAA's solar calculator", Note: "from memory, checked against pyephem by table"},
	{Key: "DiPerna2018", Citation: "DiPerna, S., Hoogenboom, M., Noonan, S. and Fabricius, K. 2018, Effects of variability in daily light integrals on the photophysiology of the corals Pachyseris speciosa and Acropora millepora, PLOS ONE 13 (9), e0203882", DOI: "10.1371/journal.pone.0203882", Note: "abstract seen: 6 mol/(m2 d) as potentially light-limiting, 32 as potentially photoinhibiting; a laboratory study, not a reef"},
}
