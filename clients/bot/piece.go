package bot

import "saltwright/clients/reading"

// piece is a part of a question, and whether it is a word that has named a number.
type piece struct {
	reading.Piece
	used bool
}

func piecesOf(text string) ([]piece, []reading.Trouble) {
	r := reading.Read(text)
	out := make([]piece, len(r.Pieces))
	for i, p := range r.Pieces {
		out[i].Piece = p
	}
	return out, r.Troubles
}
