package layout

import (
	"errors"
	"fmt"
)

// Limits on what is taken on; more is refused with ErrTooLarge. The area of MaxCopies
// of MaxMeasure each way is just inside int64.
const (
	MaxCopies  = 20_000
	MaxMeasure = 1 << 24 // grid units
	MaxStocks  = 1_000
	MaxPrice   = 1 << 40 // coins
	MaxFlaws   = 1_000   // of one roll
)

// ErrTooLarge is returned for measures, counts or prices past the limits.
var ErrTooLarge = errors.New("past the limit of what can be laid")

// ErrMaterial is returned where the material itself makes no sense.
var ErrMaterial = errors.New("the material cannot be used as described")

func checkMeasure(what string, v, least int64) error {
	if v < least {
		return fmt.Errorf("%s is %d, less than %d: %w", what, v, least, ErrMaterial)
	}
	if v > MaxMeasure {
		return fmt.Errorf("%s is %d units, over %d: %w", what, v, int64(MaxMeasure), ErrTooLarge)
	}
	return nil
}

// check reports what makes a roll unusable.
func (r Roll) check() error {
	err := errors.Join(
		checkMeasure("usable width", r.Wide, 1),
		checkMeasure("roll length", r.Long, 0),
		checkMeasure("gap", r.Gap, 0),
		checkMeasure("repeat along", r.Repeat.Along, 0),
		checkMeasure("repeat across", r.Repeat.Across, 0),
		r.Repeat.check(r.Wide),
	)
	if len(r.Flaws) > MaxFlaws {
		err = errors.Join(err, fmt.Errorf("it has %d flaws, over %d: %w", len(r.Flaws), MaxFlaws, ErrTooLarge))
	}
	for i, f := range r.Flaws {
		err = errors.Join(err, checkRect(fmt.Sprintf("flaw %d", i+1), f))
	}
	for i, m := range r.Remnants {
		err = errors.Join(err, checkMeasure(fmt.Sprintf("remnant %d width", i+1), m.Wide, 1),
			checkMeasure(fmt.Sprintf("remnant %d length", i+1), m.Deep, 1))
	}
	return err
}

func checkRect(what string, f Rect) error {
	return errors.Join(checkMeasure(what+" x", f.X, 0), checkMeasure(what+" y", f.Y, 0),
		checkMeasure(what+" width", f.Wide, 1), checkMeasure(what+" length", f.Deep, 1))
}

func (r Repeat) check(wide int64) error {
	if r.Across > wide {
		return fmt.Errorf("repeat across %d is wider than the cloth %d: %w", r.Across, wide, ErrMaterial)
	}
	if r.HalfDrop && (r.Along == 0 || r.Across == 0 || r.Along%2 != 0) {
		return fmt.Errorf("a half drop needs repeats both ways and an even repeat along (%d, %d): %w", r.Along, r.Across, ErrMaterial)
	}
	return errors.Join(checkMeasure("first motif across", r.First.X, 0), checkMeasure("first motif along", r.First.Y, 0))
}

// badPiece says what is wrong with the piece itself, nothing where it can be laid somewhere.
func badPiece(wide, deep int64, count int) (reason, help string) {
	switch {
	case wide <= 0 || deep <= 0:
		return "its size is not greater than zero", "give both sizes"
	case wide > MaxMeasure || deep > MaxMeasure:
		return "its size is past the limit", "use a coarser grid"
	case count < 0:
		return "its count is less than zero", "give a count of one or more"
	}
	return "", ""
}

// badCloth is badPiece, of a piece that may be joined.
func badCloth(p Piece) (reason, help string) {
	if p.Join.Seam < 0 || p.Join.Seam > MaxMeasure {
		return "its seam is less than zero, or past the limit", "give a seam of zero or more"
	}
	return badPiece(p.Wide, p.Deep, p.Count)
}

// checkCopies reports more copies of pieces than can be laid.
func checkCopies[P any](pieces []P, count func(P) int) error {
	left := MaxCopies
	for _, p := range pieces {
		if left -= min(left+1, max(0, count(p))); left < 0 {
			return fmt.Errorf("there are more than %d copies of pieces: %w", MaxCopies, ErrTooLarge)
		}
	}
	return nil
}

func (p Piece) copies() int { return p.Count }
