package source

var general = []Entry{
	{Key: "BIPM2019", Citation: "Bureau International des Poids et Mesures 2019, The International System of Units (SI), 9th edition", Note: "definitions, from memory"},
	{Key: "NISTSP811", Citation: "Thompson, A. and Taylor, B. N. 2008, Guide for the Use of the International System of Units (SI), NIST Special Publication 811, appendix B", DOI: "10.6028/NIST.SP.811e2008", Note: "exact factors, from memory"},
	{Key: "CommonPractice", Citation: "Common practice of the trade, no source", Note: "a rule experienced keepers pass on; nobody has published a measurement we could cite"},
	{Key: "Derived", Citation: "Derived here from conservation of mass, salt or energy, or from geometry", Note: "the relation in the docstring is the derivation"},
}
