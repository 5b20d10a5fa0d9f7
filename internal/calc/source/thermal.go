package source

var thermal = []Entry{}
