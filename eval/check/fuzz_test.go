package check_test

import (
	"os"
	"path/filepath"
	"testing"
	"time"

	"squab/eval"
	"squab/eval/check"
	"squab/lang"
	"squab/lang/diag"
)

// FuzzCheck holds any text at all to this: checking it ends, soon and without a panic; each problem has a code, a message and a place; and what is
// sound can be worked out.
func FuzzCheck(f *testing.F) {
	for _, pattern := range []string{"*/good/*.squab", "*/bad/*.squab"} {
		names, _ := filepath.Glob(filepath.Join(testdata, pattern))
		for _, name := range names {
			text, err := os.ReadFile(name)
			if err != nil {
				f.Fatal(err)
			}
			f.Add(string(text))
		}
	}
	f.Fuzz(func(t *testing.T, text string) {
		if len(text) > 1<<14 {
			t.Skip()
		}
		files, problems := &diag.Files{}, &diag.List{}
		from := time.Now()
		tree := lang.Parse(files.Add("house.squab", text, diag.House), lang.Limits{}, problems)
		p := check.Check(files, []*lang.File{tree}, problems)
		if took := time.Since(from); took > 5*time.Second {
			t.Errorf("checking took %v", took)
		}
		for _, d := range problems.All() {
			if d.Code == "" || d.Message == "" || d.At.Start == 0 {
				t.Errorf("%q has no place or no words: %q", d.Code, d.Message)
			}
		}
		runAll(p)
	})
}

// runAll works out every order that may be run, within small limits.
func runAll(p *check.Program) {
	e := eval.Engine{Program: p, Limits: eval.Limits{ListItems: 100, Steps: 10_000}}
	for _, o := range p.Orders {
		if !o.Bad && o.Recipe != nil {
			e.Work(o, o.Date)
		}
	}
}
