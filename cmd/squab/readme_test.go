package main

import (
	"os"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

const readme = "README.md"

// TestReadme runs every command on the first page and compares what it shows; every piece of source there stands in the file that it names.
func TestReadme(t *testing.T) {
	t.Chdir("../..")
	data, err := os.ReadFile(readme)
	if err != nil {
		t.Fatal(err)
	}
	var out strings.Builder
	parts := strings.Split(string(data), "```")
	for i, part := range parts {
		if i > 0 {
			out.WriteString("```")
		}
		kind, body, _ := strings.Cut(part, "\n")
		switch file, isSource := strings.CutPrefix(kind, "squab "); {
		case i%2 == 0:
			out.WriteString(part)
		case isSource:
			standsIn(t, file, body)
			out.WriteString(part)
		case kind == "console":
			out.WriteString("console\n" + console(t, body))
		default:
			out.WriteString(part)
		}
	}
	if *update {
		put(t, readme, out.String())
		return
	}
	if diff := cmp.Diff(string(data), out.String()); diff != "" {
		t.Errorf("the README shows something else than what the commands give (-shown +given; go test ./cmd/squab -run Readme -update writes it):\n%s", diff)
	}
}

func standsIn(t *testing.T, file, text string) {
	t.Helper()
	source, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(string(source), text) {
		t.Errorf("%s does not hold this:\n%s", file, text)
	}
}

// console runs the command in the first line of a block, which may end in `| head -N`.
func console(t *testing.T, block string) string {
	t.Helper()
	line, _, _ := strings.Cut(block, "\n")
	command, head, cut := strings.Cut(line, " | head -")
	args := words(strings.TrimPrefix(command, "$ squab "))
	got := squab("", args...)
	shown := strings.ReplaceAll(got.out+got.err, "\r\n", "\n") // CSV's line ends, which editors take out
	if cut {
		n, err := strconv.Atoi(head)
		if err != nil {
			t.Fatal(err)
		}
		lines := strings.SplitAfter(shown, "\n")
		shown = strings.Join(lines[:min(n, len(lines))], "")
	}
	return line + "\n" + shown
}

// TestReadmeBegins holds that the first lines say what the job is.
func TestReadmeBegins(t *testing.T) {
	data, err := os.ReadFile("../../" + readme)
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(string(data), "\n")
	if n := len(strings.Fields(strings.Join(lines[:20], " "))); n <= 80 {
		t.Errorf("the first 20 lines have %d words", n)
	}
}
