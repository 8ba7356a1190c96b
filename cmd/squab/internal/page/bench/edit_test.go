package bench

import (
	"errors"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

const orderFile = `# the week's orders

order 7 "Window" {
  make  seat_pad
  date  = 2026-03-02
  wide  = 30 in # measured twice
  deep  = 20 in
  # the cloth is in the rack
  cover = harbour_tweed
}

order 8 { make seat_pad }
order 9 {
  make seat_pad, 2 off
}
`

func TestEdit(t *testing.T) {
	tests := []struct {
		name    string
		order   string
		changes []change
		want    []string // lines that are there, and were not or were otherwise
		gone    []string
	}{
		{"a value in its place, its comment kept", "7", []change{{"wide", "30 in", true, "31 1/2 in"}}, []string{"  wide  = 31 1/2 in # measured twice"}, []string{"  wide  = 30 in # measured twice"}},
		{"two values", "7", []change{{"wide", "30 in", true, "2 ft 8 in"}, {"deep", "20 in", true, "500 mm"}}, []string{"  deep  = 500 mm"}, []string{"  deep  = 20 in"}},
		{"a value that was left to its default, after the last", "7", []change{{"straps", "2", false, "3"}}, []string{"  straps = 3"}, nil},
		{"a value where none is given", "9", []change{{"wide", "", false, "9 in"}}, []string{"  wide = 9 in"}, nil},
		{"the same that is there", "7", []change{{"wide", "40 in", true, "30 in"}}, nil, nil},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got, err := edit("orders.squab", orderFile, tt.order, tt.changes)
			if err != nil {
				t.Fatal(err)
			}
			lines := map[string]bool{}
			for _, line := range strings.Split(got, "\n") {
				lines[strings.Join(strings.Fields(line), " ")] = true
			}
			for _, want := range tt.want {
				if !lines[strings.Join(strings.Fields(want), " ")] {
					t.Errorf("there is no line %q in\n%s", want, got)
				}
			}
			for _, gone := range tt.gone {
				if lines[strings.Join(strings.Fields(gone), " ")] {
					t.Errorf("the line %q is still in\n%s", gone, got)
				}
			}
			for _, comment := range []string{"# the week's orders", "# measured twice", "# the cloth is in the rack"} {
				if !strings.Contains(got, comment) {
					t.Errorf("the comment %q is lost:\n%s", comment, got)
				}
			}
			if again, err := edit("orders.squab", got, tt.order, nil); err != nil || again != got {
				t.Errorf("laying it out again changes it (%v):\n%s", err, cmp.Diff(got, again))
			}
		})
	}
}

func TestEditClashes(t *testing.T) {
	tests := []struct {
		name    string
		changes []change
		want    []conflict
	}{
		{"the file gives another value than the page knew", []change{{"wide", "29 in", true, "31 in"}, {"deep", "20 in", true, "21 in"}}, []conflict{{"wide", "30 in", true}}},
		{"the page knew a default, and now the file gives one", []change{{"deep", "20 in", false, "21 in"}}, []conflict{{"deep", "20 in", true}}},
		{"the page knew a value, and now none is given", []change{{"straps", "2", true, "3"}}, []conflict{{"straps", "2", false}}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got, err := edit("orders.squab", orderFile, "7", tt.changes)
			var c clash
			if !errors.As(err, &c) || got != "" {
				t.Fatalf("%v: %q", err, got)
			}
			if diff := cmp.Diff(tt.want, c.Conflicts); diff != "" {
				t.Errorf("conflicts (-want +got):\n%s", diff)
			}
		})
	}
}

// hostileValues try to be more than a value.
var hostileValues = []string{
	"30 in\n}\norder 99 { make seat_pad }", "30 in }", "30 in # hidden", "30 in\r  deep = 1 in", "", "   ", "30 in deep = 1 in", `"`, "{", "30 in because \"so\"",
	"30 in\x00", "30 in\u2028wide = 2 in", strings.Repeat("(", 5000),
}

func TestEditRefusesWhatIsNoValue(t *testing.T) {
	for _, value := range hostileValues {
		if got, err := edit("orders.squab", orderFile, "7", []change{{"wide", "30 in", true, value}}); err == nil {
			t.Errorf("%.40q is taken:\n%s", value, got)
		}
	}
	for _, ask := range []string{"wide = 1 in\n  x", "make", "date\n", ""} {
		if got, err := edit("orders.squab", orderFile, "7", []change{{ask, "", false, "1 in"}}); err == nil {
			t.Errorf("the ask %q is taken:\n%s", ask, got)
		}
	}
	if _, err := edit("orders.squab", orderFile, "70", nil); err == nil {
		t.Error("an order that is not there is changed")
	}
	if _, err := edit("orders.squab", orderFile+"\norder 7 { make seat_pad }\n", "7", nil); err == nil {
		t.Error("one of two orders of one name is changed")
	}
}

// FuzzEdit holds that whatever a page sends as a value either is refused or changes that value alone.
func FuzzEdit(f *testing.F) {
	for _, v := range append(hostileValues, "31 in", "3 ft 1/2 in", "wide_of(2) + 1 in", "if yes then 1 in else 2 in") {
		f.Add(v)
	}
	f.Fuzz(func(t *testing.T, value string) {
		got, err := edit("orders.squab", orderFile, "7", []change{{"wide", "30 in", true, value}})
		if err != nil {
			return
		}
		old, err := edit("orders.squab", orderFile, "7", nil)
		if err != nil {
			t.Fatal(err)
		}
		a, b := strings.Split(old, "\n"), strings.Split(got, "\n")
		if len(a) != len(b) {
			t.Fatalf("%q makes %d lines of %d:\n%s", value, len(b), len(a), got)
		}
		for i := range a {
			if a[i] != b[i] && !strings.HasPrefix(strings.TrimSpace(b[i]), "wide") && strings.Join(strings.Fields(a[i]), " ") != strings.Join(strings.Fields(b[i]), " ") {
				t.Errorf("%q changes the line %q to %q", value, a[i], b[i])
			}
		}
	})
}
