package print

import (
	"squab/eval"
	"squab/eval/check"
)

// Writer writes orders of one book, one after the other, each behind what is there already. It is for one goroutine.
type Writer struct {
	page Page
	json jsonWriter
	text orderWriter
}

// NewWriter makes a writer.
func NewWriter(page Page, program *check.Program) *Writer {
	w := &Writer{page: page, json: jsonWriter{program: program, measures: newMeasures(program.Style, recently)}}
	w.text = orderWriter{page: page, program: program, measures: &w.json.measures, cautionLines: map[string]string{}}
	return w
}

// JSON appends what an order comes to as JSON on one line, without a line end.
func (w *Writer) JSON(b []byte, r *eval.Result) []byte {
	w.json.b = b
	w.json.order(r)
	return w.json.b
}

// Text appends what an order comes to, for the bench and the office.
func (w *Writer) Text(b []byte, r *eval.Result) []byte {
	w.text.r, w.text.inexact = r, false
	w.text.b.Reset()
	w.text.order()
	return append(b, w.text.b.String()...)
}
