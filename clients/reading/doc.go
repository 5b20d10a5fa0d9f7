// Package reading reads the numbers that people write, in a question, a chat or a field of a form: 36 in, 18", 4'6",
// 90 cm, 68F, 1,2 m, 47 1/4 in, from 31 to 35 ppt, 2x150W, half full, every 3 days, 4x2x2 ft.
//
//	text ──▶ normalise ──▶ Read ──▶ pieces: words, numbers with units, marks, what is put aside, troubles
//	field ──▶ normalise ──▶ Field ──▶ one number in the contract's unit
//
// It never guesses: what has two meanings is a trouble that says what to write instead. It never drops a number: each
// digit of the text is in a piece or in a trouble. What a number is for is up to the reader of the pieces.
package reading
