package main

import (
	"bytes"
	"context"
	"strings"
	"testing"
	"time"
	"unicode/utf8"
)

// TestHelpStands reads every help as a terminal shows it: the overview in 80 columns, a verb's own in 100 as all text for a person.
func TestHelpStands(t *testing.T) {
	stands(t, 80, "--help")
	for _, v := range verbs() {
		text := stands(t, 100, v.name, "--help")
		if !strings.HasPrefix(text, "squab "+v.name+" ") || !strings.Contains(text, "\nFlags:\n  ") {
			t.Errorf("squab %s --help neither says how it is used nor lists its flags:\n%s", v.name, text)
		}
	}
}

func stands(t *testing.T, wide int, args ...string) string {
	t.Helper()
	var out bytes.Buffer
	if status := run(context.Background(), args, streams{in: strings.NewReader(""), out: &out, err: &out, now: time.Now}); status != statusWell {
		t.Errorf("squab %s: status %d: %s", strings.Join(args, " "), status, &out)
	}
	for line := range strings.Lines(out.String()) {
		if n := utf8.RuneCountInString(strings.TrimSuffix(line, "\n")); n > wide {
			t.Errorf("squab %s writes %d columns: %s", strings.Join(args, " "), n, line)
		}
	}
	return out.String()
}

// TestHelpIsAskedInEveryWay asks for the overview and for a verb's help by words and by flags.
func TestHelpIsAskedInEveryWay(t *testing.T) {
	for want, ways := range map[string][][]string{
		squab("", "--help").out:        {{"-h"}, {"help"}, {"help", "help"}, {"--help", "cut"}},
		squab("", "cut", "--help").out: {{"cut", "-h"}, {"help", "cut"}, {"help", "help", "cut"}, {"cut", "rules/", "--help"}},
	} {
		for _, args := range ways {
			if got := squab("", args...); got.out != want || got.status != statusWell || got.err != "" {
				t.Errorf("squab %s: status %d: %s%s", strings.Join(args, " "), got.status, got.out, got.err)
			}
		}
	}
	if got := squab(""); got.status != statusMisused || got.out != "" || got.err != squab("", "--help").out {
		t.Errorf("squab alone: status %d: %s", got.status, got.out)
	}
}
