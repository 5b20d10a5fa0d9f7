package source

var lighting = []Entry{}
