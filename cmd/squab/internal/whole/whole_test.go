package whole

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// only checks that a folder holds just these files.
func only(t *testing.T, want map[string]string) {
	t.Helper()
	entries, err := os.ReadDir(".")
	if err != nil {
		t.Fatal(err)
	}
	if len(entries) != len(want) {
		t.Errorf("the folder holds %v", entries)
	}
	for name, text := range want {
		if data, err := os.ReadFile(name); err != nil || string(data) != text {
			t.Errorf("%s holds %q (%v), want %q", name, data, err, text)
		}
	}
}

func put(t *testing.T, path, text string, mode fs.FileMode) {
	t.Helper()
	if err := os.WriteFile(path, []byte(text), mode); err != nil {
		t.Fatal(err)
	}
}

func TestNewFile(t *testing.T) {
	t.Chdir(t.TempDir())
	f, err := Create("a", false)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := f.Write([]byte("text")); err != nil {
		t.Fatal(err)
	}
	if _, err := os.Stat("a"); !errors.Is(err, fs.ErrNotExist) {
		t.Error("the file is seen before it is whole")
	}
	if err := f.Commit(); err != nil {
		t.Fatal(err)
	}
	f.Discard()
	only(t, map[string]string{"a": "text"})
}

func TestDiscardLeavesNothing(t *testing.T) {
	t.Chdir(t.TempDir())
	put(t, "a", "before", 0o644)
	f, err := Create("a", true)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := f.Write([]byte("half of the tex")); err != nil {
		t.Fatal(err)
	}
	f.Discard()
	only(t, map[string]string{"a": "before"})
}

func TestNothingIsReplacedUnasked(t *testing.T) {
	t.Chdir(t.TempDir())
	put(t, "a", "before", 0o644)
	if err := WriteFile("a", "after", false); !errors.Is(err, ErrExists) {
		t.Errorf("%v", err)
	}
	only(t, map[string]string{"a": "before"})
}

// TestSomebodyElseWasFirst makes the file while another is being written.
func TestSomebodyElseWasFirst(t *testing.T) {
	t.Chdir(t.TempDir())
	f, err := Create("a", false)
	if err != nil {
		t.Fatal(err)
	}
	put(t, "a", "theirs", 0o644)
	if err := f.Commit(); !errors.Is(err, ErrExists) {
		t.Errorf("%v", err)
	}
	only(t, map[string]string{"a": "theirs"})
}

func TestPermissionsAreKept(t *testing.T) {
	t.Chdir(t.TempDir())
	put(t, "a", "before", 0o600)
	if err := os.Chmod("a", 0o751); err != nil {
		t.Fatal(err)
	}
	if err := WriteFile("a", "after", true); err != nil {
		t.Fatal(err)
	}
	info, err := os.Stat("a")
	if err != nil || info.Mode().Perm() != 0o751 {
		t.Errorf("%v, %v", info.Mode(), err)
	}
	only(t, map[string]string{"a": "after"})
}

func TestLinkIsFollowed(t *testing.T) {
	t.Chdir(t.TempDir())
	put(t, "real", "before", 0o644)
	if err := os.Symlink("real", "link"); err != nil {
		t.Skip("this system makes no links:", err)
	}
	if err := WriteFile("link", "after", true); err != nil {
		t.Fatal(err)
	}
	if target, err := os.Readlink("link"); err != nil || target != "real" {
		t.Errorf("the link is gone: %v", err)
	}
	only(t, map[string]string{"real": "after", "link": "after"})
}

// TestLinkToAFileThatIsNotThere makes the file that links lead to, over a folder and another link; the links stay.
func TestLinkToAFileThatIsNotThere(t *testing.T) {
	for _, force := range []bool{false, true} {
		t.Chdir(t.TempDir())
		if err := os.Mkdir("folder", 0o777); err != nil {
			t.Fatal(err)
		}
		for link, target := range map[string]string{"link": filepath.Join("folder", "second"), filepath.Join("folder", "second"): "real", "loop": "loop"} {
			if err := os.Symlink(target, link); err != nil {
				t.Skip("this system makes no links:", err)
			}
		}
		if err := WriteFile("link", "text", force); err != nil {
			t.Fatal(err)
		}
		if data, err := os.ReadFile(filepath.Join("folder", "real")); err != nil || string(data) != "text" {
			t.Errorf("the links lead to %q (%v)", data, err)
		}
		if target, err := os.Readlink("link"); err != nil || target != filepath.Join("folder", "second") {
			t.Errorf("the link is gone: %v", err)
		}
		if err := WriteFile("loop", "text", force); err == nil {
			t.Error("a link to itself was written to")
		}
	}
}

func TestFolderIsNoFile(t *testing.T) {
	t.Chdir(t.TempDir())
	if err := os.Mkdir("folder", 0o777); err != nil {
		t.Fatal(err)
	}
	if err := WriteFile("folder", "text", true); err == nil {
		t.Error("a folder was replaced")
	}
	if err := WriteFile(filepath.Join("nowhere", "a"), "text", false); !errors.Is(err, fs.ErrNotExist) {
		t.Error(err)
	}
}

func TestFullDisk(t *testing.T) {
	if _, err := os.Stat("/dev/full"); err != nil {
		t.Skip("there is no full device here")
	}
	if err := WriteFile("/dev/full", "text", false); err == nil {
		t.Error("a text was written to a full disk")
	}
}

// TestLongNames writes files whose names are as long as a name may be, of letters that take one byte and more.
func TestLongNames(t *testing.T) {
	t.Chdir(t.TempDir())
	want := map[string]string{}
	for _, letter := range []string{"x", "é", "幅"} {
		name := strings.Repeat(letter, 255/len(letter))
		want[name] = letter
		if err := WriteFile(name, letter, false); err != nil {
			t.Error(err)
		}
	}
	only(t, want)
}

// TestFilesOfOneProcessDoNotMeet begins two files of one place at once: the first to be put there stands, or the second where it may.
func TestFilesOfOneProcessDoNotMeet(t *testing.T) {
	for _, force := range []bool{false, true} {
		t.Chdir(t.TempDir())
		var files [2]*File
		for i := range files {
			f, err := Create("a", force)
			if err != nil {
				t.Fatal(err)
			}
			defer f.Discard()
			files[i] = f
			if _, err := fmt.Fprint(f, i); err != nil {
				t.Fatal(err)
			}
		}
		first, second := files[0].Commit(), files[1].Commit()
		if first != nil || force != (second == nil) {
			t.Errorf("with force %v: %v, %v", force, first, second)
		}
		only(t, map[string]string{"a": map[bool]string{false: "0", true: "1"}[force]})
	}
}
