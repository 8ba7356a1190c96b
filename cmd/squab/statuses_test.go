package main

import (
	"bytes"
	"encoding/json"
	"io"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// usual is a use of each verb in which all is well, with the files it reads last: how many those are.
var usual = map[string]struct {
	args  []string
	files int
}{
	"cut":     {[]string{"house.squab", "orders.squab"}, 2},
	"why":     {[]string{"cut_wide", "--order", "7", "house.squab", "orders.squab"}, 2},
	"reach":   {[]string{"edge_fold", "house.squab", "orders.squab"}, 2},
	"check":   {[]string{"house.squab", "orders.squab"}, 2},
	"prove":   {[]string{"house.squab"}, 1},
	"compare": {[]string{"house.squab", "house.squab", "orders.squab"}, 3},
	"seek":    {[]string{"cut_wide = 30 in by wide", "--order", "7", "house.squab", "orders.squab"}, 2},
	"lean":    {[]string{"cut_wide", "--order", "7", "house.squab", "orders.squab"}, 2},
	"spread":  {[]string{"--order", "7", "--tolerance", "7.wide=1/8 in", "house.squab", "orders.squab"}, 2},
	"lay":     {[]string{"--wide", "54 in", "pieces.csv"}, 1},
	"ticket":  {[]string{"house.squab", "orders.squab"}, 2},
	"book":    {[]string{"house.squab"}, 1},
	"tidy":    {[]string{"house.squab"}, 1},
	"start":   {[]string{"new"}, 1},
}

// usualHouse is the test house with a list of pieces beside it.
func usualHouse(t *testing.T) {
	t.Helper()
	house(t)
	put(t, "pieces.csv", "name,wide,deep,count\nseat,20 in,18 in,3\n")
}

// of is the command line of a verb's usual use, with more before its files.
func of(verb string, more ...string) []string {
	u := usual[verb]
	n := len(u.args) - u.files
	return slices.Concat([]string{verb}, u.args[:n], more, u.args[n:])
}

// TestEveryVerbKeepsToTheStatuses holds the command's contract: 0 all well, 1 problems in what was read, 2 used wrongly, 3 a file could not be read or written.
func TestEveryVerbKeepsToTheStatuses(t *testing.T) {
	usualHouse(t)
	put(t, "wrong.squab", "rule flap: length = 3 min\nrule = 4 in\n")
	put(t, "pieces.wrong", "name,wide,deep\nseat,20 min,18 in\n")
	put(t, "there.txt", "before")
	for _, v := range verbs() {
		if v.name == "bench" { // it serves until it is interrupted
			continue
		}
		u := usual[v.name]
		bad := append(slices.Clone(of(v.name)), "wrong.squab")
		if v.name == "lay" {
			bad = []string{"lay", "--wide", "54 in", "pieces.wrong"}
		}
		for what, c := range map[string]struct {
			args   []string
			status int
		}{
			"all well":      {of(v.name), statusWell},
			"help":          {[]string{v.name, "--help"}, statusWell},
			"problems":      {bad, statusProblems},
			"unknown flag":  {of(v.name, "--nonsense"), statusMisused},
			"no file":       {[]string{v.name}, statusMisused},
			"absent file":   {append(slices.Concat([]string{v.name}, u.args[:len(u.args)-1]), "nowhere/absent"), statusFile},
			"a file's name": {append(slices.Concat([]string{v.name}, u.args[:len(u.args)-1]), "there.txt/absent"), statusFile},
		} {
			switch {
			case v.name == "start" && (what == "problems" || what == "absent file"), v.name == "prove" && what == "no file":
				continue // start makes its folder; prove has the trade library's proofs
			}
			got := squab("", c.args...)
			if got.status != c.status || (got.status == statusWell) != (got.err == "") {
				t.Errorf("%s (%s): status %d, want %d: %s", strings.Join(c.args, " "), what, got.status, c.status, got.err)
			}
			if got.status == statusMisused && !strings.HasSuffix(got.err, "squab "+v.name+" --help shows how it is used\n") {
				t.Errorf("%s: does not lead on to its help: %s", strings.Join(c.args, " "), got.err)
			}
		}
	}
}

// TestOutIsWholeOrNotThere has each verb that writes a result write it to a file: the same as to standard output, never over another unasked, and nothing
// where the result is none.
func TestOutIsWholeOrNotThere(t *testing.T) {
	for _, verb := range []string{"cut", "why", "reach", "check", "prove", "compare", "seek", "lean", "spread", "lay", "ticket", "book"} {
		t.Run(verb, func(t *testing.T) { holdOut(t, verb) })
	}
}

func holdOut(t *testing.T, verb string) {
	usualHouse(t)
	shown := squab("", of(verb)...)
	if got := squab("", of(verb, "--out", "result")...); got.status != statusWell || got.out != "" {
		t.Errorf("status %d: %s", got.status, got.err)
	}
	if diff := cmp.Diff(shown.out, readFile(t, "result")); diff != "" {
		t.Errorf("-shown +written:\n%s", diff)
	}
	if dashed := squab("", of(verb, "--out", "-")...); dashed != shown {
		t.Error("--out - is not standard output")
	}
	put(t, "result", "mine")
	if got := squab("", of(verb, "--out", "result")...); got.status != statusFile || readFile(t, "result") != "mine" || !strings.Contains(got.err, "--force") {
		t.Errorf("a file is written over unasked: status %d: %s", got.status, got.err)
	}
	if got := squab("", of(verb, "--out", "result", "--force")...); got.status != statusWell || readFile(t, "result") != shown.out {
		t.Errorf("a file is not replaced where it may be: status %d: %s", got.status, got.err)
	}
	absent := append(of(verb, "--out", "other"), "nowhere.squab")
	if verb == "lay" {
		absent = []string{"lay", "nowhere.csv", "--wide", "54 in", "--out", "other"}
	}
	if got := squab("", absent...); got.status != statusFile {
		t.Errorf("status %d: %s", got.status, got.err)
	}
	if entries, err := os.ReadDir("."); err != nil || len(entries) != 4 {
		t.Errorf("it leaves %v (%v)", entries, err)
	}
}

// TestEveryVerbsJSONIsOneValue reads what each verb writes for programs: one value of schema 1, the same each time.
func TestEveryVerbsJSONIsOneValue(t *testing.T) {
	usualHouse(t)
	for _, verb := range []string{"cut", "why", "reach", "check", "compare", "seek", "lean", "spread", "lay"} {
		got := squab("", of(verb, "--format", "json")...)
		var value struct{ Schema int }
		in := json.NewDecoder(strings.NewReader(got.out))
		if err := in.Decode(&value); err != nil || value.Schema != 1 || got.status != statusWell {
			t.Errorf("%s: %v, schema %d, status %d: %s", verb, err, value.Schema, got.status, got.err)
		}
		if _, err := in.Token(); err != io.EOF || !strings.HasSuffix(got.out, "}\n") {
			t.Errorf("%s: something follows its JSON", verb)
		}
		if again := squab("", of(verb, "--format", "json")...); again != got {
			t.Errorf("%s writes something else the second time", verb)
		}
		if other := squab("", of(verb, "--format", "xml")...); other.status != statusMisused || other.out != "" || !strings.Contains(other.err, `not "xml"`) {
			t.Errorf("%s: status %d: %s", verb, other.status, other.err)
		}
	}
}

// TestJSONLinesAreTheOrdersOfTheJSON holds the lines of cut against its one value: the same orders, cut and refused, in the order of the files.
func TestJSONLinesAreTheOrdersOfTheJSON(t *testing.T) {
	house(t)
	put(t, "wrong.squab", "order 6 {\n  make roller_blind\n  wide = 20 min\n  drop = 4 ft\n}\n")
	args := []string{"cut", "wrong.squab", "house.squab", "orders.squab"}
	var whole struct{ Orders, Refused []json.RawMessage }
	if err := json.Unmarshal([]byte(squab("", append(args, "--format", "json")...).out), &whole); err != nil {
		t.Fatal(err)
	}
	lines := bytes.Split(bytes.TrimSpace([]byte(squab("", append(args, "--format", "jsonl")...).out)), []byte("\n"))
	var want []string
	for _, v := range append(whole.Refused, whole.Orders...) {
		want = append(want, string(v))
	}
	var got []string
	for _, l := range lines {
		got = append(got, string(l))
	}
	if diff := cmp.Diff(want, got); diff != "" || len(got) != 3 {
		t.Errorf("%d lines (-JSON +lines):\n%s", len(got), diff)
	}
}

// TestFilesAreNamedInEveryWay gives a verb its files by name, by folder, and on standard input.
func TestFilesAreNamedInEveryWay(t *testing.T) {
	house(t)
	put(t, "shop/a.squab", readFile(t, "house.squab"))
	put(t, "shop/b.squab", readFile(t, "orders.squab"))
	put(t, "shop/notes.txt", "no source")
	want := squab("", "cut", "house.squab", "orders.squab", "--format", "csv")
	for _, c := range []struct {
		in   string
		args []string
	}{
		{"", []string{"shop"}}, {"", []string{"shop/"}}, {"", []string{"./shop", "shop/a.squab"}}, {"", []string{"orders.squab", "house.squab"}},
		{readFile(t, "orders.squab"), []string{"house.squab", "-"}}, {readFile(t, "house.squab") + readFile(t, "orders.squab"), []string{"-", "-"}},
	} {
		if got := squab(c.in, append([]string{"cut", "--format", "csv"}, c.args...)...); got != want {
			t.Errorf("%v: status %d: %s%s", c.args, got.status, got.out, got.err)
		}
	}
}
