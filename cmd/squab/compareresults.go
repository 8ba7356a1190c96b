package main

import (
	"bufio"
	"errors"
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

// maxResult is the most bytes of a result that are compared; these take some twenty seconds.
const maxResult = 256 << 20

// openResults reads a result, or the answers of a record. The error names the file, and what in it does not fit.
func openResults(path string) (print.Results, error) {
	return reading(path, func(in io.Reader) (print.Results, error) { return readResults(in, maxResult) })
}

// readResults reads a result of so many bytes at the most, or a record.
func readResults(file io.Reader, most int64) (print.Results, error) {
	in := bufio.NewReader(file)
	if head, _ := in.Peek(in.Size()); record.Is(head) {
		return recordedResults(in)
	}
	data, err := readBounded(in, most)
	if errors.Is(err, errTooLarge) {
		return print.Results{}, fmt.Errorf("%w: compare fewer orders at a time, or compare the rules", err)
	}
	if err != nil {
		return print.Results{}, err
	}
	return print.ReadResults(data)
}

func recordedResults(in io.Reader) (print.Results, error) {
	rec, err := recordIn(in)
	if err != nil {
		return print.Results{}, err
	}
	return print.ReadResults(rec.Answers)
}
