package main

import (
	"bufio"
	"bytes"
	"fmt"
	"io"
	"os"
	"time"

	"squab/cmd/squab/internal/load"
	"squab/cmd/squab/internal/record"
	"squab/cmd/squab/internal/whole"
)

// maxRecord is the most bytes of a record that are read.
const maxRecord = 1 << 30

// writeRecord works the chosen orders out once more and keeps them with all that they rest on.
func (c *command) writeRecord(path string, book *load.Book, f *cutFlags) error {
	src, err := c.orders(book, &f.orderFlags)
	if err != nil {
		return err
	}
	defer src.close()
	quiet := *c
	quiet.err, quiet.stdout = io.Discard, bufio.NewWriter(io.Discard)
	var answers bytes.Buffer
	r := &cutting{command: &quiet, out: &answers, book: book, src: src, form: jsonForm(book), flags: f, engine: engineFor(book, f)}
	if err := r.run(); err != nil && answers.Len() == 0 {
		return err
	}
	rec := record.Record{Schema: record.Schema, Record: record.Kind, Rules: book.Fingerprint, Sources: record.SourcesOf(book.Read), Sets: f.sets, Only: f.only,
		Date: time.Unix(f.day*86400, 0).UTC().Format(time.DateOnly), ByArea: f.byArea, Effort: f.effort, Answers: bytes.TrimSpace(answers.Bytes())}
	data, err := rec.Encode()
	if err != nil {
		return fmt.Errorf("%s: %w", path, err)
	}
	return whole.WriteFile(path, string(data), f.force)
}

// openRecord checks the book that a record keeps, and takes the flags that matter from it.
func (c *command) openRecord(path string, f *cutFlags) (*load.Book, error) {
	data, err := readRecord(path)
	if err != nil {
		return nil, err
	}
	rec, err := record.Read(data)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	if len(f.sets) > 0 || f.date != "" || f.rows != "" {
		return nil, misuse("a record keeps its own --set, --date and orders: give --order only")
	}
	f.sets, f.date, f.byArea, f.effort = rec.Sets, rec.Date, rec.ByArea, rec.Effort
	if err := f.settle(c.now); err != nil {
		return nil, err
	}
	s := &bookSetter{flags: &f.orderFlags}
	book := load.Check(rec.Files(), load.Options{MaxFile: maxRecord, Change: s.change})
	if s.err != nil {
		return nil, s.err
	}
	if book.Fingerprint != rec.Rules {
		return nil, fmt.Errorf("%s: rules: expected the fingerprint %s, found %s", path, rec.Rules, book.Fingerprint)
	}
	return book, c.tell(c.errPage.Problems(book.Files, book.Problems))
}

func readRecord(path string) ([]byte, error) {
	file, err := os.Open(path)
	if err != nil {
		return nil, whole.PathError(path, err)
	}
	defer file.Close()
	data, err := io.ReadAll(io.LimitReader(file, maxRecord))
	if err != nil {
		return nil, whole.PathError(path, err)
	}
	return data, nil
}
