package source

var water = []Entry{
	{Key: "Saunders1990", Citation: "Saunders, P. M. 1990, The International Temperature Scale of 1990, ITS-90, WOCE Newsletter 10, p. 10", Note: "from memory"},
}
