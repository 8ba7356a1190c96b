//go:build unix

package main

import (
	"strings"
	"syscall"
	"testing"
)

func TestFolderWithPipe(t *testing.T) {
	house(t)
	put(t, "shop/house.squab", "")
	if err := syscall.Mkfifo("shop/pipe.squab", 0o600); err != nil {
		t.Skip("this system makes no pipes:", err)
	}
	if got := quickly(t, []string{"check", "shop"}); got.status != statusFile || !strings.Contains(got.err, "not a plain file") {
		t.Errorf("status %d: %s", got.status, got.err)
	}
}
