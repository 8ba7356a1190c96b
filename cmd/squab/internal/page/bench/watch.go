package bench

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"time"
)

// usualPause is how long the files are left alone between two looks at them.
const usualPause = 250 * time.Millisecond

// fresh is how long after it was written a file may be written again without another time of its own.
const fresh = 2 * time.Second

// look is what can be seen of the files without reading them: their names, sizes and times. Fresh says that they may change without being seen to.
type look struct {
	traces string
	fresh  bool
}

// Watch looks at the files until the context ends, and reads them again when they are not as they were when they were read last.
func (s *Server) Watch(ctx context.Context) {
	ticks := time.NewTicker(s.pause)
	defer ticks.Stop()
	for last := ""; ; {
		select {
		case <-ctx.Done():
			return
		case <-ticks.C:
		}
		last = s.glance(last)
	}
}

// glance looks at the files once, and gives what it saw to the next. It waits until two looks are the same, since an editor may empty a file before it
// writes it.
func (s *Server) glance(last string) string {
	now := lookAt(s.options.Paths, time.Now())
	if now.traces == last && s.moved(now) {
		s.renew()
	}
	return now.traces
}

func lookAt(paths []string, now time.Time) look {
	var l look
	for _, path := range paths {
		l.add(path, now)
		entries, _ := os.ReadDir(path) // in order of name; a path that is no folder gives none
		for _, e := range entries {
			if strings.HasSuffix(e.Name(), ".squab") {
				l.add(filepath.Join(path, e.Name()), now)
			}
		}
	}
	return l
}

func (l *look) add(path string, now time.Time) {
	info, err := os.Stat(path)
	if err != nil {
		l.traces += fmt.Sprintf("%s %v\n", path, err)
		return
	}
	l.traces += fmt.Sprintf("%s %d %d\n", path, info.Size(), info.ModTime().UnixNano())
	age := now.Sub(info.ModTime())
	l.fresh = l.fresh || !info.IsDir() && age > -fresh && age < fresh
}
