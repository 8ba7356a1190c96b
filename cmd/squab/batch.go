package main

import (
	"context"
	"iter"
	"sync"
)

// inOrder works jobs out with some workers and hands the results on in the order of the jobs. No more than a few jobs a worker are under
// way, so that a long run keeps to its memory. It stops where emit gives an error or the context ends.
func inOrder[J, R any](ctx context.Context, jobs iter.Seq[J], workers int, work func(J) R, emit func(R) error) error {
	ctx, cancel := context.WithCancelCause(ctx)
	defer cancel(nil)
	tickets := make(chan chan R, workers*4)
	var group sync.WaitGroup
	group.Go(func() {
		defer close(tickets)
		dispatch(ctx, jobs, workers, work, tickets, &group)
	})
	var failed error
	for ticket := range tickets {
		result := <-ticket
		if failed == nil && ctx.Err() == nil {
			if failed = emit(result); failed != nil {
				cancel(failed)
			}
		}
	}
	group.Wait()
	if failed != nil {
		return failed
	}
	return context.Cause(ctx)
}

// dispatch starts each job when a worker is free, and puts its ticket in the line.
func dispatch[J, R any](ctx context.Context, jobs iter.Seq[J], workers int, work func(J) R, tickets chan<- chan R, group *sync.WaitGroup) {
	free := make(chan struct{}, workers)
	for j := range jobs {
		if ctx.Err() != nil {
			return
		}
		ticket := make(chan R, 1)
		tickets <- ticket
		free <- struct{}{}
		group.Go(func() {
			ticket <- work(j)
			<-free
		})
	}
}
