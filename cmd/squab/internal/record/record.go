// Package record keeps a run of cut whole: the sources, the flags that matter and the answers, so that it can be explained later without the files.
package record

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"squab/lang/diag"
)

// Schema is the version of the form in which records are written.
const Schema = 2

// Kind says in a record what it is.
const Kind = "squab cut"

// Source is one source of the book, the trade library's among them.
type Source struct {
	Name   string `json:"name"`
	Layer  string `json:"layer"`
	Text   string `json:"text"`
	SHA256 string `json:"sha256"` // of the text
}

// Record is a run of cut.
type Record struct {
	Schema   int             `json:"schema"`
	Record   string          `json:"record"`
	Rules    string          `json:"rules"` // the fingerprint of the sources
	Sources  []Source        `json:"sources"`
	Rows     *Rows           `json:"rows"` // null where the sources hold the orders themselves
	Date     string          `json:"date"` // of orders that give none
	ByArea   bool            `json:"by_area"`
	Together bool            `json:"together"`
	Effort   int64           `json:"effort"`
	Sets     []string        `json:"sets"`
	Only     []string        `json:"only"`
	Answers  json.RawMessage `json:"answers"`  // the JSON of cut
	Sums     sums            `json:"sums"`     // of each part, so that what has been changed can be named
	Checksum string          `json:"checksum"` // SHA-256 of the record with this empty
}

// Rows is a file of orders of one recipe: CSV, or JSON lines by its name.
type Rows struct {
	Name   string `json:"name"`
	Recipe string `json:"recipe"`
	Text   string `json:"text"`
}

// SourcesOf lists the sources of a book.
func SourcesOf(files *diag.Files) []Source {
	var all []Source
	for _, s := range files.Sources() {
		all = append(all, Source{s.Name, s.Layer.String(), s.Text, sum([]byte(s.Text))})
	}
	return all
}

func sum(data []byte) string {
	h := sha256.Sum256(data)
	return hex.EncodeToString(h[:])
}

// Encode writes a record with its checksums. The error is that of answers that are not JSON.
func (r Record) Encode() ([]byte, error) {
	var err error
	if r.Sums, err = r.sums(); err != nil {
		return nil, err
	}
	return r.sealed()
}

// sealed writes a record under the checksum of all of it.
func (r Record) sealed() ([]byte, error) {
	checksum, err := r.checksum()
	if err != nil {
		return nil, err
	}
	r.Checksum = checksum
	return r.bare()
}

// sums takes the checksums of all parts but the checksums.
func (r Record) sums() (sums, error) {
	r.Sums, r.Checksum = sums{}, ""
	data, err := r.bare()
	if err != nil {
		return sums{}, err
	}
	all := sumsOf(bytes.TrimSpace(data), 0)
	all.Parts = slices.DeleteFunc(all.Parts, func(p part) bool { return p.name == "sums" || p.name == "checksum" })
	return all, nil
}

func (r Record) checksum() (string, error) {
	r.Checksum = ""
	data, err := r.bare()
	return sum(data), err
}

func (r Record) bare() ([]byte, error) {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	err := e.Encode(r)
	return b.Bytes(), err
}

// Is reports whether a file says that it is a record, whole or not.
func Is(data []byte) bool {
	d := json.NewDecoder(bytes.NewReader(data))
	for range 8 {
		switch t, err := d.Token(); {
		case err != nil:
			return false
		case t == Kind:
			return true
		}
	}
	return false
}

// Read reads a record. The error says which part does not fit, and how.
func Read(data []byte) (Record, error) {
	var r Record
	d := json.NewDecoder(bytes.NewReader(data))
	d.DisallowUnknownFields()
	if err := d.Decode(&r); err != nil {
		return Record{}, unread(data, err)
	}
	return r, r.check(data)
}

