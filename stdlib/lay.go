package stdlib

import (
	"context"
	"errors"
	"fmt"

	"squab/eval"
	"squab/stdlib/layout"
)

// Lay gives the function that lays an order's pieces on their material as its fields say: cloth by its usable width, repeat, nap, flaws and
// remnants; sheets and sticks by their sizes and kerf. Lengths that have no common fine grid are laid rounded up to 1/1024 in, never down.
func Lay(effort layout.Effort) eval.LayFunc { return LayUntil(context.Background(), effort) }

// LayUntil is Lay until a context ends; what is being laid then is given up with its error.
func LayUntil(ctx context.Context, effort layout.Effort) eval.LayFunc {
	return func(s eval.Stock, pieces []eval.Piece) (eval.Layout, error) {
		l, err := layPieces(ctx, s, pieces, effort)
		return l.Layout, err
	}
}

// LayVerified is Lay, with each layout checked by code that shares none with what made it. A layout that is found wrong is an error.
func LayVerified(effort layout.Effort) eval.LayFunc {
	return func(s eval.Stock, pieces []eval.Piece) (eval.Layout, error) {
		l, err := layPieces(context.Background(), s, pieces, effort)
		if err != nil {
			return l.Layout, err
		}
		if errs := l.Verify(); len(errs) > 0 {
			return l.Layout, fmt.Errorf("%s: the layout is wrong: %w", s.Material.Name, errors.Join(errs...))
		}
		return l.Layout, nil
	}
}

func layPieces(ctx context.Context, s eval.Stock, pieces []eval.Piece, effort layout.Effort) (Laid, error) {
	j, err := jobOf(s, pieces)
	if err != nil {
		return Laid{}, fmt.Errorf("%s: %w", s.Material.Name, err)
	}
	l, err := j.Lay(ctx, effort)
	if err != nil {
		return Laid{}, fmt.Errorf("%s: %w", s.Material.Name, err)
	}
	return l, unplaced(s, l.Unplaced)
}

// unplaced says which pieces cannot be laid, and what would let them.
func unplaced(s eval.Stock, all []layout.Unplaced) error {
	var errs []error
	for _, u := range all {
		errs = append(errs, fmt.Errorf("%s cannot be cut from %s: %s: %s", u.Piece, s.Material.Name, u.Reason, u.Help))
	}
	return errors.Join(errs...)
}
