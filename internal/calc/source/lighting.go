package source

var lighting = []Entry{
	{Key: "Meeus1998", Citation: "Meeus, J. 1998, Astronomical Algorithms, 2nd edition, chapters 15 and 25, in the short form of NOAA's solar calculator", Note: "from memory, checked against pyephem by table"},
}
