package page

import (
	"fmt"
	"io"

	"squab/eval"
)

// Labels stand in this grid on every sheet; dashed lines show where to cut.
const (
	labelColumns = 3
	labelRows    = 7
	labelsMost   = 5000
)

type labelPage struct {
	Sheet  Sheet
	Sheets [][]label
	Left   int // labels that there was no room for
}

// label is one cut piece.
type label struct {
	Order, Title, Piece, Size, Material, Copy, Note string
	Number                                          int
}

// WriteLabels writes a label for each cut piece of some orders, as sheets to print and cut apart.
func WriteLabels(w io.Writer, s Sheaf, sheet Sheet) error {
	page := labelPage{Sheet: sheet}
	var all []label
	for _, r := range s.Results {
		for i, p := range r.Pieces {
			all = append(all, labelsOf(r, p, i+1, labelsMost-len(all))...)
			page.Left += int(p.Count)
		}
	}
	page.Left -= len(all)
	for len(all) > 0 {
		n := min(labelColumns*labelRows, len(all))
		page.Sheets = append(page.Sheets, all[:n])
		all = all[n:]
	}
	return write(w, "labels.html.tmpl", page)
}

// labelsOf makes a label for each copy of a piece, as far as there is room.
func labelsOf(r *eval.Result, p eval.Piece, number, room int) []label {
	why := newReasons(r, "")
	l := label{Order: r.Order.ID, Title: r.Order.Title, Piece: words(p.Name), Size: sizeText(why, p), Material: titleOf(p.Material), Note: why.turning(p), Number: number}
	var all []label
	for i := range min(p.Count, int64(room)) {
		l.Copy = fmt.Sprintf("%d of %d", i+1, p.Count)
		all = append(all, l)
	}
	return all
}

func sizeText(why *reasons, p eval.Piece) string {
	style := why.plan().Program().Style
	text := showLength(style, p.Wide)
	if inches(p.Deep) == 0 {
		return text + " long"
	}
	return text + " wide by " + showLength(style, p.Deep) + " deep"
}
