package lang

import (
	"fmt"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

func TestTokensForTheLayout(t *testing.T) {
	f, problems, files := parseText("# c\nrecipe a \"A\" {\n  b = -f(2, c[1]) - 5  1/2 in\n  piece d from e = b by b { up = deep turn = yes }\n}\nunit g = $1 + 5\"\n")
	if problems.Len() > 0 {
		t.Fatal(problems.All())
	}
	var got []string
	for _, token := range Tokens(f) {
		word := fmt.Sprintf("%d:%s/%d", token.Line, token.Text, token.Role)
		if token.Begins != Nothing {
			word += fmt.Sprintf("!%d", token.Begins)
		}
		got = append(got, word)
		if text := files.Text(token.At); text != token.Text && strings.Join(strings.Fields(text), " ") != token.Text {
			t.Errorf("%q stands at %q", token.Text, text)
		}
	}
	want := []string{
		"2:recipe/0!1", "2:a/0", `2:"A"/0`, "2:{/10",
		"3:b/0!2", "3:=/6", "3:-/5", "3:f/0", "3:(/8", "3:2/1", "3:,/12", "3:c/0", "3:[/8", "3:1/1", "3:]/9", "3:)/9", "3:-/6", "3:5 1/2/1", "3:in/2",
		"4:piece/0!2", "4:d/0", "4:from/0", "4:e/0", "4:=/6", "4:b/0", "4:by/0", "4:b/0", "4:{/10",
		"4:up/0!3", "4:=/6", "4:deep/0", "4:turn/0!3", "4:=/6", "4:yes/0", "4:}/11", "5:}/11",
		"6:unit/0!1", "6:g/0", "6:=/6", "6:$/4", "6:1/1", "6:+/6", "6:5/1", `6:"/3`,
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("the tokens differ (-want +got):\n%s", diff)
	}
}
