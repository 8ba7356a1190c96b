package main

import (
	"errors"
	"os"
	"strings"
	"testing"
	"testing/iotest"
)

// TestResultsAreReadToALimit reads a result of just so many bytes as may be, and of one more; a record has a limit of its own.
func TestResultsAreReadToALimit(t *testing.T) {
	house(t)
	text := readFile(t, savedResult(t, "."))
	size := int64(len(text))
	if r, err := readResults(strings.NewReader(text), size); err != nil || len(r.Orders) != 2 {
		t.Errorf("%d orders: %v", len(r.Orders), err)
	}
	if _, err := readResults(strings.NewReader(text), size-1); !errors.Is(err, errTooLarge) || !strings.HasSuffix(err.Error(), ": compare fewer orders at a time, or compare the rules") {
		t.Errorf("a result that is too large: %v", err)
	}
	if r := squab("", "cut", ".", "--record", "kept.json"); r.status != statusWell {
		t.Fatal(r.err)
	}
	file, err := os.Open("kept.json")
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	if r, err := readResults(file, size/10); err != nil || len(r.Orders) != 2 {
		t.Errorf("%d orders of a record: %v", len(r.Orders), err)
	}
}

// TestResultsThatCannotBeReadAreNamed has the disk fail while a result is read, at its beginning and later.
func TestResultsThatCannotBeReadAreNamed(t *testing.T) {
	gone := errors.New("the disk is gone")
	for _, text := range []string{"", `{"schema":1,`, `{"schema":2,"record":"squab cut",`} {
		in := iotest.ErrReader(gone)
		if text != "" {
			in = &failing{strings.NewReader(text), gone}
		}
		if _, err := readResults(in, 1000); !errors.Is(err, gone) {
			t.Errorf("behind %q: %v", text, err)
		}
	}
}

// failing gives a text, and then an error in place of its end.
type failing struct {
	text *strings.Reader
	err  error
}

func (f *failing) Read(p []byte) (int, error) {
	if f.text.Len() == 0 {
		return 0, f.err
	}
	return f.text.Read(p)
}
