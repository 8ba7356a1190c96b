package main

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"squab/cmd/squab/internal/load"
	"squab/eval/check"
	"squab/lang"
	"squab/lang/diag"
	"squab/stdlib"
)

// setName is what a --set is called where a trace or a problem points into it.
const setName = "--set"

var (
	setsRow  = regexp.MustCompile(`^(\w+)\[(\d+)\]$`)
	setsRule = regexp.MustCompile(`^\w+\s*(\(([^()]*)\))?$`)
)

// bookSetter puts what --set says of rules, rows and materials into a book that has been read: as amendments of the order's layer.
type bookSetter struct {
	flags    *orderFlags
	files    *diag.Files
	trees    []*lang.File
	problems diag.List
	err      error // how the flag was used wrongly
}

// openSet reads and checks a book as c.open does, with what --set changes of it.
func (c *command) openSet(paths []string, f *orderFlags) (*load.Book, error) {
	return c.openFor(paths, f, load.Options{})
}

// openToCut opens a book as openSet does, without what of the trade library its own orders do not need.
func (c *command) openToCut(paths []string, f *orderFlags) (*load.Book, error) {
	return c.openFor(paths, f, load.Options{Needed: len(f.sets) == 0 && f.rows == ""})
}

func (c *command) openFor(paths []string, f *orderFlags, o load.Options) (*load.Book, error) {
	if f.rows == "-" && slices.Contains(paths, "-") {
		return nil, misuse("standard input is read once: as a file of rules, or as --orders")
	}
	s := &bookSetter{flags: f}
	o.MaxFile, o.Stdin, o.Library, o.Change = int64(f.maxFile), c.in, stdlib.AddTo, s.change
	book, err := load.Open(paths, o)
	if err != nil {
		return nil, err
	}
	if s.err != nil {
		return nil, s.err
	}
	return book, c.report(book.Files, book.Problems)
}

// change is what the book is checked as.
func (s *bookSetter) change(files *diag.Files, trees []*lang.File) ([]*lang.File, []diag.Diagnostic) {
	s.files, s.trees = files, trees
	for _, set := range s.flags.sets {
		name, text, _ := strings.Cut(set, "=")
		if err := s.set(strings.TrimSpace(name), strings.TrimSpace(text)); err != nil && s.err == nil {
			s.err = err
		}
	}
	return s.trees, s.problems.All()
}

func (s *bookSetter) set(name, text string) error {
	if front, field, dotted := cutLast(name); dotted {
		return s.setField(front, field, text)
	}
	if m := setsRow.FindStringSubmatch(name); m != nil {
		return s.setRow(m[1], m[2], text)
	}
	rule := strings.TrimSpace(strings.SplitN(name, "(", 2)[0])
	if !s.has(rule, ruleName) {
		return misuse("--set %s: there is no rule %s; an order's ask is set as ID.%s", name, rule, rule)
	}
	for _, param := range strings.Split(setsRule.FindStringSubmatch(name)[2], ",") {
		if s.has(strings.TrimSpace(param), materialName) {
			return misuse("--set %s: %s is a material; a rule is set for all its arguments, which are named as in the rule", name, strings.TrimSpace(param))
		}
	}
	s.add("amend " + name + " = " + text + "\n")
	return nil
}

// cutLast parts a name at its last dot.
func cutLast(name string) (front, last string, ok bool) {
	dot := strings.LastIndexByte(name, '.')
	if dot < 0 {
		return name, "", false
	}
	return strings.TrimSpace(name[:dot]), strings.TrimSpace(name[dot+1:]), true
}

// setField amends a material; what names an order is not for the book.
func (s *bookSetter) setField(front, field, text string) error {
	if !s.has(front, materialName) {
		return nil
	}
	if s.has(front, orderID) {
		return misuse("--set %s.%s: %s is an order and a material: which is meant?", front, field, front)
	}
	delete(s.flags.changes, front)
	s.add("amend material " + front + " {\n  " + field + " = " + text + "\n}\n")
	return nil
}

func ruleName(d lang.Decl) string {
	switch d := d.(type) {
	case *lang.RuleDecl:
		return d.Name.Text
	case *lang.TableDecl:
		return d.Name.Text
	}
	return ""
}

func materialName(d lang.Decl) string {
	if m, ok := d.(*lang.MaterialDecl); ok && !m.Amend {
		return m.Name.Text
	}
	return ""
}

func orderID(d lang.Decl) string {
	if o, ok := d.(*lang.OrderDecl); ok {
		return o.ID.Text
	}
	return ""
}

func (s *bookSetter) has(name string, named func(lang.Decl) string) bool {
	for _, t := range s.trees {
		for _, d := range t.Decls {
			if name != "" && named(d) == name {
				return true
			}
		}
	}
	return false
}

// add parses an amendment as a source of its own, in the order's layer.
func (s *bookSetter) add(text string) {
	s.trees = append(s.trees, lang.Parse(s.files.Add(setName, text, diag.Order), lang.Limits{}, &s.problems))
}

// setRow gives one row of a table another value; rows count from 1 in the table itself, not in its amendments.
func (s *bookSetter) setRow(table, row, text string) error {
	var names []string
	for i, t := range s.trees {
		for j, d := range t.Decls {
			decl, ok := d.(*lang.TableDecl)
			if !ok || decl.Amend {
				continue
			}
			if names = append(names, decl.Name.Text); decl.Name.Text == table {
				return s.changeRow(i, j, decl, row, text)
			}
		}
	}
	if near := check.Nearest(table, names); near != "" {
		return misuse("--set %s[%s]: there is no table %s; did you mean %s?", table, row, table, near)
	}
	return misuse("--set %s[%s]: there is no table %s", table, row, table)
}

func (s *bookSetter) changeRow(file, place int, decl *lang.TableDecl, row, text string) error {
	n, err := strconv.Atoi(row)
	if err != nil || n < 1 || n > len(decl.Rows) {
		return misuse("--set %s[%s]: the table has rows 1 to %d", decl.Name.Text, row, len(decl.Rows))
	}
	was := decl.Rows[n-1]
	src := s.files.Add(setName, text, diag.Order)
	set := *was
	set.Gives = lang.ParseFormula(src, &s.problems)
	set.At = set.Gives.Span()
	because := fmt.Sprintf("set for this run; the row gives %s", strings.Join(strings.Fields(s.files.Text(was.Gives.Span())), " "))
	set.Because, set.Source = &lang.Quote{Value: because, At: set.At}, nil
	changed := *decl
	changed.Rows = append([]*lang.Row(nil), decl.Rows...)
	changed.Rows[n-1] = &set
	tree := *s.trees[file]
	tree.Decls = append([]lang.Decl(nil), tree.Decls...)
	tree.Decls[place] = &changed
	s.trees[file] = &tree
	return nil
}
