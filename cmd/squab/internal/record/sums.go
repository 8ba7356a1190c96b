package record

import (
	"bytes"
	"encoding/json"
	"fmt"
	"slices"
	"strings"
)

// sums is the checksum of each part of a JSON value, in the value's own shape: Sum of a leaf, Parts of an object or of a list of named things.
// The zero value is a part that is not there.
type sums struct {
	Sum   string
	Parts []part
}

type part struct {
	name string
	sums
}

// deepest is how far down parts have checksums of their own: a record's answers, their orders, an order, its marks, one set of them, its points.
const deepest = 6

// sumDigits is how many hexadecimal digits of a part's SHA-256 are kept; the whole record has a full one.
const sumDigits = 16

// sumsOf takes the checksums of a JSON value, which is written without blanks.
func sumsOf(value json.RawMessage, depth int) sums {
	parts := partsOf(value)
	if len(parts) == 0 || depth == deepest || isQuantity(parts) {
		return sums{Sum: sum(value)[:sumDigits]}
	}
	out := sums{}
	for _, p := range parts {
		out.Parts = append(out.Parts, part{p.name, sumsOf(p.value, depth+1)})
	}
	return out
}

// named is a member of an object, or an item of a list under the name that it bears.
type named struct {
	name  string
	value json.RawMessage
}

// partsOf takes an object or a list of objects apart; nothing else has parts.
func partsOf(value json.RawMessage) []named {
	d := json.NewDecoder(bytes.NewReader(value))
	open, err := d.Token()
	if err != nil || open != json.Delim('{') && open != json.Delim('[') {
		return nil
	}
	var all []named
	for d.More() {
		var p named
		if open == json.Delim('{') {
			key, _ := d.Token()
			p.name, _ = key.(string)
		}
		if d.Decode(&p.value) != nil {
			return nil
		}
		if open == json.Delim('[') && !bytes.HasPrefix(p.value, []byte("{")) {
			return nil
		}
		if open == json.Delim('[') {
			p.name = label(p.value, len(all))
		}
		all = append(all, p)
	}
	return numbered(all)
}

// label is what an item of a list is called: by its id, order, name or material, else by its place.
func label(item json.RawMessage, at int) string {
	var names struct {
		ID       *string `json:"id"`
		Order    *string `json:"order"`
		Name     *string `json:"name"`
		Material *string `json:"material"`
	}
	if json.Unmarshal(item, &names) == nil {
		for _, n := range []*string{names.ID, names.Order, names.Name, names.Material} {
			if n != nil {
				return *n
			}
		}
	}
	return fmt.Sprint(at + 1)
}

// numbered tells parts of one name apart, and from those that bear such a number already.
func numbered(all []named) []named {
	again, taken := map[string]int{}, make(map[string]bool, len(all))
	for i := range all {
		name := all[i].name
		for taken[all[i].name] {
			again[name]++
			all[i].name = fmt.Sprintf("%s (%d)", name, again[name]+1)
		}
		taken[all[i].name] = true
	}
	return all
}

func isQuantity(parts []named) bool { return parts[0].name == "exact" }

// MarshalJSON writes the checksum, or the parts as an object.
func (s sums) MarshalJSON() ([]byte, error) {
	if s.Parts == nil {
		return json.Marshal(s.Sum)
	}
	var b bytes.Buffer
	b.WriteByte('{')
	for i, p := range s.Parts {
		if i > 0 {
			b.WriteByte(',')
		}
		if err := writeMember(&b, p); err != nil {
			return nil, err
		}
	}
	b.WriteByte('}')
	return b.Bytes(), nil
}

func writeMember(b *bytes.Buffer, p part) error {
	name, err := json.Marshal(p.name)
	if err != nil {
		return err
	}
	inner, err := p.MarshalJSON()
	b.Write(name)
	b.WriteByte(':')
	b.Write(inner)
	return err
}

// UnmarshalJSON reads what MarshalJSON writes.
func (s *sums) UnmarshalJSON(data []byte) error { return s.read(data, 0) }

// read takes what stands at a depth; nothing stands deeper than parts do, so that a hostile file costs little.
func (s *sums) read(data []byte, depth int) error {
	if bytes.HasPrefix(data, []byte(`"`)) {
		return json.Unmarshal(data, &s.Sum)
	}
	parts := partsOf(data)
	if parts == nil || depth == deepest {
		return fmt.Errorf("sums: expected a checksum or an object of them, found %.20s", data)
	}
	for _, p := range parts {
		var inner sums
		if err := inner.read(p.value, depth+1); err != nil {
			return err
		}
		s.Parts = append(s.Parts, part{p.name, inner})
	}
	return nil
}

// Difference is a part in which two values differ, from the outermost name inward.
type Difference struct {
	Path []string
	What string // "has been changed", "is missing", "has been put in"
}

// differences lists the parts of found that are not as in want.
func differences(want, found sums, path []string) []Difference {
	switch {
	case want.Parts == nil && found.Parts == nil && want.Sum == found.Sum:
		return nil
	case want.Parts == nil || found.Parts == nil:
		return []Difference{{slices.Clone(path), "has been changed"}}
	}
	var all []Difference
	now, was := found.byName(), want.byName()
	for _, p := range want.Parts {
		in := append(slices.Clone(path), p.name)
		if at, ok := now[p.name]; ok {
			all = append(all, differences(p.sums, found.Parts[at].sums, in)...)
			continue
		}
		all = append(all, Difference{in, "is missing"})
	}
	for _, p := range found.Parts {
		if _, ok := was[p.name]; !ok {
			all = append(all, Difference{append(slices.Clone(path), p.name), "has been put in"})
		}
	}
	return all
}

func (s sums) byName() map[string]int {
	at := make(map[string]int, len(s.Parts))
	for i, p := range s.Parts {
		at[p.name] = i
	}
	return at
}

// said names a part as a person would: the order, and what of it.
func said(path []string) string {
	switch {
	case len(path) > 2 && path[0] == "answers" && path[1] == "orders":
		return ofOrder("order "+path[2], path[3:])
	case len(path) > 2 && path[0] == "answers" && path[1] == "refused":
		return ofOrder("the refused order "+path[2], path[3:])
	case len(path) > 0 && path[0] == "rows":
		return ofOrder("the file of orders", path[1:])
	case len(path) > 1 && path[0] == "sources":
		return ofOrder("source "+path[1], path[2:])
	}
	return strings.Join(path, ".")
}

func ofOrder(front string, path []string) string {
	if len(path) == 0 {
		return front
	}
	return front + ", " + strings.Join(path, ".")
}

// String says which part differs, and how.
func (d Difference) String() string { return said(d.Path) + " " + d.What }
