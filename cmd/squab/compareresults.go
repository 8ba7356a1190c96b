package main

import (
	"fmt"
	"io"
	"strings"

	"squab/cmd/squab/internal/print"
	"squab/cmd/squab/internal/record"
)

// areResults reports whether any of the paths is a result or a record: JSON by its name.
func areResults(paths []string) bool {
	for _, path := range paths {
		if strings.HasSuffix(path, ".json") {
			return true
		}
	}
	return false
}

// onlyResults refuses anything but two results.
func onlyResults(paths []string) error {
	if len(paths) != 2 || !strings.HasSuffix(paths[0], ".json") || !strings.HasSuffix(paths[1], ".json") {
		return misuse("results are compared two at a time: squab compare OLD.json NEW.json")
	}
	return nil
}

// compareResults compares two results that cut wrote as JSON; of a record, the answers.
func (c *command) compareResults(out io.Writer, paths []string, f *compareFlags) error {
	var sides [2]print.Results
	for i, path := range paths {
		var err error
		if sides[i], err = openResults(path); err != nil {
			return err
		}
	}
	compared, err := print.CompareResults(sides[0], sides[1])
	if err != nil {
		return err
	}
	compared.Old, compared.New = paths[0], paths[1]
	return writeCompared(out, compared, f.format)
}

// openResults reads a result, or the answers of a record. The error names the file, and what in it does not fit.
func openResults(path string) (print.Results, error) {
	data, err := readWhole(path)
	if err != nil {
		return print.Results{}, err
	}
	if record.Is(data) {
		rec, err := record.Read(data)
		if err != nil {
			return print.Results{}, fmt.Errorf("%s: %w", path, err)
		}
		data = rec.Answers
	}
	results, err := print.ReadResults(data)
	if err != nil {
		return results, fmt.Errorf("%s: %w", path, err)
	}
	return results, nil
}
