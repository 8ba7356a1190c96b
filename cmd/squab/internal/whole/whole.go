// Package whole writes files that are either complete or not there: into a temporary file beside the place, then by rename.
package whole

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
)

// ErrExists says that a file is there already and was not to be replaced.
var ErrExists = errors.New("the file exists already; --force replaces it")

// File is being written; nothing is seen at its place until Commit.
type File struct {
	path  string
	force bool
	temp  *os.File
	out   *bufio.Writer
}

// PathError words an error of the file system with the path as it was given.
func PathError(path string, err error) error {
	var pathErr *fs.PathError
	var linkErr *os.LinkError
	switch {
	case errors.As(err, &pathErr):
		err = pathErr.Err
	case errors.As(err, &linkErr):
		err = linkErr.Err
	}
	return fmt.Errorf("%s: %w", path, err)
}

// Create begins a file. With force it will replace a plain file that is there, whose permissions it keeps; without, the error is ErrExists.
// A link is followed, so that what it leads to is made or replaced and the link stays. A device or a pipe is written to directly.
func Create(path string, force bool) (*File, error) {
	place, err := follow(path)
	if err != nil {
		return nil, PathError(path, err)
	}
	mode := fs.FileMode(0o666)
	info, err := os.Stat(place)
	there := err == nil
	switch {
	case there && !info.Mode().IsRegular():
		return direct(path, info)
	case there && !force:
		return nil, fmt.Errorf("%s: %w", path, ErrExists)
	case there:
		mode = info.Mode().Perm()
	}
	temp, err := openTemp(place, mode)
	if err != nil {
		return nil, PathError(path, err)
	}
	if there {
		if err := temp.Chmod(mode); err != nil {
			return nil, errors.Join(PathError(path, err), discard(temp))
		}
	}
	return &File{path: place, force: force, temp: temp, out: bufio.NewWriterSize(temp, 1<<16)}, nil
}

// mostLinks is how many links, one behind the other, are followed to a file that is not there yet.
const mostLinks = 40

// follow gives the place that a path leads to by links, whether a file is there already or not.
func follow(path string) (string, error) {
	for range mostLinks {
		real, err := filepath.EvalSymlinks(path)
		if !errors.Is(err, fs.ErrNotExist) {
			return real, err
		}
		target, err := os.Readlink(path)
		if err != nil {
			return path, nil // no link: a file to be made
		}
		if !filepath.IsAbs(target) {
			target = filepath.Join(filepath.Dir(path), target)
		}
		path = target
	}
	return "", errors.New("too many links lead on from it")
}

func direct(path string, info fs.FileInfo) (*File, error) {
	if info.IsDir() {
		return nil, fmt.Errorf("%s: this is a folder, not a file", path)
	}
	f, err := os.OpenFile(path, os.O_WRONLY, 0)
	if err != nil {
		return nil, PathError(path, err)
	}
	return &File{temp: f, out: bufio.NewWriter(f)}, nil
}

// mostName is how many bytes of a file's name a temporary one takes over: what is put behind them must find room in the 255 that a name may have.
const mostName = 200

// openTemp makes a file of a name that is free, with the permissions that the umask leaves of mode.
func openTemp(path string, mode fs.FileMode) (*os.File, error) {
	folder, name := filepath.Split(path)
	front := folder + strings.ToValidUTF8(name[:min(len(name), mostName)], "")
	for n := range 10_000 {
		name := fmt.Sprintf("%s.%d-%d.part", front, os.Getpid(), n)
		f, err := os.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, mode)
		if !errors.Is(err, fs.ErrExist) {
			return f, err
		}
	}
	return nil, fmt.Errorf("%s: no name is free for a temporary file", path)
}

// Write writes to the file that is not seen yet.
func (f *File) Write(p []byte) (int, error) { return f.out.Write(p) }

// Commit puts the file in its place. After an error nothing of it is left.
func (f *File) Commit() error {
	err := f.out.Flush()
	if f.path == "" {
		return errors.Join(err, f.temp.Close())
	}
	if err == nil {
		err = f.temp.Sync()
	}
	if closed := f.temp.Close(); err == nil {
		err = closed
	}
	if err == nil {
		err = f.put()
	}
	if err != nil {
		return errors.Join(PathError(f.path, err), removeIfThere(f.temp.Name()))
	}
	return nil
}

// put renames; without force it links first, which fails where somebody has made the file meanwhile.
func (f *File) put() error {
	name := f.temp.Name()
	if f.force {
		return os.Rename(name, f.path)
	}
	err := os.Link(name, f.path)
	switch {
	case err == nil:
		return os.Remove(name)
	case errors.Is(err, fs.ErrExist):
		return ErrExists
	}
	if _, err := os.Lstat(f.path); err == nil {
		return ErrExists
	}
	return os.Rename(name, f.path) // a file system without links
}

// Discard leaves nothing behind. It may follow Commit, and then does nothing.
func (f *File) Discard() {
	if f.path != "" {
		discard(f.temp)
	}
}

func discard(temp *os.File) error {
	temp.Close()
	return removeIfThere(temp.Name())
}

func removeIfThere(name string) error {
	if err := os.Remove(name); !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	return nil
}

// WriteFile writes a whole file as Create, Write and Commit do.
func WriteFile(path, text string, force bool) error {
	f, err := Create(path, force)
	if err != nil {
		return err
	}
	defer f.Discard()
	if _, err := io.WriteString(f, text); err != nil {
		return err
	}
	return f.Commit()
}