// unread words what keeps a file from being a record.
func unread(data []byte, err error) error {
	var kind *json.UnmarshalTypeError
	var syntax *json.SyntaxError
	switch {
	case errors.Is(err, io.ErrUnexpectedEOF), errors.Is(err, io.EOF):
		return errors.New("the record ends before it is complete" + inPart(data))
	case errors.As(err, &kind):
		return fmt.Errorf("this is no record: %s: a %s stands there", kind.Field, kind.Value)
	case errors.As(err, &syntax):
		return fmt.Errorf("this is no record%s: %w", inPart(data[:min(len(data), int(syntax.Offset))]), err)
	}
	return fmt.Errorf("this is no record: %s", strings.TrimPrefix(err.Error(), "json: "))
}

func inPart(data []byte) string {
	if place := placeOf(data); place != "" {
		return ", in " + place
	}
	return ""
}

// mostNamed is how many parts that have been changed are named.
const mostNamed = 8

func (r Record) check(data []byte) error {
	if r.Schema != Schema {
		return fmt.Errorf("schema: expected %d, found %d", Schema, r.Schema)
	}
	if r.Record != Kind {
		return fmt.Errorf("record: expected %q, found %q", Kind, r.Record)
	}
	found, err := r.sums()
	if err != nil {
		return fmt.Errorf("answers: %w", err)
	}
	if changed := differences(r.Sums, found, nil); len(changed) > 0 {
		return errors.New(Sentence(changed))
	}
	for _, s := range r.Sources {
		if found := sum([]byte(s.Text)); found != s.SHA256 {
			return fmt.Errorf("source %s, sha256: expected %s, found %s", s.Name, found, s.SHA256)
		}
		if _, ok := layerOf(s.Layer); !ok {
			return fmt.Errorf("source %s, layer: expected trade or house, found %q", s.Name, s.Layer)
		}
	}
	return r.checkWhole(data)
}

// Sentence names differences, the first few of many.
func Sentence(changed []Difference) string {
	var all []string
	for _, d := range changed[:min(len(changed), mostNamed)] {
		all = append(all, d.String())
	}
	if more := len(changed) - mostNamed; more > 0 {
		all = append(all, fmt.Sprintf("%d more do not fit", more))
	}
	return strings.Join(all, "; ")
}

func (r Record) checkWhole(data []byte) error {
	found, err := r.checksum()
	if err != nil {
		return fmt.Errorf("answers: %w", err)
	}
	if found != r.Checksum {
		return fmt.Errorf("checksum: expected %s, found %s: the checksums of the parts have been changed", found, r.Checksum)
	}
	again, err := r.sealed()
	again, data = bytes.TrimSpace(again), bytes.TrimSpace(data)
	if err != nil || !bytes.Equal(again, data) {
		return fmt.Errorf("there is something in the file that a record does not hold, or it stands in another order%s", inPart(data[:firstDifference(again, data)]))
	}
	return nil
}

func firstDifference(a, b []byte) int {
	for i := range min(len(a), len(b)) {
		if a[i] != b[i] {
			return i
		}
	}
	return min(len(a), len(b))
}

// Compare lists the parts in which two JSON values of one part of a record differ: want was kept, found is so now.
func Compare(want, found json.RawMessage, path ...string) []Difference {
	return differences(sumsOf(want, len(path)), sumsOf(found, len(path)), path)
}

// Answer finds what a record keeps of an order that was cut; nil where it keeps none.
func (r Record) Answer(id string) json.RawMessage {
	for _, p := range partsOf(r.Answers) {
		if p.name != "orders" {
			continue
		}
		for _, order := range partsOf(p.value) {
			if order.name == id {
				return order.value
			}
		}
	}
	return nil
}

func layerOf(name string) (diag.Layer, bool) {
	for _, l := range []diag.Layer{diag.Trade, diag.House} {
		if l.String() == name {
			return l, true
		}
	}
	return 0, false
}

// Files gives the sources back as they were read.
func (r Record) Files() *diag.Files {
	files := &diag.Files{}
	for _, s := range r.Sources {
		layer, _ := layerOf(s.Layer)
		files.Add(s.Name, s.Text, layer)
	}
	return files
}
