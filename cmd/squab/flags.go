package main

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/pflag"

	"squab/cmd/squab/internal/load"
	"squab/eval/orders"
)

// bookFlags are the flags of every verb that reads a book.
type bookFlags struct{ maxFile byteSize }

func (f *bookFlags) add(flags *pflag.FlagSet) {
	f.maxFile = load.DefaultMaxFile
	flags.Var(&f.maxFile, "max-file", "most bytes of one file: 500000, 64K or 32M")
}

// byteSize is a number of bytes, with K or M for 1024 or 1024² of them.
type byteSize int64

// maxByteSize is the most that one file may be allowed.
const maxByteSize = 512 << 20

// String is the size as it is written.
func (s *byteSize) String() string {
	switch n := int64(*s); {
	case n > 0 && n%(1<<20) == 0:
		return strconv.FormatInt(n>>20, 10) + "M"
	default:
		return strconv.FormatInt(n, 10)
	}
}

// Type names the value in a help text.
func (s *byteSize) Type() string { return "size" }

// Set reads a size.
func (s *byteSize) Set(text string) error {
	digits, shift := text, 0
	switch {
	case strings.HasSuffix(text, "K"):
		digits, shift = strings.TrimSuffix(text, "K"), 10
	case strings.HasSuffix(text, "M"):
		digits, shift = strings.TrimSuffix(text, "M"), 20
	}
	n, err := strconv.ParseInt(digits, 10, 64)
	if err != nil || n < 1 || n > math.MaxInt64>>shift || n<<shift > maxByteSize {
		return fmt.Errorf("a size is from 1 to 512M, as 32M")
	}
	*s = byteSize(n << shift)
	return nil
}

// reckonFlags say how material is reckoned.
type reckonFlags struct {
	byArea bool
	effort int64
}

// usualEffort is spent on each layout of every verb alike, so that what one tells of an order is what another made of it.
const usualEffort = 20_000

func (f *reckonFlags) add(flags *pflag.FlagSet) {
	flags.BoolVar(&f.byArea, "by-area", false, "reckon material by area alone, without laying out")
	flags.Int64Var(&f.effort, "effort", usualEffort, "how hard to search for each layout, in placements tried")
}

func (f *reckonFlags) settle() error { return boundedEffort(f.effort) }

func boundedEffort(effort int64) error {
	if effort < 1 {
		return misuse("--effort is a whole number from 1 up")
	}
	return nil
}

// orderFlags say which orders are worked out, and how.
type orderFlags struct {
	bookFlags
	only    []string
	sets    []string
	date    string
	rows    string
	recipe  string
	rowText *string // what the file of rows holds, where it has been read already
	changes map[string][]orders.Setting
	day     int64
}

func (f *orderFlags) add(flags *pflag.FlagSet) {
	flags.StringArrayVar(&f.only, "order", nil, "only the order of this `ID` (may be given again)")
	flags.StringArrayVar(&f.sets, "set", nil, "give `NAME=VALUE` for this run: an order's ask (ID.ask), a rule, a row (table[2]), a material's field")
	flags.StringVar(&f.date, "date", "", "the `DATE` of orders that give none, as 2026-04-02 (default: today)")
	flags.StringVar(&f.rows, "orders", "", "take the orders from this `FILE` of CSV or JSON lines (.jsonl), - for standard input")
	flags.StringVar(&f.recipe, "recipe", "", "the recipe that those orders make")
	f.bookFlags.add(flags)
}

// settle reads what the flags say.
func (f *orderFlags) settle(now func() time.Time) error {
	if (f.rows == "") != (f.recipe == "") {
		return misuse("--orders and --recipe go together: --orders spring.csv --recipe buttoned_lid")
	}
	if err := f.settleDate(now); err != nil {
		return err
	}
	f.changes = map[string][]orders.Setting{}
	for _, s := range f.sets {
		name, text, ok := strings.Cut(s, "=")
		if ok && (strings.TrimSpace(text) == "" || strings.ContainsAny(s, "\n\r")) {
			return misuse("--set %s wants a value behind its =, all on one line", name)
		}
		dot := strings.LastIndexByte(name, '.')
		if dot < 0 && ok && (setsRow.MatchString(strings.TrimSpace(name)) || setsRule.MatchString(strings.TrimSpace(name))) {
			continue // of the book, not of an order
		}
		if !ok || dot <= 0 || dot == len(name)-1 {
			return misuse("--set is written ID.ask=VALUE, as --set '1042.wide=48 in', or RULE=VALUE, TABLE[ROW]=VALUE, MATERIAL.field=VALUE, not %q", s)
		}
		id := strings.TrimSpace(name[:dot])
		f.changes[id] = append(f.changes[id], orders.Setting{Name: strings.TrimSpace(name[dot+1:]), Text: text})
	}
	return nil
}

func (f *orderFlags) settleDate(now func() time.Time) error {
	t := now()
	if f.date != "" {
		var err error
		if t, err = time.Parse(time.DateOnly, f.date); err != nil {
			return misuse("--date is written 2026-04-02, not %q", f.date)
		}
	}
	f.day = dayOf(t)
	return nil
}

// dayOf is a time's day where it is, in days since 1970-01-01.
func dayOf(t time.Time) int64 {
	return time.Date(t.Year(), t.Month(), t.Day(), 0, 0, 0, 0, time.UTC).Unix() / 86400
}
