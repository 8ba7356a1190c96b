package main

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"time"
	"unicode/utf8"

	"squab/cmd/squab/internal/load"
	"squab/cmd/squab/internal/print"
	"squab/cmd/squab/internal/record"
	"squab/cmd/squab/internal/whole"
	"squab/eval"
)

// maxRecord is the most bytes of a record, or of a file of orders that is kept in one, that are read.
const maxRecord = 1 << 30

// keepRows reads the file of orders whole, so that a record can hold what was cut.
func (c *command) keepRows(f *orderFlags) error {
	in, err := c.openRows(f)
	if err != nil {
		return err
	}
	defer in.Close()
	data, err := readBounded(in, maxRecord)
	if err != nil {
		return whole.PathError(f.rows, err)
	}
	text := string(data)
	f.rowText = &text
	return nil
}

// errTooLarge says that there is more to read than may be.
var errTooLarge = errors.New("this is too large")

// readBounded reads all that there is, which may be so many bytes.
func readBounded(in io.Reader, most int64) ([]byte, error) {
	data, err := io.ReadAll(io.LimitReader(in, most+1))
	if err == nil && int64(len(data)) > most {
		err = fmt.Errorf("%w, at most %d MiB are read", errTooLarge, most>>20)
	}
	return data, err
}

// writeRecord works the chosen orders out once more and keeps them with all that they rest on.
func (c *command) writeRecord(path string, book *load.Book, f *cutFlags) error {
	rec := record.Record{Schema: record.Schema, Record: record.Kind, Rules: book.Fingerprint, Sources: record.SourcesOf(book.Read), Sets: f.sets, Only: f.only,
		Date: time.Unix(f.day*86400, 0).UTC().Format(time.DateOnly), ByArea: f.byArea, Together: f.together, Effort: f.effort}
	if f.rowText != nil {
		rec.Rows = &record.Rows{Name: f.rows, Recipe: f.recipe, Text: *f.rowText}
	}
	if name := notText(rec); name != "" {
		return fmt.Errorf("%s: no record is made, for %s is not UTF-8 text", path, name)
	}
	var err error
	if rec.Answers, err = c.answers(book, f); err != nil {
		return err
	}
	data, err := rec.Encode()
	if err != nil {
		return fmt.Errorf("%s: %w", path, err)
	}
	return whole.WriteFile(path, string(data), f.force)
}

// notText names a source that JSON cannot hold; "" where there is none.
func notText(r record.Record) string {
	for _, s := range r.Sources {
		if !utf8.ValidString(s.Text) {
			return s.Name
		}
	}
	if r.Rows != nil && !utf8.ValidString(r.Rows.Text) {
		return r.Rows.Name
	}
	return ""
}

// answers works the chosen orders out as cut does, and gives its JSON.
func (c *command) answers(book *load.Book, f *cutFlags) (json.RawMessage, error) {
	src, err := c.orders(book, &f.orderFlags)
	if err != nil {
		return nil, err
	}
	defer src.close()
	quiet := &command{streams: streams{out: io.Discard, err: io.Discard}, ctx: c.ctx, stdout: bufio.NewWriter(io.Discard)}
	var answers bytes.Buffer
	r := &cutting{command: quiet, out: &answers, book: book, src: src, form: jsonForm(book), flags: f, engine: engineFor(book, f)}
	if err := r.run(); err != nil {
		return nil, err
	}
	return bytes.TrimSpace(answers.Bytes()), nil
}

// readRecord reads a record that fits. The error says what does not.
func readRecord(path string) (*record.Record, error) { return reading(path, recordIn) }

func recordIn(in io.Reader) (*record.Record, error) {
	data, err := readBounded(in, maxRecord)
	if err != nil {
		return nil, err
	}
	rec, err := record.Read(data)
	return &rec, err
}

// reading reads a file, which the error names.
func reading[T any](path string, read func(io.Reader) (T, error)) (T, error) {
	file, err := os.Open(path)
	if err != nil {
		var none T
		return none, whole.PathError(path, err)
	}
	defer file.Close()
	got, err := read(file)
	if err != nil {
		return got, whole.PathError(path, err)
	}
	return got, nil
}

// openRecord checks the book that a record keeps, and takes the flags that matter from it.
func (c *command) openRecord(path string, f *cutFlags) (*load.Book, *record.Record, error) {
	rec, err := readRecord(path)
	if err != nil {
		return nil, nil, err
	}
	if err := f.takeFrom(rec, c.now); err != nil {
		return nil, nil, err
	}
	book, err := bookOfRecord(rec, f)
	if err != nil {
		return nil, nil, fmt.Errorf("%s: %w", path, err)
	}
	return book, rec, c.report(book.Files, book.Problems)
}

// bookOfRecord checks a record's sources with what its run set.
func bookOfRecord(rec *record.Record, f *cutFlags) (*load.Book, error) {
	s := &bookSetter{flags: &f.orderFlags}
	book := load.Check(rec.Files(), load.Options{MaxFile: maxRecord, Change: s.change})
	if s.err != nil {
		return nil, s.err
	}
	if book.Fingerprint != rec.Rules {
		return nil, fmt.Errorf("rules: expected the fingerprint %s, found %s", book.Fingerprint, rec.Rules)
	}
	return book, nil
}

// takeFrom settles the flags as they were when a record was made.
func (f *cutFlags) takeFrom(rec *record.Record, now func() time.Time) error {
	if len(f.sets) > 0 || f.date != "" || f.rows != "" {
		return misuse("a record keeps its own --set, --date and orders: give --order only")
	}
	f.sets, f.date, f.byArea, f.together, f.effort = rec.Sets, rec.Date, rec.ByArea, rec.Together, rec.Effort
	if rec.Rows != nil {
		f.rows, f.recipe, f.rowText = rec.Rows.Name, rec.Rows.Recipe, &rec.Rows.Text
	}
	return f.settle(now)
}

// asRecorded says how an order's answers differ from those that a record keeps; "" where they do not.
func asRecorded(rec *record.Record, book *load.Book, r *eval.Result) string {
	kept := rec.Answer(r.Order.ID)
	if kept == nil {
		return fmt.Sprintf("the record keeps no answer of order %s: this is what its rules give now", r.Order.ID)
	}
	now := print.NewWriter(print.Page{}, book.Program).JSON(nil, r)
	changed := record.Compare(kept, now, "answers", "orders", r.Order.ID)
	if len(changed) == 0 {
		return ""
	}
	return "worked out again, order " + r.Order.ID + " is not as the record keeps it: " + record.Sentence(changed)
}
