package eval_test

import (
	"fmt"
	"testing"

	"squab/eval"
	"squab/eval/check"
	"squab/eval/evaltest"
)

// randomBook makes a book; false where the checker finds something wrong with it, such as a fixed value outside an ask's range.
func randomBook(choices []byte) (book, string, bool) {
	text := evaltest.Book(choices)
	b, problems := tryRead(text)
	return b, text, len(problems) == 0
}

// sameAs compares every cell of a filled sheet with the slow evaluator's.
func sameAs(s *eval.Sheet, want *slow) error {
	for i := range want.slots {
		v, fault := s.Value(i)
		a := want.slot(i)
		if err := sameAnswer(v, fault, a); err != nil {
			return fmt.Errorf("order %s: %s: %w", want.order.ID, want.slots[i].Name, err)
		}
	}
	return nil
}

func sameAnswer(v check.Value, fault *eval.Fault, a answer) error {
	switch {
	case fault == nil && a.fault == nil:
		return sameValue(v, a.value)
	case fault == nil:
		return fmt.Errorf("no fault, want %s", a.fault.code)
	case a.fault == nil:
		return fmt.Errorf("%s: %s, want no fault", fault.Code, fault.Message)
	case fault.Code != a.fault.code || !a.fault.at.IsZero() && fault.At != a.fault.at:
		return fmt.Errorf("%s at %v, want %s at %v", fault.Code, fault.At, a.fault.code, a.fault.at)
	}
	return nil
}

func sameValue(v check.Value, want slowValue) error {
	if v.Num.Rat().Cmp(want.num) != 0 || !v.Num.Exact() {
		return fmt.Errorf("%s, want %s", v.Num, want.num.RatString())
	}
	if v.Material() != want.material || len(v.Items()) != len(want.items) {
		return fmt.Errorf("%d items of %v, want %d of %v", len(v.Items()), v.Material(), len(want.items), want.material)
	}
	for i, item := range v.Items() {
		if err := sameValue(item, want.items[i]); err != nil {
			return fmt.Errorf("item %d: %w", i+1, err)
		}
	}
	return nil
}

// checkBook holds every order of a book against the slow evaluator.
func checkBook(b book) error {
	for _, o := range b.program.Orders {
		s := b.engine.Plan(o.Recipe, dayOf(o), o).NewSheet()
		s.Fill(o)
		if err := sameAs(s, newSlow(b, o)); err != nil {
			return err
		}
	}
	return nil
}

// manyBooks runs f over random books, and fails where too few of them are sound to prove anything.
func manyBooks(t *testing.T, n int, f func(*testing.T, book) error) {
	t.Helper()
	sound := 0
	for i := range n {
		b, text, ok := randomBook(evaltest.Choices(uint64(i)))
		if !ok {
			continue
		}
		sound++
		if err := f(t, b); err != nil {
			t.Fatalf("book %d: %v\n%s", i, err, numbered(text))
		}
	}
	if sound < n*2/3 {
		t.Errorf("only %d of %d books are sound", sound, n)
	}
}

func TestSameAsSlow(t *testing.T) {
	n := 2000
	if testing.Short() {
		n = 400
	}
	manyBooks(t, n, func(_ *testing.T, b book) error { return checkBook(b) })
}

func FuzzEval(f *testing.F) {
	for i := range uint64(8) {
		f.Add(evaltest.Choices(i))
	}
	f.Fuzz(func(t *testing.T, choices []byte) {
		b, text, ok := randomBook(choices)
		if !ok {
			t.Skip()
		}
		if err := checkBook(b); err != nil {
			t.Fatalf("%v\n%s", err, numbered(text))
		}
	})
}
