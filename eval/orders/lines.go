package orders

import (
	"bufio"
	"errors"
	"io"
	"strings"
)

// maxLine is how many bytes one line may have.
const maxLine = 1 << 20

// line is one line of a file without its end.
type line struct {
	text    string
	number  int
	tooLong bool // the text is its beginning
}

// lines reads lines one by one; some can be put back.
type lines struct {
	in    *bufio.Reader
	back  []line
	count int
	err   error
}

func newLines(in io.Reader) *lines { return &lines{in: bufio.NewReaderSize(in, 1<<16)} }

// next gives the next line; false at the end, or where the file cannot be read on.
func (l *lines) next() (line, bool) {
	if n := len(l.back); n > 0 {
		first := l.back[0]
		l.back = l.back[1:]
		return first, true
	}
	text, tooLong, ok := l.read()
	if !ok {
		return line{}, false
	}
	if l.count++; l.count == 1 {
		text = strings.TrimPrefix(text, "\ufeff")
	}
	return line{strings.TrimSuffix(text, "\r"), l.count, tooLong}, true
}

// nextFilled gives the next line that is no line of nothing.
func (l *lines) nextFilled() (line, bool) {
	for {
		if next, ok := l.next(); !ok || next.tooLong || strings.TrimSpace(next.text) != "" {
			return next, ok
		}
	}
}

// putBack gives lines again, before any others.
func (l *lines) putBack(some []line) { l.back = append(some[:len(some):len(some)], l.back...) }

// read takes a line in, keeping at most maxLine bytes of it.
func (l *lines) read() (text string, tooLong, ok bool) {
	var long []byte
	for {
		chunk, err := l.in.ReadSlice('\n')
		whole := err == nil
		if whole {
			chunk = chunk[:len(chunk)-1]
		}
		if !whole && !errors.Is(err, bufio.ErrBufferFull) {
			return l.end(string(long)+string(chunk), tooLong, err)
		}
		if whole && long == nil {
			return string(chunk), false, true
		}
		if room := maxLine - len(long); len(chunk) > room {
			chunk, tooLong = chunk[:room], true
		}
		long = append(long, chunk...)
		if whole {
			return string(long), tooLong, true
		}
	}
}

// end gives what stands behind the last line end.
func (l *lines) end(text string, tooLong bool, err error) (string, bool, bool) {
	if !errors.Is(err, io.EOF) {
		l.err = err
		return "", false, false
	}
	return text, tooLong, text != ""
}
