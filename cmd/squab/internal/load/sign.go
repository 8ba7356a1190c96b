package load

import (
	"bufio"
	"bytes"
	"io"
)

// byteOrderMark may stand before a text in UTF-8, and is no part of it (The Unicode Standard, 23.8).
const byteOrderMark = "\ufeff"

// signRoom is how far into a text its first sign is looked for.
const signRoom = 1024

// FirstSign gives the first byte of a text that is no blank and no line end, 0 where there is none near its beginning, and the text again, without a
// mark of byte order. It waits for no more of the text than it needs.
func FirstSign(in io.Reader) (byte, io.Reader) {
	text := bufio.NewReader(in)
	if mark, _ := text.Peek(len(byteOrderMark)); string(mark) == byteOrderMark {
		text.Discard(len(byteOrderMark))
	}
	for n := 1; n <= signRoom; n++ {
		head, err := text.Peek(n)
		if err != nil {
			break
		}
		if sign := head[n-1:]; len(bytes.TrimSpace(sign)) > 0 {
			return sign[0], text
		}
	}
	return 0, text
}
