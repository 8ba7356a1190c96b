package load

import (
	"squab/lang"
	"squab/lang/diag"
)

// maxNeeded is how many bytes a house's files may have for its book to be made of what is needed: the library is little beside larger ones.
const maxNeeded = 1 << 20

func sizeOf(sources []*diag.Source) (bytes int) {
	for _, s := range sources {
		bytes += len(s.Text)
	}
	return bytes
}

// checkNeeded makes a book without what of the library nothing leads to. Where anything at all is wrong it reads everything,
// since what is left out may have a part in it.
func checkNeeded(files *diag.Files, library int, o Options) *Book {
	sources := files.Sources()
	outlines := make([]*lang.Outline, len(sources))
	found := sideBySide(sources, func(i int, problems *diag.List) {
		outlines[i] = lang.NewOutline(sources[i], o.limits(), problems)
	})
	if len(found) > 0 {
		return Check(files, o)
	}
	n := needed(outlines, library)
	trees := make([]*lang.File, len(sources))
	found = sideBySide(sources, func(i int, problems *diag.List) {
		trees[i] = outlines[i].Parse(func(d int) bool { return n.wanted[i][d] }, problems)
	})
	if len(found) > 0 {
		return Check(files, o)
	}
	if b := assemble(files, trees, nil, o); len(b.Problems) == 0 {
		return b
	}
	return Check(files, o)
}

// place is a declaration: which of which source.
type place struct{ source, declaration int }

// need finds what the house's declarations lead to, word by word.
type need struct {
	outlines []*lang.Outline
	declared map[string][]place
	wanted   [][]bool
	todo     []place
}

func needed(outlines []*lang.Outline, library int) *need {
	n := &need{outlines: outlines, declared: map[string][]place{}}
	for i, o := range outlines {
		n.wanted = append(n.wanted, make([]bool, o.Len()))
		for d := range o.Len() {
			n.declare(place{i, d}, i >= library)
		}
	}
	for len(n.todo) > 0 {
		p := n.todo[len(n.todo)-1]
		n.todo = n.todo[:len(n.todo)-1]
		n.outlines[p.source].Words(p.declaration, n.speak)
	}
	return n
}

func (n *need) declare(p place, house bool) {
	words := n.outlines[p.source].Declared(p.declaration)
	for _, w := range words {
		n.declared[w] = append(n.declared[w], p)
	}
	if house || len(words) == 0 {
		n.want(p)
	}
}

func (n *need) want(p place) {
	if w := &n.wanted[p.source][p.declaration]; !*w {
		*w = true
		n.todo = append(n.todo, p)
	}
}

func (n *need) speak(word string) {
	for _, p := range n.declared[word] {
		n.want(p)
	}
	delete(n.declared, word)
}
