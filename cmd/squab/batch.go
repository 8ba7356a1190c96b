package main

import (
	"context"
	"iter"
)

// inOrder works jobs out with some workers and hands the results on in the order of the jobs. No more than a few jobs a worker are under
// way, so that a long run keeps to its memory. It stops where emit gives an error or the context ends, and then does not wait for a job
// that is still being read.
func inOrder[J, R any](ctx context.Context, jobs iter.Seq[J], workers int, work func(J) R, emit func(R) error) error {
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	workers = max(workers, 1)
	tickets := make(chan chan R, workers*4)
	go func() {
		defer close(tickets)
		dispatch(ctx, jobs, workers, work, tickets)
	}()
	for {
		ticket, ok := receive(ctx, tickets)
		if !ok {
			return ctx.Err()
		}
		result, ok := receive(ctx, ticket)
		if !ok {
			return ctx.Err()
		}
		if err := emit(result); err != nil {
			return err
		}
	}
}

// receive gives what comes next; false at the end of the channel or of the context.
func receive[T any](ctx context.Context, from <-chan T) (T, bool) {
	select {
	case got, ok := <-from:
		return got, ok
	case <-ctx.Done():
		var none T
		return none, false
	}
}

// dispatch starts each job when a worker is free, and puts its ticket in the line.
func dispatch[J, R any](ctx context.Context, jobs iter.Seq[J], workers int, work func(J) R, tickets chan<- chan R) {
	free := make(chan struct{}, workers)
	for j := range jobs {
		ticket := make(chan R, 1)
		select {
		case tickets <- ticket:
		case <-ctx.Done():
			return
		}
		free <- struct{}{}
		go func() {
			ticket <- work(j)
			<-free
		}()
	}
}
