package print

import (
	"bytes"
	"encoding/json"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"squab/eval"
	"squab/eval/check"
	"squab/eval/trace"
	"squab/lang"
	"squab/lang/diag"
)

var update = flag.Bool("update", false, "write the golden files anew")

// golden holds a text against a file.
func golden(t *testing.T, path, got string) {
	t.Helper()
	if *update {
		if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(string(want), got); diff != "" {
		t.Errorf("%s (-want +got):\n%s", path, diff)
	}
}

// tracedBook checks a file of testdata/trace, over the trade's rules that stand beside it where there are any.
func tracedBook(t *testing.T, path string) *check.Program {
	t.Helper()
	files := &diag.Files{}
	var problems diag.List
	var trees []*lang.File
	add := func(path string, layer diag.Layer) {
		text, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		trees = append(trees, lang.Parse(files.Add(filepath.Base(path), string(text), layer), lang.Limits{}, &problems))
	}
	trade := strings.TrimSuffix(path, ".squab") + ".trade.squab"
	if _, err := os.Stat(trade); err == nil {
		add(trade, diag.Trade)
	}
	add(path, diag.House)
	p := check.Check(files, trees, &problems)
	for _, d := range problems.All() {
		t.Fatalf("%+v: %s", files.Place(d.At.Start), d.Message)
	}
	return p
}

// asked is a line of a source that says what is to be traced: "# why: CELL of ORDER", the first order where none is named.
var asked = regexp.MustCompile(`(?m)^# why: (\S+)(?: of (\S+))?$`)

// tracesOf traces all that a source asks for, as text and as JSON.
func tracesOf(t *testing.T, p *check.Program, source string) (text, data string) {
	t.Helper()
	var texts strings.Builder
	var nodes bytes.Buffer
	for _, m := range asked.FindAllStringSubmatch(source, -1) {
		o := p.Orders[0]
		for _, other := range p.Orders {
			if other.ID == m[2] {
				o = other
			}
		}
		r, problems := (&eval.Engine{Program: p}).Work(o, o.Date)
		for _, d := range problems {
			t.Fatalf("order %s: %s", o.ID, d.Message)
		}
		n, err := trace.Explain(r.Sheet, r, m[1])
		if err != nil {
			t.Fatal(err)
		}
		fmt.Fprintf(&texts, "# order %s\n%s\n", o.ID, trace.Text(n, p.Files, 80))
		if err := json.Indent(&nodes, Line(WhyOf(p, n)), "", " "); err != nil {
			t.Fatal(err)
		}
		nodes.WriteByte('\n')
	}
	return texts.String(), nodes.String()
}

// TestTraces holds the traces of testdata/trace/good, as text and as JSON, against the files beside them.
func TestTraces(t *testing.T) {
	paths, err := filepath.Glob("../../../../testdata/trace/good/*.squab")
	if err != nil || len(paths) < 8 {
		t.Fatalf("%d sources to trace: %v", len(paths), err)
	}
	for _, path := range paths {
		name := strings.TrimSuffix(path, ".squab")
		if strings.HasSuffix(name, ".trade") {
			continue
		}
		t.Run(filepath.Base(name), func(t *testing.T) {
			source, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			text, data := tracesOf(t, tracedBook(t, path), string(source))
			golden(t, name+".text", text)
			golden(t, name+".json", data)
		})
	}
}
