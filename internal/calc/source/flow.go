package source

var flow = []Entry{
	{
		Key: "Churchill1977",
		Citation: "Churchill, S. W. 1977, Friction-factor equation spans all fluid-flow regimes, Chemical " +
			"Engineering 84 (24), 91-92",
		Note: "from memory, checked against Colebrook and White's equation",
	},
	{
		Key: "CengelCimbala2006",
		Citation: "Cengel, Y. A. and Cimbala, J. M. 2006, Fluid Mechanics: Fundamentals and Applications, " +
			"McGraw-Hill; tables 8-2 and 8-4, section 8-6",
		Note: "roughness of plastic pipe and loss coefficients from memory",
	},
	{
		Key: "FritschButland1984",
		Citation: "Fritsch, F. N. and Butland, J. 1984, A method for constructing local monotone piecewise cubic " +
			"interpolants, SIAM Journal on Scientific and Statistical Computing 5, 300-304",
		DOI:  "10.1137/0905021",
		Note: "as gonum implements it",
	},
}
