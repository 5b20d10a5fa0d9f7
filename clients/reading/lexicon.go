package reading

// numberWords are numbers written as words, in English, German and Spanish.
var numberWords = map[string]float64{
	"one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8, "nine": 9, "ten": 10,
	"eleven": 11, "twelve": 12, "thirteen": 13, "fourteen": 14, "fifteen": 15, "sixteen": 16, "seventeen": 17,
	"eighteen": 18, "nineteen": 19, "twenty": 20, "thirty": 30, "forty": 40, "fifty": 50, "sixty": 60, "seventy": 70,
	"eighty": 80, "ninety": 90, "hundred": 100, "half": 0.5,
	"zwei": 2, "drei": 3, "vier": 4, "fünf": 5, "sechs": 6, "sieben": 7, "acht": 8, "neun": 9, "zehn": 10, "zwölf": 12,
	"dos": 2, "tres": 3, "cuatro": 4, "cinco": 5, "seis": 6, "siete": 7, "ocho": 8, "nueve": 9, "diez": 10, "doce": 12,
}

// fills are ways to say how full something is, and the per cent of each.
var fills = []struct {
	text    string
	percent float64
}{
	{"three quarters full", 75}, {"three-quarters full", 75}, {"two thirds full", 200.0 / 3},
	{"two-thirds full", 200.0 / 3}, {"one third full", 100.0 / 3}, {"third full", 100.0 / 3}, {"quarter full", 25},
	{"half full", 50}, {"half empty", 50}, {"half-full", 50}, {"half-empty", 50}, {"halb voll", 50},
	{"medio lleno", 50},
}

// away are the words after which "a week" is a number of days: away a week, but not once a week.
var away = []string{"away", "for", "gone", "leave", "leaving", "within"}

// relations are the words before a number that say how it is meant. The longest stand first.
var relations = []struct{ words, means string }{
	{"no more than", AtMost}, {"no less than", AtLeast}, {"more than", AtLeast}, {"less than", AtMost},
	{"at least", AtLeast}, {"at most", AtMost}, {"up to", AtMost}, {"every", Every}, {"about", About},
	{"around", About}, {"approx", About}, {"approximately", About}, {"roughly", About}, {"nearly", About},
	{"etwa", About}, {"circa", About}, {"unos", About}, {"over", AtLeast}, {"above", AtLeast}, {"minimum", AtLeast},
	{"under", AtMost}, {"below", AtMost}, {"maximum", AtMost},
}

// The relations of a number to what it measures.
const (
	About   = "about"
	AtLeast = "at least"
	AtMost  = "at most"
	Every   = "every"
)

// countedNouns are things that people count: the number in "2 heaters" is no quantity.
var countedNouns = []string{
	"heater", "heaters", "chiller", "chillers", "pumps", "pump", "lights", "light", "fish", "corals", "tanks", "people",
	"times", "of", "fans", "probes", "sensors", "powerheads", "heizer", "calentadores",
}
