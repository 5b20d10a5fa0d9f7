// Package corpus measures how well the bot reads. It holds a format for labelled questions, a grade for each
// understanding of one, and the score of all of them.
//
//	= answer heater-sizing length_mm=48in width_mm=24in water_depth_mm=20in room_c=68F
//	what heater for a 48x24x20 in tank in a 68F room?
//
// A record begins with "= ", the kind that is expected, the topic and what must be understood, by the member of the
// contract; the text follows. The name of a file says its half and its language: untouched-en-1.txt. The untouched half
// was written before the reader, and nobody looks at its failures one by one: only its score is printed.
package corpus
