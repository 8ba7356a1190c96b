package print

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strings"
)

// Results is what cut writes as JSON.
type Results struct {
	Schema   int       `json:"schema"`
	Rules    string    `json:"rules"` // the fingerprint of the sources
	Orders   []Order   `json:"orders"`
	Refused  []Refused `json:"refused"`
	Together []Layout  `json:"together"`
	Buy      []Buy     `json:"together_buy,omitempty"` // for all orders together
}

// ReadResults reads what cut wrote as JSON. The error says what does not fit, by the name of the field.
func ReadResults(data []byte) (Results, error) {
	var r Results
	d := json.NewDecoder(bytes.NewReader(data))
	d.DisallowUnknownFields()
	if err := d.Decode(&r); err != nil {
		return r, notResults(err)
	}
	if _, err := d.Token(); !errors.Is(err, io.EOF) {
		return r, errors.New("something follows the result in the file")
	}
	if r.Schema != Schema {
		return r, fmt.Errorf("schema: expected %d, found %d", Schema, r.Schema)
	}
	if r.Orders == nil || r.Refused == nil {
		return r, errors.New("orders: this is not what squab cut --format json writes")
	}
	return r, r.complete()
}

// complete reports an order that lacks what every order has, as one that is null does.
func (r Results) complete() error {
	for i, o := range r.Orders {
		if o.Recipe == "" || o.Cells == nil {
			return fmt.Errorf("orders: number %d is no order that squab cut --format json writes", i+1)
		}
	}
	for i, o := range r.Refused {
		if o.Problems == nil {
			return fmt.Errorf("refused: number %d is no order that squab cut --format json writes", i+1)
		}
	}
	return nil
}

func notResults(err error) error {
	var kind *json.UnmarshalTypeError
	switch {
	case errors.Is(err, io.ErrUnexpectedEOF), errors.Is(err, io.EOF):
		return errors.New("the result ends before it is complete")
	case errors.As(err, &kind):
		return fmt.Errorf("%s: a %s stands there, which is not what squab cut --format json writes", kind.Field, kind.Value)
	}
	return fmt.Errorf("this is not what squab cut --format json writes: %s", strings.TrimPrefix(err.Error(), "json: "))
}
