package stdlib_test

import (
	"os"
	"strings"
	"testing"

	"squab/eval"
	"squab/eval/check"
	"squab/lang"
	"squab/lang/diag"
	"squab/stdlib"
	"squab/stdlib/layout"
)

// beneath is what the examples of the reference take for granted.
const beneath = `
material harbour_tweed: cloth "Harbour tweed" {
  width = 54 in
  price = $38 per yd
}
material waxed_thread: thread "Waxed thread" {
  price = $0.06 per yd
}
amend labour_rate = $50 per h because "for the examples"
`

// referenceBook is every example of the reference that is marked as Squab, in one book.
func referenceBook(t *testing.T) (*check.Program, []diag.Diagnostic) {
	t.Helper()
	page, err := os.ReadFile("../lang/REFERENCE.md")
	if err != nil {
		t.Fatal(err)
	}
	text := beneath
	for i, part := range strings.Split(string(page), "```") {
		if info, block, _ := strings.Cut(part, "\n"); i%2 == 1 && strings.HasPrefix(info, "squab") {
			text += block
		}
	}
	files := &diag.Files{}
	var problems diag.List
	var trees []*lang.File
	for _, src := range append(stdlib.AddTo(files), files.Add("REFERENCE.md", text, diag.House)) {
		trees = append(trees, lang.Parse(src, lang.Limits{}, &problems))
	}
	return check.Check(files, trees, &problems), problems.All()
}

func TestReferenceExamplesRun(t *testing.T) {
	p, problems := referenceBook(t)
	for _, d := range problems {
		t.Errorf("%v: %s: %s", p.Files.Place(d.At.Start), d.Code, d.Message)
	}
	e := &eval.Engine{Program: p, Lay: stdlib.Lay(layout.Effort{Work: 1000})}
	if len(p.Orders) == 0 {
		t.Fatal("the reference shows no order")
	}
	for _, o := range p.Orders {
		_, problems := e.Work(o, o.Date)
		for _, d := range problems {
			t.Errorf("order %s: %s: %s", o.ID, d.Code, d.Message)
		}
	}
	for _, proof := range p.Proofs {
		if proved := e.Prove(proof, 0); proved.Proof.Source == "worked by hand" && !proved.Holds() {
			t.Errorf("the proof %q does not hold: %+v %v", proof.Title, proved.Lines, proved.Problems)
		}
	}
}
