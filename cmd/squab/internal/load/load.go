// Package load reads the files that a command names, and makes one checked book of them and of the trade library.
package load

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"squab/cmd/squab/internal/whole"
	"squab/lang"
	"squab/lang/diag"
)

// DefaultMaxFile is how many bytes one file may have unless a flag says otherwise (language reference, section 12).
const DefaultMaxFile = 16 << 20

// maxTotal keeps every place in a book below those that the fields of order files are given.
const maxTotal = 1 << 30

// StdinName is what standard input is called in problems.
const StdinName = "standard input"

// Options says how to read. The zero value reads files of the usual size without a library and has no standard input.
type Options struct {
	MaxFile int64     // bytes of one file; 0 is DefaultMaxFile
	Stdin   io.Reader // what `-` reads
	Library func(*diag.Files) []*diag.Source
	Needed  bool                                                              // leave out what of the library the files do not lead to; without Change, which may lead to more
	Change  func(*diag.Files, []*lang.File) ([]*lang.File, []diag.Diagnostic) // what to check instead of the trees that were read
}

func (o Options) maxFile() int64 {
	if o.MaxFile <= 0 {
		return DefaultMaxFile
	}
	return o.MaxFile
}

// Text is one file of the house as it was read. Path is empty for standard input.
type Text struct {
	Path   string
	Source *diag.Source
}

// Read reads the files named: a folder stands for the *.squab files in it, by name, and `-` for standard input. A file named twice is
// read once. The error joins one for every file that could not be read.
func Read(files *diag.Files, paths []string, o Options) ([]Text, error) {
	r := reader{Options: o, files: files}
	for _, path := range paths {
		r.read(path)
	}
	return r.texts, errors.Join(r.errs...)
}

type reader struct {
	Options
	files *diag.Files
	texts []Text
	seen  []fs.FileInfo
	total int64
	errs  []error
	stdin bool
}

func (r *reader) fail(err error) { r.errs = append(r.errs, err) }

func (r *reader) read(path string) {
	if path == "-" {
		r.readStdin()
		return
	}
	info, err := os.Stat(path)
	switch {
	case err != nil:
		r.fail(whole.PathError(path, err))
	case info.IsDir():
		r.readFolder(path)
	default:
		r.readOpened(path, info, func() (*os.File, error) { return os.Open(path) })
	}
}

func (r *reader) readStdin() {
	if r.stdin || r.Stdin == nil {
		return
	}
	r.stdin = true
	r.take("", StdinName, r.Stdin)
}

// readFolder opens what it reads through a root, so that no link leads out of the folder.
func (r *reader) readFolder(path string) {
	root, err := os.OpenRoot(path)
	if err != nil {
		r.fail(whole.PathError(path, err))
		return
	}
	defer root.Close()
	entries, err := fs.ReadDir(root.FS(), ".")
	if err != nil {
		r.fail(whole.PathError(path, err))
		return
	}
	found := false
	for _, e := range entries {
		if strings.HasSuffix(e.Name(), ".squab") {
			found = true
			r.readEntry(root, path, e.Name())
		}
	}
	if !found {
		r.fail(fmt.Errorf("%s: the folder holds no .squab file", path))
	}
}

func (r *reader) readEntry(root *os.Root, folder, name string) {
	path := filepath.Join(folder, name)
	info, err := root.Stat(name)
	switch {
	case err != nil:
		r.fail(whole.PathError(path, err))
	case !info.Mode().IsRegular():
		r.fail(fmt.Errorf("%s: this is not a plain file", path))
	default:
		r.readOpened(path, info, func() (*os.File, error) { return root.Open(name) })
	}
}

func (r *reader) readOpened(path string, info fs.FileInfo, open func() (*os.File, error)) {
	for _, have := range r.seen {
		if os.SameFile(have, info) {
			return
		}
	}
	r.seen = append(r.seen, info)
	f, err := open()
	if err != nil {
		r.fail(whole.PathError(path, err))
		return
	}
	defer f.Close()
	r.take(path, path, f)
}

// take reads a text, to one byte past the limit: the parser reports a text over it, and the rest is not needed for that.
func (r *reader) take(path, name string, from io.Reader) {
	text, err := io.ReadAll(io.LimitReader(from, r.maxFile()+1))
	if err != nil {
		r.fail(whole.PathError(name, err))
		return
	}
	if r.total += int64(len(text)); r.total > maxTotal {
		r.fail(fmt.Errorf("%s: all the files together are larger than 1 GiB", name))
		return
	}
	r.texts = append(r.texts, Text{path, r.files.Add(name, string(text), diag.House)})
}
