//go:build unix

package whole

import (
	"os"
	"syscall"
	"testing"
)

// TestPipeIsWrittenTo writes to a pipe as to a device: who reads it has the text, and it stays where it is.
func TestPipeIsWrittenTo(t *testing.T) {
	for _, force := range []bool{false, true} {
		t.Chdir(t.TempDir())
		if err := syscall.Mkfifo("pipe", 0o600); err != nil {
			t.Skip("this system makes no pipes:", err)
		}
		read := make(chan string, 1)
		go func() {
			text, _ := os.ReadFile("pipe")
			read <- string(text)
		}()
		if err := WriteFile("pipe", "text", force); err != nil {
			t.Error(err)
		}
		if text := <-read; text != "text" {
			t.Errorf("%q came through", text)
		}
		if info, err := os.Stat("pipe"); err != nil || info.Mode()&os.ModeNamedPipe == 0 {
			t.Errorf("the pipe is gone: %v", err)
		}
		if entries, err := os.ReadDir("."); err != nil || len(entries) != 1 {
			t.Errorf("there are %v beside it (%v)", entries, err)
		}
	}
}
