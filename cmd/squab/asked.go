package main

import (
	"fmt"

	"github.com/spf13/pflag"

	"squab/cmd/squab/internal/load"
)

// addQuestion adds the flags of every question about orders.
func (f *cutFlags) addQuestion(flags *pflag.FlagSet) {
	f.orderFlags.add(flags)
	f.outFlags.add(flags, "text or json")
}

// question reads the flags of a question and gives its other arguments; at least least of them.
func (c *command) question(args []string, least int, f *cutFlags) ([]string, error) {
	args, err := c.parse(args, least)
	if err != nil {
		return nil, err
	}
	if err := f.settle(c.now); err != nil {
		return nil, err
	}
	if f.format != "text" && f.format != "json" {
		return nil, misuse("--format is text or json, not %q", f.format)
	}
	return args, nil
}

// asked opens the one order that is asked about.
func (c *command) asked(paths []string, f *cutFlags) (*load.Book, job, int64, error) {
	book, err := c.openSet(paths, &f.orderFlags)
	if err != nil {
		return nil, job{}, 0, err
	}
	src, err := c.orders(book, &f.orderFlags)
	if err != nil {
		return nil, job{}, 0, err
	}
	defer src.close()
	j, err := theOrder(src)
	if err != nil {
		return nil, job{}, 0, err
	}
	c.onDate(j, f.day)
	if len(j.problems) > 0 || j.order == nil {
		return nil, job{}, 0, orProblems(c.refusal(book, j))
	}
	return book, j, src.day(j.order), nil
}

func orProblems(err error) error {
	if err != nil {
		return err
	}
	return errProblems
}

// refusal tells why an order cannot be asked about.
func (c *command) refusal(book *load.Book, j job) error {
	if j.told {
		return nil
	}
	return c.tell(fmt.Sprintf("order %s is refused:\n", cleanID(j.id)) + c.errPage.Problems(book.Files, j.problems))
}
