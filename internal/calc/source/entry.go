package source

// Entry is one cited work.
type Entry struct {
	Key      string // short key, for instance "MilleroPoisson1981"
	Citation string // authors, year, title, where published
	DOI      string // without the resolver's address; empty when there is none
	Note     string // how we came by the numbers: seen, quoted by whom, or from memory
}
