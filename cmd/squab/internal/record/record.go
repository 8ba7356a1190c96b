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

	"squab/lang/diag"
)

// Schema is the version of the form in which records are written.
const Schema = 1

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
	Date     string          `json:"date"` // of orders that give none
	ByArea   bool            `json:"by_area"`
	Effort   int64           `json:"effort"`
	Sets     []string        `json:"sets"`
	Only     []string        `json:"only"`
	Answers  json.RawMessage `json:"answers"`  // the JSON of cut
	Checksum string          `json:"checksum"` // SHA-256 of the record with this empty
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

// Encode writes a record with its checksum. The error is that of answers that are not JSON.
func (r Record) Encode() ([]byte, error) {
	checksum, err := r.checksum()
	if err != nil {
		return nil, err
	}
	r.Checksum = checksum
	return r.bare()
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
	var head struct {
		Record string `json:"record"`
	}
	return json.Unmarshal(data, &head) == nil && head.Record == Kind
}

// Read reads a record. The error says which field does not fit, with what was expected and what was found.
func Read(data []byte) (Record, error) {
	var r Record
	d := json.NewDecoder(bytes.NewReader(data))
	d.DisallowUnknownFields()
	if err := d.Decode(&r); errors.Is(err, io.ErrUnexpectedEOF) || errors.Is(err, io.EOF) {
		return Record{}, errors.New("the record ends before it is complete")
	} else if err != nil {
		return Record{}, fmt.Errorf("this is no record: %w", err)
	}
	return r, r.check(data)
}

func (r Record) check(data []byte) error {
	if r.Schema != Schema {
		return fmt.Errorf("schema: expected %d, found %d", Schema, r.Schema)
	}
	if r.Record != Kind {
		return fmt.Errorf("record: expected %q, found %q", Kind, r.Record)
	}
	for _, s := range r.Sources {
		if found := sum([]byte(s.Text)); found != s.SHA256 {
			return fmt.Errorf("the text of source %s has been changed: expected SHA-256 %s, found %s", s.Name, s.SHA256, found)
		}
		if _, ok := layerOf(s.Layer); !ok {
			return fmt.Errorf("the layer of source %s: expected trade or house, found %q", s.Name, s.Layer)
		}
	}
	return r.checkWhole(data)
}

func (r Record) checkWhole(data []byte) error {
	found, err := r.checksum()
	if err != nil {
		return fmt.Errorf("answers: %w", err)
	}
	if found != r.Checksum {
		return fmt.Errorf("checksum: expected %s, found %s: something outside the sources has been changed", r.Checksum, found)
	}
	again, err := r.Encode()
	if err != nil || !bytes.Equal(bytes.TrimSpace(again), bytes.TrimSpace(data)) {
		return errors.New("there is something in the file that a record does not hold, or it stands in another order")
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
