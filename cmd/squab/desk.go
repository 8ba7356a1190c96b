package main

import (
	"fmt"

	"squab/cmd/squab/internal/print"
	"squab/eval"
	"squab/eval/check"
	"squab/lang/diag"
)

// desk is what one worker needs: what works orders out, what writes them, and room for the block in hand.
type desk struct {
	series *eval.Series
	writer *print.Writer
	orders []*check.Order
	days   []int64
	places []int // of the orders in the block
	text   int   // how many bytes the block before came to
}

// newDesks makes a desk for each worker.
func newDesks(r *cutting) chan *desk {
	desks := make(chan *desk, r.flags.jobs)
	for range r.flags.jobs {
		d := &desk{series: r.engine.NewSeries(), writer: print.NewWriter(r.page, r.book.Program)}
		d.series.CutListOnly = r.form.cutList
		desks <- d
	}
	return desks
}

// outcome is what became of a job.
type outcome struct {
	job
	cut    bool
	result *eval.Result // nil unless orders are laid out together
	text   []byte       // as standard output wants it
}

// work is done by several workers at once, each at a desk.
func (r *cutting) work(block []job) []outcome {
	d := <-r.desks
	defer func() { r.desks <- d }()
	done := make([]outcome, len(block))
	d.orders, d.days, d.places = d.orders[:0], d.days[:0], d.places[:0]
	for i, j := range block {
		done[i].job = j
		if len(j.problems) > 0 || j.order == nil {
			r.writeRefusal(&done[i])
			continue
		}
		d.orders, d.days, d.places = append(d.orders, j.order), append(d.days, r.src.day(j.order)), append(d.places, i)
	}
	text := make([]byte, 0, d.text+d.text/8)
	r.workOut(d, func(k int, result *eval.Result, problems []diag.Diagnostic) {
		o := &done[d.places[k]]
		if result == nil {
			o.problems = o.placed(problems)
			r.writeRefusal(o)
			return
		}
		from := len(text)
		text = r.form.order(d.writer, text, result)
		o.cut, o.text = true, text[from:]
		if r.flags.together {
			o.result = result
		}
	})
	d.text = len(text)
	return done
}

// workOut works the orders at a desk out. Results that are laid out together later are made to last.
func (r *cutting) workOut(d *desk, each func(int, *eval.Result, []diag.Diagnostic)) {
	if !r.flags.together {
		d.series.Work(d.orders, d.days, each)
		return
	}
	for k, o := range d.orders {
		result, problems := r.engine.Work(o, d.days[k])
		each(k, result, problems)
	}
}

func (r *cutting) writeRefusal(o *outcome) {
	if r.form.refused != nil {
		o.text = []byte(r.form.refused(o.job, o.problems))
	}
}

// stats tells how the orders were worked out, where that is asked for.
func (r *cutting) stats() string {
	if !r.flags.stats {
		return ""
	}
	var all eval.Counts
	for range r.flags.jobs {
		d := <-r.desks
		all = all.Plus(d.series.Counts())
		r.desks <- d
	}
	whole := int64(r.tally.cut+r.tally.refused) - all.Orders
	return fmt.Sprintf("stats: %d orders side by side, %d one by one or refused as read\n", all.Orders, whole) +
		fmt.Sprintf("stats: of the former, %d were worked out again and %d lay off the units proven\n", all.Apart, all.Uncovered) +
		fmt.Sprintf("stats: %d values were worked out apart\n", all.Values)
}
