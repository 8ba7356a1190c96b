package lang

import (
	"path/filepath"
	"reflect"
	"testing"

	"squab/lang/diag"
)

// Every node that can be reached through the fields of the tree is visited, once.
func TestWalkVisitsEverything(t *testing.T) {
	names, _ := filepath.Glob(filepath.Join("..", "testdata", "*", "good", "*.squab"))
	kinds := map[string]bool{}
	for _, name := range names {
		f := parseFile(t, name)
		visits := map[Node]int{}
		Walk(f, func(n Node) bool {
			visits[n]++
			return true
		})
		for _, d := range f.Decls {
			eachNode(reflect.ValueOf(d), func(n Node) {
				kinds[reflect.TypeOf(n).Elem().Name()] = true
				if visits[n] != 1 {
					t.Errorf("%s: a %T at %v is visited %d times", filepath.Base(name), n, n.Span(), visits[n])
				}
			})
		}
	}
	if len(kinds) < 45 {
		t.Errorf("the sources hold only %d kinds of node, so that the test says little", len(kinds))
	}
}

// eachNode finds nodes by the fields alone. Names and texts are no nodes of the walk.
func eachNode(v reflect.Value, found func(Node)) {
	switch v.Kind() {
	case reflect.Interface:
		if !v.IsNil() {
			eachNode(v.Elem(), found)
		}
	case reflect.Pointer:
		if v.IsNil() {
			return
		}
		n, ok := v.Interface().(Node)
		_, quote := v.Interface().(*Quote)
		_, name := v.Interface().(*Name)
		if ok && !quote && !name {
			found(n)
		}
		eachNode(v.Elem(), found)
	case reflect.Slice:
		for i := range v.Len() {
			eachNode(v.Index(i), found)
		}
	case reflect.Struct:
		for i := range v.NumField() {
			eachNode(v.Field(i), found)
		}
	}
}

func TestWalkStopsWhereTold(t *testing.T) {
	f, _, _ := parseText("rule a: number = (1 + 2) * 3\n")
	count := 0
	Walk(f, func(n Node) bool {
		count++
		_, paren := n.(*Paren)
		return !paren
	})
	if want := len([]string{"file", "rule", "kind", "body", "product", "bracket", "3"}); count != want {
		t.Errorf("%d nodes visited, want %d", count, want)
	}
}

func TestPathOutsideIsEmpty(t *testing.T) {
	f, _, _ := parseText("unit a = 1 in\n")
	if path := pathTo(f, f.Span().End+5); len(path) != 0 {
		t.Errorf("a path of %d nodes to nowhere", len(path))
	}
	if path := pathTo(f, diag.Pos(0)); len(path) != 0 {
		t.Errorf("a path of %d nodes to no position", len(path))
	}
}

// pathTo gives the nodes that hold the position p, the outermost first.
func pathTo(f *File, p diag.Pos) []Node {
	var path []Node
	Walk(f, func(n Node) bool {
		at := n.Span()
		holds := at.Start <= p && p < at.End
		if holds {
			path = append(path, n)
		}
		return holds
	})
	return path
}
