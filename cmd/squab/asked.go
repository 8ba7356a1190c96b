package main

import (
	"cmp"
	"strings"

	"github.com/spf13/pflag"

	"squab/cmd/squab/internal/load"
)

// addQuestion adds the flags of every question about orders.
func (f *cutFlags) addQuestion(flags *pflag.FlagSet) {
	f.orderFlags.add(flags)
	f.outFlags.add(flags, "text", "json")
}

// question reads the flags of a question and gives its other arguments; at least least of them.
func (c *command) question(args []string, least int, f *cutFlags) ([]string, error) {
	args, err := c.parse(args, least)
	if err != nil {
		return nil, err
	}
	return args, f.settle(c.now)
}

// asked opens the files and the one order in them that is asked about, with its day.
func (c *command) asked(paths []string, f *cutFlags) (*load.Book, job, int64, error) {
	book, err := c.openSet(paths, &f.orderFlags)
	if err != nil {
		return nil, job{}, 0, err
	}
	j, day, err := c.askedOf(book, f)
	return book, j, day, err
}

// askedOf finds the one order of a book that is asked about, with its day.
func (c *command) askedOf(book *load.Book, f *cutFlags) (job, int64, error) {
	src, err := c.orders(book, &f.orderFlags)
	if err != nil {
		return job{}, 0, err
	}
	defer src.close()
	j, err := c.theOrder(src)
	if err != nil {
		return job{}, 0, err
	}
	c.onDate(j, f.day)
	if len(j.problems) > 0 || j.order == nil {
		return job{}, 0, c.cannotAsk(book, j)
	}
	return j, src.day(j.order), nil
}

// theOrder finds the one order that is asked about.
func (c *command) theOrder(src *source) (only job, err error) {
	var ids []string
	err = c.eachOrder(src, func(j job) error {
		if len(ids) == maxRefusedNamed {
			return severalOrders(append(ids, "…"))
		}
		ids, only = append(ids, cleanID(j.id)), j
		return nil
	})
	switch {
	case err != nil:
		return job{}, err
	case len(ids) > 1:
		return job{}, severalOrders(ids)
	case len(ids) == 0:
		return job{}, c.nothing("the files hold no order to ask about")
	}
	return only, nil
}

func severalOrders(ids []string) error {
	return misuse("there are several orders: add --order with one of %s", strings.Join(ids, ", "))
}

// onDate dates the one order that is asked about by --date, whatever its own date.
func (c *command) onDate(j job, day int64) {
	if c.flags.Changed("date") && j.order != nil {
		j.order.Date, j.order.HasDate = day, true
	}
}

// cannotAsk tells why an order cannot be asked about. The error is that there were problems, or that they could not be told.
func (c *command) cannotAsk(book *load.Book, j job) error {
	return cmp.Or(c.refuse(book.Files, j), errProblems)
}
