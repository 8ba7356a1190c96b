package main

import (
	"embed"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"squab/cmd/squab/internal/print"
	"squab/cmd/squab/internal/whole"
)

//go:embed starter/*.squab
var starter embed.FS

func startVerb() *verb {
	return &verb{name: "start", args: "FOLDER", about: "write a first house file, materials and an order to change", run: (*command).start, help: `
Writes a first house file, a list of materials and two orders into a folder, for you to change. The
figures and prices in them are invented: put your own.

  squab start my-workroom
  squab cut my-workroom

A file that is there already is left alone, unless --force is given.`}
}

func (c *command) start(args []string) error {
	force := c.flags.Bool("force", false, "replace files that are there")
	paths, err := c.parse(args, 1)
	if err != nil {
		return err
	}
	if len(paths) > 1 {
		return misuse("squab start wants one folder")
	}
	folder := paths[0]
	names, err := fs.Glob(starter, "starter/*.squab")
	if err != nil {
		return err
	}
	if err := refuseExisting(folder, names, *force); err != nil {
		return err
	}
	if err := os.MkdirAll(folder, 0o777); err != nil {
		return err
	}
	for _, name := range names {
		if err := c.startFile(folder, name, *force); err != nil {
			return err
		}
	}
	shown := print.Harmless(folder)
	return writeAll(c.stdout, "\nNow try:\n  squab cut "+shown+"\n  squab why skin.wide "+shown+" --order 1\n")
}

// refuseExisting looks before anything is written, so that a folder is not half filled.
func refuseExisting(folder string, names []string, force bool) error {
	if force {
		return nil
	}
	var there []error
	for _, name := range names {
		path := filepath.Join(folder, filepath.Base(name))
		if _, err := os.Lstat(path); !errors.Is(err, fs.ErrNotExist) {
			there = append(there, fmt.Errorf("%s: %w", path, whole.ErrExists))
		}
	}
	return errors.Join(there...)
}

func (c *command) startFile(folder, name string, force bool) error {
	text, err := starter.ReadFile(name)
	if err != nil {
		return err
	}
	path := filepath.Join(folder, filepath.Base(name))
	if err := whole.WriteFile(path, string(text), force); err != nil {
		return err
	}
	return writeAll(c.stdout, "wrote "+print.Harmless(path)+"\n")
}
