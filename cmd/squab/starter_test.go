package main

import (
	"io/fs"
	"path/filepath"
	"strings"
	"testing"
)

// TestStarter holds the files that a newcomer gets: they check cleanly, are tidy, and every order in them is cut.
func TestStarter(t *testing.T) {
	t.Chdir(t.TempDir())
	if got := squab("", "start", "shop"); got.status != statusWell {
		t.Fatal(got.told())
	}
	if got := squab("", "check", "shop"); got.status != statusWell {
		t.Error(got.told())
	}
	if got := squab("", "tidy", "--diff", "shop"); got.status != statusWell {
		t.Error(got.told())
	}
	got := squab("", "cut", "shop", "--by-area")
	if got.status != statusWell || !strings.Contains(got.out, "2 orders: 2 cut, 0 refused.") {
		t.Error(got.told())
	}
	if got := squab("", "why", "skin.wide", "shop", "--order", "1"); got.status != statusWell {
		t.Error("what start proposes does not work: " + got.told())
	}
}

func TestStartReplacesNothing(t *testing.T) {
	t.Chdir(t.TempDir())
	put(t, "shop/orders.squab", "# mine\n")
	if got := squab("", "start", "shop"); got.status != statusFile {
		t.Errorf("status %d", got.status)
	}
	files, err := filepath.Glob("shop/*")
	if err != nil || len(files) != 1 {
		t.Errorf("a folder with one of the files was filled with the others: %v", files)
	}
	if names, err := fs.Glob(starter, "starter/*.squab"); err != nil || len(names) != 3 {
		t.Errorf("the starter has %d files", len(names))
	}
}
