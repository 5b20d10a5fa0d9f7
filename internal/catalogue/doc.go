// Package catalogue speaks: it writes every text that a person may read, in that person's language and units.
//
// A text is a code with named parameters (package calc/text). codes.yaml declares for each code its parameters and
// what
// each of them is: a quantity of the table in quantity.go, an amount of
// any, a count, a name, a word of a closed list, or another text.
// en.yaml holds what the codes read as. A language is one such file. A code with a parameter that is a count may have
// a
// form for one and a form for others; no code has two counts: the second thing counted is a text of its own.
//
// To add a text: declare its code, write its English, and say text.Of("the_code", text.Params{"after": hours}). The
// tests of this package read the sources and find a code or a parameter that is not declared, or declared and not
// used.
package catalogue
