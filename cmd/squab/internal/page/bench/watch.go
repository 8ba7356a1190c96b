package bench

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"time"
)

// Pause is how long the files are left alone between two looks at them.
const Pause = 400 * time.Millisecond

// Watch looks at the files until the context ends, and reads them again when their names, sizes or times have changed.
func (s *Server) Watch(ctx context.Context) {
	look := time.NewTicker(Pause)
	defer look.Stop()
	for last := s.traces(); ; {
		select {
		case <-ctx.Done():
			return
		case <-look.C:
		}
		if now := s.traces(); now != last {
			last = now
			s.renew()
		}
	}
}

// traces writes the names, sizes and times of the files down.
func (s *Server) traces() string {
	var b strings.Builder
	for _, path := range s.options.Paths {
		trace(&b, path)
		entries, _ := os.ReadDir(path) // in order of name; a path that is no folder gives none
		for _, e := range entries {
			if strings.HasSuffix(e.Name(), ".squab") {
				trace(&b, filepath.Join(path, e.Name()))
			}
		}
	}
	return b.String()
}

func trace(b *strings.Builder, path string) {
	info, err := os.Stat(path)
	if err != nil {
		fmt.Fprintf(b, "%s %v\n", path, err)
		return
	}
	fmt.Fprintf(b, "%s %d %d\n", path, info.Size(), info.ModTime().UnixNano())
}
