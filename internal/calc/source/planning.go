package source

var planning = []Entry{}
