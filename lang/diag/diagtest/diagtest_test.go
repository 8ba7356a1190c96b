package diagtest

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"squab/lang/diag"
)

func TestWants(t *testing.T) {
	source := "a = 1 # want one \"said \\\"so\\\"\" # want two\n# want-next three\nb\n# want-file four \"any\"\n# I want more\n"
	want := []Want{{1, "one", `said "so"`}, {1, "two", ""}, {3, "three", ""}, {0, "four", "any"}}
	got, err := Wants(source)
	if diff := cmp.Diff(want, got); diff != "" || err != nil {
		t.Errorf("wants differ (-want +got), %v:\n%s", err, diff)
	}
	if _, err := Wants("a # want \"no code\""); err == nil {
		t.Error("a want without a code was taken")
	}
}

func TestMatch(t *testing.T) {
	source := "first # want one \"alpha\"\nsecond # want two\n"
	problem := func(at int, code, message string) diag.Diagnostic {
		return diag.Diagnostic{Code: code, Message: message, At: diag.Span{Start: diag.Pos(at + 1), End: diag.Pos(at + 2)}}
	}
	for _, test := range []struct {
		name             string
		got              []diag.Diagnostic
		missing, surplus int
	}{
		{"as wanted", []diag.Diagnostic{problem(0, "one", "an alpha here"), problem(30, "two", "x")}, 0, 0},
		{"nothing", nil, 2, 0},
		{"another message", []diag.Diagnostic{problem(0, "one", "beta"), problem(30, "two", "x")}, 1, 1},
		{"another line", []diag.Diagnostic{problem(30, "one", "alpha"), problem(30, "two", "x")}, 1, 1},
		{"twice", []diag.Diagnostic{problem(0, "one", "alpha"), problem(30, "two", "x"), problem(31, "two", "x")}, 0, 1},
	} {
		var files diag.Files
		missing, surplus, err := Match(files.Add("t", source, diag.House), test.got)
		if len(missing) != test.missing || len(surplus) != test.surplus || err != nil {
			t.Errorf("%s: missing %v, surplus %v, %v; want %d and %d", test.name, missing, surplus, err, test.missing, test.surplus)
		}
	}
}
